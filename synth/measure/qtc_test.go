package measure

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The formulas are Bazett, Heart 1920;7:353; Fridericia, Acta Med Scand
// 1920;53:469; Sagie et al., Am J Cardiol 1992;70:797 (Framingham); Hodges et al., J
// Am Coll Cardiol 1983;1:694 (all from memory). The values were worked out from
// them by hand, QT in ms and rate in beats/min, for the same four pairs each.
func TestQTc(t *testing.T) {
	pairs := []struct{ qt, rate float64 }{{360, 75}, {300, 120}, {280, 150}, {440, 50}}
	for _, tt := range []struct {
		name string
		f    func(qt, rr float64) float64
		want [4]float64
	}{
		{"Bazett", Bazett, [4]float64{402.5, 424.3, 442.7, 401.7}},
		{"Fridericia", Fridericia, [4]float64{387.8, 378.0, 380.0, 414.1}},
		{"Framingham", Framingham, [4]float64{390.8, 377.0, 372.4, 409.2}},
		{"Hodges", Hodges, [4]float64{386.2, 405.0, 437.5, 422.5}},
	} {
		for i, p := range pairs {
			assert.InDelta(t, tt.want[i], 1000*tt.f(p.qt/1000, 60/p.rate), 0.06, "%s, QT %g ms at %g/min", tt.name, p.qt, p.rate)
		}
		assert.InDelta(t, 0.400, tt.f(0.400, 1), 1e-12, "%s leaves QT at 60/min as it is", tt.name)
		assert.True(t, isNaN(tt.f(nan, 1)) && isNaN(tt.f(0.4, 0)) && isNaN(tt.f(0.4, nan)), "%s of nothing is nothing", tt.name)
	}
}
