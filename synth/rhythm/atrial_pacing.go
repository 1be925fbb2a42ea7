package rhythm

import "telltrace/synth/lesson"

var atrialPacingRhythm = Rhythm{
	Change: atrialPacing,
	Lesson: lesson.Lesson{
		ID:     "atrial-pacing",
		Name:   "atrial pacing",
		Family: lesson.Paced,
		LookFor: []string{
			"Rate: that of the device.",
			"Rhythm: regular as the device is set.",
			"P wave: one right after every spike, often small or odd.",
			"PR: from spike to QRS the same in every beat.",
			"QRS: the patient's own, mostly narrow for age.",
			"T wave: as usual.",
			"Special: it needs the patient's own conduction from atria to ventricles.",
		},
		LookFirst: "A P after each spike, and a pulse rate equal to the set rate.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "A spike before every P and a rate that never changes; in sinus rhythm no spike.",
				Bedside:    "Box and wires; turn on pace marking, for the spike may be too small to see.",
				Source:     common,
			}, {
				ID:         "dual-chamber-pacing",
				Difference: "One spike for each beat and the patient's own QRS; with both chambers paced there are two spikes and a wide QRS.",
				Bedside:    "Read the settings of the device.",
				Source:     textbooks,
			}, {
				ID:         "ventricular-pacing",
				Difference: "The spike is followed by a P and a narrow QRS; in ventricular pacing by a wide QRS.",
				Bedside:    "Read the settings of the device, follow the wires.",
				Source:     textbooks,
			}, {
				ID:         "failure-to-capture",
				Difference: "Every spike has its P and QRS; without capture spikes stand alone.",
				Bedside:    "Pulse rate equal to the set rate; below it capture is lost.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Spikes, 0.9, 1.1, "one for each beat ("+bySense+")"),
			everyAge(lesson.LoneSpikes, 0, 0, "every spike is answered ("+bySense+")"),
			onePerQRS(),
			everyAge(lesson.RRSpread, 0, 0.03, "at the set rate ("+bySense+"), with room for reading error"),
			narrowQRS(),
		},
		States: withPulse(),
		Care:   pacedCare("It stops carrying the pulse when the patient's own AV conduction fails: watch for a spike and P without QRS."),
	},
}
