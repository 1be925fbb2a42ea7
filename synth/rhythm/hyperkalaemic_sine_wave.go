package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var hyperkalaemicSineWave = Rhythm{
	Change: sineWave,
	Lesson: lesson.Lesson{
		ID:     "hyperkalaemic-sine-wave",
		Name:   "a hyperkalaemic sine wave",
		Family: lesson.Shape,
		LookFor: []string{
			"Rate: rather slow for so wide a rhythm, mostly below 120 a minute.",
			"Rhythm: regular.",
			"P wave: none.",
			"PR: none.",
			"QRS: very wide, 0.17 s and more, with soft edges.",
			"T wave: QRS runs into it without a flat part, so that the line swings like a wave.",
			"Special: kidney failure, transfusion, crushed tissue or a potassium infusion in the story.",
		},
		LookFirst: "Pulse and responsiveness, then the last potassium.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "monomorphic-ventricular-tachycardia",
				Difference: "Wider than 0.17 s and slower than 120 a minute, QRS and T in one swing; the tachycardia is faster and its QRS can be parted from T.",
				Bedside:    "The story and a potassium; without a pulse nothing is lost by not knowing: the arrest is treated either way.",
				Source:     "teaching pages (read second-hand), adult figures; for children not known",
			}, {
				ID:         "peaked-t-waves",
				Difference: "P is gone and QRS runs into T; peaked T waves still follow a P and a narrow QRS.",
				Bedside:    "It is the later stage: minutes count.",
				Source:     potassiumTable,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.QRSTime, 0.17, 0.40, "above about 0.17-0.20 s: teaching pages (read second-hand); upper limit common practice"),
			everyAge(lesson.Rate, 40, 130, "often below 120-130, adult teaching (read second-hand); for children not known"),
			everyAge(lesson.PPerQRS, 0, 0.2, "no P: "+potassiumTable),
			everyAge(lesson.RRSpread, 0, 0.05, "regular (common practice)"),
		},
		States: withPulse(),
		Care: livingCare(lesson.Care{
			Then:    "Compressions and ventilation go on; say aloud that potassium is the likely cause, the team treats it at once and shocks only what can be shocked.",
			Caution: "Every infusion that may carry potassium is stopped; complexes on the screen are not a pulse.",
			Source:  guideline,
		},
			"Pads on; say aloud that potassium is the likely cause: the team treats it within minutes, before the laboratory answers.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay,
					Then:    "Call it as an emergency, pads on; stop whatever carries potassium, send a blood gas with potassium; the team treats at once.",
					Caution: "Named as a tachycardia it gets the wrong drug; it can turn into fibrillation or standstill at any moment.",
					Source:  "actions from memory; " + potassiumTable,
				}
			}),
	},
}
