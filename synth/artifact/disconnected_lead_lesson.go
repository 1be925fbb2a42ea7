package artifact

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var disconnectedLeadLesson = lesson.Lesson{
	ID:     "disconnected-lead",
	Name:   "a disconnected lead",
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: lost in the dead leads, as before in the lead that is left.",
		"Rhythm: as before in the lead that is left.",
		"P wave, PR, QRS, T: gone all at once, within one beat, from every lead that uses one electrode.",
		"Special: a dead straight line or a fine even hum, while the pulse goes on.",
	},
	LookFirst: "The patient, before the cable.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "asystole",
			Difference: "Dead straight or humming in the leads of one electrode while another lead goes on; asystole is flat in all of them and wanders slowly.",
			Bedside:    "The patient responds and the pulse goes on. With three electrodes every lead can be lost: then only the patient tells.",
			Source:     "derived from the leads' definition; " + lesson.CommonPractice,
		}, {
			ID:         "fine-ventricular-fibrillation",
			Difference: "A straight line or an even hum of one height, not small waves that change; fibrillation is in every lead.",
			Bedside:    "The patient responds and the pulse goes on.",
			Source:     lesson.CommonPractice,
		},
		{
			ID:         "loose-electrode",
			Difference: "Straight or humming all the time; a loose electrode jumps and lets complexes through.",
			Bedside:    "The clip hangs free or the gel is dry; pressing the rim mends a loose one for a moment.",
			Source:     "which leads suffer: derived from the leads' definition; " + lesson.CommonPractice,
		},
		{
			ID:         "low-amplitude",
			Difference: "No complexes at all in the dead leads; with low amplitude they are there, only small.",
			Bedside:    "Double the size and look again.",
			Source:     lesson.CommonPractice,
		},
	},
	States: livingStates(),
	Care: livingCare(lesson.Care{
		Urgency: lesson.Routine, First: lesson.Reattach, Also: []lesson.Action{lesson.LookCall},
		Then:    "Same site, skin clean and dry, new electrode if the gel is dry, cable held without pull; chart the gap in monitoring.",
		Caution: "Asystole hides behind this: never silence the alarm and walk away.",
		Source:  lesson.CommonPractice,
	}),
}

// livingStates are the states an artifact is shown in: the heart beats on.
func livingStates() []ecg.State {
	return []ecg.State{ecg.Stable, ecg.NotSure, ecg.PoorPerfusion}
}

// livingCare is the care of an artifact. Only with a stable patient is the tracing
// the first thing to mend.
func livingCare(stable lesson.Care) func(ecg.Age, ecg.State) lesson.Care {
	arrest := lesson.Care{
		Then:    "Compressions and ventilation go on; the rhythm is read in the planned pause, from pads or a tracing that has been mended.",
		Caution: "Nobody stops to mend the tracing while there are no signs of life.",
		Source:  lesson.Guideline,
	}
	return lesson.ByState(arrest, func(_ ecg.Age, state ecg.State) lesson.Care {
		switch state {
		case ecg.PoorPerfusion:
			return lesson.Poor("The tracing is mended while help is on the way, so that the rhythm can be read.")
		case ecg.NotSure:
			return lesson.Unsure()
		default:
			return stable
		}
	})
}
