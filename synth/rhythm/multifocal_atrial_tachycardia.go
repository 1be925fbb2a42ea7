package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var multifocalAtrialTachycardia = Rhythm{
	Change: multifocal,
	Lesson: lesson.Lesson{
		ID:     "multifocal-atrial-tachycardia",
		Name:   "multifocal atrial tachycardia",
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: above 100 a minute, in infants mostly 140 to 250.",
			"Rhythm: irregular without a pattern.",
			"P wave: one before every QRS, in three shapes or more.",
			"PR: changes with the shape of P.",
			"QRS: narrow for age, all alike.",
			"T wave: some are deformed by an early P.",
			"Special: the line between the P waves is flat.",
		},
		LookFirst: "Breathing, lungs and saturation.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "atrial-fibrillation",
				Difference: "A P before each QRS, in three shapes or more, and a flat line between; fibrillation has no P and a restless line.",
				Bedside:    "A 12-lead settles it, and with it the treatment: shocks do not help here.",
				Source:     termList + "; flat line: from memory",
			}, {
				ID:         "wandering-atrial-pacemaker",
				Difference: "Fast and irregular; a wandering pacemaker changes its P as well, but at a usual rate and little by little.",
				Bedside:    "A sick chest speaks for this one, a well child for the other.",
				Source:     termList + "; the rest from memory",
			}, {
				ID:         "atrial-tachycardia",
				Difference: "P changes its shape and RR its length; with one focus all P are alike and the rhythm is nearly regular.",
				Bedside:    "Print ten seconds and compare the P waves one by one.",
				Source:     termList,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				if age.Years() < 1 {
					return lesson.Range{Low: 140, High: 250, Source: "infant (from memory)"}
				}
				return lesson.Range{Low: 100, High: 220, Source: "above 100: " + termList + "; upper limit common practice"}
			}},
			everyAge(lesson.PShapes, 3, 9, "three or more: "+termList),
			everyAge(lesson.RRSpread, 0.08, 0.35, "variable PP, PR and RR: "+termList+"; figures from memory"),
			everyAge(lesson.PPerQRS, 0.9, 1.35, "a P before every QRS, some not conducted (from memory)"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Oxygen and ventilation are the treatment: call, and let the team look at lungs, potassium and magnesium.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.CallStay},
					Then:    "See to breathing and oxygen as ordered, 12-lead, electrolytes, drugs that drive the heart; tell the team.",
					Caution: "It is taken for fibrillation; a shock does not end it. Fast or badly borne, it is urgent.",
					Source:  guideline + "; " + common,
				}
			}),
	},
}
