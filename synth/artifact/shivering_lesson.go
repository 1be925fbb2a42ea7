package artifact

import "telltrace/synth/lesson"

var shiveringLesson = lesson.Lesson{
	ID:     "shivering",
	Name:   "shivering",
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: the pulse rate is as before.",
		"Rhythm: as before; the QRS keep their distance.",
		"P wave: lost in a fine uneven fuzz.",
		"PR: cannot be measured well.",
		"QRS: stands out of the fuzz.",
		"T wave: blurred.",
		"Special: fuzz in all limb leads that swells and fades; the patient trembles.",
	},
	LookFirst: "The patient and the temperature.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "coarse-ventricular-fibrillation",
			Difference: "Sharp complexes at the old distance stand out of the fuzz; fibrillation has none.",
			Bedside:    "The patient trembles, is awake or breathes, and has a pulse.",
			Source:     "Huang 2006, Int J Cardiol 111:163 (read)",
		}, {
			ID:         "mains-hum",
			Difference: "Uneven fuzz that swells and fades; hum is an even band of one height.",
			Bedside:    "Look at the patient: trembling or still.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "atrial-flutter",
			Difference: "Waves without a steady form, and a regular P underneath in the quietest lead; flutter waves are all alike and fixed to the QRS.",
			Bedside:    "Warm or calm the patient and the waves go; a tremor of 4 to 8 a second has been read as flutter.",
			Source:     "Baranchuk and Kang 2009, Cardiol J 16:373 (read)",
		},
	},
	States: livingStates(),
	Care: livingCare(lesson.Care{
		Urgency: lesson.Routine, First: lesson.Settle, Also: []lesson.Action{lesson.LookCall},
		Then:    "Warm the patient or treat the cause by order, move the electrodes from the limbs to the trunk, look again.",
		Caution: "Rhythmic jerking may be a seizure, shaking a rigor or withdrawal: look before you call it shivering. Newborns do not shiver.",
		Source:  lesson.CommonPractice,
	}),
}
