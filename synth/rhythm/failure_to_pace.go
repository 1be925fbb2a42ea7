package rhythm

import "telltrace/synth/lesson"

var failureToPaceRhythm = Rhythm{
	Change: failureToPace,
	Shows:  AfterPause,
	Lesson: lesson.Lesson{
		ID:     "failure-to-pace",
		Name:   "failure to pace",
		Family: lesson.Paced,
		LookFor: []string{
			"Rate: below that of the device.",
			"Rhythm: paced, then pauses without a spike.",
			"P wave: none, or not related.",
			"PR: none that means anything.",
			"QRS: wide after each spike; in the pause none, or an own escape of another shape.",
			"T wave: points away from the QRS.",
			"Special: a spike was due and did not come: no output, or the device heard something that was no beat.",
		},
		LookFirst: "The pulse; then box on, battery, connections.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "failure-to-capture",
				Difference: "The pause has no spike in it; without capture a spike stands there alone.",
				Bedside:    "Turn on pace marking before you decide; both are called now.",
				Source:     bySense + "; " + common,
			}, {
				ID:         "ventricular-pacing",
				Difference: "Pauses longer than the set interval with no spike; in working pacing a spike comes when due.",
				Bedside:    "Pulse rate below the set rate.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.SpikeLate, 1.4, 8, "longer than the set interval without a spike ("+bySense+"); upper limit common practice"),
			everyAge(lesson.LoneSpikes, 0, 0, "every spike that comes is answered ("+bySense+")"),
		},
		States: withPulse(),
		Care: pacingFailure(
			"Box on, battery, every connection from box to skin; a spare box is fetched, pads on for pacing through the skin.",
			lesson.Care{
				Urgency: lesson.Urgent, First: lesson.CallStay,
				Then:    "Box on, battery, every connection from box to skin; spare box and battery to the bedside; pads near.",
				Caution: "Movement or hum that the device takes for beats silences it too: never disconnect to see what is underneath.",
				Source:  common + " (from memory)",
			}),
	},
}
