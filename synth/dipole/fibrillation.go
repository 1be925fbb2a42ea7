package dipole

import (
	"math"
	"math/rand/v2"
)

// Fibrillation is the dipole of ventricles that quiver: in each direction of space
// three oscillators whose frequency and height drift, so that the picture never
// repeats and has no complexes. Amplitude and dominant frequency by the published
// figures (Kerber 1997 for coarse and fine, Strohmenger 1997 for frequency).
type Fibrillation struct {
	MV float64 // usual peak-to-peak height in lead II, mV; 0 means none
	Hz float64 // dominant frequency
}

const (
	oscPerAxis = 3
	control    = 32 // frames between two changes of frequency and height
)

type oscillator struct {
	cos, sin    float64 // state on the unit circle
	centre      float64 // Hz
	detune      float64 // Hz, drifting about 0
	height      float64 // drifting about its mean
	mean        float64
	incCos, inc float64 // rotation per frame
}

type oscillators struct {
	axis [3][oscPerAxis]oscillator
	rng  *rand.Rand
}

func newOscillators(f Fibrillation, rng *rand.Rand) *oscillators {
	o := &oscillators{rng: rng}
	// Relative frequencies and heights; the middle one dominates.
	ratio := [oscPerAxis]float64{0.72, 1, 1.42}
	weight := [oscPerAxis]float64{0.55, 1, 0.45}
	// Lead II sees mostly Y, so that axis carries the stated height; the others
	// are weaker and independent, which turns the axis all the time.
	axisWeight := [3]float64{0.75, 1, 0.8}
	const usualPeakToPeak = 3.9 // of the weighted sum of one axis over some seconds, unit heights
	for a := range o.axis {
		for k := range o.axis[a] {
			phase := 2 * math.Pi * rng.Float64()
			o.axis[a][k] = oscillator{
				cos: math.Cos(phase), sin: math.Sin(phase),
				centre: f.Hz * ratio[k] * (0.94 + 0.12*rng.Float64()),
				mean:   f.MV / usualPeakToPeak * weight[k] * axisWeight[a],
			}
			o.axis[a][k].height = o.axis[a][k].mean * (0.7 + 0.6*rng.Float64())
		}
	}
	return o
}

// add draws one block.
func (o *oscillators) add(buf *[4][block]float64, seen *[4]Vector, rate float64) {
	for from := 0; from < block; from += control {
		o.drift(control/rate, rate)
		for i := from; i < from+control; i++ {
			var v [3]float64
			for a := range o.axis {
				for k := range o.axis[a] {
					s := &o.axis[a][k]
					s.cos, s.sin = s.cos*s.incCos-s.sin*s.inc, s.sin*s.incCos+s.cos*s.inc
					v[a] += s.height * s.sin
				}
			}
			d := Vector{v[0], v[1], v[2]}
			for row := range buf {
				buf[row][i] += d.Dot(seen[row])
			}
		}
	}
}

// drift moves frequency and height a little, as an Ornstein-Uhlenbeck process: the
// frequency wanders by about 8 % with a memory of 0.4 s, the height by about 45 %
// with a memory of 0.7 s.
func (o *oscillators) drift(dt, rate float64) {
	for a := range o.axis {
		for k := range o.axis[a] {
			s := &o.axis[a][k]
			s.detune += -s.detune*dt/0.4 + 0.08*s.centre*math.Sqrt(2*dt/0.4)*o.rng.NormFloat64()
			s.height += (s.mean-s.height)*dt/0.7 + 0.45*s.mean*math.Sqrt(2*dt/0.7)*o.rng.NormFloat64()
			w := 2 * math.Pi * math.Max(s.centre+s.detune, 0.5) / rate
			s.inc, s.incCos = math.Sincos(w)
			// Keep the state on the circle: rotations lose a rounding error each.
			n := 1.5 - 0.5*(s.cos*s.cos+s.sin*s.sin)
			s.cos, s.sin = s.cos*n, s.sin*n
		}
	}
}
