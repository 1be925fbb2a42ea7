package artifact

import "telltrace/synth/lesson"

var swappedElectrodesLesson = lesson.Lesson{
	ID:     "swapped-electrodes",
	Name:   "swapped electrodes",
	Plural: true,
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: as before.",
		"Rhythm: as before.",
		"P wave: upside down together with QRS and T in one lead.",
		"PR: as before.",
		"QRS: with the arms swapped lead I is upside down as a whole, and aVR and aVL change places.",
		"T wave: upside down together with P and QRS.",
		"Special: it began with work on the cable, not with the patient.",
	},
	LookFirst: "The letters on the clips against their sites.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "sinus-rhythm",
			Difference: "P, QRS and T of a lead turn over together, or two leads change places; in sinus rhythm lead I and II are upright.",
			Bedside:    "Compare with the last strip, then follow each clip by its letters.",
			Source:     "PMC6932211 (read); which leads change: derived from the leads' definition",
		}, {
			ID:         "inverted-t-waves",
			Difference: "P and QRS turn over together with the T; truly inverted T waves follow an upright QRS.",
			Bedside:    "Put the clips right first; what stays inverted is real.",
			Source:     lesson.CommonPractice,
		},
	},
	States: livingStates(),
	Care: livingCare(lesson.Care{
		Urgency: lesson.Routine, First: lesson.Reattach, Also: []lesson.Action{lesson.LookCall},
		Then:    "Put each clip right by its letters, not by colour from memory; compare with the earlier strip, and correct the label of any strip already filed.",
		Caution: "The two colour codes give red, green, black and white to different sites; a heart on the right side stays reversed when the clips are right.",
		Source:  "PMC6932211 (read); colour codes: published standard tables (read)",
	}),
}
