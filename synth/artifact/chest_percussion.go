package artifact

import "telltrace/synth/ecg"

// Hands pat the chest, 4 to 6 a second (from memory), in bouts: broad waves that
// look like a fast wide rhythm, with the true complexes marching through.
var chestPercussion = Kind{
	Lesson: chestPercussionLesson,
	Drawn:  []string{"LL", "RA"},
	Named:  []string{"LA", "V"},
	Electrodes: func(src ecg.Source, s Setting) ecg.Source {
		return &shaken{src, hands(s, 3.8, 5.4, 0.9, 1.3, 0.22), mostlyAt(s, 0.05)}
	},
	Pulse: func(src ecg.Source, s Setting) ecg.Source {
		return &shaken{src, hands(s, 3.8, 5.4, 0.12, 0.2, 0.1), []float64{1}}
	},
}

// hands are strokes of the given rate (Hz) and height in bouts with short rests.
func hands(s Setting, lowHz, highHz, low, high, sharp float64) *beating {
	b := &beating{rng: s.RNG, dt: 1 / s.Rate, sharp: sharp, strokes: [2]int{18, 40}, rest: [2]float64{0.4, 1.0}}
	b.hz = lowHz + (highHz-lowHz)*s.RNG.Float64()
	b.height = low + (high-low)*s.RNG.Float64()
	b.left = 25
	return b
}
