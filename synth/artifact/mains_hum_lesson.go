package artifact

import "telltrace/synth/lesson"

var mainsHumLesson = lesson.Lesson{
	ID:     "mains-hum",
	Name:   "mains hum",
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: the pulse rate is as before.",
		"Rhythm: as before; the QRS keep their distance.",
		"P wave: inside an even band, hard to see.",
		"PR: cannot be measured well.",
		"QRS: stands out of the band.",
		"T wave: blurred.",
		"Special: exactly 50 or 60 waves a second of one height, a solid even band.",
	},
	LookFirst: "The patient, then electrodes and cable near mains leads.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "fine-ventricular-fibrillation",
			Difference: "Far too fast and all of one height, with complexes in it; fibrillation is irregular and has none.",
			Bedside:    "The patient responds and has a pulse; hum stays on a lead that is off.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "atrial-flutter",
			Difference: "50 or 60 waves a second; flutter has 4 to 9.",
			Bedside:    "Part the cables or renew the electrode: hum changes at once.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "shivering",
			Difference: "An even band of one height; muscle gives an uneven fuzz that swells and fades.",
			Bedside:    "The patient lies still.",
			Source:     lesson.CommonPractice,
		},
	},
	States: livingStates(),
	Care: livingCare(lesson.Care{
		Urgency: lesson.Routine, First: lesson.Reattach, Also: []lesson.Action{lesson.LookCall},
		Then:    "Renew the electrodes, the reference too, and part the cable from mains leads.",
		Caution: "A damaged cable is taken out of use and reported.",
		Source:  lesson.CommonPractice,
	}),
}
