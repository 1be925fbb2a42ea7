package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var ventricularTrigeminy = Rhythm{
	Change: ectopicsEvery(2, 2),
	Shows:  AfterEctopic,
	Lesson: lesson.Lesson{
		ID:     "ventricular-trigeminy",
		Name:   "ventricular trigeminy",
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: on the trace above the pulse when the early beat gives none.",
			"Rhythm: in threes, two usual beats and an early one, over and over.",
			"P wave: before every usual beat, none before the early one.",
			"PR: the same in the usual beats.",
			"QRS: every third one is early, of another shape and wide for age.",
			"T wave: after the early beat it points the other way.",
			"Special: the early beat gives a weak pulse or none.",
		},
		LookFirst: "The pulse rate against the rate on the trace.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "ventricular-bigeminy",
				Difference: "Two usual beats between the early ones; in bigeminy one.",
				Bedside:    "The pulse misses every third beat; in bigeminy every second.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "premature-ventricular-beats",
				Difference: "Every third beat is early, without exception; scattered ones keep no order and leave more usual beats between them.",
				Bedside:    "The pulse misses a beat in a steady pattern.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "ventricular-couplets",
				Difference: "The early beats stand alone, with two usual ones between; a couplet is two early ones in a row.",
				Bedside:    "Print the strip and count.",
				Source:     bySense + " (from memory)",
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Ectopics, 0.26, 0.40, "every third beat ("+bySense+", from memory); room for the ends of a strip (derived)"),
			everyAge(lesson.LongestRun, 1, 1, "single ("+bySense+")"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"A third of the beats may do no work: count the pulse, treat it as the true rate, and have the defibrillator near.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell,
					Then:    "Count the pulse for a full minute, take the pressure, check electrolytes, oxygen and line tip, and tell the team.",
					Caution: "The displayed rate is above the pulse: poor perfusion makes it urgent.",
					Source:  common,
				}
			}),
	},
}
