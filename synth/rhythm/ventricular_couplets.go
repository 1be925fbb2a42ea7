package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var ventricularCouplets = Rhythm{
	Change: couplets,
	Shows:  AfterPair,
	Lesson: lesson.Lesson{
		ID:     "ventricular-couplets",
		Name:   "ventricular couplets",
		Plural: true,
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: the patient's own, with pairs of beats that come too soon.",
			"Rhythm: regular but for the pairs and the pause after each.",
			"P wave: before every usual beat, none before the early ones.",
			"PR: the same in the usual beats.",
			"QRS: two early ones in a row of another shape, wide for age.",
			"T wave: after the early beats it points the other way.",
			"Special: two in a row may lead to three and more.",
		},
		LookFirst: "The patient and the pressure.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "premature-ventricular-beats",
				Difference: "Two early beats in a row; single ones have usual beats on both sides.",
				Bedside:    "The pulse is weak or missing twice in a row.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "ventricular-run",
				Difference: "Two in a row, not more; three or more are a run.",
				Bedside:    "Print the strip and count; in doubt it is a run and is called.",
				Source:     "trial definition of a run: three beats or more (read)",
			}, {
				ID:         "ventricular-trigeminy",
				Difference: "The early beats come in twos; in trigeminy singly, after every two usual ones.",
				Bedside:    "Print the strip and count.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "multiform-ventricular-beats",
				Difference: "Both beats of the pair have one shape; multiform beats have two shapes or more.",
				Bedside:    "Lay the early beats over each other; save the strip either way.",
				Source:     bySense + " (from memory)",
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.LongestRun, 2, 2, "two in a row ("+bySense+")"),
			everyAge(lesson.Ectopics, 0.08, 0.50, "usual beats in between (derived)"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Ask what has upset the heart: oxygen, potassium and other electrolytes, line tip, drugs; pads ready, defibrillator near.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.CallStay},
					Then:    "Save the strip, tell the team within the hour, check electrolytes, oxygen and line tip; 12-lead.",
					Caution: "Pairs may lead to runs: stay within sight of the patient.",
					Source:  common,
				}
			}),
	},
}
