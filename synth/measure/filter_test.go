package measure

import (
	"math/rand/v2"
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
		for _, h := range []int{1, 3, 20} {
			slope(got, x, h)
			for i := range x {
				assert.Equal(t, x[min(i+h, n-1)]-x[max(i-h, 0)], got[i], "slope over %d of %d at %d", h, n, i)
			}
		}
	}
}
