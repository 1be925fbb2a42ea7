package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var thirdDegreeAVBlock = Rhythm{
	Change: completeBlock,
	Shows:  AfterBlockedP,
	Lesson: lesson.Lesson{
		ID:     "third-degree-av-block",
		Name:   "third-degree AV block",
		Family: lesson.Block,
		LookFor: []string{
			"Rate: slow for age, 50 to 80 in a newborn, 20 to 60 in an adult.",
			"Rhythm: QRS regular, P waves regular, each at its own rate.",
			"P wave: more P waves than QRS; some hide in QRS and T.",
			"PR: another one in every beat, without order.",
			"QRS: narrow when the escape is high, wide when it is low.",
			"T wave: bumps on some of them are P waves.",
			"Special: no P is conducted, even one that falls well after the T.",
		},
		LookFirst: "Perfusion and pulse rate, then how wide the escape is.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-bradycardia",
				Difference: "More P waves than QRS: halve the visible PP and march it through, a bump stands at each step; in bradycardia nothing does and the PR stays the same.",
				Bedside:    "Crying or waking speeds up a slow sinus rhythm but hardly a blocked one; in a slow infant airway, breathing and oxygen come first either way.",
				Source:     common,
			}, {
				ID:         "sinus-rhythm",
				Difference: "The PR changes from beat to beat while QRS keep equal distances; in sinus rhythm the PR stays the same.",
				Bedside:    "A pulse slow for age speaks for block; a 12-lead settles it.",
				Source:     common,
			},
			{
				ID:         "junctional-rhythm",
				Difference: "More P waves than QRS, and even a P that falls well after the T does not conduct; a junctional rhythm has no more P than QRS.",
				Bedside:    "Count both over six seconds; in doubt treat it as the block.",
				Source:     "reviews of AV dissociation (read second-hand)",
			},
			{
				ID:         "accelerated-junctional-rhythm",
				Difference: "Slow, and more P waves than QRS; the accelerated rhythm has a usual rate and no more P than QRS.",
				Bedside:    "Count both over six seconds; the pulse is slow for age here.",
				Source:     "reviews of AV dissociation (read second-hand)",
			},
			{
				ID:         "junctional-ectopic-tachycardia",
				Difference: "Slow, and more P than QRS; the junctional tachycardia is fast, has more QRS than P, and a well-timed P is conducted.",
				Bedside:    "Count both over six seconds.",
				Source:     "reviews of AV dissociation (read second-hand)",
			},
			{
				ID:         "two-to-one-av-block",
				Difference: "The PR changes from beat to beat without order; in 2:1 block it is the same before every QRS.",
				Bedside:    "Write down ten PR times: they spread here. Both are called now.",
				Source:     common,
			},
			{
				ID:         "high-grade-av-block",
				Difference: "No P conducts and the QRS keep equal distances; in high-grade block now and then one conducts at the same PR and its QRS comes sooner.",
				Bedside:    "Both are called now; pacing stands ready for both.",
				Source:     kusumoto,
			},
			{
				ID:         "idioventricular-rhythm",
				Difference: "P waves march on at their own rate; in an idioventricular rhythm none do.",
				Bedside:    "Both are called now; look for P waves in a second lead.",
				Source:     kusumoto,
			},
			{
				ID:         "p-wave-asystole",
				Difference: "An escape goes on under the P waves; in P-wave asystole no QRS comes at all.",
				Bedside:    "A pulse, though slow; if it is lost, compressions.",
				Source:     textbooks,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				const source = "Kusumoto 2018, ACC/AHA/HRS bradycardia guideline, and escape rates by age (from memory)"
				switch y := age.Years(); {
				case y < 1:
					return lesson.Range{Low: 50, High: 80, Source: source}
				case y < 12:
					return lesson.Range{Low: 40, High: 80, Source: source}
				default:
					return lesson.Range{Low: 20, High: 60, Source: source}
				}
			}},
			everyAge(lesson.RRSpread, 0, 0.05, "escape regular (common practice)"),
			everyAge(lesson.PPerQRS, 1.2, 6, "atrial rate above the ventricular one: Kusumoto 2018 (from memory)"),
		},
		States: withPulse(),
		Care: lesson.ByState(lesson.NotShockable(), func(age ecg.Age, state ecg.State) lesson.Care {
			switch state {
			case ecg.PoorPerfusion:
				return slowAndPoor(age)
			case ecg.NotSure:
				return lesson.Unsure()
			default:
				then := "Pacing box, wires and pads to the bedside, 12-lead; look for drugs, infection of the heart and a recent operation."
				if age.Years() < 1 {
					then = "Pacing box, wires and pads to the bedside, 12-lead; in the newborn ask about the mother's antibodies."
				}
				return lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay,
					Then:    then,
					Caution: "An escape that is wide or slows down may stop without warning; a known, long-standing block has limits ordered for it.",
					Source:  guideline + "; Kusumoto 2018 (from memory)",
				}
			}
		}),
	},
}
