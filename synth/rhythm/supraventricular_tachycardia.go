package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var supraventricularTachycardia = Rhythm{
	Change: reentry,
	Lesson: lesson.Lesson{
		ID:     "supraventricular-tachycardia",
		Name:   "supraventricular tachycardia",
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: 220 or more in an infant, 180 or more in a child, 150 to 250 in an adult.",
			"Rhythm: regular as a clock; ten seconds do not change it.",
			"P wave: none to be seen, or an odd one after the QRS.",
			"PR: cannot be measured.",
			"QRS: narrow for age, the patient's own.",
			"T wave: there, sometimes notched by a hidden P.",
			"Special: it starts and stops within one beat.",
		},
		LookFirst: "Perfusion, consciousness and pressure, and for how long it has lasted; in an infant signs of heart failure.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-tachycardia",
				Difference: "A rate that stays fixed, no normal P, an abrupt start; in the other the rate drifts and a normal P stands before each QRS.",
				Bedside:    "No fever, pain or crying that would explain it, and rest does not slow it; a 12-lead settles it.",
				Source:     pals20 + "; fixed rate: from memory",
			}, {
				ID:         "monomorphic-ventricular-tachycardia",
				Difference: "QRS narrow for age and the same as in the patient's own rhythm; the ventricular one is wide for age, in an infant only just, with P waves at another rate.",
				Bedside:    "Compare with an earlier strip or a 12-lead; in doubt treat it as ventricular.",
				Source:     pals20 + "; the rest from memory",
			},
			{
				ID:         "atrial-tachycardia",
				Difference: "P is hidden or comes after the QRS; in atrial tachycardia a P of odd shape stands before each QRS.",
				Bedside:    "Keep a strip running while the team treats: this one stops within a beat, the other slows or goes on behind a block.",
				Source:     textbooks,
			},
			{
				ID:         "atrial-flutter",
				Difference: "At most one P for each QRS; flutter has two waves or more, one of them midway between those you see, and no flat line.",
				Bedside:    "Keep a strip running while the team slows the node: a saw-tooth comes out, or the rhythm stops at once.",
				Source:     "newborn figures: rare-disease entry on neonatal flutter (read); adult from memory",
			},
			{
				ID:         "wide-complex-supraventricular-tachycardia",
				Difference: "QRS is narrow for age; in the other the same fixed rate comes with the wide QRS of a bundle branch block.",
				Bedside:    "Compare with the patient's QRS in sinus rhythm; a wide one is treated as ventricular until an expert decides.",
				Source:     pals20,
			},
			{
				ID:         "junctional-ectopic-tachycardia",
				Difference: "P is absent or at a fixed place behind the QRS, and it starts within one beat; in the junctional one slower P waves march through and it warms up.",
				Bedside:    "In the first days after heart surgery an atrial wire recording shows which it is.",
				Source:     junctionalPost,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				switch y := age.Years(); {
				case y < 1:
					return lesson.Range{Low: 200, High: 320, Source: "usually 220 or more: " + pals20 + "; down to about 200 (from memory); upper limit common practice"}
				case y < 16:
					return lesson.Range{Low: 180, High: 300, Source: pals20 + "; upper limit common practice"}
				default:
					return lesson.Range{Low: 150, High: 250, Source: "standard adult range (from memory)"}
				}
			}},
			everyAge(lesson.RRSpread, 0, 0.02, "RR range below about 2 % over ten seconds (from memory), with room for reading error"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"The team gets ready to end it at once with a synchronised shock: defibrillator at the bedside, access, pads on.",
			func(age ecg.Age) lesson.Care {
				caution := "A patient who looks well can tire of it within hours."
				if age.Years() < 1 {
					caution = "A baby may look well for hours and then collapse; never press on the eyes."
				}
				return lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay,
					Then:    "Keep a strip running and a 12-lead before and during any treatment; vagal manoeuvres only by those trained and by local policy.",
					Caution: caution,
					Source:  guideline + "; recognition: " + pals20,
				}
			}),
	},
}
