package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var acceleratedIdioventricularRhythm = Rhythm{
	Change: acceleratedIdioventricular,
	Shows:  AfterRun,
	Lesson: lesson.Lesson{
		ID:     "accelerated-idioventricular-rhythm",
		Name:   "accelerated idioventricular rhythm",
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: close to the sinus rate, 40 to 110 in an adult, at most a fifth above the own rate in a child.",
			"Rhythm: regular; it takes over and gives back without a jump in rate.",
			"P wave: marches on at nearly the same rate, in and out of the QRS.",
			"PR: none that means anything while the P drifts through.",
			"QRS: wide for age, one shape; in-between beats where the two meet.",
			"T wave: points away from the QRS.",
			"Special: pulse and pressure are mostly kept.",
		},
		LookFirst: "Pressure and pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "monomorphic-ventricular-tachycardia",
				Difference: "Rate within a fifth of the own rate, with in-between beats at its start and end; the tachycardia is clearly faster.",
				Bedside:    "Pulse and pressure are kept; an expert names it, and until then a wide fast rhythm is a tachycardia.",
				Source:     freire + "; the share from memory",
			}, {
				ID:         "idioventricular-rhythm",
				Difference: "About as fast as the own rhythm; the escape is far slower, and no sinus beats are left.",
				Bedside:    "Pulse and pressure are kept here and mostly not there.",
				Source:     freire + "; rates: " + textbooks,
			}, {
				ID:         "ventricular-run",
				Difference: "It begins late and gently, at the rate of the beats before; a run begins with an early beat and is faster.",
				Bedside:    "Watch start and end on a long strip; in doubt it is a run and is called.",
				Source:     common,
			}, {
				ID:         "ventricular-pacing",
				Difference: "No spike before the wide QRS; a paced beat has one, which may be too small to see.",
				Bedside:    "Look for a box, wires or a scar; turn on pace marking.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				if !isChild(age) {
					return lesson.Range{Low: 40, High: 110, Source: "40-100 or 50-110 by different texts (from memory)"}
				}
				rest := norms.HeartRate(age).Accept
				return lesson.Range{Low: rest.Low, High: 1.2 * rest.High,
					Source: freire + "; within 10-20 % of the sinus rate (from memory), that from " + rest.Source}
			}},
			everyAge(lesson.LongestRun, 3, 200, "three or more: "+freire),
			everyAge(lesson.Ectopics, 0.2, 1, "wide beats of one shape, sinus beats where the node is ahead ("+common+")"),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Lost filling by the atria may be enough to lower the pressure: the team decides how to bring the sinus node back in front.",
			func(age ecg.Age) lesson.Care {
				caution := "Do not suppress a rhythm that carries the pulse; harmless in most newborns, but a cardiologist says so, not the strip."
				if !isChild(age) {
					caution = "Do not suppress a rhythm that carries the pulse; often a passing sign that a blocked coronary has opened."
				}
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.CallStay},
					Then:    "Pressure and pulse, 12-lead, electrolytes, recent surgery, drugs such as digoxin; tell the team, and call if the pressure falls.",
					Caution: caution,
					Source:  freire + "; the rest from memory",
				}
			}),
	},
}
