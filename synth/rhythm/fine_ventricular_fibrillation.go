package rhythm

import "telltrace/synth/lesson"

var fineVentricularFibrillation = Rhythm{
	Change: fibrillation(0.135, 0.155, 3.6, 4.8),
	Lesson: lesson.Lesson{
		ID:     "fine-ventricular-fibrillation",
		Name:   "fine ventricular fibrillation",
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: none can be counted.",
			"Rhythm: none; small waves of changing height and distance.",
			"P wave: none.",
			"PR: none.",
			"QRS: none.",
			"T wave: none.",
			"Special: waves of 0.1 to 0.2 mV that stay in a second lead and grow with the size setting.",
		},
		LookFirst: "Whether the patient responds and breathes, and has a pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "asystole",
				Difference: "Small irregular waves, 0.1 to 0.2 mV, in a second lead too; asystole stays below 0.1 mV.",
				Bedside:    "A second lead and double size while compressions go on; never stop to decide.",
				Source:     kerber,
			}, {
				ID:         "coarse-ventricular-fibrillation",
				Difference: "Waves below 0.2 mV from top to bottom; the coarse ones are above.",
				Bedside:    "Nothing to settle: the first action is the same.",
				Source:     kerber,
			}, {
				ID:         "disconnected-lead",
				Difference: "Irregular waves in every lead; a lead off is dead straight or evenly humming, and only where its electrode is used.",
				Bedside:    "No response, no pulse, flat arterial trace; with a lead off the pulse goes on.",
				Source:     common + "; which leads are lost: derived from the leads' definition",
			},
			{
				ID:         "mains-hum",
				Difference: "Irregular slow waves, 2 to 9 a second, without complexes; hum is an even band of 50 or 60 a second with complexes in it.",
				Bedside:    "No response and no pulse; hum stays on a lead that is off and changes when cables are parted.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.PeakToPeak, 0.1, 0.2, kerber),
			everyAge(lesson.Dominant, 2, 9, "3.3 (SD 1.6) Hz before failed shocks: Strohmenger 1997, Chest 111:584 (read); up to 9 Hz: Jekova 2000 (read second-hand)"),
		},
		States: pulseless(),
		Care:   arrestCare(lesson.Shockable()),
	},
}
