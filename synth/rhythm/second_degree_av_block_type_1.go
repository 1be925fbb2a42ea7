package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var secondDegreeAVBlockType1 = Rhythm{
	Change: wenckebach,
	Shows:  AfterBlockedP,
	Lesson: lesson.Lesson{
		ID:     "second-degree-av-block-type-1",
		Name:   "second-degree AV block type 1",
		Family: lesson.Block,
		LookFor: []string{
			"Rate: a little slower than the P waves.",
			"Rhythm: groups of beats, then a pause shorter than two PP.",
			"P wave: regular; now and then one without a QRS.",
			"PR: grows by shrinking steps until a P is dropped, shortest right after the pause.",
			"QRS: mostly narrow for age.",
			"T wave: as usual; the dropped P may sit near it.",
			"Special: compare the PR on both sides of the pause, that settles it.",
		},
		LookFirst: "Perfusion during the pause, and whether the patient sleeps.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "second-degree-av-block-type-2",
				Difference: "The PR right after the pause is shorter than the one right before it, by a small box or more; in type 2 they are the same.",
				Bedside:    "A sleeping or vomiting patient with narrow QRS fits type 1; in doubt it is handled as type 2.",
				Source:     kusumoto + "; in healthy children: " + southall,
			}, {
				ID:         "two-to-one-av-block",
				Difference: "At least two beats in a row are conducted, so their PR can be compared; with every second P dropped they cannot.",
				Bedside:    "Wait with the strip running: two conducted beats in a row will come or not.",
				Source:     kusumoto + "; " + common,
			}, {
				ID:         "first-degree-av-block",
				Difference: "The PR changes and a P is dropped now and then; in first degree the PR stays and nothing is dropped.",
				Bedside:    "The pulse misses a beat now and then.",
				Source:     kusumoto,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.AtrialRate, norms.HeartRate),
			everyAge(lesson.PPerQRS, 1.05, 1.67, "more P than QRS, at least two of three conducted: "+kusumoto+"; room for a cut group (derived)"),
			everyAge(lesson.PRSpread, 0.04, 0.40, twoDrops+"; upper limit common practice"),
			everyAge(lesson.LongestRR, 1, 2, "pause shorter than two PP: Friedman 1975, J Electrocardiol 8:307 (read)"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: slowCare(func(age ecg.Age) lesson.Care {
			caution := "Seen in healthy children asleep; awake or new it is told to the team."
			if !isChild(age) {
				caution = "Common in sleep and in the trained; with chest pain, dizziness or a slow pulse call now."
			}
			return lesson.Care{
				Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.Chart},
				Then:    "Chart how many P waves are conducted and the pulse rate, 12-lead if it is new; drugs, electrolytes, vagal causes such as suction.",
				Caution: caution,
				Source:  southall + "; " + kusumoto,
			}
		}),
	},
}
