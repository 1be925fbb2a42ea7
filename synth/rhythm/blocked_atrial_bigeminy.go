package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var blockedBigeminy = Rhythm{
	Change: blockedAtrialBigeminy,
	Shows:  AfterBlockedP,
	Lesson: lesson.Lesson{
		ID:     "blocked-atrial-bigeminy",
		Name:   "blocked atrial bigeminy",
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: slow, about two thirds of the patient's own.",
			"Rhythm: QRS regular; P waves come in pairs, short then long.",
			"P wave: two for each QRS, the second one early, of another shape, in the T.",
			"PR: the same in the conducted beats; the early P is followed by nothing.",
			"QRS: narrow for age, all alike.",
			"T wave: every one is notched or pointed by the early P.",
			"Special: the early P comes at about a third of the cycle, not midway.",
		},
		LookFirst: "Pulse rate and perfusion, then the T waves one by one.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-bradycardia",
				Difference: "An early P deforms every T; in bradycardia the T waves are smooth and there is one P for each QRS.",
				Bedside:    "A 12-lead shows the hidden P in one lead or another; in a slow infant airway and breathing come first either way.",
				Source:     common + "; " + fetalBigeminy,
			}, {
				ID:         "two-to-one-av-block",
				Difference: "The P that is not conducted is early, at about a third of the cycle, and of another shape; in 2:1 block it stands midway and looks like the other.",
				Bedside:    "Measure P to P with calipers on a printed strip; until it is settled treat it as the block.",
				Source:     fetalBigeminy,
			}, {
				ID:         "sinus-pause",
				Difference: "Every RR is long and every T has a P in it; a pause is one long RR with a smooth T before it.",
				Bedside:    "Overlay the T waves on a printed strip.",
				Source:     "Schwartz 2002, Eur Heart J 23:1329 (from memory); " + common,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				own := norms.HeartRate(age).Accept
				return lesson.Range{Low: 0.5 * own.Low, High: 0.80 * own.High,
					Source: "half to four fifths of the range for age, as the early P sets the sinus node back (derived)"}
			}},
			everyAge(lesson.PPerQRS, 1.7, 2.3, "two for each QRS ("+bySense+"), with room for a P at the edge of a slow strip"),
			everyAge(lesson.EarlyP, 0.20, 0.40, "0.29 +/- 0.03 of the cycle, against 0.5 in 2:1 block: "+fetalBigeminy+", widened for children"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: slowCare(func(age ecg.Age) lesson.Care {
			caution := "It is neither sinus bradycardia nor heart block and is not treated as such."
			if age.Years() < 1 {
				caution = "Mostly harmless in a well newborn, but 2:1 block is not: let a 12-lead settle which it is."
			}
			return lesson.Care{
				Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.LookCall},
				Then:    "Count the pulse, take a 12-lead, look at the line tip and the electrolytes, and tell the team.",
				Caution: caution,
				Source:  fetalBigeminy + "; " + common,
			}
		}),
	},
}
