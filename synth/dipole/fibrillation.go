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
	MV    float64 // usual peak-to-peak height in lead II, mV; 0 means none
	Hz    float64 // dominant frequency
	Decay float64 // s in which height and frequency fall to 1/e of the way to fine; 0 does not fall
}

// Where decaying fibrillation ends: fine, and slow (Kerber 1997; Carlisle, 6.0 to
// 3.8 Hz in 90 s).
const (
	fineMV = 0.13
	fineHz = 3.6
)

// fade is the time constant with which fibrillation comes and goes, s.
const fade = 0.35

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
	axis   [3][oscPerAxis]oscillator
	rng    *rand.Rand
	f      Fibrillation
	age    float64 // s
	gain   float64 // 0 to 1
	fading bool
	slower float64 // frequency as a share of what it was at first
}

func newOscillators(f Fibrillation, rng *rand.Rand) *oscillators {
	o := &oscillators{rng: rng, f: f, slower: 1}
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

// add draws one block. It returns false once the fibrillation has faded away.
func (o *oscillators) add(rows [][]float64, rate float64) bool {
	for from := 0; from < block; from += control {
		dt := control / rate
		decayed := o.decay(dt)
		o.drift(dt, rate)
		last := o.gain
		if o.fading {
			o.gain -= o.gain * dt / fade
		} else {
			o.gain += (1 - o.gain) * dt / fade
		}
		step := (o.gain - last) / control
		var axes [3][control]float64
		for a := range axes {
			sum(&o.axis[a], &axes[a])
		}
		for k, row := range rows {
			lead, out := baseVectors[k], row[from:from+control]
			for i := range out {
				d := Vector{axes[0][i], axes[1][i], axes[2][i]}
				out[i] += decayed * (last + step*float64(i)) * d.Dot(lead)
			}
		}
	}
	return !o.fading || o.gain > 1e-4
}

// sum turns the oscillators of an axis frame by frame and adds their sines. Their
// states are kept beside each other, so that none waits for another.
func sum(axis *[oscPerAxis]oscillator, out *[control]float64) {
	s0, s1, s2 := &axis[0], &axis[1], &axis[2]
	x0, y0, c0, d0 := s0.cos, s0.sin, s0.incCos, s0.inc
	x1, y1, c1, d1 := s1.cos, s1.sin, s1.incCos, s1.inc
	x2, y2, c2, d2 := s2.cos, s2.sin, s2.incCos, s2.inc
	for i := range out {
		x0, y0 = x0*c0-y0*d0, y0*c0+x0*d0
		x1, y1 = x1*c1-y1*d1, y1*c1+x1*d1
		x2, y2 = x2*c2-y2*d2, y2*c2+x2*d2
		out[i] = s0.height*y0 + s1.height*y1 + s2.height*y2
	}
	s0.cos, s0.sin, s1.cos, s1.sin, s2.cos, s2.sin = x0, y0, x1, y1, x2, y2
}

// decay lets coarse fibrillation become fine and returns the height as a share of
// what it was at first.
func (o *oscillators) decay(dt float64) float64 {
	if o.f.Decay == 0 || o.f.MV <= fineMV {
		return 1
	}
	o.age += dt
	left := math.Exp(-o.age / o.f.Decay)
	if o.f.Hz > fineHz {
		o.slower = (fineHz + (o.f.Hz-fineHz)*left) / o.f.Hz
	}
	return (fineMV + (o.f.MV-fineMV)*left) / o.f.MV
}

// drift moves frequency and height a little, as an Ornstein-Uhlenbeck process: the
// frequency wanders by about 8 % with a memory of 0.4 s, the height by about 45 %
// with a memory of 0.7 s.
func (o *oscillators) drift(dt, rate float64) {
	pull, push := dt/0.4, 0.08*math.Sqrt(2*dt/0.4)
	back, lift := dt/0.7, 0.45*math.Sqrt(2*dt/0.7)
	for a := range o.axis {
		for k := range o.axis[a] {
			s := &o.axis[a][k]
			s.detune += push*s.centre*o.rng.NormFloat64() - pull*s.detune
			s.height += lift*s.mean*o.rng.NormFloat64() + back*(s.mean-s.height)
			w := 2 * math.Pi * math.Max((s.centre+s.detune)*o.slower, 0.5) / rate
			s.inc, s.incCos = math.Sincos(w)
			// Keep the state on the circle: rotations lose a rounding error each.
			n := 1.5 - 0.5*(s.cos*s.cos+s.sin*s.sin)
			s.cos, s.sin = s.cos*n, s.sin*n
		}
	}
}
