package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var aberrantlyConductedAtrialBeats = Rhythm{
	Change: aberrantAtrial,
	Shows:  AfterEctopic,
	Lesson: lesson.Lesson{
		ID:     "aberrantly-conducted-atrial-beats",
		Name:   "aberrantly conducted atrial beats",
		Plural: true,
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: the patient's own, with single beats that come too soon.",
			"Rhythm: regular but for the early beat and a short pause after it.",
			"P wave: an early one sits in the T before the wide beat.",
			"PR: the same in the usual beats, sometimes longer in the early one.",
			"QRS: the early one is wide, starts like the usual one and ends late, mostly as right bundle branch block.",
			"T wave: the one before the wide beat is taller or notched.",
			"Special: a bundle branch was still tired; the earlier the beat, the wider it gets.",
		},
		LookFirst: "The patient, and the pulse that belongs to the early beat.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "premature-ventricular-beats",
				Difference: "A P in the T before the wide beat, and a QRS that starts like the usual one; the ventricular beat has neither.",
				Bedside:    "Overlay the T waves on a printed strip; in doubt chart and report it as ventricular.",
				Source:     common,
			}, {
				ID:         "premature-atrial-beats",
				Difference: "The early QRS is wide; in the plain atrial beat it is as narrow as the others.",
				Bedside:    "Nothing to settle: the first action is the same.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Ectopics, 0.02, 0.30, "less than every third beat ("+bySense+")"),
			everyAge(lesson.LongestRun, 1, 1, "single ("+bySense+")"),
			everyAge(lesson.PPerQRS, 0.9, 1.1, "a P before the wide beats too ("+bySense+")"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Look for the cause of the poor perfusion; until someone is certain count the wide beats as ventricular, defibrillator near.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.Chart},
					Then:    "Save a strip in which the P before the wide beat can be seen, count them, look at electrolytes and line tip, and show it to the team.",
					Caution: "If no early P can be shown it is a ventricular beat until proved otherwise.",
					Source:  common,
				}
			}),
	},
}
