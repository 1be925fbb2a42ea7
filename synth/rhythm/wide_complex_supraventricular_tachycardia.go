package rhythm

import "telltrace/synth/lesson"

var wideComplexSupraventricularTachycardia = Rhythm{
	Change: wideReentry,
	Lesson: lesson.Lesson{
		ID:     "wide-complex-supraventricular-tachycardia",
		Name:   "supraventricular tachycardia with a wide QRS",
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: 220 or more in an infant, 180 or more in a child, 150 to 250 in an adult.",
			"Rhythm: regular as a clock; ten seconds do not change it.",
			"P wave: none to be seen, or one after each QRS at a fixed distance.",
			"PR: cannot be measured.",
			"QRS: wide for age, of one shape, that of a bundle branch block.",
			"T wave: points away from the end of the QRS.",
			"Special: no P at another rate, no narrow or in-between beat in the midst of it.",
		},
		LookFirst: "Whether the patient responds, and has a pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "monomorphic-ventricular-tachycardia",
				Difference: "No P at another rate and no narrow or in-between beat, and a QRS just like the patient's own block in sinus rhythm; where that cannot be shown it is ventricular.",
				Bedside:    "An earlier strip with the same wide QRS in sinus rhythm; a 12-lead. Until an expert says otherwise it is treated as ventricular.",
				Source:     pals20 + "; the rest from memory",
			}, {
				ID:         "supraventricular-tachycardia",
				Difference: "The same fixed rate, but QRS is wide for age because a bundle branch does not keep up.",
				Bedside:    "Compare with the patient's QRS in sinus rhythm: in a child 0.09 s is already wide.",
				Source:     pals20,
			}, {
				ID:         "pre-excited-atrial-fibrillation",
				Difference: "Regular, every QRS alike; pre-excited fibrillation is wide and grossly irregular, and its QRS changes width.",
				Bedside:    "Lay a strip of paper over the R waves: equal distances here.",
				Source:     textbooks,
			},
		},
		Criteria: []lesson.Criterion{
			criterionOf(supraventricularTachycardia, lesson.Rate),
			criterionOf(supraventricularTachycardia, lesson.RRSpread),
			wideQRS(0.20),
			everyAge(lesson.PPerQRS, 0, 1.1, "never more than one ("+bySense+")"),
		},
		States: withPulse(),
		Care: tachycardiaCare(
			"The team gets ready for a synchronised shock at once: defibrillator on, pads on, access.",
			lesson.Care{
				Urgency: lesson.Urgent, First: lesson.CallStay,
				Then:    "Defibrillator on, pads on, 12-lead, and the old tracings to the bedside for comparison.",
				Caution: "Treat it as ventricular until an expert has decided: drugs meant for the narrow form can be dangerous if the name is wrong.",
				Source:  guideline + "; recognition: " + pals20,
			}),
	},
}
