package artifact

import (
	"math"
	"math/rand/v2"

	"telltrace/synth/ecg"
)

// Something is wrong at the pulse probe: its trace is flat or odd though the heart beats
// and the leads show it. What it is follows from the seed; see FaultOf.
var pulseProbeFault = Kind{
	Lesson: pulseProbeFaultLesson,
	Sites:  []ecg.Electrode{ecg.RA},
	Pulse: func(src ecg.Source, s Setting) ecg.Source {
		switch FaultOf(s.Seed) {
		case ColdHand:
			return &cold{src: src, k: 1 - math.Exp(-1/(0.12*s.Rate)), by: 0.10 + 0.08*s.RNG.Float64(), rng: s.RNG}
		case CuffUp:
			return &squeezed{src: src, rate: s.Rate, from: 2 + 3*s.RNG.Float64(), rng: s.RNG}
		case Gain:
			return &amplified{faint: faint{src, 0.004, s.RNG}, dt: 1 / s.Rate, hz: 1.2 + 1.6*s.RNG.Float64()}
		default:
			return &faint{src, 0.004 * s.RNG.Float64(), s.RNG}
		}
	},
}

// A PulseFault is what is wrong at the probe.
type PulseFault uint8

// Pulse faults. Movement, percussion and shivering shake the probe as well; they are
// kinds of their own.
const (
	ProbeOff PulseFault = iota // flat
	ColdHand                   // small, round and late
	CuffUp                     // flat while the cuff on that limb is up, about half a minute
	Gain                       // the probe finds nothing, and the noise is drawn as waves
)

// FaultOf is the fault of the strip with the given seed.
func FaultOf(seed uint64) PulseFault {
	return []PulseFault{ProbeOff, ProbeOff, ColdHand, CuffUp, Gain}[rand.New(rand.NewPCG(seed, 0xfa17)).IntN(5)]
}

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
	cuffRises = 3.0
	cuffHolds = 24.0
	cuffFalls = 8.0
	cuffAgain = 300.0
)

// squeezed is a pulse on the limb of a cuff.
type squeezed struct {
	src   ecg.Source
	rate  float64
	from  float64
	frame int64
	rng   *rand.Rand
}

func (q *squeezed) Fill(dst [][]float64) (int, error) {
	n, err := q.src.Fill(dst)
	for i := range n {
		dst[0][i] = dst[0][i]*q.open(float64(q.frame)/q.rate) + probeNoise*q.rng.NormFloat64()
		q.frame++
	}
	return n, err
}

// open is how much of the pulse passes the cuff at a time, s.
func (q *squeezed) open(t float64) float64 {
	if t -= q.from; t < 0 {
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
	faint
	dt, hz float64
	phase  float64
	height float64
}

func (a *amplified) Fill(dst [][]float64) (int, error) {
	n, err := a.faint.Fill(dst)
	for i := range n {
		a.phase += 2 * math.Pi * a.hz * a.dt * (1 + 1.2*a.rng.NormFloat64())
		a.height += (0.25 + 0.15*a.rng.NormFloat64() - a.height) * 2 * a.dt
		dst[0][i] += a.height * math.Sin(a.phase)
	}
	return n, err
}
