package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var focalAtrialTachycardia = Rhythm{
	Change: atrialTachycardia,
	Lesson: lesson.Lesson{
		ID:     "atrial-tachycardia",
		Name:   "atrial tachycardia",
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: above the range for age and above what the patient's state explains.",
			"Rhythm: nearly regular; it may warm up and slow down over a few beats.",
			"P wave: one before every QRS, but not the sinus shape, for instance upside down in lead I; it may ride on the T.",
			"PR: the same in every beat.",
			"QRS: narrow for age, the patient's own.",
			"T wave: often hides the next P.",
			"Special: one focus in the atria sets the pace, sometimes for days or weeks.",
		},
		LookFirst: "Perfusion and pressure, and for how long it has lasted.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-tachycardia",
				Difference: "P has another shape than the sinus P and the rate hardly moves; in sinus tachycardia P is upright in I, II and aVF and the rate drifts.",
				Bedside:    "No fever, pain or low volume explains it, and rest does not slow it; a 12-lead shows the P axis.",
				Source:     pals20 + "; the rest from memory",
			}, {
				ID:         "supraventricular-tachycardia",
				Difference: "A P of its own before each QRS; in the re-entrant one P is hidden or comes after the QRS.",
				Bedside:    "Keep a strip running while the team treats: when the node is slowed, P waves that go on speak for this.",
				Source:     textbooks,
			}, {
				ID:         "atrial-flutter",
				Difference: "One P for each QRS with a flat line between; flutter has two or more waves for each QRS and no flat line.",
				Bedside:    "Look for a second P midway between two visible ones; a 12-lead shows the saw-tooth.",
				Source:     textbooks,
			}, {
				ID:         "multifocal-atrial-tachycardia",
				Difference: "One shape of P and a nearly regular rhythm; the multifocal one has three shapes or more and is irregular.",
				Bedside:    "Print ten seconds and compare the P waves one by one.",
				Source:     termList,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				const source = "clinical range: about 150 to 300 in the infant, 120 to 250 later, 100 to 250 in the adult (from memory)"
				switch y := age.Years(); {
				case y < 1:
					return lesson.Range{Low: 150, High: 300, Source: source}
				case y < 16:
					return lesson.Range{Low: 120, High: 250, Source: source}
				default:
					return lesson.Range{Low: 100, High: 250, Source: source}
				}
			}},
			everyAge(lesson.RRSpread, 0, 0.05, "nearly regular (common practice)"),
			onePerQRS(),
			everyAge(lesson.PShapes, 1, 1, "one focus ("+bySense+")"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Access, pads and cardiology now: the team decides how to slow it, and looks at line tip, infusions and electrolytes.",
			func(age ecg.Age) lesson.Care {
				caution := "One that never stops weakens the heart over weeks, even in a patient who looks well."
				if !isChild(age) {
					caution = "Think of digoxin, a lung disease or an old operation; one that never stops weakens the heart."
				}
				return lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay, Also: []lesson.Action{lesson.AssessTell},
					Then:    "12-lead for the shape of P; electrolytes, depth of the line, infusions, and the day after surgery.",
					Caution: caution,
					Source:  guideline + "; " + common,
				}
			}),
	},
}
