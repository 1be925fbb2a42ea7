package artifact

import "telltrace/synth/ecg"

// Shivering: a fine tremble of 6 to 11 a second (common practice) in every limb
// lead, more at the arms, swelling and fading.
var shivering = Kind{
	Lesson: shiveringLesson,
	Drawn:  []string{"RA", "LL"},
	Named:  []string{"LA"},
	Electrodes: func(src ecg.Source, s Setting) ecg.Source {
		t := &tremble{rng: s.RNG, dt: 1 / s.Rate, centre: 7 + 3*s.RNG.Float64(), spread: 1.2, height: 0.16 + 0.10*s.RNG.Float64()}
		return &shaken{src, t, mostlyAt(s, -0.25)}
	},
	Pulse: func(src ecg.Source, s Setting) ecg.Source {
		t := &tremble{rng: s.RNG, dt: 1 / s.Rate, centre: 8, spread: 1.2, height: 0.06}
		return &shaken{src, t, []float64{1}}
	},
}
