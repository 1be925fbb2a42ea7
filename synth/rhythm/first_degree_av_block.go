package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var firstDegreeAVBlock = Rhythm{
	Change: firstDegree,
	Lesson: lesson.Lesson{
		ID:     "first-degree-av-block",
		Name:   "first-degree AV block",
		Family: lesson.Block,
		LookFor: []string{
			"Rate: the sinus node's own.",
			"Rhythm: regular.",
			"P wave: one before every QRS, none without; it may sit on the T before it.",
			"PR: the same in every beat and too long for age, over 0.20 s in an adult.",
			"QRS: narrow for age.",
			"T wave: as usual, or carrying the next P on its back.",
			"Special: slow conduction, but nothing is dropped; what is long in an infant may be usual in an adult.",
		},
		LookFirst: "Drugs, electrolytes, a recent operation, fever.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "The PR lies above the range for this age; in sinus rhythm within it. The limit grows with age, so measure before you name.",
				Bedside:    "Age, and the PR on an earlier strip.",
				Source:     "Rijnbeek 2001, Eur Heart J 22:702 (read second-hand)",
			}, {
				ID:         "second-degree-av-block-type-1",
				Difference: "The PR is long but stays the same and every P conducts; in type 1 it grows until a P stands alone.",
				Bedside:    "The pulse drops no beat. Keep a long strip: one may turn into the other.",
				Source:     kusumoto,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.PRTime, At: func(age ecg.Age) lesson.Range {
				pr := norms.PR(age).Accept
				return lesson.Range{Low: pr.High, High: 0.50,
					Source: "above the high limit of " + pr.Source + "; rule: " + kusumoto + "; upper limit common practice"}
			}},
			everyAge(lesson.PRSpread, 0, 0.04, "constant: one small box, caliper tolerance (common practice)"),
			onePerQRS(),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"A long PR alone does not explain poor perfusion: look for the cause, and watch for dropped beats.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.Chart},
					Then:    "12-lead if it is new, review drugs and electrolytes, measure the PR every shift and chart whether it grows; known and unchanged needs charting only.",
					Caution: "New after valve or septal surgery, or with an infected valve, it is a warning: tell the team now.",
					Source:  common,
				}
			}),
	},
}
