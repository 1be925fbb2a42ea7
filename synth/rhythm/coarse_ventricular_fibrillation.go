package rhythm

import "telltrace/synth/lesson"

var coarseVentricularFibrillation = Rhythm{
	Change: fibrillation(0.45, 1.1, 4.2, 5.8),
	Lesson: lesson.Lesson{
		ID:     "coarse-ventricular-fibrillation",
		Name:   "coarse ventricular fibrillation",
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: none can be counted.",
			"Rhythm: none; waves of changing height and distance.",
			"P wave: none.",
			"PR: none.",
			"QRS: none, not even hidden in the waves.",
			"T wave: none.",
			"Special: large waves, more than 0.2 mV from top to bottom, and no pulse.",
		},
		LookFirst: "Whether the patient responds and breathes, and has a pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "movement",
				Difference: "No QRS goes on underneath; movement shows small sharp complexes at the old distance, and one lead stays clean.",
				Bedside:    "No response, no breathing, no pulse, flat arterial trace; a patient who is awake is not in fibrillation.",
				Source:     huang,
			}, {
				ID:         "fine-ventricular-fibrillation",
				Difference: "Waves above 0.2 mV from top to bottom; the fine ones stay below.",
				Bedside:    "Nothing to settle: the first action is the same.",
				Source:     kerber,
			}, {
				ID:         "monomorphic-ventricular-tachycardia",
				Difference: "No two waves alike and no equal distances; the tachycardia repeats one shape like a stamp.",
				Bedside:    "Fibrillation has no pulse; tachycardia may have one: feel for at most ten seconds.",
				Source:     common,
			},
			{
				ID:         "torsades-de-pointes",
				Difference: "No order in height or distance; in torsades the height swells and shrinks in spindles and the points turn over.",
				Bedside:    "No pulse: the first action is the same. Look for a long QT in the beats before.",
				Source:     textbooks,
			},
			{
				ID:         "polymorphic-ventricular-tachycardia",
				Difference: "Waves only; in polymorphic tachycardia complexes with a steep QRS can be counted.",
				Bedside:    "No pulse: the first action is the same.",
				Source:     textbooks,
			},
			{
				ID:         "shivering",
				Difference: "No sharp complexes in it; in shivering they stand out of the fuzz at the old distance.",
				Bedside:    "No response, no breathing, no pulse; a patient who trembles and breathes is not in fibrillation.",
				Source:     huang,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.PeakToPeak, 0.2, 4, kerber+"; upper limit common practice"),
			everyAge(lesson.Dominant, 3, 9, "3-5 Hz in recordings, 5-9 Hz in coronary care: Jekova 2000 (read second-hand); no figures for children"),
		},
		States: pulseless(),
		Care:   arrestCare(lesson.Shockable()),
	},
}
