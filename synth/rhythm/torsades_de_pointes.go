package rhythm

import "telltrace/synth/lesson"

var torsadesDePointes = Rhythm{
	Change: torsades,
	Shows:  AfterRun,
	Lesson: lesson.Lesson{
		ID:     "torsades-de-pointes",
		Name:   "torsades de pointes",
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: 150 to 300 in the burst.",
			"Rhythm: nearly regular in the burst, which starts late on a T.",
			"P wave: before the beats between the bursts.",
			"PR: the same in those beats.",
			"QRS: swells and shrinks in spindles of 5 to 20 beats, points up, then down.",
			"T wave: in the beats before the burst late, wide and odd.",
			"Special: the QT before it is long, QTc about 0.50 s or more.",
		},
		LookFirst: "Whether the patient responds, and has a pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "coarse-ventricular-fibrillation",
				Difference: "Height swells and shrinks in order and the points turn over; fibrillation has no order.",
				Bedside:    "No pulse: the first action is the same. Look for a long QT in the beats before.",
				Source:     textbooks,
			}, {
				ID:         "polymorphic-ventricular-tachycardia",
				Difference: "The QT of the beats before is long and the axis turns steadily; otherwise the QT is normal and shapes change without order.",
				Bedside:    "An old strip or 12-lead with the QT, and the drug chart.",
				Source:     textbooks,
			}, {
				ID:         "ventricular-run",
				Difference: "The points turn over within the burst; an ordinary run keeps one shape.",
				Bedside:    "Measure the QT of the beats before; both are called, over or not.",
				Source:     textbooks,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.LongestRun, 5, 60, "a twist takes 5-20 beats: "+textbooks),
			everyAge(lesson.Rate, 60, 300, "150-300 in the burst: "+textbooks+"; lower figure with the beats between (derived)"),
			everyAge(lesson.Shapes, 3, 60, "a turning axis: "+textbooks),
			everyAge(lesson.QTcBazett, 0.46, 0.70, "usual beats at their own RR; long from 0.45-0.46 s: Rautaharju 2009, AHA/ACCF/HRS part IV, most above 0.50 s: AHA practice standards (both from memory); upper limit common practice"),
		},
		States: withPulse(),
		Care: tachycardiaCare("Pads on now: the next burst may not stop. The team treats the cause and decides on a shock.",
			lesson.Care{
				Urgency: lesson.Urgent, First: lesson.CallStay,
				Then:    "Pads on and left on; 12-lead with QTc between bursts, potassium, magnesium and calcium; the prescriber reviews every drug that lengthens the QT.",
				Caution: "It comes back, often after a pause or a slow spell: never leave, and ask before any new drug.",
				Source:  guideline,
			}),
	},
}
