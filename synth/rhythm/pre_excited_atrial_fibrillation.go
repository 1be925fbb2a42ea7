package rhythm

import "telltrace/synth/lesson"

var preExcitedAtrialFibrillation = Rhythm{
	Change: preExcitedFibrillation,
	Lesson: lesson.Lesson{
		ID:     "pre-excited-atrial-fibrillation",
		Name:   "pre-excited atrial fibrillation",
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: very fast, in stretches above 200 a minute.",
			"Rhythm: grossly irregular, without any pattern.",
			"P wave: none.",
			"PR: cannot be measured.",
			"QRS: wide with a slurred start, changing from beat to beat between narrower and wider.",
			"T wave: points away from the wide QRS and runs into the next.",
			"Special: fast, wide and irregular together; an accessory path lets the atria drive the ventricles.",
		},
		LookFirst: "Whether the patient responds, has a pulse, and what the pressure is.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "atrial-fibrillation",
				Difference: "Wide QRS with a slurred start, changing in width, and faster; plain fibrillation keeps one narrow QRS.",
				Bedside:    "Ask whether an accessory path is known; call at once either way.",
				Source:     guideline,
			}, {
				ID:         "wide-complex-supraventricular-tachycardia",
				Difference: "Grossly irregular and changing in width; the other is regular as a clock and of one shape.",
				Bedside:    "Lay a strip of paper over the R waves: no two distances fit here.",
				Source:     textbooks,
			}, {
				ID:         "monomorphic-ventricular-tachycardia",
				Difference: "Irregular, with narrower beats among the wide ones; the ventricular one is regular and of one shape.",
				Bedside:    "The first action is the same: pads on, call now; a 12-lead if the patient bears it.",
				Source:     textbooks,
			}, {
				ID:         "polymorphic-ventricular-tachycardia",
				Difference: "Every QRS points the same way and starts with the same slur, only its width changes; in the polymorphic one direction and shape change.",
				Bedside:    "Doubt counts as ventricular: pads on, call now, feel the pulse again and again.",
				Source:     textbooks,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.RRSpread, 0.12, 0.45, "irregular as in fibrillation: Tateno and Glass 2001 (from memory), widened for the few beats of a strip"),
			everyAge(lesson.Rate, 150, 330, "faster than through the AV node, up to 300 and above (from memory)"),
			everyAge(lesson.ShortestRR, 0.15, 0.30, "0.25 s or less marks danger: Klein 1979, N Engl J Med 301:1080 (from memory), with room for reading"),
			wideQRS(0.20),
		},
		States: withPulse(),
		Care: tachycardiaCare(
			"The team gets ready for a shock at once: defibrillator on, pads on, access.",
			lesson.Care{
				Urgency: lesson.Urgent, First: lesson.CallStay,
				Then:    "Defibrillator on, pads on, 12-lead; say aloud that an accessory path is likely, and who knows of it.",
				Caution: "It can turn into ventricular fibrillation; drugs that slow the AV node can make it worse, so the choice is the expert's.",
				Source:  guideline,
			}),
	},
}
