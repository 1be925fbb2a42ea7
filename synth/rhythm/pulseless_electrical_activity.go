package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var pulselessElectricalActivity = Rhythm{
	Change: pulselessActivity,
	Lesson: lesson.Lesson{
		ID:     "pulseless-electrical-activity",
		Name:   "pulseless electrical activity",
		Family: lesson.Arrest,
		LookFor: []string{
			"Rate: any, often slowing.",
			"Rhythm: organised, often regular.",
			"P wave: there or not.",
			"PR: as the rhythm has it.",
			"QRS: narrow or wide; it widens with time.",
			"T wave: there.",
			"Special: nothing on the strip tells it; there is no pulse.",
		},
		LookFirst: "Signs of life, a central pulse for at most ten seconds, the arterial trace and end-tidal carbon dioxide.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "Nothing on the strip; only the pulse tells.",
				Told:       lesson.OnPulse,
				Bedside:    "No signs of life, no central pulse, flat arterial trace, low end-tidal carbon dioxide. The saturation number may stand for seconds.",
				Source:     "Tibballs 2009, Resuscitation 80:61, palpation right in 78 % (read)",
			}, {
				ID:         "sinus-bradycardia",
				Difference: "Nothing on the strip; only the pulse tells.",
				Told:       lesson.OnPulse,
				Bedside:    "No signs of life, no central pulse, flat arterial trace; in doubt compressions.",
				Source:     "Tibballs 2009, Resuscitation 80:61, palpation right in 78 % (read)",
			}, {
				ID:         "idioventricular-rhythm",
				Difference: "Nothing on the strip: a slow wide escape may carry a pulse or none.",
				Told:       lesson.OnPulse,
				Bedside:    "Signs of life and a central pulse felt for at most ten seconds; in doubt compressions.",
				Source:     guideline,
			}, {
				ID:         "agonal-rhythm",
				Difference: "An organised rhythm; agonal beats are single, very wide and seconds apart.",
				Bedside:    "Nothing to settle: the first action is the same.",
				Source:     common,
			}, {
				ID:         "pulse-probe-fault",
				Difference: "Nothing on the leads: both show an organised rhythm over a flat pulse trace.",
				Told:       lesson.AtBedside,
				Bedside:    "The patient: no response, no central pulse, flat arterial trace; with a faulty probe pink, awake, and another site gives waves.",
				Source:     common,
			}, {
				ID:         "compressions",
				Difference: "Complexes with P, QRS and T at the heart's own rate; compressions draw broad waves at the rescuer's rate, which stop with the hands.",
				Bedside:    "Read it in the planned pause only; the pulse waves during compressions are the rescuer's.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				return lesson.Range{Low: 20, High: norms.HeartRate(age).Accept.High, Source: "any organised rhythm, mostly slow: " + guideline}
			}},
			everyAge(lesson.RRSpread, 0, 0.15, "organised ("+common+")"),
			everyAge(lesson.QRSTime, 0.03, 0.20, "narrow or wide: "+guideline),
		},
		States: pulseless(),
		Care:   arrestCare(lesson.NotShockable()),
	},
}
