package rhythm

import "telltrace/synth/lesson"

var ventricularPacingRhythm = Rhythm{
	Change: ventricularPacing,
	Lesson: lesson.Lesson{
		ID:     "ventricular-pacing",
		Name:   "ventricular pacing",
		Family: lesson.Paced,
		LookFor: []string{
			"Rate: that of the device.",
			"Rhythm: regular as the device is set.",
			"P wave: none, or some that are not related.",
			"PR: none that means anything.",
			"QRS: wide for age, one shape, right after each spike.",
			"T wave: points away from the QRS.",
			"Special: spikes may be too small to see, and the displayed rate may count them.",
		},
		LookFirst: "A QRS and a pulse after each spike.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "left-bundle-branch-block",
				Difference: "A spike just before each wide QRS and no steady PR; in bundle branch block a P with a steady PR and no spike.",
				Bedside:    "Box, wires or a scar; turn on pace marking.",
				Source:     common,
			}, {
				ID:         "accelerated-idioventricular-rhythm",
				Difference: "A spike within about 0.05 s before each wide QRS; the other has none.",
				Bedside:    "Rate equal to that of the device; turn on pace marking.",
				Source:     common,
			}, {
				ID:         "monomorphic-ventricular-tachycardia",
				Difference: "A spike before each wide QRS, at the rate of the device; tachycardia has none and is faster.",
				Bedside:    "Look at the device and its upper limit; in doubt it is a tachycardia.",
				Source:     common,
			}, {
				ID:         "failure-to-capture",
				Difference: "A QRS after every spike; without capture some spikes stand alone.",
				Bedside:    "Count spikes and pulses for a minute: equal here.",
				Source:     common,
			}, {
				ID:         "failure-to-sense",
				Difference: "Spikes come at the set interval after the last beat; without sensing they come too soon, in or after a QRS or on a T.",
				Bedside:    "A spike inside a QRS at the due time is fusion and needs nothing.",
				Source:     common,
			}, {
				ID:         "failure-to-pace",
				Difference: "A spike comes whenever it is due; without output a pause has no spike in it.",
				Bedside:    "The pulse keeps the set rate.",
				Source:     common,
			}, {
				ID:         "atrial-pacing",
				Difference: "The spike is followed by a wide QRS; in atrial pacing by a P and a narrow one.",
				Bedside:    "Read the settings of the device, follow the wires.",
				Source:     textbooks,
			}, {
				ID:         "dual-chamber-pacing",
				Difference: "One spike for each beat; with both chambers paced two, the first followed by a P.",
				Bedside:    "Read the settings of the device.",
				Source:     textbooks,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Spikes, 0.9, 1.1, "one for each beat ("+bySense+")"),
			everyAge(lesson.LoneSpikes, 0, 0, "every spike is answered ("+bySense+")"),
			wideQRS(0.22),
			everyAge(lesson.RRSpread, 0, 0.03, "at the set rate ("+bySense+"), with room for reading error"),
			everyAge(lesson.SpikeWait, 0.9, 1.1, "no spike before the set interval is over ("+bySense+")"),
			everyAge(lesson.SpikeLate, 0.9, 1.1, "a spike when it is due ("+bySense+")"),
		},
		States: withPulse(),
		Care:   pacedCare("The displayed rate may count spikes while there is no heartbeat: trust the pulse."),
	},
}
