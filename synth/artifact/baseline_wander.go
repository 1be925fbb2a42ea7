package artifact

import (
	"math"

	"telltrace/synth/ecg"
)

// An electrode rides on the breath: the whole trace rises and falls, the complexes
// unharmed.
var baselineWander = Kind{
	Lesson: baselineWanderLesson,
	Drawn:  []string{"LL", "RA"},
	Named:  []string{"LA", "RL", "V"},
	Electrodes: func(src ecg.Source, s Setting) ecg.Source {
		hz := 0.22 + 0.16*s.RNG.Float64() // baseline wander lies below 0.5 Hz (from memory)
		return &shaken{src, &swing{inc: 2 * math.Pi * hz / s.Rate, height: 0.40 + 0.25*s.RNG.Float64()}, mostlyAt(s, 0.05)}
	},
}
