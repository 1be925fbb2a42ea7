package paper

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// noise is rough enough that every column differs from its neighbours.
func noise(n int, seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 0))
	out := make([]float64, n)
	for i := range out {
		out[i] = rng.NormFloat64() * 0.4
	}
	return out
}

// A sample at t belongs to dot column floor(t x dots per second), by the
// definition in design and nothing else.
func TestEveryColumnIsTheMinimumAndMaximumOfItsSamples(t *testing.T) {
	for _, rate := range []float64{125, 200, 250, 360, 500, 1000} {
		for _, v := range []View{{}, {Scale: Double}, {Speed: 50}} {
			const start = -1.5
			samples := noise(int(rate*8), 1)
			e := Reduce(v, samples, rate, start)
			want := map[int]column{}
			for i, x := range samples {
				dot := int(math.Floor((start+float64(i)/rate)*v.DotsPerSecond() + 1e-9))
				c, ok := want[dot]
				if !ok {
					c = gap
				}
				want[dot] = column{min(c.lo, float32(x)), max(c.hi, float32(x))}
			}
			require.Len(t, e.cols, len(want))
			for k, c := range e.cols {
				require.Equal(t, want[e.first+k], c, "%g Hz, column %d", rate, e.first+k)
			}
			assert.InDelta(t, start+8, e.End(), 1e-9)
		}
	}
}

func TestAppendInPiecesIsTheSameAsAtOnce(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 0))
	for _, rate := range []float64{10, 33.3, 62.5, 128, 500} {
		samples := noise(3000, 2)
		whole := Reduce(View{}, samples, rate, 0.013)
		var e Envelope
		e.Reset(View{}, rate, 0.013)
		for rest := samples; len(rest) > 0; {
			k := min(len(rest), 1+rng.IntN(40))
			e.Append(rest[:k])
			rest = rest[k:]
		}
		assert.Equal(t, whole.first, e.first)
		assert.Equal(t, whole.cols, e.cols, "%g Hz", rate)
	}
}

func TestForgettingChangesNothingThatIsKept(t *testing.T) {
	samples := noise(40000, 3)
	var e Envelope
	e.Reset(View{}, 500, 0)
	for i := 0; i < len(samples); i += 100 {
		e.Append(samples[i : i+100])
		e.Forget(e.End() - 6)
		require.LessOrEqual(t, len(e.cols), 2*6*40+10, "constant memory")
	}
	whole := Reduce(View{}, samples, 500, 0)
	assert.Equal(t, whole.cols[e.first:], e.cols)
	assert.LessOrEqual(t, float64(e.first)/40, e.End()-6)
}

// A signal slower than the dots is a straight line from sample to sample.
func TestSlowSignalIsJoinedByStraightLines(t *testing.T) {
	e := Reduce(View{}, []float64{0, 1, 0}, 10, 0) // 4 dots a sample
	require.Len(t, e.cols, 9)
	for k := 1; k <= 3; k++ {
		want := (float64(k) + 0.5) / 4 // at the middle of the dot
		assert.InDelta(t, want, e.cols[k].lo, 1e-6)
		assert.InDelta(t, want, e.cols[k].hi, 1e-6)
	}
	assert.Equal(t, column{1, 1}, e.cols[4])
}

func TestInvalidSamplesAreGaps(t *testing.T) {
	nan := math.NaN()
	e := Reduce(View{}, []float64{nan, nan, 1, nan, math.Inf(1), math.Inf(-1)}, 80, 0) // 2 samples a dot
	require.Len(t, e.cols, 3)
	assert.False(t, e.cols[0].valid())
	assert.Equal(t, column{1, 1}, e.cols[1])
	lo, hi, ok := e.Range(0, 0.05)
	assert.True(t, ok)
	assert.Equal(t, []float64{1, 1}, []float64{lo, hi})
	_, _, ok = e.Range(0, 0.01)
	assert.False(t, ok)
	_, _, ok = e.Range(nan, nan)
	assert.False(t, ok)
}

func TestUnusableRatesAndStartsStayEmpty(t *testing.T) {
	for _, bad := range [][2]float64{{0, 0}, {-5, 0}, {math.NaN(), 0}, {math.Inf(1), 0}, {1e-9, 0}, {500, math.NaN()}, {500, math.Inf(-1)}, {500, 1e300}} {
		e := Reduce(View{}, []float64{1, 2, 3}, bad[0], bad[1])
		assert.Empty(t, e.cols, "%v", bad)
		e.Forget(1)
		assert.Zero(t, e.End())
	}
}
