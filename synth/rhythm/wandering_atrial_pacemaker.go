package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var wanderingAtrialPacemaker = Rhythm{
	Change: wandering,
	Lesson: lesson.Lesson{
		ID:     "wandering-atrial-pacemaker",
		Name:   "a wandering atrial pacemaker",
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: within the range for age.",
			"Rhythm: nearly regular, swinging with the breath.",
			"P wave: one before every QRS; its shape changes, upright, flat, upside down and back.",
			"PR: changes a little with the shape of P.",
			"QRS: narrow for age, all alike.",
			"T wave: upright in lead II, one after each QRS.",
			"Special: a harmless variant in the young, often in sleep.",
		},
		LookFirst: "Whether the patient is well, or asleep.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "P changes its shape over some beats; in sinus rhythm all P are alike.",
				Bedside:    "Nothing to settle: both are normal in the young.",
				Source:     healthyNewborns,
			}, {
				ID:         "multifocal-atrial-tachycardia",
				Difference: "A usual rate and a nearly regular rhythm; the multifocal one is above 100 a minute, fast for age, and irregular.",
				Bedside:    "A well patient speaks for this one, a sick chest for the other.",
				Source:     termList + "; the rest from memory",
			}, {
				ID:         "respiratory-sinus-arrhythmia",
				Difference: "P changes its shape and PR its length; with the breath alone only RR changes.",
				Bedside:    "Nothing to settle: both are harmless in the young.",
				Source:     healthyNewborns,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.Rate, norms.HeartRate),
			everyAge(lesson.PShapes, 2, 4, "P that changes shape: "+healthyNewborns+"; some texts ask for three (from memory)"),
			onePerQRS(),
			everyAge(lesson.RRSpread, 0, 0.12, "sinus 0.02-0.08, general (from memory), with room for breathing"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Look for the cause of the poor perfusion: this rhythm does not explain it.",
			func(age ecg.Age) lesson.Care {
				c := lesson.Care{
					Urgency: lesson.Routine, First: lesson.Chart,
					Then:    "Chart it; about a quarter of healthy newborns show it.",
					Caution: "If the rate rises above the range for age it is another rhythm: look again.",
					Source:  healthyNewborns,
				}
				if !isChild(age) {
					c.Then = "Chart it; in an adult who takes digoxin mention it to the team."
					c.Source = common
				}
				return c
			}),
	},
}
