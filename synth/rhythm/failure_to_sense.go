package rhythm

import "telltrace/synth/lesson"

var failureToSenseRhythm = Rhythm{
	Change: failureToSense,
	Lesson: lesson.Lesson{
		ID:     "failure-to-sense",
		Name:   "failure to sense",
		Family: lesson.Paced,
		LookFor: []string{
			"Rate: own and paced beats mixed.",
			"Rhythm: irregular where spikes disturb the own beats.",
			"P wave: before the own beats.",
			"PR: the same in the own beats.",
			"QRS: own narrow ones and wide paced ones.",
			"T wave: some carry a spike.",
			"Special: spikes march on at the set rate and ignore the own beats: too soon after a QRS, in it, on a T.",
		},
		LookFirst: "Whether spikes fall on T waves, and the pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "ventricular-pacing",
				Difference: "A spike comes sooner after an own beat than the set interval; in working pacing never.",
				Bedside:    "A spike inside a QRS at the due time is fusion and needs nothing: measure with the calipers.",
				Source:     common,
			}, {
				ID:         "premature-ventricular-beats",
				Difference: "A spike stands before each wide beat and others fall in between; early beats have none.",
				Bedside:    "Box and wires; turn on pace marking. An ordinary early beat in a paced rhythm is followed by a spike at the set interval.",
				Source:     common,
			}, {
				ID:         "failure-to-capture",
				Difference: "Spikes come when not due; without capture they come when due and get no answer.",
				Bedside:    "A spike right after an own beat gets no answer and is still no loss of capture.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.SpikeWait, 0, 0.85, "spike before the set interval is over ("+bySense+"), guard of one tenth kept"),
			everyAge(lesson.Spikes, 0.2, 1.1, "own beats between the spikes ("+bySense+")"),
		},
		States: withPulse(),
		Care: pacingFailure(
			"Pads on and defibrillator at the bedside; every connection is checked, sensitivity is changed by those authorised.",
			lesson.Care{
				Urgency: lesson.Urgent, First: lesson.CallStay,
				Then:    "Check every connection from box to skin; sensitivity is changed only by those authorised; pads and defibrillator near, save the strip.",
				Caution: "A spike on a T wave can start fibrillation.",
				Source:  textbooks + "; " + common,
			}),
	},
}
