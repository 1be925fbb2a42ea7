package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var prematureVentricularBeats = Rhythm{
	Change: ectopicsEvery(4, 8),
	Shows:  AfterEctopic,
	Lesson: lesson.Lesson{
		ID:     "premature-ventricular-beats",
		Name:   "premature ventricular beats",
		Plural: true,
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: the patient's own, with single beats that come too soon.",
			"Rhythm: regular but for the early beat and the pause after it.",
			"P wave: before every usual beat, none before the early one.",
			"PR: the same in the usual beats.",
			"QRS: the early one has another shape and is wide for age, in an infant only just.",
			"T wave: after the early beat it points the other way.",
			"Special: single beats, now and then; the pulse after them is weak or missing.",
		},
		LookFirst: "The patient, and the pulse that belongs to the early beat.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "ventricular-bigeminy",
				Difference: "Several usual beats between the early ones; in bigeminy early and usual beats take turns.",
				Bedside:    "The pulse drops a beat now and then; in bigeminy every second one.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "ventricular-run",
				Difference: "Early beats come singly; three or more in a row are a run.",
				Bedside:    "Print the strip and count; a run is called even when it is over.",
				Source:     bySense + " (from memory)",
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Ectopics, 0.02, 0.30, "less than every third beat ("+bySense+")"),
			everyAge(lesson.LongestRun, 1, 1, "single ("+bySense+")"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Ask what has upset the heart: oxygen, potassium and other electrolytes, line tip, drugs; defibrillator near.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.Chart},
					Then:    "Chart how many a minute, of one shape or more, and how near to the T; check electrolytes, oxygen and line tip; call at the ordered limits.",
					Caution: "Known single beats of one shape in a healthy heart are mostly harmless; on the T with a long QT, or with symptoms, call now.",
					Source:  common + "; Crosson 2014, Heart Rhythm 11:e55 (from memory)",
				}
			}),
	},
}
