package artifact

import (
	"math"
	"math/rand/v2"

	"telltrace/synth/ecg"
)

// Something is wrong at the pulse probe: its trace is flat or odd though the heart beats
// and the leads show it. What it is, its place says.
var pulseProbeFault = Kind{
	Lesson: pulseProbeFaultLesson,
	Drawn:  []string{ProbeOff, ProbeOff, ColdHand, CuffUp, Gain},
	Blind: func(place string, t float64) bool {
		return place == ProbeOff || place == Gain || place == CuffUp && open(t) < 0.3
	},
	Pulse: func(src ecg.Source, s Setting) ecg.Source {
		switch s.Place {
		case ColdHand:
			return &cold{src: src, k: 1 - math.Exp(-1/(0.12*s.Rate)), by: 0.10 + 0.08*s.RNG.Float64(), rng: s.RNG}
		case CuffUp:
			return &squeezed{src: src, rate: s.Rate, rng: s.RNG}
		case Gain:
			return &amplified{src: src, dt: 1 / s.Rate, hz: 1.2 + 1.6*s.RNG.Float64(), rng: s.RNG}
		default:
			return &faint{src, 0.004 * s.RNG.Float64(), s.RNG}
		}
	},
}

// Places of a fault at the pulse probe. Movement, percussion and shivering shake the probe
// as well; they are kinds of their own.
const (
	ProbeOff = "probe-off" // flat
	ColdHand = "cold-hand" // small, round and late
	CuffUp   = "cuff-up"   // flat while the cuff on that limb is up, about half a minute
	Gain     = "gain"      // the probe finds nothing, and the noise is drawn as waves
)

// probeNoise is what a probe shows of nothing.
const probeNoise = 0.004

// faint is a pulse trace of which next to nothing gets through.
type faint struct {
	src ecg.Source
	by  float64
	rng *rand.Rand
}

func (f *faint) Fill(dst [][]float64) (int, error) {
	n, err := f.src.Fill(dst)
	for i := range n {
		dst[0][i] = dst[0][i]*f.by + probeNoise*f.rng.NormFloat64()
	}
	return n, err
}

// cold is a pulse through narrow vessels: smoothed, so rounder and later, and small.
type cold struct {
	src  ecg.Source
	k    float64
	by   float64
	soft float64
	rng  *rand.Rand
}

func (c *cold) Fill(dst [][]float64) (int, error) {
	n, err := c.src.Fill(dst)
	for i := range n {
		c.soft += c.k * (dst[0][i] - c.soft)
		dst[0][i] = c.by*c.soft + probeNoise*c.rng.NormFloat64()
	}
	return n, err
}

// A cuff is pumped up in a few seconds, lets down over half a minute, and comes again
// after some minutes (common practice).
const (
	cuffStarts = 3.0 // s into the strip
	cuffRises  = 3.0
	cuffHolds  = 24.0
	cuffFalls  = 8.0
	cuffAgain  = 300.0
)

// squeezed is a pulse on the limb of a cuff.
type squeezed struct {
	src   ecg.Source
	rate  float64
	frame int64
	rng   *rand.Rand
}

func (q *squeezed) Fill(dst [][]float64) (int, error) {
	n, err := q.src.Fill(dst)
	for i := range n {
		dst[0][i] = dst[0][i]*open(float64(q.frame)/q.rate) + probeNoise*q.rng.NormFloat64()
		q.frame++
	}
	return n, err
}

// open is how much of the pulse passes the cuff at a time, s.
func open(t float64) float64 {
	if t -= cuffStarts; t < 0 {
		return 1
	}
	switch t = math.Mod(t, cuffAgain); {
	case t < cuffRises:
		return 1 - t/cuffRises
	case t < cuffRises+cuffHolds:
		return 0
	case t < cuffRises+cuffHolds+cuffFalls:
		return (t - cuffRises - cuffHolds) / cuffFalls
	}
	return 1
}

// amplified is nothing, drawn as large as a pulse: slow waves that follow no beat.
type amplified struct {
	src    ecg.Source
	dt, hz float64
	phase  float64
	height float64
	rng    *rand.Rand
}

func (a *amplified) Fill(dst [][]float64) (int, error) {
	n, err := a.src.Fill(dst)
	for i := range n {
		a.phase += 2 * math.Pi * a.hz * a.dt * (1 + 1.2*a.rng.NormFloat64())
		a.height += (0.25 + 0.15*a.rng.NormFloat64() - a.height) * 2 * a.dt
		dst[0][i] = a.height*math.Sin(a.phase) + probeNoise*a.rng.NormFloat64()
	}
	return n, err
}
