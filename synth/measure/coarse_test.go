package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// A shape is found where it stands, between the samples too: a bell moved by parts of a sample.
func TestPlacesBetweenSamples(t *testing.T) {
	bellAt := func(n int, middle float64) []float64 {
		x := make([]float64, n)
		for i := range x {
			z := (float64(i) - middle) / 4
			x[i] = math.Exp(-z * z / 2)
		}
		return x
	}
	shape := bellAt(25, 12)
	centre(shape)
	for _, moved := range []float64{-3.4, -1, -0.3, 0, 0.2, 0.45, 2.7, 5} {
		r, at, past := fit(bellAt(45, 22+moved), shape, 2)
		assert.Greater(t, r, 0.99)
		assert.InDelta(t, 10+moved, float64(at)+past, 0.06, "moved by %g", moved)
	}
}

// PR and RR of the same beats at 360, 500 and 1000 Hz, where they are sought at 180, 250 and
// 200: known by construction to less than a coarse sample, and the same from beat to beat.
func TestPRIsKnownBetweenCoarseSamples(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for _, fs := range []float64{250, 360, 500, 1000} {
		for _, pr := range []float64{0.150, 0.1515, 0.1532, 0.1554} {
			beat := append(qrsOf(0.08, 1), bell{-pr, 0.02, 0.12}, bell{0.26, 0.045, 0.25})
			var times []float64
			for at := 0.4; at < 19; at += 0.8 + 0.02*rng.Float64() {
				times = append(times, at)
			}
			r, err := Read(row(bells(20, fs, times, func(int) []bell { return beat }), fs), ecg.II)
			require.NoError(t, err)
			require.Len(t, r.Marks.Beats, len(times))
			for i, b := range r.Marks.Beats {
				assert.InDelta(t, pr, b.QRS.Peak-b.P.Peak, 0.0045, "PR %g at %g Hz", pr, fs)
				assert.InDelta(t, times[i], b.QRS.Peak, 0.0035, "beat %d at %g Hz", i, fs)
			}
			assert.Less(t, r.PRSpread, 0.0045, "PR %g at %g Hz", pr, fs)
		}
	}
}

// What is left of a lead without every beat's usual QRS-T is the same, taken away before or
// after the running mean, wherever the beats stand between the coarse samples.
func TestRestIsTheLeadLessItsUsualBeats(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	for _, rate := range []float64{250, 360, 500, 600, 1000} {
		n := int(10 * rate)
		m := marker{rate: rate, flat: make([]float64, n), shapes: []shape{{}, {}}, complex: make([]complex, 2)}
		for i := range m.flat {
			m.flat[i] = rng.NormFloat64()
		}
		for at := 40; at < n; at += int(rate/2) + rng.IntN(50) {
			g := len(m.at) % 2
			m.shapes[g].beats = append(m.shapes[g].beats, len(m.at))
			m.at, m.group = append(m.at, at), append(m.group, g)
		}
		usual := make([]float64, int(0.3*rate))
		for i := range usual {
			usual[i] = rng.NormFloat64()
		}
		m.usual = []stretch{{-20, usual}, {}} // that of the second shape is not known
		less := append([]float64(nil), m.flat...)
		for _, b := range m.shapes[0].beats {
			for k, v := range usual {
				if i := m.at[b] - 20 + k; i < n {
					less[i] -= v
				}
			}
		}
		c := m.coarser()
		want, w := make([]float64, n), odd(pSmooth, rate)
		smooth(want, less, w)
		for j, v := range c.rest {
			if i := j * c.step; i > w && i < n-w { // at the ends the mean is of fewer
				require.InDelta(t, want[i], v, 1e-9, "%g Hz, sample %d", rate, i)
			}
		}
	}
}

// A slow baseline is taken away and what is faster is left, though it is sought at every
// eighth sample only: a wander of 0.2 a minute and a wave of 5 Hz.
func TestBaseline(t *testing.T) {
	for _, rate := range []float64{180, 250} {
		tr := tracing{quiet: make([]float64, int(20*rate)+3)}
		wave := func(i int) float64 { return 0.1 * math.Sin(2*math.Pi*5*float64(i)/rate) }
		for i := range tr.quiet {
			tr.quiet[i] = math.Sin(2*math.Pi*0.05*float64(i)/rate) + wave(i)
		}
		x := tr.settled(rate)
		for i := int(rate); i < len(x)-int(rate); i++ {
			require.InDelta(t, wave(i), x[i], 0.009, "%g Hz, sample %d", rate, i)
		}
	}
}

// A hump in the first samples of a bend, where none is known before it, is no top of T: in
// a made strip of pre-excitation a second P was seen in every T for it.
func TestNoHumpWhereNoBendIsKnown(t *testing.T) {
	d := make([]float64, 60)
	rate := 250.0
	h := int(bendReach * rate)
	for i := h; i < len(d); i++ { // falls from its first sample, and rises to a wave at 40
		d[i] = 0.01*math.Exp(-float64(i-h)/3) + 0.05*math.Exp(-float64((i-40)*(i-40))/18)
	}
	assert.False(t, afterHump(d, 40, rate))
	d[20] = 0.02
	assert.True(t, afterHump(d, 40, rate), "a top of its own")
}

// The wave of every cycle stands in place of what is beside it, and of nothing else.
func TestWaveOfEveryCycle(t *testing.T) {
	m := marker{rate: 180, at: []int{100, 300, 500, 700}, group: []int{0, 1, 0, 0}}
	waves := []bump{{peak: 195, height: 0.2}, {peak: 240, height: 0.1}, {peak: 405, height: 0.1}, {peak: 560, height: 0.1}, {peak: 621, height: 0.3}}
	var peaks []int
	for _, b := range m.withAlways(waves, bump{70, 80, 90, 0.15}) {
		peaks = append(peaks, b.peak)
	}
	assert.Equal(t, []int{180, 240, 405, 580, 621}, peaks, "195 and 560 lie within 0.12 s of such a wave")
}

// How steep and how bent a complex is does not hang on the rate it was sampled at.
func TestSteepnessAtEveryRate(t *testing.T) {
	usual := func(rate float64) (slope, bend float64) {
		x := bells(10, rate, every(0.5, 1, 10), func(int) []bell { return []bell{{0, 0.025, 1}} })
		var slopes, bends []float64
		for _, c := range detect(x, rate) {
			slopes, bends = append(slopes, c.slope), append(bends, c.bend)
		}
		return median(slopes), median(bends)
	}
	slope, bend := usual(1000)
	for _, rate := range []float64{200, 250, 300, 360, 500, 700} {
		s, b := usual(rate)
		assert.InDelta(t, slope, s, 0.06*slope, "slope at %g Hz", rate)
		assert.InDelta(t, bend, b, 0.12*bend, "bend at %g Hz", rate)
	}
}

// Waves of the atria have a frequency where no P leads to a regular rhythm: 6 a second here.
func TestFrequencyOfWavesBetweenComplexes(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	var times []float64
	for at := 0.4; at < 19.5; at += 0.45 + 0.6*rng.Float64() {
		times = append(times, at)
	}
	x := bells(20, 250, times, func(int) []bell { return append(qrsOf(0.08, 1), bell{0.26, 0.045, 0.2}) })
	for i := range x {
		x[i] += 0.08 * math.Sin(2*math.Pi*6*float64(i)/250)
	}
	r, err := Read(row(x, 250), ecg.II)
	require.NoError(t, err)
	assert.InDelta(t, 6, r.DominantFrequency, 0.3, "%v", r.Reasons)
	r, err = Read(row(bells(20, 250, every(0.4, 0.8, 20), always(sinusBeat())), 250), ecg.II)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(r.DominantFrequency), "P lead to a regular rhythm")
	r, err = Read(row(bells(20, 250, times, always(sinusBeat())), 250), ecg.II)
	require.NoError(t, err)
	assert.False(t, math.IsNaN(r.DominantFrequency), "to an irregular one: %s", r.Name)
}
