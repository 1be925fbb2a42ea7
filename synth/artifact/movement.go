package artifact

import (
	"math"
	"math/rand/v2"

	"telltrace/synth/ecg"
)

// The child moves one limb: broad waves and jerks at one electrode, in bouts. The
// complexes go on underneath, visible as notches at the old interval, and in the
// lead that does not use the electrode (the three signs of Huang 2006).
var movement = Kind{
	Lesson: movementLesson,
	Drawn:  []string{"RA", "LL"},
	Named:  []string{"LA"},
	Electrodes: func(src ecg.Source, s Setting) ecg.Source {
		m := &moving{src: src, bout: newBouts(s, 0.55, 1.25)}
		for _, e := range s.Electrodes {
			share := 0.04
			if e == s.at() {
				share = 1
			}
			m.share = append(m.share, share)
		}
		return m
	},
	Pulse: func(src ecg.Source, s Setting) ecg.Source {
		return &moving{src: src, bout: newBouts(s, 0.10, 0.22), share: []float64{1}}
	},
}

type moving struct {
	src   ecg.Source
	bout  *bouts
	share []float64 // by row
}

func (m *moving) Fill(dst [][]float64) (int, error) {
	n, err := m.src.Fill(dst)
	for i := range n {
		v := m.bout.next()
		if v == 0 {
			continue
		}
		for row, share := range m.share {
			dst[row][i] += v * share
		}
	}
	return n, err
}

// bouts are stretches of movement with short rests between: a sum of a slow swing
// and a tremble, 0.6 to 6 Hz (common practice: movement fills the band in which
// fibrillation and tachycardia live), swelling and dying away.
type bouts struct {
	rng        *rand.Rand
	dt         float64
	left, of   int // frames left of the bout or rest, and its length
	resting    bool
	low, high  float64 // height, same unit as the source
	height     float64
	phase, inc [3]float64
}

func newBouts(s Setting, low, high float64) *bouts {
	b := &bouts{rng: s.RNG, dt: 1 / s.Rate, low: low, high: high, resting: true}
	b.left = int(0.5 * s.Rate)
	return b
}

func (b *bouts) next() float64 {
	if b.left == 0 {
		b.turn()
	}
	b.left--
	if b.resting {
		return 0
	}
	swell := math.Sin(math.Pi * float64(b.of-b.left) / float64(b.of+1))
	v := 0.0
	for k, w := range [3]float64{0.50, 0.38, 0.20} {
		b.phase[k] += b.inc[k]
		v += w * math.Sin(b.phase[k])
	}
	return b.height * math.Sqrt(swell) * v
}

// turn begins the next bout or rest.
func (b *bouts) turn() {
	seconds := 0.3 + 0.5*b.rng.Float64()
	if b.resting = !b.resting; !b.resting {
		seconds = 3.5 + 4*b.rng.Float64()
		b.height = b.low + (b.high-b.low)*b.rng.Float64()
		for k, hz := range [3]float64{0.7, 2.6, 4.6} {
			b.inc[k] = 2 * math.Pi * hz * (0.8 + 0.4*b.rng.Float64()) * b.dt
			b.phase[k] = 2 * math.Pi * b.rng.Float64()
		}
	}
	b.of = int(seconds / b.dt)
	b.left = b.of
}
