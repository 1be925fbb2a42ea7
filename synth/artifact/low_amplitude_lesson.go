package artifact

import "telltrace/synth/lesson"

var lowAmplitudeLesson = lesson.Lesson{
	ID:     "low-amplitude",
	Name:   "low amplitude",
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: of the pulse as before; the display may count too few beats.",
		"Rhythm: as before.",
		"P wave: hardly to be seen.",
		"PR: as before where it can be seen.",
		"QRS: small in the leads of one electrode, below 0.5 mV.",
		"T wave: small.",
		"Special: it began with washing, sweat or a dry electrode, or the size setting is low.",
	},
	LookFirst: "The patient and the pressure, then the size setting.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "low-voltage",
			Difference: "Small in the leads of one electrode or since care was given; true low voltage is small in all leads and comes over hours.",
			Bedside:    "New electrodes and a check of the size setting mend it; if not, and pressure falls or the heart races, call: fluid round the heart.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "asystole",
			Difference: "Small complexes go on at the old distance; in asystole there are none, at double size either.",
			Bedside:    "The patient responds and the pulse goes on; small complexes give false alarms of asystole and of a low rate.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "disconnected-lead",
			Difference: "Complexes are still there, only small; a lead off has none.",
			Bedside:    "Double the size and look again.",
			Source:     lesson.CommonPractice,
		},
	},
	States: livingStates(),
	Care: livingCare(lesson.Care{
		Urgency: lesson.Routine, First: lesson.Reattach, Also: []lesson.Action{lesson.LookCall},
		Then:    "New electrodes on clean dry skin, the lead with the tallest QRS, the size setting checked.",
		Caution: "Not mended, or small in all leads while the pressure falls: call now, it may be fluid or air round the heart.",
		Source:  lesson.CommonPractice,
	}),
}
