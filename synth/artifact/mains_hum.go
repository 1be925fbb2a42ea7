package artifact

import (
	"math"

	"telltrace/synth/ecg"
)

// A dry electrode lets the mains in: an even band of 50 or 60 Hz at constant height
// in the leads that use it.
var mainsHum = Kind{
	Lesson: mainsHumLesson,
	Drawn:  []string{"RA", "LL"},
	Named:  []string{"LA", "RL", "V"},
	Electrodes: func(src ecg.Source, s Setting) ecg.Source {
		hz := []float64{50, 60}[s.RNG.IntN(2)]
		return &shaken{src, &swing{inc: 2 * math.Pi * hz / s.Rate, height: 0.16 + 0.10*s.RNG.Float64()}, mostlyAt(s, 0.05)}
	},
}
