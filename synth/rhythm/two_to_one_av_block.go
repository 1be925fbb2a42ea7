package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var twoToOneAVBlock = Rhythm{
	Change: dropped([2]int{1, 1}, [2]int{1, 1}),
	Shows:  AfterBlockedP,
	Lesson: lesson.Lesson{
		ID:     "two-to-one-av-block",
		Name:   "2:1 AV block",
		Family: lesson.Block,
		LookFor: []string{
			"Rate: half that of the P waves, slow for age.",
			"Rhythm: regular.",
			"P wave: two for each QRS, the second midway between the first ones.",
			"PR: the same in every conducted beat.",
			"QRS: narrow, or wide when the block sits below the node.",
			"T wave: the midway P may hide in it or just after it.",
			"Special: from such beats alone it can be called neither type 1 nor type 2.",
		},
		LookFirst: "Perfusion, pulse rate, and the QT.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "second-degree-av-block-type-1",
				Difference: "Never two conducted beats in a row, so no PR can be seen to grow; type 1 shows groups with a growing PR.",
				Bedside:    "Keep the strip running and wait for two conducted beats in a row.",
				Source:     kusumoto + "; " + common,
			}, {
				ID:         "second-degree-av-block-type-2",
				Difference: "Every second P is dropped, without exception; type 2 conducts two or more in a row at one PR.",
				Bedside:    "Both are called now; a longer strip gives the name.",
				Source:     kusumoto + "; " + common,
			}, {
				ID:         "high-grade-av-block",
				Difference: "One P is dropped for each one conducted; in high-grade block two or more in a row.",
				Bedside:    "Both are called now.",
				Source:     kusumoto,
			}, {
				ID:         "third-degree-av-block",
				Difference: "The PR of the conducted beats is the same every time; in complete block it changes from beat to beat.",
				Bedside:    "Write down ten PR times: no spread here. Both are called now.",
				Source:     common,
			}, {
				ID:         "sinus-bradycardia",
				Difference: "A second P stands midway between the visible ones, often in the T; in bradycardia nothing does.",
				Bedside:    "Halve the visible PP and march it; in a slow infant airway, breathing and oxygen come first, whatever the name.",
				Source:     common,
			}, {
				ID:         "blocked-atrial-bigeminy",
				Difference: "The blocked P comes midway, on time; in blocked bigeminy it comes early, at about a third of the way, and deforms the T.",
				Bedside:    "Measure PP: equal here, short and long by turns there. A 12-lead settles it.",
				Source:     "Wiggins 2013, Heart Rhythm 10:1192 (read; fetal figures)",
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.AtrialRate, norms.HeartRate),
			everyAge(lesson.PPerQRS, 1.67, 2.5, "every second P conducted: "+kusumoto+"; room for the ends of a strip (derived)"),
			everyAge(lesson.PRSpread, 0, 0.025, "constant: "+kusumoto+"; room for one drawn dot (derived)"),
			everyAge(lesson.RRSpread, 0, 0.08, "regular ("+common+")"),
		},
		States: withPulse(),
		Care: slowCare(func(age ecg.Age) lesson.Care {
			then := "12-lead, pacing box and pads to the bedside; drugs, recent surgery, early blocked P waves."
			if age.Years() < 1 {
				then = "12-lead and measure the QT: a very long one blocks every second beat in a newborn; look for early blocked P waves; pacing ready."
			}
			return lesson.Care{
				Urgency: lesson.Urgent, First: lesson.CallStay,
				Then:    then,
				Caution: "Do not call it type 1 or type 2 from these beats.",
				Source:  kusumoto + "; " + common,
			}
		}),
	},
}
