package measure

import (
	"cmp"
	"math"
	"slices"
)

// A monitor's counter is the mean of the last 12 RR without the largest and the
// smallest, or of the last 4 when three in a row are above 1.2 s (common practice
// of monitor makers' manuals).
const (
	averagedRR  = 12
	slowRR      = 1.2
	averagedLow = 4
)

// HeartRate is what a heart-rate counter shows at the end of the given samples
// (mV; rate in Hz): beats per minute over the last beats of this one lead. ok is
// false when there is no rate to show: a flat, disconnected or fibrillating lead,
// or fewer than two beats. Ten seconds are enough.
func HeartRate(mv []float64, rate float64) (bpm float64, ok bool) {
	if !usableRate(rate) {
		return 0, false
	}
	d := desks.Get().(*desk)
	defer d.clear()
	t := examine(clean(mv), rate, d)
	if t.kind != Organised && t.kind != Disturbed || len(t.beats) < 2 {
		return 0, false
	}
	last := float64(len(mv)-t.beats[len(t.beats)-1].at) / rate
	if last > asystoleAfter {
		return 0, false
	}
	rr := make([]float64, 0, len(t.beats))
	for i := 1; i < len(t.beats); i++ {
		rr = append(rr, float64(t.beats[i].at-t.beats[i-1].at)/rate)
	}
	return 60 / counterRR(rr), true
}

// asystoleAfter is the time in s without a QRS after which a counter shows no rate
// (PhysioNet/CinC Challenge 2015: asystole is 4 s without QRS).
const asystoleAfter = 4.0

// counterRR averages RR intervals (s, at least one) as a counter does.
func counterRR(rr []float64) float64 {
	n := len(rr)
	if n >= 3 && min(rr[n-1], rr[n-2], rr[n-3]) > slowRR {
		m, _ := meanAndCV(rr[max(0, n-averagedLow):])
		return m
	}
	s := slices.Clone(rr[max(0, n-averagedRR):])
	if len(s) >= 4 {
		slices.Sort(s)
		s = s[1 : len(s)-1]
	}
	m, _ := meanAndCV(s)
	return m
}

// PulseOnsets returns the time in s of the foot of every pulse in a pulse trace
// (pleth or pressure, any unit; rate in Hz), none when it is flat: where the
// upstroke begins, by the tangent at its steepest point.
func PulseOnsets(pulse []float64, rate float64) []float64 {
	if !usableRate(rate) || len(pulse) < int(rate) {
		return nil
	}
	x := clean(pulse).mv
	n := len(x)
	v, up := make([]float64, n), make([]float64, n)
	smooth(v, x, odd(0.060, rate))
	slope(up, v, max(1, int(0.030*rate)))
	level := quantile(v, 0.95) - quantile(v, 0.05)
	if level < flatPulse*max(1, math.Abs(median(v))) {
		return nil
	}
	// crests of the upstroke's steepness, the steeper where two are near
	type crest struct {
		at    int
		steep float64
	}
	var crests []crest
	gap := int(0.17 * rate)
	for i := 1; i+1 < n; i++ {
		if up[i] <= 0 || up[i] < up[i-1] || up[i] <= up[i+1] {
			continue
		}
		if k := len(crests) - 1; k >= 0 && i-crests[k].at < gap {
			if crests[k].steep >= up[i] {
				continue
			}
			crests = crests[:k]
		}
		crests = append(crests, crest{i, up[i]})
	}
	// The usual steepness is that of the crest at rank one for every two seconds:
	// at 30 pulses a minute or more it belongs to a pulse.
	var steep []float64
	for _, c := range crests {
		steep = append(steep, c.steep)
	}
	slices.SortFunc(steep, func(a, b float64) int { return cmp.Compare(b, a) })
	if len(steep) == 0 {
		return nil
	}
	usual := steep[min(len(steep)-1, int(float64(n)/rate/2))]
	half := max(1, int(0.030*rate))
	type upstroke struct{ onset, rise float64 }
	var ups []upstroke
	for _, c := range crests {
		if c.steep < pulseSteep*usual {
			continue
		}
		foot, top := c.at, c.at
		for foot > 0 && foot > c.at-int(0.3*rate) && v[foot-1] < v[foot] {
			foot--
		}
		for top+1 < n && v[top+1] > v[top] {
			top++
		}
		rise := v[top] - v[foot]
		if rise < pulseRise*level {
			continue
		}
		tangent := float64(c.at) - (v[c.at]-v[foot])/(c.steep/float64(2*half))
		ups = append(ups, upstroke{max(float64(foot), tangent) / rate, rise})
	}
	var out []float64
	for i, u := range ups {
		if i > 0 && i+1 < len(ups) && u.rise < dicrotic*min(ups[i-1].rise, ups[i+1].rise) {
			continue
		}
		out = append(out, u.onset)
	}
	return out
}

// What an upstroke must be to be a pulse: shares of the usual steepness, of the
// trace's range, and of the rise of both neighbours (less is a dicrotic wave).
const (
	pulseSteep = 0.35
	pulseRise  = 0.15
	dicrotic   = 0.50
)

// flatPulse is the range below which a pulse trace is flat, as a share of its
// level (or of 1 where the level is smaller).
const flatPulse = 0.02

// PulseRate is the pulse rate in beats per minute at the end of a pulse trace, as
// an oximeter shows it: averaged as a heart-rate counter averages. ok is false
// when the trace is flat, has fewer than two pulses, or none in the last 4 s.
func PulseRate(pulse []float64, rate float64) (bpm float64, ok bool) {
	on := PulseOnsets(pulse, rate)
	if len(on) < 2 || float64(len(pulse))/rate-on[len(on)-1] > asystoleAfter {
		return 0, false
	}
	rr := make([]float64, 0, len(on))
	for i := 1; i < len(on); i++ {
		rr = append(rr, on[i]-on[i-1])
	}
	return 60 / counterRR(rr), true
}
