package synth

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/heart"
)

// The trace does not depend on the sampling rate, though at 1000 Hz seven of eight
// frames lie on straight lines and at 200 Hz none.
func TestPulseAtAnyRate(t *testing.T) {
	t.Parallel()
	pump := heart.Pump{RestRate: 100, Strength: 1, Systolic: 100, Diastolic: 60, Transit: 0.2}
	play := func(rate float64) []float64 {
		u := newPulse(pump, rate, func(float64) float64 { return 0 }, 0)
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

// A cuff measures the pressure of the heart's beats and finds nothing in an arrest; what
// it measures at rest is the patient's own (within 12 mmHg, what a cuff may be off by:
// ISO 81060-2 allows a mean error of 5 with a spread of 8, from memory).
func TestCuff(t *testing.T) {
	t.Parallel()
	for _, age := range []ecg.Age{ecg.Days(10), ecg.Years(6), ecg.Years(40)} {
		for seed := range uint64(6) {
			p, err := Open(ecg.Synthetic("sinus-rhythm", age, seed))
			require.NoError(t, err)
			_, _, ok := p.Cuff()
			assert.False(t, ok, "not before anything was played")
			dst := make([][]float64, 4)
			for i := range dst {
				dst[i] = make([]float64, 5000)
			}
			_, err = p.Fill(dst)
			require.NoError(t, err)
			systolic, diastolic, ok := p.Cuff()
			assert.True(t, ok)
			assert.InDelta(t, p.Patient().Systolic, systolic, 12, "%s, seed %d", age, seed)
			assert.Greater(t, systolic-diastolic, 15.0)

			arrest := ecg.Synthetic("asystole", age, seed)
			p, err = Open(arrest)
			require.NoError(t, err)
			_, err = p.Fill(dst)
			require.NoError(t, err)
			_, _, ok = p.Cuff()
			assert.False(t, ok, "nothing flows")
		}
	}
}
