package artifact

import "telltrace/synth/lesson"

var looseElectrodeLesson = lesson.Lesson{
	ID:     "loose-electrode",
	Name:   "a loose electrode",
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: the pulse rate is as before, whatever the display counts.",
		"Rhythm: as before in the lead that does not use the electrode.",
		"P wave, PR, T: drowned in jumps and hum in the leads that share one electrode.",
		"QRS: still there at the old distance between the jumps.",
		"Special: the baseline jumps and hums on and off in the leads of one electrode; a bad reference spoils all of them.",
	},
	LookFirst: "The patient, then the electrode that the bad leads have in common.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "disconnected-lead",
			Difference: "Contact comes and goes, so complexes return between the jumps; a lead off stays straight or humming.",
			Bedside:    "Press the rim of the electrode: a loose one answers, a lead off has its clip hanging free.",
			Source:     "which leads suffer: derived from the leads' definition; " + lesson.CommonPractice,
		}, {
			ID:         "movement",
			Difference: "Jumps and hum in the leads of one electrode also while the patient lies still; movement gives rolling waves that end with it.",
			Bedside:    "Look at the patient, then press the electrode.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "baseline-wander",
			Difference: "Sudden jumps without rhythm; wander rises and falls smoothly with the breath.",
			Bedside:    "Count the breaths against the swings.",
			Source:     lesson.CommonPractice,
		},
	},
	States: livingStates(),
	Care: livingCare(lesson.Care{
		Urgency: lesson.Routine, First: lesson.Reattach, Also: []lesson.Action{lesson.LookCall},
		Then:    "Replace it: skin washed and dry, gel moist, rim pressed down; newborn skin is never rubbed and the old electrode is peeled off wet.",
		Caution: "A bad reference disturbs every lead: if all are bad, look at that one too.",
		Source:  "AACN practice alert (read); newborn skin: " + lesson.CommonPractice,
	}),
}
