package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var prematureJunctionalBeats = Rhythm{
	Change: prematureJunctional,
	Shows:  AfterEctopic,
	Lesson: lesson.Lesson{
		ID:     "premature-junctional-beats",
		Name:   "premature junctional beats",
		Plural: true,
		Family: lesson.Junctional,
		LookFor: []string{
			"Rate: the patient's own, with single beats that come too soon.",
			"Rhythm: regular but for the early beat and the pause after it.",
			"P wave: before the early beat none; it is hidden, or upside down in lead II just before or behind the QRS.",
			"PR: the same in the usual beats, too short or none in the early one.",
			"QRS: the early one looks like all the others.",
			"T wave: the one before the early beat is smooth, no early P in it.",
			"Special: early, narrow and without a P in front.",
		},
		LookFirst: "The patient, and the pulse that belongs to the early beat.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "premature-atrial-beats",
				Difference: "No P in front of the early beat and a smooth T before it; the atrial one shows an early P, often in that T.",
				Bedside:    "Nothing to settle at the bedside: both are charted and counted.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "premature-ventricular-beats",
				Difference: "The early QRS is the patient's own and so is its T; the ventricular one has another shape and a T turned the other way.",
				Bedside:    "In doubt count it as ventricular.",
				Source:     bySense + " (from memory)",
			},
		},
		Criteria: []lesson.Criterion{
			earlyBeats(),
			ownShape(),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Look for the cause of the poor perfusion: single early beats hardly explain it; ask about potassium and digoxin.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Routine, First: lesson.Chart, Also: []lesson.Action{lesson.AssessTell},
					Then:    "Chart how many a minute; look at electrolytes and drugs if they are frequent.",
					Caution: "New after heart surgery or with digoxin: tell the team.",
					Source:  common,
				}
			}),
	},
}
