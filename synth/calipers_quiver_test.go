package synth_test

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// settle is what a filter takes to settle, s.
const settle = 2.0

// band is a lead between 1 and 30 Hz, as rules for fibrillation and standstill look at
// it (Jekova and Krasteva 2004, Physiol Meas 25:1167, from 1.4 Hz, read second-hand),
// without the settling of the filter.
func band(x []float64, rate float64) []float64 {
	x = slices.Clone(x)
	secondOrder(x, 1, true, rate)
	secondOrder(x, 30, false, rate)
	return x[int(settle*rate):]
}

// wavesOfSeconds is the median over the whole seconds of a signal of its height in
// each, mV: fibrillation comes and goes.
func wavesOfSeconds(x []float64, rate float64) float64 {
	var out []float64
	for from := 0; from+int(rate) <= len(x); from += int(rate) {
		out = append(out, height(x[from:from+int(rate)]))
	}
	return median(out)
}

// dominant is the frequency between low and high (Hz) with the most power, by windows
// of four seconds that overlap by half (Welch 1967).
func dominant(x []float64, rate, low, high float64) float64 {
	n := int(4 * rate)
	best, at := 0.0, math.NaN()
	step := max(1, int(rate/100))
	for hz := low; hz <= high+1e-9; hz += 0.125 {
		power := 0.0
		for from := 0; from+n <= len(x); from += n / 2 {
			var re, im float64
			w := 2 * math.Pi * hz / rate
			sin, cos := math.Sincos(w * float64(step))
			c, s := 1.0, 0.0
			for i := 0; i < n; i += step {
				v := x[from+i] * (0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n)))
				re, im = re+v*c, im+v*s
				c, s = c*cos-s*sin, s*cos+c*sin
			}
			power += re*re + im*im
		}
		if power > best {
			best, at = power, hz
		}
	}
	return at
}

// withoutBeats is a lead with the mean beat of each shape taken away, so that what the
// atria do is left (cancellation of the ventricular complex, Slocum 1992, from memory).
func (c *tracing) withoutBeats(lead int) []float64 {
	x := slices.Clone(c.rows[lead])
	for b, at := range c.at {
		s := c.shapes[c.group[b]]
		from, to := at-c.frames(0.08), len(x)
		if b+1 < len(c.at) {
			to = c.at[b+1] - c.frames(0.08)
		}
		level := c.level(&s, lead)
		for i := max(from, 0); i < min(to, len(x)); i++ {
			if k := i - at + s.before; k >= 0 && k < len(s.mean[lead]) {
				x[i] -= s.mean[lead][k] - level
			}
		}
	}
	return x
}

// ofQuiver is the dominant frequency of a strip in lead II: of fibrillating ventricles,
// or of the atria between the beats.
func (c *tracing) ofQuiver() float64 {
	two := slices.Index(c.leads, ecg.II)
	if len(c.at) == 0 {
		return dominant(band(c.rows[two], c.rate), c.rate, 0.5, 12)
	}
	return dominant(band(c.withoutBeats(two), c.rate), c.rate, 3, 12)
}
