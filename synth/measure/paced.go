package measure

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// Limits of paced rhythms, s.
const (
	answerQRS   = 0.080 // a spike's QRS begins within this (40-60 ms, common practice)
	spikeBefore = 0.015 // and no sooner before it: a spike hides the onset
	hiddenOnset = 0.100 // a spike so long after what was taken for the onset is the onset
	answerP     = 0.090 // a spike's P begins within this
	pacedAV     = 0.350 // atrial spike to QRS or ventricular spike at most
	lostLeast   = 0.12  // of the spikes: fewer without answer are chance
	refractory  = 0.70  // of the pacing interval: a spike sooner after a beat was not due
	lostShare   = 1.45  // of the pacing interval: a longer wait without spike or beat is a missed one
	cutAnswer   = 0.20  // a spike so near the strip's end may have an answer after it
	restAfter   = 0.30  // s after a QRS within which the heart cannot answer
)

// namePaced names rhythms with pacing spikes by what each spike is followed by.
func (r *Reading) namePaced(seconds float64) {
	beats := r.Marks.Beats
	paced := make([]bool, len(beats))
	var ventricular, atrial, lost, wrong int
	var intervals []float64 // between spikes of one kind
	last := math.NaN()
	for k, at := range r.Spikes {
		next := len(beats)
		for i, b := range beats {
			if b.QRS.Onset > at-spikeBefore || b.QRS.Peak > at && at-b.QRS.Onset < hiddenOnset {
				next = i
				break
			}
		}
		since := math.Inf(1)
		if next > 0 {
			since = at - beats[next-1].QRS.Onset
		}
		wait := math.Inf(1)
		if next < len(beats) {
			wait = beats[next].QRS.Onset - at
		}
		followed := k+1 < len(r.Spikes) && r.Spikes[k+1]-at < pacedAV
		switch {
		case wait < answerQRS:
			ventricular++
			paced[next] = true
			beats[next].QRS.Onset = min(max(beats[next].QRS.Onset, at), beats[next].QRS.Peak) // it cannot have begun before
		case wait < pacedAV && (followed || r.hasP(at, at+wait)):
			atrial++
			if !math.IsNaN(last) {
				intervals = append(intervals, at-last)
			}
			last = at
			continue
		case next == len(beats) && at > seconds-pacedAV:
		case since < restAfter:
			wrong++
		default:
			lost++
		}
		if atrial == 0 {
			if !math.IsNaN(last) {
				intervals = append(intervals, at-last)
			}
			last = at
		}
	}
	usual := quantile(intervals, 0.3)
	few := 2*len(r.Spikes) < len(beats) && wrong == 0
	wrong += r.undue(usual, paced)
	for i := range beats {
		if paced[i] {
			beats[i].Origin = ecg.OriginPaced
		}
	}
	n := len(r.Spikes)
	r.reason("%d pacing spikes: %d before QRS, %d before P, %d without answer, %d at the wrong time", n, ventricular, atrial, lost, wrong)
	switch {
	case few: // most spikes do not show in this lead: what is missing means nothing
		r.Name = "ventricular-pacing"
		if atrial > ventricular {
			r.Name = "atrial-pacing"
		}
		r.reason("spikes before some of the beats, the others do not show: %s", r.Name)
	case float64(lost) >= max(1, lostLeast*float64(n)) && lost >= wrong:
		r.Name = "failure-to-capture"
		r.reason("spikes without P or QRS after them: %s", r.Name)
		r.against("count pulses, not spikes: the displayed rate may count spikes")
	case wrong >= 1:
		r.Name = "failure-to-sense"
		r.reason("spikes sooner after the heart's own beats than the set interval: %s", r.Name)
	case atrial < n/4 && r.silent(usual, seconds):
		r.Name = "failure-to-pace"
		r.reason("no spike when one is due: %s", r.Name)
	case atrial > n/4 && ventricular > n/4:
		r.Name = "dual-chamber-pacing"
		r.reason("a spike before P and one before QRS: %s", r.Name)
	case atrial > ventricular:
		r.Name = "atrial-pacing"
		r.reason("a spike before each P, conducted QRS: %s", r.Name)
	default:
		r.Name = "ventricular-pacing"
		r.reason("a spike just before each QRS: %s", r.Name)
	}
}

// heedSpikes lets P waves begin no sooner than the spike within them, and leaves out
// a spike so near the strip's end that its answer is not on it.
func (r *Reading) heedSpikes(beats []ecg.Beat, end float64) {
	within := func(p *ecg.Span, at float64) {
		if p.Onset < at && at < p.Peak {
			p.Onset = at
		}
	}
	for _, at := range r.Spikes {
		for i := range r.Marks.P {
			within(&r.Marks.P[i], at)
		}
		for i := range beats {
			within(&beats[i].P, at)
		}
	}
	if k := len(r.Spikes) - 1; k > 0 && r.Spikes[k] > end-cutAnswer {
		if n := len(beats); n == 0 || beats[n-1].QRS.Onset < r.Spikes[k]-spikeBefore {
			r.Spikes = r.Spikes[:k]
		}
	}
}

// hasP reports whether a P wave begins after a spike and before a QRS.
func (r *Reading) hasP(from, to float64) bool {
	for _, p := range r.Marks.P {
		if p.Onset > from-0.03 && p.Peak > from && p.Onset < from+answerP && p.Peak < to {
			return true
		}
	}
	return false
}

// undue counts paced beats whose spike came sooner after the heart's own beat than
// the pacing interval.
func (r *Reading) undue(usual float64, paced []bool) (n int) {
	for i := 1; i < len(paced); i++ {
		gap := r.Marks.Beats[i].QRS.Onset - r.Marks.Beats[i-1].QRS.Onset
		if paced[i] && !paced[i-1] && gap < refractory*usual {
			n++
		}
	}
	return n
}

// silent reports whether the pacer stays silent when a spike is due: no spike and no
// beat for much longer than its interval.
func (r *Reading) silent(usual, seconds float64) bool {
	last := 0.0
	events := append([]float64(nil), r.Spikes...)
	for _, b := range r.Marks.Beats {
		events = append(events, b.QRS.Onset)
	}
	events = append(events, seconds)
	slices.Sort(events)
	for i, at := range events {
		if i > 0 && at-last > lostShare*usual {
			return true
		}
		last = at
	}
	return false
}
