package heart

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

func TestRestingStrokeIsOne(t *testing.T) {
	for _, rate := range []float64{60, 75, 110, 145} {
		p := at(rate, 0.12)
		p.Pump.RestRate = rate
		for _, v := range of(beat(t, p, 1, 60), OfVentricles)[2:] {
			require.InDelta(t, 1, v.Stroke, 0.01, "rate %g", rate)
		}
	}
}

// The pulse of an early ectopic is small or absent, the next one larger (standard,
// from memory).
func TestEarlyEctopicPumpsLittleAndTheNextMore(t *testing.T) {
	stroke := func(coupling float64) (ectopic, next float64) {
		p := steady()
		p.Ventricles.QTc = 0.36
		p.Foci = single(coupling)
		v := of(beat(t, p, 1, 120), OfVentricles)
		n := 0.0
		for i := 2; i+1 < len(v); i++ {
			if v[i].Origin == ecg.OriginVentricular {
				ectopic, next, n = ectopic+v[i].Stroke, next+v[i+1].Stroke, n+1
			}
		}
		require.Positive(t, n)
		return ectopic / n, next / n
	}
	early, afterEarly := stroke(0.30)
	late, afterLate := stroke(0.55)
	assert.Less(t, early, 0.45, "too early to fill: half a stroke at most")
	assert.Less(t, early, late, "the earlier the less")
	assert.Less(t, late, 0.95, "without the atria and from muscle to muscle")
	assert.Greater(t, afterEarly, 1.03)
	assert.Greater(t, afterLate, 1.02)
}

func TestNoStrengthNoStroke(t *testing.T) {
	p := steady()
	p.Pump.Strength = 0
	for _, v := range of(beat(t, p, 1, 60), OfVentricles) {
		require.Zero(t, v.Stroke)
	}
	p.Pump.Strength = 0.6
	for _, v := range of(beat(t, p, 1, 60), OfVentricles)[10:] {
		require.Greater(t, v.Stroke, 0.3)
		require.Less(t, v.Stroke, 0.9)
	}
}

// The faster, the less time to fill: the stroke falls all the way, and at a
// tachycardia of 240 the output per minute falls too. The tachycardias have no
// atrial help, which costs 15-25 % of the filling (from memory).
func TestFastRatesLowerTheStroke(t *testing.T) {
	mean := func(p Params) float64 {
		v := of(beat(t, p, 1, 60), OfVentricles)
		sum := 0.0
		for _, a := range v[len(v)-20:] {
			sum += a.Stroke / 20
		}
		return sum
	}
	last, output := 1.05, map[float64]float64{}
	for _, rate := range []float64{75, 110, 150, 190, 240} {
		p := at(rate, 0.10)
		p.Pump.RestRate = 75
		p.Atria = 0.05
		p.Ventricles.QTc = 0.3
		s := mean(p)
		assert.Less(t, s, last, "rate %g", rate)
		last, output[rate] = s, s*rate
	}
	assert.Greater(t, output[110], output[75], "a little faster pumps more a minute")
	assert.Less(t, output[240], output[150], "much faster pumps less")

	p := at(110, 0.10)
	p.Pump.RestRate = 75
	sinus := mean(p)
	p.Foci = []Focus{{Site: Junction, Cycle: 60.0 / 110, ToAtria: 0.09}}
	p.Sinus.Rate = 60
	p.Node = p.Node.AtRate(0.10, 60)
	assert.InDelta(t, 0.80, mean(p)/sinus, 0.08, "loss of the atrial contribution")
}
