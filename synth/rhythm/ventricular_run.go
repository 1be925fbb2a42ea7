package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var ventricularRun = Rhythm{
	Change: runs,
	Shows:  AfterRun,
	Lesson: lesson.Lesson{
		ID:     "ventricular-run",
		Name:   "a run of ventricular beats",
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: the patient's own, with a burst faster than it.",
			"Rhythm: regular, then three or more early beats in a row, then as before.",
			"P wave: before every usual beat, lost in the burst.",
			"PR: the same in the usual beats.",
			"QRS: in the burst of another shape and wide for age, all alike.",
			"T wave: in the burst it points the other way.",
			"Special: it ends by itself in less than half a minute.",
		},
		LookFirst: "Consciousness and pulse during the burst.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "premature-ventricular-beats",
				Difference: "Three or more early beats in a row; single ones each stand alone between usual beats.",
				Bedside:    "The pulse is weak for several beats in a row, not for one.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "monomorphic-ventricular-tachycardia",
				Difference: "Usual beats before and after it; the tachycardia fills the strip.",
				Bedside:    "It is over when you look; if it is not, feel the pulse and act on that.",
				Source:     "trial definition: three beats or more, under 30 s (read)",
			}, {
				ID:         "movement",
				Difference: "Each wide beat has a QRS and a T and the usual beats pause for it; under movement the usual complexes march on through ragged waves.",
				Bedside:    "Pulse and arterial trace change with a run and not with movement; doubt counts as a run.",
				Source:     huang + "; Knight 1999, N Engl J Med 341:1270 (from memory)",
			},
			{
				ID:         "ventricular-couplets",
				Difference: "Three or more early beats in a row; a couplet is two.",
				Bedside:    "Print the strip and count; in doubt it is a run and is called.",
				Source:     "trial definition: three beats or more (read)",
			},
			{
				ID:         "accelerated-idioventricular-rhythm",
				Difference: "It begins with an early beat and is clearly faster than the beats before; the accelerated rhythm begins late and at their rate.",
				Bedside:    "Watch start and end on a long strip; in doubt it is a run and is called.",
				Source:     common,
			},
			{
				ID:         "torsades-de-pointes",
				Difference: "One shape throughout; in torsades the points swell, shrink and turn over within the burst.",
				Bedside:    "Measure the QT of the beats before; both are called, over or not.",
				Source:     textbooks,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.LongestRun, 3, 15, "three or more: trial definition (read); the upper figure keeps it inside a strip (derived)"),
			everyAge(lesson.Ectopics, 0.1, 0.8, "usual beats before and after (derived)"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Pads on and defibrillator at the bedside: the next run may not stop.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay,
					Then:    "Save the strip; 12-lead, electrolytes, line tip, QT and drugs; chart the number of beats of every run.",
					Caution: "Call even when it is over, and for each repeat unless ordered otherwise.",
					Source:  common,
				}
			}),
	},
}
