package synth

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The wander is its sines within what wanderStep promises, at every rate, and after
// an hour as well as at the start.
func TestWanderIsItsSines(t *testing.T) {
	t.Parallel()
	for _, rate := range []float64{100, 125, 250, 360, 500, 1000, 2000} {
		for breaths, within := range map[float64]float64{16: 0.001, 40: 0.003} { // beats/min; mV
			s := newSkin(3, rate, breaths, 1, 0, rand.New(rand.NewPCG(7, 0)))
			require.Zero(t, 256%s.step, "blocks hold whole steps")
			dst := [][]float64{make([]float64, 256), make([]float64, 256), make([]float64, 256)}
			worst := 0.0
			for block := range int(3600*rate) / 256 {
				_, err := s.Fill(dst)
				require.NoError(t, err)
				if block > 40 && block < int(3580*rate)/256 {
					continue
				}
				for row := range dst {
					b, d := s.places[row].breath, s.places[row].drift
					for i, v := range dst[row] {
						at := 2 * math.Pi * float64(block*256+i) / rate
						exact := b.height*math.Sin(b.hz*at+b.phase) + d.height*math.Sin(d.hz*at+d.phase)
						worst = math.Max(worst, math.Abs(v-exact))
					}
				}
			}
			assert.Less(t, worst, within, "mV, at %g Hz and %g breaths a minute", rate, breaths)
			assert.Positive(t, worst)
		}
	}
}
