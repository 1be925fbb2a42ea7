package synth

import (
	"math"
	"math/rand/v2"
	"sync"
)

// noiseLength is a prime, so that electrodes starting at different places do not
// fall into step.
const noiseLength = 8191

// noiseRun is how many samples can be read in one go from any place in the table.
const noiseRun = 1024

// noiseTable is unit white noise smoothed over two samples, the same for everybody;
// where a row starts in it is drawn from the strip's seed. It goes round: its end is
// its beginning again.
var noiseTable = sync.OnceValue(func() []float64 {
	rng := rand.New(rand.NewPCG(1, 2))
	t := make([]float64, noiseLength+noiseRun)
	last := rng.NormFloat64()
	for i := range t[:noiseLength] {
		x := rng.NormFloat64()
		t[i] = (x + last) / math.Sqrt2
		last = x
	}
	copy(t[noiseLength:], t)
	return t
})

// skin is what well-placed electrodes record where there is no heart: the breath's
// slow wander, a drift, and a few microvolts of muscle. It is an ecg.Source of the
// rows of dipole.Base that never ends.
type skin struct {
	rate   float64
	frame  int64
	noise  []float64
	places []place
}

// A place is one row's wander and noise.
type place struct {
	breath, drift           float64 // mV
	breathPhase, driftPhase float64
	breathHz, driftHz       float64
	noise                   float64 // mV rms
	at                      int64   // in the noise table
	next                    float64 // wander at the next node, mV
}

// muscle is the usual noise of a lead between quiet electrodes, mV rms.
const muscle = 0.0055

func newSkin(rows int, rate, breaths, breathPhase, noise float64, rng *rand.Rand) *skin {
	s := &skin{rate: rate, noise: noiseTable()}
	for range rows {
		p := place{
			breath:      0.010 + 0.018*rng.Float64(),
			drift:       0.008 + 0.013*rng.Float64(),
			breathPhase: breathPhase + 0.6*rng.Float64(),
			driftPhase:  2 * math.Pi * rng.Float64(),
			breathHz:    breaths / 60,
			driftHz:     0.04 + 0.05*rng.Float64(),
			noise:       noise * muscle * (0.7 + 0.6*rng.Float64()),
			at:          rng.Int64N(noiseLength),
		}
		p.next = p.wander(0)
		s.places = append(s.places, p)
	}
	return s
}

// wanderStep is how many frames lie between two exact values of the wander; between
// them a straight line is closer than 1 uV. noiseRun is a multiple of it.
const wanderStep = 32

// Fill writes whole steps: len(dst[0]) must be a multiple of wanderStep.
func (s *skin) Fill(dst [][]float64) (int, error) {
	n := len(dst[0])
	for row := range dst {
		p := &s.places[row]
		for i := 0; i < n; i += wanderStep {
			v := p.next
			p.next = p.wander(float64(s.frame+int64(i)+wanderStep) / s.rate)
			slope := (p.next - v) / wanderStep
			at := (p.at + s.frame + int64(i)) % noiseLength
			out, noise := dst[row][i:i+wanderStep], s.noise[at:at+wanderStep]
			for k := range out {
				out[k] = v + p.noise*noise[k]
				v += slope
			}
		}
	}
	s.frame += int64(n)
	return n, nil
}

func (p *place) wander(t float64) float64 {
	return p.breath*math.Sin(2*math.Pi*p.breathHz*t+p.breathPhase) +
		p.drift*math.Sin(2*math.Pi*p.driftHz*t+p.driftPhase)
}
