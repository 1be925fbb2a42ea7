package rhythm

import "telltrace/synth/lesson"

var asystole = Rhythm{
	Change: standstill,
	Lesson: lesson.Lesson{
		ID:     "asystole",
		Name:   "asystole",
		Family: lesson.Arrest,
		LookFor: []string{
			"Rate: none, no QRS for four seconds or more.",
			"Rhythm: none.",
			"P wave: none.",
			"PR: none.",
			"QRS: none in any lead.",
			"T wave: none.",
			"Special: a nearly flat, slowly wandering line in every lead, below 0.1 mV, and no pulse.",
		},
		LookFirst: "The patient, then electrodes and leads.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "disconnected-lead",
				Difference: "Flat in every lead, with a slow wander; a lead off is dead straight or humming in the leads of one electrode and leaves another lead as it was.",
				Bedside:    "No response and no pulse; with a lead off pulse and arterial trace go on. With three electrodes every lead can be lost: then only the patient tells.",
				Source:     "derived from the leads' definition; " + common,
			}, {
				ID:         "fine-ventricular-fibrillation",
				Difference: "Below 0.1 mV also in a second lead at double size; fibrillation shows irregular waves of 0.1 to 0.2 mV.",
				Bedside:    "Look while compressions go on; never stop to decide.",
				Source:     kerber,
			},
			{
				ID:         "low-voltage",
				Difference: "No QRS even at double size; low voltage shows small sharp complexes at equal distances.",
				Bedside:    "No pulse and no response; with low voltage each small complex has its pulse.",
				Source:     "monitor standards (read second-hand); " + common,
			},
			{
				ID:         "p-wave-asystole",
				Difference: "The line only wanders; in P-wave asystole small regular humps go on at the atrial rate.",
				Bedside:    "The start is the same, compressions; with P waves the team thinks of pacing early.",
				Source:     common,
			},
			{
				ID:         "agonal-rhythm",
				Difference: "No complex at all; an agonal rhythm still has a wide one every few seconds.",
				Bedside:    "Nothing to settle: the first action is the same.",
				Source:     common,
			},
			{
				ID:         "low-amplitude",
				Difference: "No complexes even at double size; with low amplitude small ones go on at the old distance.",
				Bedside:    "No response and no pulse; with low amplitude the patient responds.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Rate, 0, 0, "no QRS for 4 s or more: PhysioNet/CinC Challenge 2015 (read second-hand)"),
			everyAge(lesson.PeakToPeak, 0, 0.1, kerber),
		},
		States: pulseless(),
		Care:   arrestCare(lesson.NotShockable()),
	},
}
