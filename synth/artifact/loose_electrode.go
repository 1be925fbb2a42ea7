package artifact

import "telltrace/synth/ecg"

// An electrode hangs by its rim: sudden steps and crackle in every lead that uses
// it, the complexes still there between them. Where it is the reference, RL, every lead
// has them.
var looseElectrode = Kind{
	Lesson: looseElectrodeLesson,
	Drawn:  []string{"RA", "LL", "RL"},
	Named:  []string{"LA", "V"},
	Electrodes: func(src ecg.Source, s Setting) ecg.Source {
		return &shaken{src, &jerks{rng: s.RNG, dt: 1 / s.Rate, height: 0.5 + 0.4*s.RNG.Float64()}, mostlyAt(s, 0)}
	},
}
