package artifact

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var compressionsLesson = lesson.Lesson{
	ID:     "compressions",
	Name:   "chest compressions",
	Plural: true,
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: 100 to 120 waves a minute, the rescuer's.",
		"Rhythm: even, and it stops with the hands.",
		"P wave: cannot be read.",
		"PR: cannot be read.",
		"QRS: cannot be read while the hands are at work.",
		"T wave: cannot be read.",
		"Special: large rounded waves in every lead, and pulse waves that are the rescuer's.",
	},
	LookFirst: "The patient, and the quality of the compressions.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "monomorphic-ventricular-tachycardia",
			Difference: "Waves at the rate of the hands that end with them; a tachycardia goes on in the pause.",
			Bedside:    "Read it in the planned pause only, and keep that pause short.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "pulseless-electrical-activity",
			Difference: "Large rounded waves at the rescuer's rate; the other shows P, QRS and T at the heart's own rate when the hands pause.",
			Bedside:    "Pulse waves during compressions are the rescuer's; feel for a pulse in the planned pause.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "chest-percussion",
			Difference: "Slow large waves, 100 to 120 a minute; percussion gives 200 to 400 small ones.",
			Bedside:    "No signs of life here; under percussion the patient breathes and has a pulse.",
			Source:     lesson.Guideline + "; " + lesson.CommonPractice,
		},
	},
	States: []ecg.State{ecg.NoSignsOfLife}, // shown over an arrest only
	Care:   underCompressions(),
}

// underCompressions is the care while somebody compresses the chest: nobody stops to
// read, and whoever shows signs of life is looked at first.
func underCompressions() func(ecg.Age, ecg.State) lesson.Care {
	arrest := lesson.Care{
		Then:    "Do not stop to read: the rhythm is read in the planned pause, and compressions go on directly after it.",
		Caution: "Waves on the screen and pulse waves are the rescuer's work, not the heart's.",
		Source:  lesson.Guideline,
	}
	return lesson.ByState(arrest, func(_ ecg.Age, state ecg.State) lesson.Care {
		switch state {
		case ecg.PoorPerfusion:
			return lesson.Poor("With certain signs of life compressions end and breathing comes first; the rhythm is read then.")
		case ecg.NotSure:
			return lesson.Care{
				Urgency: lesson.ArrestNow, First: lesson.Compress, Also: []lesson.Action{lesson.LookCall},
				Then:    "Go on until somebody is sure of a pulse; look and feel in the planned pause, for at most ten seconds.",
				Caution: "Pulse waves during compressions prove nothing.",
				Source:  lesson.Guideline,
			}
		default:
			return lesson.Care{
				Urgency: lesson.Urgent, First: lesson.LookCall, Also: []lesson.Action{lesson.CallStay},
				Then:    "With certain signs of life compressions end; breathing, pulse and pressure are looked at anew and the rhythm is read.",
				Caution: "The arrest may come back: pads stay on, nobody leaves.",
				Source:  lesson.Guideline,
			}
		}
	})
}
