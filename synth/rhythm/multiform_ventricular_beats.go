package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var multiformVentricularBeats = Rhythm{
	Change: multiform,
	Shows:  AfterTwo,
	Lesson: lesson.Lesson{
		ID:     "multiform-ventricular-beats",
		Name:   "multiform ventricular beats",
		Plural: true,
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: the patient's own, with single beats that come too soon.",
			"Rhythm: regular but for the early beats and the pauses after them.",
			"P wave: before every usual beat, none before the early ones.",
			"PR: the same in the usual beats.",
			"QRS: the early ones are wide for age and of two shapes or more in the same lead.",
			"T wave: after each early beat it points away from its QRS.",
			"Special: more worrying than early beats that all look alike.",
		},
		LookFirst: "The patient, and the drugs and infusions.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "premature-ventricular-beats",
				Difference: "Early beats of two shapes or more in one lead; uniform ones all look alike.",
				Bedside:    "Print a long strip of one lead: a single early beat cannot show it.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "ventricular-couplets",
				Difference: "Early beats of different shapes, each alone; a couplet is two in a row.",
				Bedside:    "Print the strip and count; save it either way.",
				Source:     bySense + " (from memory)",
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Shapes, 3, 6, "two shapes or more beside the usual one ("+bySense+", from memory)"),
			everyAge(lesson.LongestRun, 1, 2, "not a run ("+bySense+")"),
			everyAge(lesson.Ectopics, 0.08, 0.50, "usual beats in between (derived)"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Pads on and defibrillator at the bedside; oxygen, electrolytes, drugs and line tip are looked at now.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.CallStay},
					Then:    "Save the strip, 12-lead, tell the team now; electrolytes, oxygen, line tip, drugs.",
					Caution: "After heart surgery, in infection of the heart muscle, with a long QT or on digoxin it is urgent: stay and call.",
					Source:  common + " (from memory)",
				}
			}),
	},
}
