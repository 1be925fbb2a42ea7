package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var lowVoltageComplexes = Rhythm{
	Change: lowVoltage,
	Lesson: lesson.Lesson{
		ID:     "low-voltage",
		Name:   "low voltage",
		Family: lesson.Shape,
		LookFor: []string{
			"Rate: the patient's own; the display may miss beats and show less than the pulse.",
			"Rhythm: regular.",
			"P wave: one small one before every QRS.",
			"PR: the same in every beat, normal for age.",
			"QRS: narrow for age, below 0.5 mV from top to bottom in I, II and III alike.",
			"T wave: small too.",
			"Special: all leads have shrunk, over hours; height that alternates from beat to beat means fluid round the heart.",
		},
		LookFirst: "Pressure, neck veins, drains and heart sounds, then the gain.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "QRS stays below 0.5 mV in every limb lead at the right gain; a usual strip passes it in one of them at least.",
				Bedside:    "Check the gain and renew the electrodes; if it stays, look for falling pressure and rising rate.",
				Source:     "AHA ECG standards (from memory); " + common,
			}, {
				ID:         "asystole",
				Difference: "Small but sharp complexes at equal distances, P and T with them; asystole has none even at double size.",
				Bedside:    "A pulse for every small complex; the monitor may call asystole because it does not count what is below 0.15 mV.",
				Source:     "monitor standards (read second-hand); " + common,
			}, {
				ID:         "low-amplitude",
				Difference: "All leads have shrunk and new electrodes and a gain check do not bring them back; poor contact mostly shrinks the leads of one electrode and is mended at once.",
				Bedside:    "Pressure falling and rate rising speak for fluid round the heart: call while someone sees to the electrodes.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.Rate, norms.HeartRate),
			everyAge(lesson.QRSHeight, 0.15, 0.5, "below 0.5 mV in every limb lead: AHA ECG standards (from memory); below 0.15 mV nothing is counted: monitor standards (read second-hand)"),
			onePerQRS(),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Fluid or air round the heart comes first to mind: call now, echo by the team, drains looked at.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.CallStay, lesson.LookCall},
					Then:    "Check gain and electrodes and compare with an earlier strip; pressure, drains, heart sounds, swelling; tell the team.",
					Caution: "New and with a falling pressure it is urgent; after heart surgery a drain that has stopped may be the reason.",
					Source:  common,
				}
			}),
	},
}
