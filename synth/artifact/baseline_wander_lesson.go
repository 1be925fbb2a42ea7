package artifact

import "telltrace/synth/lesson"

var baselineWanderLesson = lesson.Lesson{
	ID:     "baseline-wander",
	Name:   "baseline wander",
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: as before.",
		"Rhythm: as before.",
		"P wave: there, riding up and down.",
		"PR: as before.",
		"QRS: as before, riding up and down.",
		"T wave: as before; the ST seems to shift with the swing.",
		"Special: the whole line swings with the breath, below one swing in two seconds in an adult, faster in an infant.",
	},
	LookFirst: "The work of breathing, then the electrodes.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "st-elevation",
			Difference: "The shift changes from beat to beat with the breath; a true one is the same in every beat.",
			Bedside:    "Measure five beats 0.06 s after the QRS: a spread above 0.1 mV in time with the breath is wander. A 12-lead settles it.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "st-depression",
			Difference: "The shift changes from beat to beat with the breath; a true one is the same in every beat.",
			Bedside:    "Measure five beats 0.06 s after the QRS: a spread above 0.1 mV in time with the breath is wander. A 12-lead settles it.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "loose-electrode",
			Difference: "Smooth swings with the breath; a loose electrode makes sudden jumps.",
			Bedside:    "Count the breaths against the swings.",
			Source:     lesson.CommonPractice,
		},
	},
	States: livingStates(),
	Care: livingCare(lesson.Care{
		Urgency: lesson.Routine, First: lesson.Reattach, Also: []lesson.Action{lesson.LookCall, lesson.Settle},
		Then:    "Move the electrodes off the diaphragm and off moving joints, with clean dry skin under them.",
		Caution: "Large swings may be laboured breathing: look at the chest before the electrode.",
		Source:  lesson.CommonPractice,
	}),
}
