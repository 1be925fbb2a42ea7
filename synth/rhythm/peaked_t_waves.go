package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var peakedTWaves = Rhythm{
	Change: peakedT,
	Lesson: lesson.Lesson{
		ID:     "peaked-t-waves",
		Name:   "peaked T waves",
		Plural: true,
		Family: lesson.Shape,
		LookFor: []string{
			"Rate: the patient's own; the display may count T waves too and show twice the pulse.",
			"Rhythm: regular.",
			"P wave: one before every QRS; it grows flat as potassium rises.",
			"PR: normal at first, longer as potassium rises.",
			"QRS: narrow at first, wider as potassium rises.",
			"T wave: tall, pointed and with a narrow foot, taller than R in lead II or above 0.6 mV.",
			"Special: compare with an earlier strip: it grows over hours.",
		},
		LookFirst: "The last potassium, kidneys, transfusion, and what runs through the lines.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "T is taller than 0.6 mV, pointed, with a narrow foot; a healthy tall T is broad and lower, and has always been so.",
				Bedside:    "An earlier strip, and a potassium now; ask whether the sample was haemolysed.",
				Source:     potassiumTable + "; 0.6 mV: emergency textbook (read)",
			}, {
				ID:         "hyperkalaemic-sine-wave",
				Difference: "P and a narrow QRS can still be seen; in the sine wave P is gone and QRS runs into T.",
				Bedside:    "It is the same disease some hours further on: a QRS that widens is an emergency.",
				Source:     potassiumTable,
			}, {
				ID:         "st-elevation",
				Difference: "The line comes back to its level after the QRS and then T shoots up; with ST elevation the line itself stays high before T.",
				Bedside:    "A 12-lead and a potassium: both are wanted at once.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.Rate, norms.HeartRate),
			everyAge(lesson.THeight, 0.6, 3, "above 0.6 mV in a limb lead: emergency textbook (read); upper limit common practice"),
			onePerQRS(),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.Care{
			Then:    "Compressions and ventilation go on; say aloud that potassium may be the cause, so that the team treats it at once.",
			Caution: "Stop whatever brings potassium; complexes on the screen are not a pulse.",
			Source:  guideline,
		},
			"Say aloud that potassium may be the cause: the team treats it at once, pads on.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay, Also: []lesson.Action{lesson.AssessTell},
					Then:    "Tell the team now, send a potassium at once, stop infusions that contain it by order or policy, 12-lead, and watch P and QRS.",
					Caution: "A QRS that widens or a P that vanishes is an emergency, even if the patient looks well; a tall T that is old and unchanged is not.",
					Source:  potassiumTable + "; actions from memory",
				}
			}),
	},
}
