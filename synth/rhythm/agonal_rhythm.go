package rhythm

import "telltrace/synth/lesson"

var agonalRhythm = Rhythm{
	Change: escapes(agonalRate, 0.15, 1.6),
	Lesson: lesson.Lesson{
		ID:     "agonal-rhythm",
		Name:   "agonal rhythm",
		Family: lesson.Arrest,
		LookFor: []string{
			"Rate: below 20, a beat every few seconds.",
			"Rhythm: irregular, slowing.",
			"P wave: none.",
			"PR: none.",
			"QRS: very wide and low.",
			"T wave: runs into the QRS.",
			"Special: the last complexes of a dying heart, without a pulse.",
		},
		LookFirst: "Whether the patient responds and breathes, and has a pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "asystole",
				Difference: "A wide complex still comes every few seconds; in asystole none.",
				Bedside:    "Nothing to settle: the first action is the same.",
				Source:     common,
			}, {
				ID:         "idioventricular-rhythm",
				Difference: "Below 20 a minute, irregular and very wide; the escape is regular and faster.",
				Bedside:    "No pulse here; the escape may leave one. No signs of life means compressions for both.",
				Source:     textbooks,
			}, {
				ID:         "pulseless-electrical-activity",
				Difference: "Single wide complexes with seconds between; the other looks like an organised rhythm.",
				Bedside:    "Nothing to settle: the first action is the same.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Rate, 4, 20, "below 20: "+textbooks+"; lower limit keeps two beats in a strip (derived)"),
			wideQRS(0.40),
			noP("no P: " + textbooks),
		},
		States: pulseless(),
		Care:   arrestCare(lesson.NotShockable()),
	},
}
