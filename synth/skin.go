package synth

import (
	"math"
	"math/rand/v2"
	"sync"
)

// noiseLength is a prime, so that rows starting at different places do not fall into
// step.
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
	step   int // frames between two nodes of the wander
	frame  int64
	noise  []float64
	places []place
}

// A place is one row's wander and noise.
type place struct {
	breath, drift swing
	noise         float64 // mV rms
	at            int64   // in the noise table
	wander        float64 // at the next node, mV
}

// muscle is the usual noise of a lead between quiet electrodes, mV rms.
const muscle = 0.0055

func newSkin(rows int, rate, breaths, breathPhase, noise float64, rng *rand.Rand) *skin {
	s := &skin{rate: rate, step: wanderStep(rate), noise: noiseTable(), places: make([]place, rows)}
	for i := range s.places {
		p := &s.places[i]
		p.breath.height = 0.010 + 0.018*rng.Float64()
		p.drift.height = 0.008 + 0.013*rng.Float64()
		p.breath.phase = breathPhase + 0.6*rng.Float64()
		p.drift.phase = 2 * math.Pi * rng.Float64()
		p.breath.hz = breaths / 60
		p.drift.hz = 0.04 + 0.05*rng.Float64()
		p.noise = noise * muscle * (0.7 + 0.6*rng.Float64())
		p.at = rng.Int64N(noiseLength)
		p.breath.begin(0, float64(s.step)/rate)
		p.drift.begin(0, float64(s.step)/rate)
		p.wander = p.breath.y + p.drift.y
	}
	return s
}

// wanderStep is how many frames lie between two nodes of the wander: a power of two,
// so that blocks and noiseRun hold whole steps, and at most 1/7 s, so that a straight
// line from node to node is closer than 1 uV in adults and 3 uV in newborns, who
// breathe faster.
func wanderStep(rate float64) int {
	step := 4
	for float64(2*step) <= rate/7 {
		step *= 2
	}
	return step
}

// exactly is how many frames lie between two places of the stream where the wander
// is worked out anew, so that rounding errors do not add up in an hour.
const exactly = 1 << 12

// Fill writes whole steps: len(dst[0]) must hold whole steps and divide exactly.
func (s *skin) Fill(dst [][]float64) (int, error) {
	n := len(dst[0])
	for row := range dst {
		p := &s.places[row]
		if s.frame%exactly == 0 {
			t, dt := float64(s.frame)/s.rate, float64(s.step)/s.rate
			p.breath.begin(t, dt)
			p.drift.begin(t, dt)
		}
		at := (p.at + s.frame) % noiseLength
		p.fill(dst[row], s.noise[at:at+int64(n)], s.step)
	}
	s.frame += int64(n)
	return n, nil
}

// fill writes wander and noise. Four lines run beside each other, so that none waits
// for its own last sum.
func (p *place) fill(dst, noise []float64, step int) {
	level, share := p.noise, 1/float64(step)
	for ; len(dst) >= step; dst, noise = dst[step:], noise[step:] {
		v0 := p.wander
		p.wander = p.breath.next() + p.drift.next()
		slope := (p.wander - v0) * share
		v1, v2, v3 := v0+slope, v0+2*slope, v0+3*slope
		slope *= 4
		out := dst[:step]
		z := noise[:len(out)]
		for k := 0; k < len(out)-3; k += 4 {
			out[k] = v0 + level*z[k]
			out[k+1] = v1 + level*z[k+1]
			out[k+2] = v2 + level*z[k+2]
			out[k+3] = v3 + level*z[k+3]
			v0 += slope
			v1 += slope
			v2 += slope
			v3 += slope
		}
	}
}

// A swing is a sine that is worked out step by step: a point that turns on a circle.
type swing struct {
	height, hz, phase float64 // mV, Hz, rad
	x, y              float64 // y is the sine
	cos, sin          float64 // of a step's angle
}

// begin puts the point where it is at time t, for steps of dt (s).
func (s *swing) begin(t, dt float64) {
	s.sin, s.cos = math.Sincos(2 * math.Pi * s.hz * dt)
	sin, cos := math.Sincos(2*math.Pi*s.hz*t + s.phase)
	s.x, s.y = s.height*cos, s.height*sin
}

// next is the sine a step later.
func (s *swing) next() float64 {
	s.x, s.y = s.x*s.cos-s.y*s.sin, s.y*s.cos+s.x*s.sin
	return s.y
}
