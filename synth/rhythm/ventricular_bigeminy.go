package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var ventricularBigeminy = Rhythm{
	Change: ectopicsEvery(1, 1),
	Shows:  AfterEctopic,
	Lesson: lesson.Lesson{
		ID:     "ventricular-bigeminy",
		Name:   "ventricular bigeminy",
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: on the trace often twice the pulse.",
			"Rhythm: in pairs, short then long, over and over.",
			"P wave: before every usual beat, none before the early one.",
			"PR: the same in the usual beats.",
			"QRS: every second one is early, of another shape and wide for age.",
			"T wave: after the early beat it points the other way.",
			"Special: the early beat gives a weak pulse or none.",
		},
		LookFirst: "The pulse rate against the rate on the trace.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "premature-ventricular-beats",
				Difference: "Early and usual beats take turns all the time; scattered early beats leave several usual ones between them.",
				Bedside:    "The pulse alternates strong and weak, or is halved.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "sinus-bradycardia",
				Difference: "Every second complex is early and of another shape; in bradycardia all are alike and evenly spaced.",
				Bedside:    "A slow pulse alone looks like bradycardia: the trace shows about twice as many complexes as there are pulses.",
				Source:     common,
			},
			{
				ID:         "ventricular-trigeminy",
				Difference: "One usual beat between the early ones; in trigeminy two.",
				Bedside:    "The pulse misses every second beat; in trigeminy every third.",
				Source:     bySense + " (from memory)",
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Ectopics, 0.4, 0.6, "every second beat ("+bySense+", from memory)"),
			everyAge(lesson.LongestRun, 1, 1, "single ("+bySense+")"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Half of the beats may do no work: count the pulse, treat it as the true rate, and have the defibrillator near.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell,
					Then:    "Count the pulse for a full minute, take the pressure, check electrolytes, oxygen and line tip, and tell the team.",
					Caution: "The displayed rate may be twice the pulse: a halved pulse or poor perfusion makes it urgent.",
					Source:  common,
				}
			}),
	},
}
