package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var polymorphicVentricularTachycardia = Rhythm{
	Change: polymorphic,
	Lesson: lesson.Lesson{
		ID:     "polymorphic-ventricular-tachycardia",
		Name:   "polymorphic ventricular tachycardia",
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: fast, 150 to 300.",
			"Rhythm: not quite regular.",
			"P wave: none to be seen.",
			"PR: none.",
			"QRS: wide for age, each unlike the last.",
			"T wave: runs into the QRS and cannot be told from it.",
			"Special: complexes can still be told apart; it soon falls into fibrillation or stops.",
		},
		LookFirst: "Whether the patient responds, and has a pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "torsades-de-pointes",
				Difference: "The shapes change without order and the QT of the beats between is normal; in torsades the points turn up and down in spindles after beats with a long QT.",
				Bedside:    "Measure the QT of the beats before it or on an old strip. No pulse: the first action is the same.",
				Source:     textbooks,
			}, {
				ID:         "coarse-ventricular-fibrillation",
				Difference: "Complexes with a steep QRS can be counted; fibrillation has waves only.",
				Bedside:    "No pulse: the first action is the same.",
				Source:     textbooks,
			}, {
				ID:         "monomorphic-ventricular-tachycardia",
				Difference: "No two complexes alike; the other repeats one shape like a stamp.",
				Bedside:    "Feel the pulse; a synchronised shock may fail with changing shapes, so the team must know which it is.",
				Source:     textbooks,
			}, {
				ID:         "pre-excited-atrial-fibrillation",
				Difference: "Distances nearly even while the shape changes without end; there the distances are grossly uneven, and beats of one kind of slur, some narrower, stand among them.",
				Bedside:    "Feel the pulse; an old strip with a short PR and a slur speaks for the accessory path. Both are called now.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Rate, 150, 300, textbooks),
			everyAge(lesson.Shapes, 3, 60, "changing QRS: "+textbooks),
			wideQRS(0.22),
			everyAge(lesson.RRSpread, 0.02, 0.25, "not quite regular ("+common+")"),
		},
		States: []ecg.State{ecg.NoSignsOfLife, ecg.PoorPerfusion, ecg.NotSure},
		Care: tachycardiaCare("Pads on now; a synchronised shock may fail with changing shapes, so the team decides how it is ended.",
			lesson.Care{
				Urgency: lesson.Urgent, First: lesson.CallStay,
				Then:    "Pads on, defibrillator on; measure the QT of the beats between, electrolytes, drugs, lack of blood flow to the heart, exertion.",
				Caution: "A patient who still responds will not for long: feel the pulse again and again.",
				Source:  guideline,
			}),
	},
}
