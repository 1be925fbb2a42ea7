package artifact

import "telltrace/synth/lesson"

var chestPercussionLesson = lesson.Lesson{
	ID:     "chest-percussion",
	Name:   "chest percussion",
	Family: lesson.Artifact,
	LookFor: []string{
		"Rate: of the waves 200 to 400, of the pulse as before.",
		"Rhythm: even waves that start and stop with the hands.",
		"P wave: hidden.",
		"PR: as before in the gaps.",
		"QRS: small sharp notches at the old distance inside the waves.",
		"T wave: hidden.",
		"Special: ragged baseline before and after; the pulse trace may shake too.",
	},
	LookFirst: "Hands on the chest, and the patient under them.",
	LookAlikes: []lesson.LookAlike{
		{
			ID:         "monomorphic-ventricular-tachycardia",
			Difference: "Narrow complexes march through the waves at the old distance; in tachycardia each wave is a QRS with its T.",
			Bedside:    "Stop the hands for five seconds: the waves stop. If they do not, it is a tachycardia.",
			Source:     "Huang 2006, Int J Cardiol 111:163 (read); Knight 1999, N Engl J Med 341:1270 (from memory)",
		}, {
			ID:         "movement",
			Difference: "Evenly spaced waves in bursts, as the hands work; movement is ragged and keeps no time.",
			Bedside:    "See whose hands they are: pause them, or wait for the patient to settle.",
			Source:     lesson.CommonPractice,
		}, {
			ID:         "compressions",
			Difference: "Quick waves, 200 to 400 a minute; compressions come at 100 to 120 and larger.",
			Bedside:    "The patient breathes and has a pulse of their own here; under compressions there are no signs of life.",
			Source:     lesson.Guideline + "; " + lesson.CommonPractice,
		},
	},
	States: livingStates(),
	Care: livingCare(lesson.Care{
		Urgency: lesson.Routine, First: lesson.Settle, Also: []lesson.Action{lesson.LookCall},
		Then:    "Pause the hands for five seconds and look again; alarms are paused only by local policy and only while somebody stays at the bedside.",
		Caution: "A real arrest can begin during physiotherapy: waves that outlast the hands are real.",
		Source:  lesson.CommonPractice,
	}),
}
