package synth

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/heart"
)

// The trace does not depend on the sampling rate, though at 1000 Hz seven of eight
// frames lie on straight lines and at 200 Hz none.
func TestPulseAtAnyRate(t *testing.T) {
	t.Parallel()
	pump := heart.Pump{RestRate: 100, Strength: 1, Systolic: 100, Diastolic: 60, Transit: 0.2}
	play := func(rate float64) []float64 {
		u := newPulse(pump, 0.6, rate, 0)
		u.noise = make([]float64, len(u.noise))
		for at := -7.0; at < 10; at += 0.6 {
			_, ok := u.eject(&heart.Activation{At: at, RR: 0.6, Stroke: 1})
			require.True(t, ok)
		}
		u.settle()
		out := make([]float64, int(10*rate))
		_, err := u.Fill([][]float64{out})
		require.NoError(t, err)
		return out
	}
	coarse, fine := play(200), play(1000)
	for i, v := range coarse {
		assert.InDelta(t, v, fine[5*i], 0.01, "%g s; a pulse is about 1 high", float64(i)/200)
	}
}
