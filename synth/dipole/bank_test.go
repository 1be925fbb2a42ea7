package dipole

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/heart"
)

// adult is a heart whose every sixth beat is ventricular, with its shapes.
func adult() (heart.Params, Params) {
	h := heart.Params{
		Breaths:    16,
		Sinus:      heart.Sinus{Rate: 75, RSA: 0.05, Jitter: 0.01},
		Atria:      0.25,
		Node:       heart.Node{Refractory: 0.30, Decrement: 0.03, Tau: 0.10}.AtRate(0.16, 75),
		Foci:       []heart.Focus{{Site: heart.Ventricle, Coupling: 0.5, Gap: [2]int{5, 5}, Run: [2]int{1, 1}}},
		Ventricles: heart.Ventricles{QTc: 0.41},
		Pump:       heart.Pump{RestRate: 75, Strength: 1, Systolic: 115, Diastolic: 70, Transit: 0.24},
	}
	d := Params{
		P:        Wave{MV: 0.13, Degrees: 55, Front: 0.04, Duration: 0.10},
		QRS:      Wave{MV: 1.2, Degrees: 50, Front: -0.5, Duration: 0.09},
		T:        Wave{MV: 0.3, Degrees: 45, Front: 0.1},
		AxisSway: 2.5, Swell: 0.03,
	}
	d.Ectopic = append(d.Ectopic, Ectopic{Wave: Wave{MV: 1.7, Degrees: -75, Front: 0.6, Duration: 0.15}})
	return h, d
}

func play(t *testing.T, h heart.Params, p Params, rate float64, seed uint64, onBeat func(*Beat)) *Player {
	t.Helper()
	return playRows(t, len(Base), h, p, rate, seed, onBeat)
}

// playRows plays the first rows of Base.
func playRows(t *testing.T, rows int, h heart.Params, p Params, rate float64, seed uint64, onBeat func(*Beat)) *Player {
	t.Helper()
	beating, err := heart.New(h, -5, rand.New(rand.NewPCG(seed, 1)))
	require.NoError(t, err)
	return NewPlayer(beating, p, rate, silence{}, rows, rand.New(rand.NewPCG(seed, 2)), onBeat)
}

// silence is a ground without anything.
type silence struct{}

func (silence) Fill(dst [][]float64) (int, error) {
	for _, row := range dst {
		clear(row)
	}
	return len(dst[0]), nil
}

func rows(frames int) [][]float64 {
	out := make([][]float64, len(Base))
	for i := range out {
		out[i] = make([]float64, frames)
	}
	return out
}

// The recurrence gives what math.Exp gives, within a microvolt, in every lead of Base
// over a whole strip.
func TestRecurrenceIsTheExactSum(t *testing.T) {
	for n, rate := range []float64{100, 250, 500, 2000, 500} {
		h, shapes := adult()
		frames := int(30 * rate)
		exact, got := rows(frames), rows(frames)
		if n == 4 { // two rows are drawn by a loop of their own
			exact, got = exact[:2], got[:2]
		}
		const from = 6.0 // s; what was told while the player was made is left out
		var p *Player
		beats := 0
		p = playRows(t, len(got), h, shapes, rate, 3, func(b *Beat) {
			if p == nil {
				return
			}
			beats++
			breath := math.Sin(p.heart.Breath(b.At))
			for _, g := range p.scratch {
				v := rotate(g.amp, shapes.AxisSway*breath).Scale(1 + shapes.Swell*breath)
				for row, lead := range baseVectors[:len(exact)] {
					height := v.Dot(lead)
					for i := range exact[row] {
						x := (float64(i)/rate - b.At - g.centre) / g.sd
						if math.Abs(x) < 9 {
							exact[row][i] += height * math.Exp(-x*x/2)
						}
					}
				}
			}
		})
		n, err := p.Fill(got)
		require.NoError(t, err)
		require.Equal(t, frames, n)
		require.Greater(t, beats, 50)
		worst := 0.0
		for row := range got {
			for i := int(from * rate); i < frames; i++ {
				worst = math.Max(worst, math.Abs(got[row][i]-exact[row][i]))
			}
		}
		assert.Less(t, worst, 0.001, "mV, at %g Hz", rate)
		assert.Positive(t, worst, "the two are computed differently")
	}
}

// The stream does not depend on how it is read, and a reader may ask for one frame.
func TestFillInAnyChunks(t *testing.T) {
	for _, quiver := range []float64{0, 0.6} {
		h, shapes := adult()
		shapes.Fibrillate = Fibrillation{MV: quiver, Hz: 5}
		whole, parts := rows(4000), rows(4000)
		_, err := play(t, h, shapes, 500, 4, func(*Beat) {}).Fill(whole)
		require.NoError(t, err)
		p := play(t, h, shapes, 500, 4, func(*Beat) {})
		rng := rand.New(rand.NewPCG(5, 0))
		for at := 0; at < 4000; {
			n := min(1+rng.IntN(700), 4000-at)
			dst := make([][]float64, len(parts))
			for row := range parts {
				dst[row] = parts[row][at : at+n]
			}
			got, err := p.Fill(dst)
			require.NoError(t, err)
			require.Equal(t, n, got)
			at += n
		}
		assert.Equal(t, whole, parts)
	}
}

// Each activation is told in time order and well before its frames are read.
func TestBeatsAreToldInTime(t *testing.T) {
	h, shapes := adult()
	read, last := math.Inf(-1), math.Inf(-1) // s
	p := play(t, h, shapes, 500, 6, func(b *Beat) {
		assert.GreaterOrEqual(t, b.At, last)
		assert.GreaterOrEqual(t, b.At, read-1e-9, "told after it was read")
		last = b.At
	})
	require.Greater(t, last, 0.0, "what happened before 0 and just after is told at once")
	read = 0
	dst := rows(50)
	for range 400 {
		_, err := p.Fill(dst)
		require.NoError(t, err)
		read += 0.1
	}
	assert.Greater(t, last, 39.0)
}

// Waves stay where their spans say: at the onset and offset little of the height is
// left, the rest of it lies between.
func TestSpansHoldTheirWaves(t *testing.T) {
	_, p := adult()
	height := func(list []gaussian, t float64) float64 {
		sum := Vector{}
		for _, g := range list {
			x := (t - g.centre) / g.sd
			sum = sum.Add(g.amp.Scale(math.Exp(-x * x / 2)))
		}
		return math.Sqrt(sum.Dot(sum))
	}
	top := func(list []gaussian, from, to float64) float64 {
		best := 0.0
		for t := from; t <= to; t += 0.001 {
			best = math.Max(best, height(list, t))
		}
		return best
	}
	p.makeReady()
	for name, list := range map[string][]gaussian{
		"P": pWave(p.P.vector(), p.P.Duration, nil), "narrow QRS": p.narrow(nil), "wide QRS": wide(p.Ectopic[0].Wave, nil),
	} {
		d := map[string]float64{"P": p.P.Duration, "narrow QRS": p.QRS.Duration, "wide QRS": p.Ectopic[0].Duration}[name]
		inside := top(list, 0, d)
		assert.Less(t, top(list, -0.1, 0), 0.10*inside, "%s before its onset", name)
		assert.Less(t, top(list, d, d+0.1), 0.10*inside, "%s after its offset", name)
	}
	const qt = 0.38
	list, span := tWave(p.T.vector(), qt, 1, nil), tSpan(qt, 1, 0)
	inside := top(list, span.Onset, span.Offset)
	assert.Less(t, top(list, 0, span.Onset), 0.12*inside, "T before its onset")
	assert.Less(t, top(list, qt, qt+0.2), 0.06*inside, "T after its offset")
	assert.InDelta(t, inside, height(list, span.Peak), 0.01*inside, "T peak")
	assert.InDelta(t, qt, span.Offset, 1e-12, "T ends where QT ends")
}
