package synth

import (
	"math"
	"math/rand/v2"
	"sync"

	"telltrace/synth/ecg"
)

// noiseLength is a prime, so that electrodes starting at different places do not
// fall into step.
const noiseLength = 8191

// noiseTable is unit white noise smoothed over two samples, the same for everybody;
// where an electrode starts in it is drawn from the strip's seed. Its head is repeated
// at its end, so that a stretch between two nodes of the wander never wraps.
var noiseTable = sync.OnceValue(func() []float64 {
	rng := rand.New(rand.NewPCG(1, 2))
	t := make([]float64, noiseLength+wanderStep)
	last := rng.NormFloat64()
	for i := range t {
		x := rng.NormFloat64()
		t[i] = (x + last) / math.Sqrt2
		last = x
	}
	copy(t[noiseLength:], t)
	return t
})

// skin adds to each electrode what even a well-placed one has: the breath's slow
// wander, a drift, and a few microvolts of muscle.
type skin struct {
	src    ecg.Source
	rate   float64
	frame  int64
	noise  []float64
	places []place
}

// A place is one electrode's share of wander and noise.
type place struct {
	breath, drift           float64 // mV
	breathPhase, driftPhase float64
	breathHz, driftHz       float64
	noise                   float64 // mV rms
	at                      int     // in the noise table
}

// muscle is the usual noise at a quiet electrode, mV rms.
const muscle = 0.004

func newSkin(src ecg.Source, electrodes int, rate, breaths, breathPhase, noise float64, rng *rand.Rand) *skin {
	s := &skin{src: src, rate: rate, noise: noiseTable()}
	for range electrodes {
		s.places = append(s.places, place{
			breath:      0.008 + 0.014*rng.Float64(),
			drift:       0.006 + 0.010*rng.Float64(),
			breathPhase: breathPhase + 0.6*rng.Float64(),
			driftPhase:  2 * math.Pi * rng.Float64(),
			breathHz:    breaths / 60,
			driftHz:     0.04 + 0.05*rng.Float64(),
			noise:       noise * muscle * (0.7 + 0.6*rng.Float64()),
			at:          rng.IntN(noiseLength),
		})
	}
	return s
}

// wanderStep is how many frames lie between two exact values of the wander; between
// them a straight line is closer than 1 uV.
const wanderStep = 32

func (s *skin) Fill(dst [][]float64) (int, error) {
	n, err := s.src.Fill(dst)
	for row := range s.places {
		p := &s.places[row]
		out := dst[row][:n]
		node := s.frame / wanderStep * wanderStep
		a := p.wander(float64(node) / s.rate)
		for i := 0; i < n; {
			b := p.wander(float64(node+wanderStep) / s.rate)
			slope := (b - a) / wanderStep
			frame := s.frame + int64(i)
			stretch := out[i:min(int(node+wanderStep-s.frame), n)]
			noise := s.noise[(int64(p.at)+frame)%noiseLength:][:len(stretch)]
			past := int(frame - node)
			for k, w := range noise {
				stretch[k] += a + slope*float64(past+k) + p.noise*w
			}
			i += len(stretch)
			a, node = b, node+wanderStep
		}
	}
	s.frame += int64(n)
	return n, err
}

func (p *place) wander(t float64) float64 {
	return p.breath*math.Sin(2*math.Pi*p.breathHz*t+p.breathPhase) +
		p.drift*math.Sin(2*math.Pi*p.driftHz*t+p.driftPhase)
}
