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
			{
				ID:         "premature-atrial-beats",
				Difference: "No P before the early beat, another QRS and a T turned the other way; the atrial one has an early P and the patient's own QRS.",
				Bedside:    "In an infant compare shapes, not widths: a ventricular beat may be only a little wide.",
				Source:     compensatory + "; " + pals20,
			},
			{
				ID:         "aberrantly-conducted-atrial-beats",
				Difference: "The T before the wide beat is smooth and the QRS differs from its start; with aberrant conduction a P sits in that T and the QRS starts like the usual one.",
				Bedside:    "Overlay the T waves on a printed strip; in doubt it is ventricular.",
				Source:     common,
			},
			{
				ID:         "premature-junctional-beats",
				Difference: "The early QRS has another shape and its T is turned; the junctional one keeps the patient's own QRS and T.",
				Bedside:    "In doubt count it as ventricular.",
				Source:     bySense + " (from memory)",
			},
			{
				ID:         "ventricular-trigeminy",
				Difference: "No fixed order and more usual beats between; in trigeminy every third beat is early, over and over.",
				Bedside:    "The pulse misses a beat now and then, not in a steady pattern.",
				Source:     bySense + " (from memory)",
			},
			{
				ID:         "ventricular-couplets",
				Difference: "Early beats come singly; a couplet is two in a row.",
				Bedside:    "Print the strip and count.",
				Source:     bySense + " (from memory)",
			},
			{
				ID:         "multiform-ventricular-beats",
				Difference: "All early beats have one shape; multiform ones have two or more in the same lead.",
				Bedside:    "Lay the early beats over each other on a long strip.",
				Source:     bySense + " (from memory)",
			},
			{
				ID:         "failure-to-sense",
				Difference: "No spikes; without sensing a spike stands before each wide beat and others fall in between.",
				Bedside:    "No box, no wires; turn on pace marking.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Ectopics, 0.02, 0.26, "less than every fourth beat or so, every third is trigeminy ("+bySense+")"),
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
