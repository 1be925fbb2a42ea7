package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var secondDegreeAVBlockType2 = Rhythm{
	Change: dropped([2]int{3, 5}, [2]int{1, 1}),
	Shows:  AfterBlockedP,
	Lesson: lesson.Lesson{
		ID:     "second-degree-av-block-type-2",
		Name:   "second-degree AV block type 2",
		Family: lesson.Block,
		LookFor: []string{
			"Rate: a little slower than the P waves.",
			"Rhythm: regular, with sudden pauses of just two PP.",
			"P wave: regular; now and then a single one without a QRS.",
			"PR: the same in every conducted beat, before and after the pause.",
			"QRS: often wide for age, sometimes narrow.",
			"T wave: as usual; look for the dropped P after it.",
			"Special: no warning before the dropped beat; it may become complete at once.",
		},
		LookFirst: "Perfusion and pulse rate.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "second-degree-av-block-type-1",
				Difference: "The PR before and after the pause is the same; in type 1 it is shorter after the pause.",
				Bedside:    "Handle it as type 2 until it is settled: that is the safe side.",
				Source:     kusumoto,
			}, {
				ID:         "two-to-one-av-block",
				Difference: "Two or more beats in a row are conducted between the dropped ones; in 2:1 every second P is dropped.",
				Bedside:    "Both are called now; a longer strip gives the name.",
				Source:     kusumoto + "; " + common,
			}, {
				ID:         "high-grade-av-block",
				Difference: "Only one P at a time is dropped; in high-grade block two or more in a row.",
				Bedside:    "Both are called now; pacing stands ready for both.",
				Source:     kusumoto,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.AtrialRate, norms.HeartRate),
			everyAge(lesson.PPerQRS, 1.05, 1.67, "single P waves dropped, at least two of three conducted: "+kusumoto+"; room for a cut group (derived)"),
			everyAge(lesson.PRSpread, 0, 0.025, twoDrops+"; room for one drawn dot (derived)"),
			everyAge(lesson.LongestRR, 1.75, 2.25, "pause of two PP: "+kusumoto+"; room for the sinus node's own changes (derived)"),
		},
		States: withPulse(),
		Care: slowCare(func(ecg.Age) lesson.Care {
			return lesson.Care{
				Urgency: lesson.Urgent, First: lesson.CallStay,
				Then:    "Pacing box and pads to the bedside, 12-lead, review drugs; after surgery check the pacing wires.",
				Caution: "It may become complete without warning, even in a patient who looks well.",
				Source:  kusumoto + "; " + common,
			}
		}),
	},
}
