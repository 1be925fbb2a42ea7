package artifact

import "telltrace/synth/ecg"

// Chest compressions, 100 to 120 a minute (AHA 2020 guidelines, from memory): large
// smooth waves in every lead, and pulse waves that are the rescuer's.
var compressions = Kind{
	Lesson: compressionsLesson,
	Drawn:  []string{"LL", "RA"},
	Named:  []string{"LA"},
	Electrodes: func(src ecg.Source, s Setting) ecg.Source {
		share := mostlyAt(s, 0.35)
		return &shaken{src, pushes(s, 1.1, 1.6), share}
	},
	Pulse: func(src ecg.Source, s Setting) ecg.Source {
		return &shaken{src, pushes(s, 0.35, 0.5), []float64{1}}
	},
}

// pushes go on without rests.
func pushes(s Setting, low, high float64) *beating {
	b := hands(s, 1.70, 1.98, low, high, 0.10)
	b.strokes = [2]int{}
	return b
}
