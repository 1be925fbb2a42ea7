package artifact

import (
	"math"
	"math/rand/v2"

	"telltrace/synth/ecg"
)

// A shaker makes one disturbing voltage, sample by sample.
type shaker interface{ next() float64 }

// A shaken source adds a shaker to its rows, each in its own share.
type shaken struct {
	src   ecg.Source
	by    shaker
	share []float64 // by row
}

func (s *shaken) Fill(dst [][]float64) (int, error) {
	n, err := s.src.Fill(dst)
	for i := range n {
		v := s.by.next()
		if v == 0 {
			continue
		}
		for row, share := range s.share {
			dst[row][i] += v * share
		}
	}
	return n, err
}

// mostlyAt are the shares of a disturbance that sits at one electrode and reaches
// the others a little. A reference that does not hold lets all the others go, each by
// its own contact, so that no lead is spared.
func mostlyAt(s Setting, elsewhere float64) []float64 {
	share := make([]float64, len(s.Electrodes))
	if s.at() == ecg.RL {
		for i, e := range s.Electrodes {
			share[i] = map[ecg.Electrode]float64{ecg.RA: 1.2, ecg.LA: 0.8, ecg.LL: 0.1, ecg.V: 1.6}[e]
		}
		return share
	}
	for i, e := range s.Electrodes {
		share[i] = elsewhere
		if e == s.at() {
			share[i] = 1
		}
	}
	return share
}

// A beating shaker is a rhythmic wave with harmonics: hands on a chest. Rate and
// height differ a little from stroke to stroke, and there are rests.
type beating struct {
	rng        *rand.Rand
	dt         float64
	hz, height float64
	sharp      float64 // share of the second and third harmonic
	strokes    [2]int  // between rests
	rest       [2]float64
	phase, inc float64
	now        float64 // height of this stroke
	left       int     // strokes before the next rest
	resting    int     // frames
}

func (b *beating) next() float64 {
	if b.resting > 0 {
		b.resting--
		return 0
	}
	if b.inc == 0 {
		b.stroke()
	}
	b.phase += b.inc
	if b.phase >= 2*math.Pi {
		b.phase -= 2 * math.Pi
		b.stroke()
		if b.left--; b.left <= 0 && b.strokes[1] > 0 {
			b.left = b.strokes[0] + b.rng.IntN(b.strokes[1]-b.strokes[0]+1)
			b.resting = int((b.rest[0] + (b.rest[1]-b.rest[0])*b.rng.Float64()) / b.dt)
		}
	}
	// A raised cosine with harmonics starts and ends a stroke at zero.
	return b.now * (0.5 - 0.5*math.Cos(b.phase) + b.sharp*(math.Sin(2*b.phase)-0.5*math.Sin(3*b.phase)))
}

// stroke draws the next stroke's length and height.
func (b *beating) stroke() {
	b.inc = 2 * math.Pi * b.hz * (1 + 0.05*b.rng.NormFloat64()) * b.dt
	b.inc = math.Max(b.inc, 0.2*2*math.Pi*b.hz*b.dt)
	b.now = b.height * (0.8 + 0.4*b.rng.Float64())
}

// A tremble is a narrow band of frequencies that swells and fades: muscle.
type tremble struct {
	rng         *rand.Rand
	dt          float64
	centre      float64 // Hz
	spread      float64 // Hz
	height      float64
	cos, sin    [4]float64
	incC, incS  [4]float64
	gain, reach float64
	left        int
}

func (t *tremble) next() float64 {
	if t.left == 0 {
		t.drift()
	}
	t.left--
	t.gain += (t.reach - t.gain) * t.dt / 0.25
	v := 0.0
	for k := range t.cos {
		t.cos[k], t.sin[k] = t.cos[k]*t.incC[k]-t.sin[k]*t.incS[k], t.sin[k]*t.incC[k]+t.cos[k]*t.incS[k]
		v += t.sin[k]
	}
	return t.height * t.gain * v / 2
}

// drift changes frequencies and height a few times a second.
func (t *tremble) drift() {
	for k := range t.cos {
		if t.cos[k] == 0 && t.sin[k] == 0 {
			t.sin[k], t.cos[k] = math.Sincos(2 * math.Pi * t.rng.Float64())
		}
		n := math.Hypot(t.cos[k], t.sin[k])
		t.cos[k], t.sin[k] = t.cos[k]/n, t.sin[k]/n
		hz := t.centre + t.spread*t.rng.NormFloat64()
		t.incS[k], t.incC[k] = math.Sincos(2 * math.Pi * math.Max(hz, 0.5) * t.dt)
	}
	t.reach = 0.6 + 0.8*t.rng.Float64()
	t.left = int((0.15 + 0.2*t.rng.Float64()) / t.dt)
}

// jerks are sudden steps of contact voltage that die away, with a crackle: an
// electrode that hangs by its rim. A step takes some milliseconds, as the amplifier's
// input lets no faster one through.
type jerks struct {
	rng     *rand.Rand
	dt      float64
	height  float64
	target  float64
	level   float64
	crackle float64
	left    int
}

const (
	jerkRise  = 0.010 // s
	jerkDecay = 0.45  // s
	crackling = 0.12  // s
)

func (j *jerks) next() float64 {
	if j.left == 0 {
		j.target += j.height * (2*j.rng.Float64() - 1) * 1.4
		j.crackle = j.height * 0.15
		j.left = int((0.15 + 1.1*j.rng.Float64()) / j.dt)
	}
	j.left--
	j.target -= j.target * j.dt / jerkDecay
	j.level += (j.target - j.level) * math.Min(j.dt/jerkRise, 1)
	j.crackle -= j.crackle * j.dt / crackling
	return j.level + j.crackle*j.rng.NormFloat64()
}

// swing is a slow wave of constant frequency.
type swing struct{ phase, inc, height float64 }

func (s *swing) next() float64 {
	s.phase += s.inc
	return s.height * (math.Sin(s.phase) + 0.25*math.Sin(2*s.phase+0.7))
}
