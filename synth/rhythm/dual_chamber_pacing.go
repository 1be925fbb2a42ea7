package rhythm

import "telltrace/synth/lesson"

var dualChamberPacing = Rhythm{
	Change: dualPacing,
	Lesson: lesson.Lesson{
		ID:     "dual-chamber-pacing",
		Name:   "dual-chamber pacing",
		Family: lesson.Paced,
		LookFor: []string{
			"Rate: that of the device, or that of the patient's own P waves.",
			"Rhythm: regular as the device is set.",
			"P wave: one right after the first spike, or the patient's own.",
			"PR: the same in every beat, as the device is set.",
			"QRS: wide for age, right after the second spike.",
			"T wave: points away from the QRS.",
			"Special: two spikes for each beat; it follows fast atrial rates up to its upper limit.",
		},
		LookFirst: "A P after the first spike, a QRS and a pulse after the second.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "ventricular-pacing",
				Difference: "Two spikes for each beat, the first followed by a P; with the ventricle alone there is one.",
				Bedside:    "Read the settings of the device.",
				Source:     textbooks,
			}, {
				ID:         "atrial-pacing",
				Difference: "A second spike and a wide QRS; in atrial pacing the QRS is the patient's own.",
				Bedside:    "Read the settings of the device.",
				Source:     textbooks,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Spikes, 1.8, 2.2, "two for each beat ("+bySense+")"),
			everyAge(lesson.LoneSpikes, 0, 0, "every spike is answered ("+bySense+")"),
			onePerQRS(),
			wideQRS(0.22),
			everyAge(lesson.RRSpread, 0, 0.03, "at the set rate ("+bySense+"), with room for reading error"),
		},
		States: withPulse(),
		Care:   pacedCare("The displayed rate may count spikes: trust the pulse. A fast atrial rhythm is followed up to the device's upper limit."),
	},
}
