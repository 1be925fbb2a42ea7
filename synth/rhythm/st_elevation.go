package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var stElevation = Rhythm{
	Change: st(0.21, 0.32),
	Lesson: lesson.Lesson{
		ID:     "st-elevation",
		Name:   "ST elevation",
		Family: lesson.Shape,
		LookFor: []string{
			"Rate: the patient's own.",
			"Rhythm: regular.",
			"P wave: one upright in lead II before every QRS.",
			"PR: the same in every beat; the line between P and QRS is the level to measure from.",
			"QRS: narrow for age.",
			"T wave: grows out of a line that is already high.",
			"Special: 0.1 mV or more above the PR segment, the same in every beat and not moving with the breath.",
		},
		LookFirst: "Chest pain, colour and pressure, then gain, filter and lead.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "The line after the QRS stays 0.1 mV or more above the PR segment in every beat; the small lift of a healthy young heart is old, lower and ends in a notch.",
				Bedside:    "The earlier 12-lead; old, unchanged and without symptoms speaks for a normal variant.",
				Source:     repolarisation,
			}, {
				ID:         "st-depression",
				Difference: "The line lies above the PR segment; depression lies below it, and is what an opposite lead shows of the same injury.",
				Bedside:    "Two neighbouring leads of a 12-lead decide; a monitor lead alone does not.",
				Source:     repolarisation,
			}, {
				ID:         "peaked-t-waves",
				Difference: "The line is high before T begins; with a peaked T it is level and T rises from a narrow foot.",
				Bedside:    "A 12-lead and a potassium: both are wanted at once.",
				Source:     common,
			}, {
				ID:         "baseline-wander",
				Difference: "The shift is the same in five beats measured against their own PR segment; wander lifts and lowers the whole beat, P and all, in time with the breath.",
				Bedside:    "Watch the breath beside the strip; move the electrodes off the moving parts and look again.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.Rate, norms.HeartRate),
			everyAge(lesson.STLevel, 0.1, 1, "0.1 mV or more at J in two neighbouring leads: "+repolarisation+"; upper limit common practice"),
			onePerQRS(),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"12-lead now, pads on; the team thinks of the coronary arteries, of fluid round the heart and of inflamed muscle.",
			func(age ecg.Age) lesson.Care {
				if !isChild(age) {
					return lesson.Care{
						Urgency: lesson.Urgent, First: lesson.CallStay,
						Then:    "Ask about chest pain; 12-lead within ten minutes, and call at once with it in hand.",
						Caution: "A monitor lead alone is no ST diagnosis, but nobody waits for the second strip.",
						Source:  guideline,
					}
				}
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.CallStay},
					Then:    "Check electrodes, gain and filter, 12-lead now; if it is confirmed call: think of the sac round the heart, and of coronary arteries after an operation or Kawasaki disease.",
					Caution: "A monitor lead alone is no ST diagnosis; symptoms or a falling pressure make it urgent. Up to 0.1 mV is usual in the young.",
					Source:  repolarisation + "; " + common,
				}
			}),
	},
}
