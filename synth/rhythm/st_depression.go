package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var stDepression = Rhythm{
	Change: st(-0.31, -0.21),
	Lesson: lesson.Lesson{
		ID:     "st-depression",
		Name:   "ST depression",
		Family: lesson.Shape,
		LookFor: []string{
			"Rate: the patient's own; a fast rate alone can lower the line.",
			"Rhythm: regular.",
			"P wave: one upright in lead II before every QRS.",
			"PR: the same in every beat; the line between P and QRS is the level to measure from.",
			"QRS: narrow for age.",
			"T wave: grows out of a line that is already low.",
			"Special: 0.1 mV or more below the PR segment, the same in every beat and not moving with the breath.",
		},
		LookFirst: "Colour, oxygen, pressure and pain, then gain, filter and lead.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "inverted-t-waves",
				Difference: "The line is low from the end of the QRS on; with an inverted T it is level first and only T dips.",
				Bedside:    "Lay a ruler on the PR segment; both together are called sooner.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "st-elevation",
				Difference: "The line lies below the PR segment; elevation lies above it, and an opposite lead of the same injury may show it.",
				Bedside:    "Two neighbouring leads of a 12-lead decide; a monitor lead alone does not.",
				Source:     repolarisation,
			}, {
				ID:         "sinus-rhythm",
				Difference: "The line after the QRS stays 0.1 mV or more below the PR segment in every beat; in a healthy strip it is level with it.",
				Bedside:    "Measure five beats: a shift that comes and goes with the breath is wander of the baseline.",
				Source:     repolarisation + "; " + common,
			}, {
				ID:         "baseline-wander",
				Difference: "The shift is the same in five beats measured against their own PR segment; wander lifts and lowers the whole beat, P and all, in time with the breath.",
				Bedside:    "Watch the breath beside the strip; move the electrodes off the moving parts and look again.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.Rate, norms.HeartRate),
			everyAge(lesson.STLevel, -1, -0.1, "0.05 mV in two leads counts as depression: "+repolarisation+"; 0.1 mV so that it can be seen on a strip (common practice)"),
			onePerQRS(),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"The heart may lack blood or oxygen: oxygen, pressure, haemoglobin and 12-lead now, pads near.",
			func(age ecg.Age) lesson.Care {
				c := lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.CallStay},
					Then:    "Check electrodes, gain and filter, 12-lead now; saturation, haemoglobin, rate, digoxin; call if it is confirmed.",
					Caution: "New with symptoms or a falling pressure it is urgent; a monitor lead alone is no ST diagnosis.",
					Source:  repolarisation + "; " + common,
				}
				if !isChild(age) {
					c.Caution = "With chest pain or breathlessness call at once; a monitor lead alone is no ST diagnosis."
				}
				return c
			}),
	},
}
