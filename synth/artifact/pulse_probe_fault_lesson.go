package artifact

import "telltrace/synth/lesson"

var pulseProbeFaultLesson = lesson.Lesson{
	ID:     "pulse-probe-fault",
	Name:   "a pulse probe fault",
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: on the leads as before; the pulse rate is missing or wrong.",
		"Rhythm: as before.",
		"P wave: as before.",
		"PR: as before.",
		"QRS: as before.",
		"T wave: as before.",
		"Special: only the pulse trace is flat or odd: probe off, cold hand, cuff up on that limb, or movement.",
	},
	LookFirst: "The patient: colour, breathing, a pulse under your fingers.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "pulseless-electrical-activity",
			Difference: "Nothing on the leads: both show an organised rhythm over a flat pulse trace.",
			Told:       lesson.AtBedside,
			Bedside:    "Pink, awake, a pulse under the fingers, waves on the arterial trace or at another site; in doubt it is an arrest.",
			Source:     lesson.CommonPractice,
		},
	},
	States: livingStates(),
	Care: livingCare(lesson.Care{
		Urgency: lesson.Routine, First: lesson.Reattach, Also: []lesson.Action{lesson.LookCall},
		Then:    "Move the probe to another site, away from the cuff, warm the hand, look again; chart it.",
		Caution: "A flat pulse trace is not yet a lost pulse, and a good saturation number is not yet a pulse: feel.",
		Source:  lesson.CommonPractice,
	}),
}
