package artifact

import "telltrace/synth/lesson"

var movementLesson = lesson.Lesson{
	ID:     "movement",
	Name:   "movement",
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: the pulse rate is as before, whatever the display counts.",
		"Rhythm: ragged waves that come and go; the old RR distance runs on underneath.",
		"P wave: hidden; look in the lead that does not use the moving electrode.",
		"PR: as before in that lead.",
		"QRS: small sharp notches at the old distance inside the waves.",
		"T wave: hidden.",
		"Special: the baseline is unsteady before and after, and one lead is cleaner.",
	},
	LookFirst: "The patient, the pulse and, where there is one, the arterial trace.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "coarse-ventricular-fibrillation",
			Difference: "Small sharp complexes at the old distance inside the waves, and one lead that stays clean; fibrillation has no complexes at all.",
			Bedside:    "The patient is awake, breathes and has a pulse.",
			Source:     "Huang 2006, Int J Cardiol 111:163 (read)",
		}, {
			ID:         "monomorphic-ventricular-tachycardia",
			Difference: "Ragged waves of changing shape with the narrow complexes marching through; tachycardia repeats one wide shape.",
			Bedside:    "Hold the limb still for five seconds and the waves stop; the pulse rate is as before.",
			Source:     "Huang 2006, Int J Cardiol 111:163 (read); Knight 1999, N Engl J Med 341:1270 (from memory)",
		}, {
			ID:         "ventricular-run",
			Difference: "The usual complexes keep their time through the disturbance; a run is early, all of one shape, and the usual beats wait for it.",
			Bedside:    "Pulse and arterial trace do not change; doubt counts as a run.",
			Source:     "Huang 2006, Int J Cardiol 111:163 (read)",
		},
		{
			ID:         "loose-electrode",
			Difference: "Rolling waves that end when the patient lies still; a loose electrode jumps and hums also then.",
			Bedside:    "Look at the patient, then press the electrode.",
			Source:     lesson.CommonPractice,
		},
		{
			ID:         "chest-percussion",
			Difference: "Ragged waves that keep no time; percussion gives even ones in bursts, as the hands work.",
			Bedside:    "See whose hands they are: wait for the patient to settle, or pause them.",
			Source:     lesson.CommonPractice,
		},
	},
	States: livingStates(),
	Care: livingCare(lesson.Care{
		Urgency: lesson.Routine, First: lesson.Settle, Also: []lesson.Action{lesson.LookCall},
		Then:    "Calm and wait, move the electrodes to quieter skin; chart it as artifact with a strip if an alarm sounded.",
		Caution: "The pulse trace shakes too and does not settle it alone; rhythmic jerking may be a seizure.",
		Source:  "Huang 2006 (read); " + lesson.CommonPractice,
	}),
}
