package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var sinusPauses = Rhythm{
	Change: sinusPause,
	Shows:  AfterPause,
	Lesson: lesson.Lesson{
		ID:     "sinus-pause",
		Name:   "a sinus pause",
		Family: lesson.Sinus,
		LookFor: []string{
			"Rate: the patient's own, but for a gap.",
			"Rhythm: regular, then all at once one RR half as long again or more.",
			"P wave: one before every QRS; none inside the gap.",
			"PR: the same in every beat.",
			"QRS: narrow for age, all alike.",
			"T wave: the one before the gap looks like all the others, no early P in it.",
			"Special: measure the gap from R to R in seconds.",
		},
		LookFirst: "The patient during the gap: breathing, suction, feeding, colour.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "respiratory-sinus-arrhythmia",
				Difference: "One RR is suddenly long, at least half as long again as the one before; in the other RR lengthens and shortens little by little with the breath.",
				Bedside:    "Look for what came before it: suction, a feed, a missed breath.",
				Source:     healthyNewborns,
			}, {
				ID:         "blocked-atrial-bigeminy",
				Difference: "Nothing in the gap and a smooth T before it; a blocked early beat leaves a P in that T, and bigeminy makes every RR long.",
				Bedside:    "Overlay the T waves on a printed strip; a 12-lead shows the early P better.",
				Source:     "Schwartz 2002, Eur Heart J 23:1329 (from memory); " + common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.LongestRR, 1.5, 3.2, "at least 1.5 to 2 times the last RR: "+healthyNewborns+"; upper limit of what is shown here (derived)"),
			everyAge(lesson.PPerQRS, 0.85, 1.15, "no P in the gap ("+bySense+"), with room for a P at the edge of a slow strip"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: slowCare(func(age ecg.Age) lesson.Care {
			c := lesson.Care{
				Urgency: lesson.Routine, First: lesson.Chart, Also: []lesson.Action{lesson.AssessTell, lesson.LookCall},
				Then:    "Save the strip with the gap measured; stop suction or whatever set it off, and tell the team if it is new or longer than before.",
				Caution: "Short gaps are common in healthy newborns and sleeping children; three seconds, or a child who changes colour, is called at once.",
				Source:  healthyNewborns + "; " + southall,
			}
			if !isChild(age) {
				c.Urgency, c.First, c.Also = lesson.Watch, lesson.AssessTell, []lesson.Action{lesson.LookCall}
				c.Then = "Save the strip with the gap measured; ask about dizziness, look through the drugs, take a 12-lead and tell the team."
				c.Caution = "Three seconds or more, or any symptom, is called at once."
				c.Source = kusumoto
			}
			return c
		}),
	},
}
