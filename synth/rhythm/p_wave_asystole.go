package rhythm

import (
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var pWaveAsystole = Rhythm{
	Change: standstillBelow,
	Lesson: lesson.Lesson{
		ID:     "p-wave-asystole",
		Name:   "P-wave asystole",
		Family: lesson.Arrest,
		LookFor: []string{
			"Rate: none, no QRS for four seconds or more.",
			"Rhythm: of the P waves regular.",
			"P wave: small, rounded, all alike, at the atrial rate.",
			"PR: none.",
			"QRS: none in any lead.",
			"T wave: none.",
			"Special: the atria go on, the ventricles stand still, and there is no pulse.",
		},
		LookFirst: "Whether the patient responds and breathes, then electrodes and leads.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "asystole",
				Difference: "Small regular humps at the atrial rate; in asystole the line only wanders.",
				Bedside:    "The start is the same, compressions; with P waves the team thinks of pacing early.",
				Source:     common,
			}, {
				ID:         "third-degree-av-block",
				Difference: "No QRS at all; in complete block an escape goes on under the P waves.",
				Bedside:    "No pulse here; there a slow one.",
				Source:     textbooks,
			}, {
				ID:         "high-grade-av-block",
				Difference: "No P is followed by a QRS; in high-grade block some are.",
				Bedside:    "No pulse here; there a slow one.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.Rate, 0, 0, "no QRS for 4 s or more: PhysioNet/CinC Challenge 2015 (read second-hand)"),
			accepted(lesson.AtrialRate, norms.HeartRate),
			everyAge(lesson.PeakToPeak, 0.05, 0.35, "P up to 0.3 mV: handbook and unit guideline (read second-hand); the rest is wander (derived)"),
		},
		States: pulseless(),
		Care: arrestCare(lesson.Care{
			Then:    "No shock: compressions and ventilation go on; pads on, box and wires to the bedside, for the team may pace.",
			Caution: "P waves are not a pulse, and a saturation number can stand for seconds after the flow has stopped.",
			Source:  guideline,
		}),
	},
}
