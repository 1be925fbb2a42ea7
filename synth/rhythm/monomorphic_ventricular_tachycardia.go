package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var monomorphicVentricularTachycardia = Rhythm{
	Change: ventricularCircuit,
	Lesson: lesson.Lesson{
		ID:     "monomorphic-ventricular-tachycardia",
		Name:   "monomorphic ventricular tachycardia",
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: above 100 in an adult, above 120 and clearly above the own rate in a child.",
			"Rhythm: regular.",
			"P wave: none, or some that march at another, slower rate.",
			"PR: no steady one.",
			"QRS: wide for age (over 0.09 s in a child, 0.12 s or more in an adult), one shape.",
			"T wave: points away from the QRS and runs into it.",
			"Special: a narrow or in-between beat in the midst of it proves it ventricular.",
		},
		LookFirst: "Whether the patient responds, and has a pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "movement",
				Difference: "Every wave is a QRS with its T, evenly spaced; under movement small sharp complexes march on at the old distance and one lead stays clean.",
				Bedside:    "Pulse and arterial trace: changed here, as before in movement. Doubt counts as tachycardia.",
				Source:     huang + "; Knight 1999, N Engl J Med 341:1270 (from memory)",
			}, {
				ID:         "supraventricular-tachycardia",
				Difference: "QRS wide for age and unlike the patient's own, P waves at another rate; the supraventricular one keeps the patient's narrow QRS.",
				Bedside:    "Compare with an earlier strip or a 12-lead; in doubt it is ventricular.",
				Source:     pals20 + "; the rest from memory",
			}, {
				ID:         "coarse-ventricular-fibrillation",
				Difference: "One shape at equal distances; in fibrillation no two waves are alike and no distance holds.",
				Bedside:    "It may leave a pulse, fibrillation never does: feel for at most ten seconds.",
				Source:     common,
			}, {
				ID:         "ventricular-run",
				Difference: "It fills the strip; a run has usual beats before and after it.",
				Bedside:    "Feel the pulse now: a run is over by the time you look.",
				Source:     "trial definition: a run lasts under 30 s (read)",
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				const source = "clinical criteria: above 100 in the adult, 120 or more in the child, faster in infants (from memory)"
				switch y := age.Years(); {
				case y < 1:
					return lesson.Range{Low: 120, High: 400, Source: source}
				case y < 16:
					return lesson.Range{Low: 120, High: 300, Source: source}
				default:
					return lesson.Range{Low: 100, High: 250, Source: source}
				}
			}},
			{Measure: lesson.QRSTime, At: func(age ecg.Age) lesson.Range {
				wide := norms.WideQRS(age)
				return lesson.Range{Low: wide.High, High: 0.22, Source: wide.Source + "; upper limit common practice"}
			}},
			everyAge(lesson.RRSpread, 0, 0.05, "regular (common practice)"),
		},
		States: withPulse(),
		Care: lesson.ByState(lesson.Shockable(), func(_ ecg.Age, state ecg.State) lesson.Care {
			switch state {
			case ecg.PoorPerfusion:
				return lesson.Poor("The team gets ready for a synchronised shock at once: defibrillator on, pads on, access.")
			case ecg.NotSure:
				c := lesson.Unsure()
				c.Also = append(c.Also, lesson.Compress) // the worse of two signs is no pulse
				return c
			default:
				return lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay,
					Then:    "Defibrillator on, pads on, 12-lead; electrolytes, drugs and line tip while expert help comes.",
					Caution: "It can turn pulseless at any moment: feel again and again. A wide fast rhythm is this until an expert says otherwise.",
					Source:  guideline + "; recognition: " + pals20,
				}
			}
		}),
	},
}
