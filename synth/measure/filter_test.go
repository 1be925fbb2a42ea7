package measure

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A running mean and a difference are what their definitions say at every sample, the ends
// among them, however the sums are taken.
func TestRunningMeanAndSlopeByDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{1, 2, 7, 40, 163, 164, 165, 1000} {
		x, got := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		for _, w := range []int{1, 3, 9, 41, 201} {
			smooth(got, x, w)
			for i := range x {
				sum, from, to := 0.0, max(0, i-w/2), min(n, i+w/2+1)
				for _, v := range x[from:to] {
					sum += v
				}
				assert.InDelta(t, sum/float64(to-from), got[i], 1e-12, "mean of %d of %d at %d", w, n, i)
			}
		}
		for _, w := range []int{1, 3, 9, 41, 201} {
			for _, step := range []int{1, 2, 3, 8} {
				smooth(got, x, w)
				some := make([]float64, (n+step-1)/step)
				smoothCoarse(some, x, w, step)
				for j := range some {
					assert.InDelta(t, got[j*step], some[j], 1e-12, "mean of %d of %d at %d, every %d", w, n, j*step, step)
				}
			}
		}
		for _, h := range []int{1, 3, 20} {
			slope(got, x, h)
			for i := range x {
				assert.Equal(t, x[min(i+h, n-1)]-x[max(i-h, 0)], got[i], "slope over %d of %d at %d", h, n, i)
			}
		}
	}
}

// The turns of a line by their definition: between two of them it has swung by at least so
// much and never back by as much, and the turns of noise that is smaller are none.
func TestSwingsByDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	v := make([]float64, 2000)
	for i := range v {
		v[i] = math.Sin(float64(i)/40) + 0.1*rng.NormFloat64()
	}
	turns, sign := swings(v, 0, len(v)-1, 1, nil)
	assert.Len(t, turns, 16, "2000/40/pi half waves")
	for k, i := range turns {
		assert.InDelta(t, sign, v[i], 0.5, "turn %d at %d", k, i)
		if k > 0 {
			back, far := 0.0, v[turns[k-1]]
			for _, x := range v[turns[k-1] : i+1] {
				if sign*(x-far) > 0 {
					far = x
				}
				back = max(back, sign*(far-x))
			}
			assert.Less(t, back, 1.0, "turn %d swings back on its way", k)
			assert.Equal(t, far, v[i], "turn %d is the furthest", k)
		}
		sign = -sign
	}
	none, _ := swings(v, 0, len(v)-1, 3, nil)
	assert.Empty(t, none)
}

// Extremes and quantiles against a sorted copy.
func TestExtremesAndQuantilesByDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for _, n := range []int{1, 2, 5, 24, 25, 64, 65, 500} {
		x := make([]float64, n)
		side := float64(n%3-1) * 9 // some all negative or all positive
		for i := range x {
			x[i] = side + math.Round(rng.NormFloat64()*20)/10 // with equal ones, and zeros
		}
		sorted := slices.Sorted(slices.Values(x))
		low, high := extremes(x)
		assert.Equal(t, sorted[0], low, "lowest of %d", n)
		assert.Equal(t, sorted[n-1], high, "highest of %d", n)
		for _, q := range []float64{0, 0.05, 0.5, 0.98, 1} {
			at := q * float64(n-1)
			below := int(at)
			want := sorted[below] + (at-float64(below))*(sorted[min(below+1, n-1)]-sorted[below])
			assert.InDelta(t, want, quantile(x, q), 1e-12, "%g of %d", q, n)
		}
	}
}

// Ranks of values that are all the same, far apart or no numbers: by sorting, and without end.
func TestRanksOfOddValues(t *testing.T) {
	inf := math.Inf(1)
	many := func(f func(i int) float64) []float64 {
		out := make([]float64, 300)
		for i := range out {
			out[i] = f(i)
		}
		return out
	}
	for name, x := range map[string][]float64{
		"the same":    many(func(int) float64 { return 2 }),
		"two":         many(func(i int) float64 { return float64(i % 2) }),
		"one far off": many(func(i int) float64 { return map[bool]float64{true: 1e300, false: float64(i)}[i == 7] }),
		"both ends":   many(func(i int) float64 { return math.Pow(-10, float64(i%5)*77) }),
		"infinite":    many(func(i int) float64 { return map[bool]float64{true: inf, false: float64(-i)}[i%9 == 0] }),
		"never more":  many(func(i int) float64 { return map[bool]float64{true: -inf, false: 0}[i%2 == 0] }),
	} {
		sorted := slices.Sorted(slices.Values(x))
		for _, k := range []int{0, 1, 149, 270, 298, 299} {
			at, next := ranked(slices.Clone(x), k)
			assert.Equal(t, sorted[k], at, "%s, %d", name, k)
			if k+1 < len(x) {
				assert.Equal(t, sorted[k+1], next, "%s, after %d", name, k)
			}
		}
	}
	assert.NotPanics(t, func() { ranked(many(func(int) float64 { return math.NaN() }), 10) })
	assert.NotPanics(t, func() { ranked(many(func(i int) float64 { return math.Sqrt(float64(i - 20)) }), 10) })
}

// What no electrode gives is not valid, NaN of either sign among it.
func TestValidSamples(t *testing.T) {
	for _, v := range []float64{0, math.Copysign(0, -1), 1.2, -1.2, invalidAbove, -invalidAbove} {
		assert.True(t, allValid([]float64{0.1, v, -0.1}), "%g", v)
	}
	for _, v := range []float64{math.NaN(), math.Copysign(math.NaN(), -1), math.Inf(1), math.Inf(-1), 1.0001 * invalidAbove, -1.0001 * invalidAbove} {
		assert.False(t, allValid([]float64{0.1, v, -0.1}), "%g", v)
		assert.InDelta(t, 0, clean([]float64{0.1, v, -0.1}).mv[1], 1e-12, "bridged")
	}
}
