package rhythm

import "telltrace/synth/lesson"

var failureToCaptureRhythm = Rhythm{
	Change: failureToCapture,
	Shows:  AfterPause,
	Lesson: lesson.Lesson{
		ID:     "failure-to-capture",
		Name:   "failure to capture",
		Family: lesson.Paced,
		LookFor: []string{
			"Rate: of the spikes that of the device, of the QRS and the pulse below it.",
			"Rhythm: pauses where a spike has no answer.",
			"P wave: none, or not related.",
			"PR: none that means anything.",
			"QRS: wide after some spikes, missing after others; an own escape of another shape may come.",
			"T wave: after the captured beats; none after a lone spike.",
			"Special: the displayed rate may count lone spikes as beats.",
		},
		LookFirst: "The pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "ventricular-pacing",
				Difference: "Some spikes have no QRS and T after them; in working pacing every spike has.",
				Bedside:    "Count spikes and pulses: fewer pulses than spikes. The displayed rate may be wrong, the pulse is not.",
				Source:     "counted spikes: monitor manuals (read second-hand); " + common,
			}, {
				ID:         "atrial-pacing",
				Difference: "Some spikes have neither P nor QRS after them; in working atrial pacing every spike has both.",
				Bedside:    "Pulse rate below the set rate.",
				Source:     common,
			}, {
				ID:         "failure-to-pace",
				Difference: "The pause has a spike in it; without output it has none.",
				Bedside:    "Both are called now, and every connection from box to skin is checked.",
				Source:     bySense + "; " + common,
			}, {
				ID:         "failure-to-sense",
				Difference: "Spikes come when due and get no answer; without sensing they come when not due.",
				Bedside:    "A spike right after an own beat finds the heart deaf for a moment and is no loss of capture.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.LoneSpikes, 0.02, 1, "spikes without an answer ("+bySense+")"),
			everyAge(lesson.SpikeWait, 0.9, 1.1, "sensing is kept: no spike before the set interval is over ("+bySense+")"),
			everyAge(lesson.SpikeLate, 0.9, 1.1, "output is kept: a spike when it is due ("+bySense+")"),
		},
		States: withPulse(),
		Care: pacingFailure(
			"Check every connection from box to skin; the output is raised by those authorised; pads on for pacing through the skin.",
			lesson.Care{
				Urgency: lesson.Urgent, First: lesson.CallStay,
				Then:    "Check every connection from box to skin, battery and wires; output raised only by those authorised; potassium, acidity, what own rhythm lies beneath.",
				Caution: "Never disconnect to see what is underneath, and do not trust a displayed rate that counts spikes.",
				Source:  common + " (from memory)",
			}),
	},
}
