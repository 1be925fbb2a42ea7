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
			{
				ID:         "wide-complex-supraventricular-tachycardia",
				Difference: "P waves at another rate, or a narrow or in-between beat, prove it ventricular; the other has neither, and the patient's own wide QRS of sinus rhythm.",
				Bedside:    "An earlier strip or a 12-lead; until an expert says otherwise it is ventricular.",
				Source:     pals20 + "; the rest from memory",
			},
			{
				ID:         "pre-excited-atrial-fibrillation",
				Difference: "Regular and of one shape; pre-excited fibrillation is grossly irregular and its QRS changes in width.",
				Bedside:    "Lay a strip of paper over the R waves; the first action is the same.",
				Source:     textbooks,
			},
			{
				ID:         "hyperkalaemic-sine-wave",
				Difference: "Faster than 120 a minute and QRS can be parted from T; the sine wave is wider than 0.17 s, slower, and one swing.",
				Bedside:    "Kidney failure, transfusion or a potassium infusion in the story; without a pulse it is an arrest either way.",
				Source:     "teaching pages (read second-hand), adult figures",
			},
			{
				ID:         "accelerated-idioventricular-rhythm",
				Difference: "Clearly faster than the own rhythm; the accelerated one stays within a fifth of it, with in-between beats at start and end.",
				Bedside:    "Pulse and pressure often fall; an expert names it, and until then a wide fast rhythm is this.",
				Source:     freire + "; the share from memory",
			},
			{
				ID:         "polymorphic-ventricular-tachycardia",
				Difference: "One shape like a stamp; in the polymorphic one no two complexes are alike.",
				Bedside:    "Feel the pulse; a synchronised shock may fail with changing shapes, so the team must know which it is.",
				Source:     textbooks,
			},
			{
				ID:         "ventricular-pacing",
				Difference: "No spike before the wide QRS, and faster than a device is set; a paced beat begins with a spike.",
				Bedside:    "Look at the device and its upper limit, turn on pace marking; in doubt it is this.",
				Source:     common,
			},
			{
				ID:         "chest-percussion",
				Difference: "Each wave is a QRS with its T; under percussion narrow complexes march on at the old distance through the waves.",
				Bedside:    "Stop the hands for five seconds: it goes on. Pulse and arterial trace are changed. Doubt counts as tachycardia.",
				Source:     huang + "; Knight 1999, N Engl J Med 341:1270 (from memory)",
			},
			{
				ID:         "compressions",
				Difference: "It goes on when the hands pause; waves from compressions come at 100 to 120 a minute and end with the hands.",
				Bedside:    "Read it in the planned pause only, and keep that pause short.",
				Source:     common,
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
