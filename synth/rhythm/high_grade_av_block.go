package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var highGradeAVBlock = Rhythm{
	Change: dropped([2]int{1, 2}, [2]int{2, 3}),
	Shows:  AfterBlockedP,
	Lesson: lesson.Lesson{
		ID:     "high-grade-av-block",
		Name:   "high-grade AV block",
		Family: lesson.Block,
		LookFor: []string{
			"Rate: far below that of the P waves.",
			"Rhythm: irregular, with long pauses.",
			"P wave: regular; two or more in a row without a QRS.",
			"PR: the same in the beats that are conducted.",
			"QRS: own beats narrow or wide; an escape beat may end a pause.",
			"T wave: as usual; P waves lie on and after it.",
			"Special: some P still conduct, which sets it apart from complete block.",
		},
		LookFirst: "Perfusion, pulse rate, how long the pauses are.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "third-degree-av-block",
				Difference: "Now and then a P conducts at the same PR and the QRS comes sooner for it; in complete block none does and the QRS keep equal distances.",
				Bedside:    "Both are called now; pacing stands ready for both.",
				Source:     kusumoto,
			}, {
				ID:         "two-to-one-av-block",
				Difference: "Two or more P in a row are dropped; in 2:1 only one at a time.",
				Bedside:    "Both are called now.",
				Source:     kusumoto,
			}, {
				ID:         "second-degree-av-block-type-2",
				Difference: "Two or more P in a row are dropped; in type 2 a single one.",
				Bedside:    "Both are called now.",
				Source:     kusumoto,
			}, {
				ID:         "p-wave-asystole",
				Difference: "Beats still come between the P waves; in P-wave asystole none at all.",
				Bedside:    "A pulse, though slow; if it is lost, compressions.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.AtrialRate, norms.HeartRate),
			everyAge(lesson.PPerQRS, 1.1, 5, "two or more P blocked in a row: "+kusumoto+"; lower figure leaves room for escape beats (derived)"),
			everyAge(lesson.PRSpread, 0, 0.025, "constant in conducted beats ("+common+"); room for one drawn dot (derived)"),
		},
		States: withPulse(),
		Care: slowCare(func(age ecg.Age) lesson.Care {
			then := "Pacing box, wires and pads to the bedside, 12-lead; drugs, infection of the heart, recent operation."
			if age.Years() < 1 {
				then = "Pacing box, wires and pads to the bedside, 12-lead; in the newborn ask about the mother's antibodies."
			}
			return lesson.Care{
				Urgency: lesson.Urgent, First: lesson.CallStay,
				Then:    then,
				Caution: "The next pause may not end: treat it as complete block.",
				Source:  kusumoto,
			}
		}),
	},
}
