package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var invertedTWaves = Rhythm{
	Change: invertedT,
	Ages:   func(age ecg.Age) bool { return age.Days() >= 7 }, // upright only from the first week on
	Lesson: lesson.Lesson{
		ID:     "inverted-t-waves",
		Name:   "inverted T waves",
		Plural: true,
		Family: lesson.Shape,
		LookFor: []string{
			"Rate: the patient's own.",
			"Rhythm: regular.",
			"P wave: one upright in lead II before every QRS: so the cable is right.",
			"PR: the same in every beat, normal for age.",
			"QRS: narrow for age, upright in lead II as before.",
			"T wave: points down in lead II.",
			"Special: in V1 to V3 a T that points down is normal from the second week to adolescence.",
		},
		LookFirst: "Which lead is shown, and where each electrode sits.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "T points down in lead II, where after the first days it is upright at every age; P and QRS are as usual.",
				Bedside:    "Check lead and electrodes, then a 12-lead; in V1 to V3 of a child it is normal.",
				Source:     "Dickinson 2005, Heart 91:1626 (ages from memory)",
			}, {
				ID:         "st-depression",
				Difference: "The line after the QRS is level and only T dips; in ST depression the line is already low where the QRS ends.",
				Bedside:    "Lay a ruler on the PR segment; both together are called sooner.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "swapped-electrodes",
				Difference: "Only T points down in lead II, P and QRS stand upright; with swapped cables P, QRS and T turn over together in one lead.",
				Bedside:    "Read the letters on each clip against its site; a change that came with cable work is the cable.",
				Source:     "derived from the definition of the leads; " + common,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.Rate, norms.HeartRate),
			everyAge(lesson.THeight, -1, -0.1, "T upright in lead II after the first days, here at least 0.1 mV down: standard texts (from memory)"),
			everyAge(lesson.STLevel, -0.1, 0.1, "ST level: "+repolarisation),
			onePerQRS(),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Think of the heart muscle, coronary arteries and electrolytes: 12-lead and team now.",
			func(age ecg.Age) lesson.Care {
				c := lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.Reattach},
					Then:    "Check electrodes and lead, then a 12-lead; if it is confirmed tell the team: electrolytes, inflamed or strained heart muscle.",
					Caution: "First rule out the cable; in V1 to V3 of a child it is normal and is only charted.",
					Source:  "Dickinson 2005, Heart 91:1626 (from memory); " + common,
				}
				if !isChild(age) {
					c.Then = "Check electrodes and lead, then a 12-lead compared with an old one; ask about chest pain and tell the team."
					c.Caution = "New and with chest pain it is called at once."
					c.Source = common
				}
				return c
			}),
	},
}
