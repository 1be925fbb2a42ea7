package measure

import (
	"math"

	"telltrace/synth/ecg"
)

// Limits of what disturbs a lead.
const (
	humLeast     = 0.04 // mV of a 50 or 60 Hz sine that is mains hum
	humEven      = 0.70 // smallest over largest of its seconds: hum keeps its height
	wanderMV     = 0.45 // mV from peak to peak of a baseline that wanders (QRS 0.5-2 mV; common practice)
	trembleHz    = 5.8  // shivering and tremor are faster (tremor 4-6 Hz, shivering 6-11, from memory)
	pattingHz    = 3.2  // hands on the chest are faster than movement: 3-7 Hz (case reports, from memory)
	pushesLow    = 95.0 // compressions a minute (100-120, AHA 2020, from memory)
	pushesHigh   = 125.0
	wavy         = 0.58 // leakage of waves without points
	jerky        = 0.74 // and of a trace with points and steps
	jerkyStill   = 0.30 // movement between beats of a lead that is still between jerks
	jerksLeast   = 5
	pushedWavy   = 0.69
	pushedUnrest = 0.36
	pushedApart  = 0.10 // share by which the rate of compressions differs from the heart's
	cleaner      = 0.96 // likeness of beats in a lead that is not disturbed
	spoiled      = 0.93 // and in one that is
	stepMV       = 0.30 // mV within stepTime that is a jerk of a loose electrode, not a wave
	stepTime     = 0.006
	wetQRS       = 0.33 // mV: below it small complexes are rather the electrodes' fault
)

// hum is the mains sine in a lead, of either frequency: its height in mV, 0 when
// there is none of even height.
type hum struct {
	hz, mv float64
}

// findHum looks for mains hum.
func findHum(x []float64, rate float64) hum {
	best := hum{}
	if rate < 130 {
		return best
	}
	for _, hz := range [2]float64{50, 60} {
		low, high := math.Inf(1), 0.0
		w := int(rate)
		for from := 0; from+w <= len(x); from += w {
			a, b := sineOf(x[from:from+w], hz, rate)
			h := math.Hypot(a, b)
			low, high = min(low, h), max(high, h)
			if low < humLeast || low <= humEven*high {
				break // it is not there all the time
			}
		}
		if high > 0 && low >= humLeast && low > humEven*high && low > best.mv {
			best = hum{hz, (low + high) / 2}
		}
	}
	return best
}

// sineOf is the cosine and sine part of a frequency in x.
func sineOf(x []float64, hz, rate float64) (a, b float64) {
	step := 2 * math.Pi * hz / rate
	c, s := math.Cos(step), math.Sin(step)
	re, im := 1.0, 0.0
	for _, v := range x {
		a += v * re
		b += v * im
		re, im = re*c-im*s, re*s+im*c
	}
	n := float64(len(x)) / 2
	return a / n, b / n
}

// without returns x less the hum, second by second.
func (h hum) without(x []float64, rate float64) []float64 {
	if h.mv == 0 {
		return x
	}
	out := make([]float64, len(x))
	w := int(rate)
	step := 2 * math.Pi * h.hz / rate
	c, s := math.Cos(step), math.Sin(step)
	for from := 0; from < len(x); from += w {
		to := min(from+w, len(x))
		fit := max(0, to-w)
		a, b := sineOf(x[fit:to], h.hz, rate)
		re, im := math.Cos(step*float64(from-fit)), math.Sin(step*float64(from-fit))
		for i := from; i < to; i++ {
			out[i] = x[i] - a*re - b*im
			re, im = re*c-im*s, re*s+im*c
		}
	}
	return out
}

// shaken names what shakes a lead, by the frequency and the form of its waves.
func (t tracing) shaken() string {
	leakage, dominant := t.leakage(), t.dominant()
	switch {
	case leakage < wavy && dominant >= trembleHz:
		return "shivering"
	case leakage < wavy && dominant >= pattingHz:
		return "chest-percussion"
	case t.pushed():
		return "compressions"
	case leakage > jerky && t.features.between < jerkyStill && t.jerks() >= jerksLeast:
		return "loose-electrode"
	}
	return "movement"
}

// pushed reports whether waves of the rate of chest compressions fill the lead.
func (t tracing) pushed() bool {
	if t.features.between <= pushedUnrest || t.leakage() >= pushedWavy {
		return false
	}
	perMinute := 60 * t.dominant()
	return perMinute >= pushesLow && perMinute <= pushesHigh
}

// jerks counts sudden steps that do not come back as a QRS does.
func (t tracing) jerks() (n int) {
	h := max(1, int(stepTime*t.rate))
	side := int(0.06 * t.rate)
	for i := side; i+h+side < len(t.mv); i++ {
		if math.Abs(t.mv[i+h]-t.mv[i]) < stepMV {
			continue
		}
		before, _ := meanAndCV(t.mv[i-side : i])
		after, _ := meanAndCV(t.mv[i+h+side/2 : i+h+side])
		if math.Abs(after-before) > 0.8*stepMV {
			n++
		}
		i += side
	}
	return n
}

// besides examines the other leads and returns the one whose beats are most alike,
// its row -1 when none is organised.
func besides(s ecg.Strip, row int) (best tracing, at int) {
	at = -1
	for i, mv := range s.MV {
		if i == row || dead(mv) {
			continue
		}
		t := examine(clean(mv), s.Rate, nil)
		if t.kind == Organised && len(t.beats) >= 3 && (at < 0 || t.features.alike > best.features.alike) {
			best, at = t, i
		}
	}
	return best, at
}

// A heart that beats on in another lead is not fibrillating, whatever this lead
// shows (sinus sign, Huang et al., Int J Cardiol 2006;111:163).
func (r *Reading) judgeShaken(t tracing, s ecg.Strip, row int) bool {
	other, at := besides(s, row)
	if at < 0 || other.features.alike < cleaner {
		return false
	}
	r.Name = t.shaken()
	r.reason("waves hide the complexes here, lead %s shows them go on: %s", s.Leads[at], r.Name)
	r.against("look at the patient, feel the pulse: a heart can stop under artifact")
	return true
}

// spoiledHere reports whether this lead's odd complexes are its own: another lead
// shows even ones at the same time.
func (r *Reading) spoiledHere(t tracing, s ecg.Strip, row int) bool {
	if len(s.MV) < 2 || t.features.alike >= spoiled && len(t.shapes) < 3 {
		return false
	}
	other, at := besides(s, row)
	if at < 0 || other.features.alike < cleaner || len(other.shapes) > 1 || other.features.rrCV > t.features.rrCV {
		return false
	}
	if len(t.beats) == len(other.beats) && t.features.rrCV < other.features.rrCV+0.05 {
		return false
	}
	r.Name = t.shaken()
	r.reason("odd complexes here that lead %s does not show: %s", s.Leads[at], r.Name)
	r.against("look at the patient and the electrodes; read lead %s", s.Leads[at])
	return true
}

// disturbances adds what disturbs a lead beside a rhythm that can be read.
func (r *Reading) disturbances(t tracing) {
	if t.hum.mv > 0 {
		r.artifact("mains-hum", "an even band of %.0f Hz, %.2f mV", t.hum.hz, t.hum.mv)
	}
	if r.Kind == Organised && t.pushed() && math.Abs(60*t.dominant()-r.Rate) > pushedApart*r.Rate {
		old := r.Name
		r.Name = "compressions"
		r.reason("large even waves of %.0f a minute beside complexes of %.0f: %s", 60*t.dominant(), r.Rate, r.Name)
		r.against("read the rhythm only while the hands are off")
		r.also(old)
		return
	}
	if r.Kind == Organised && t.wander() > max(wanderMV, 0.4*r.Levels.PeakToPeak) {
		r.artifact("baseline-wander", "the baseline rises and falls by %.1f mV", t.wander())
	}
}

// wander is the range in mV of the slow baseline.
func (t tracing) wander() float64 {
	edge := min(len(t.level)/4, int(0.5*t.rate)/t.step/baseStep)
	return span(t.level[edge : len(t.level)-edge])
}

// artifact names an artifact: as what the strip shows where the rhythm is a usual
// one, else beside the rhythm.
func (r *Reading) artifact(id, format string, args ...any) {
	r.reason(format, args...)
	if r.Name == "sinus-rhythm" || r.Name == "respiratory-sinus-arrhythmia" || r.Name == "" && r.Kind == Organised {
		old := r.Name
		r.Name = id
		r.also(old)
		return
	}
	r.also(id)
}

// witnesses weighs the pulse trace against the complexes.
func (r *Reading) witnesses(s ecg.Strip) {
	if r.Kind != Organised || len(r.Marks.Beats) < 3 {
		return
	}
	pleth, pressure := s.Witness(ecg.Pleth), s.Witness(ecg.ArterialPressure)
	flat := func(x []float64) bool { return x != nil && finite(x) && len(PulseOnsets(x, s.Rate)) < 2 }
	switch {
	case pressure != nil && !flat(pressure) && flat(pleth):
		r.artifact("pulse-probe-fault", "the pulse trace is flat, the arterial pressure goes on")
	case flat(pressure) && !(pleth != nil && !flat(pleth)), pressure == nil && flat(pleth):
		r.reason("complexes without a pulse wave")
		r.against("a probe that came off looks the same: look at the patient, feel the pulse")
		switch r.Name {
		case "monomorphic-ventricular-tachycardia", "polymorphic-ventricular-tachycardia", "torsades-de-pointes",
			"agonal-rhythm", "p-wave-asystole":
		default:
			old := r.Name
			r.Name = "pulseless-electrical-activity"
			r.also(old, "pulse-probe-fault")
		}
	}
}
