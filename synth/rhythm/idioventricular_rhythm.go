package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var idioventricularRhythm = Rhythm{
	Change: escapes(idioventricularRate, 0.02, 1.15),
	Lesson: lesson.Lesson{
		ID:     "idioventricular-rhythm",
		Name:   "idioventricular rhythm",
		Family: lesson.Ventricular,
		LookFor: []string{
			"Rate: very slow, 20 to 40 in an adult, below 50 in an infant.",
			"Rhythm: regular or nearly so.",
			"P wave: none, or not related.",
			"PR: none.",
			"QRS: wide for age, one shape.",
			"T wave: points away from the QRS.",
			"Special: the last escape; nothing is left above it.",
		},
		LookFirst: "Pulse and breathing.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "accelerated-idioventricular-rhythm",
				Difference: "Far below the own rate, without sinus beats; the accelerated one runs close to the sinus rate.",
				Bedside:    "Pulse and pressure mostly fail here and are mostly kept there.",
				Source:     textbooks,
			}, {
				ID:         "agonal-rhythm",
				Difference: "Regular, above 20 a minute; agonal beats are fewer, irregular and ever wider.",
				Bedside:    "Feel the pulse: there may be one here. No signs of life means compressions for both.",
				Source:     textbooks,
			}, {
				ID:         "third-degree-av-block",
				Difference: "No P waves march through it; in complete block they go on at their own rate.",
				Bedside:    "Both are called now; look for P waves in a second lead.",
				Source:     kusumoto,
			}, {
				ID:         "pulseless-electrical-activity",
				Difference: "Nothing on the strip: this rhythm without a pulse is one form of it.",
				Told:       lesson.OnPulse,
				Bedside:    "Signs of life, breathing, a central pulse felt for at most ten seconds, the arterial trace.",
				Source:     guideline,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				const child = "slower than the escape of the junction for age, infant 50-80, child 45-60 (from memory)"
				switch y := age.Years(); {
				case y < 1:
					return lesson.Range{Low: 20, High: 50, Source: child}
				case y < 16:
					return lesson.Range{Low: 20, High: 45, Source: child}
				default:
					return lesson.Range{Low: 20, High: 40, Source: "ventricular escape 20-40: encyclopaedia entry (read)"}
				}
			}},
			wideQRS(0.30),
			everyAge(lesson.RRSpread, 0, 0.10, "regular or nearly so ("+textbooks+")"),
			noP("no P that is related: " + textbooks),
		},
		States: []ecg.State{ecg.PoorPerfusion, ecg.NoSignsOfLife, ecg.NotSure, ecg.Stable},
		Care: lesson.ByState(lesson.NotShockable(), func(age ecg.Age, state ecg.State) lesson.Care {
			switch state {
			case ecg.PoorPerfusion:
				c := slowAndPoor(age)
				if isChild(age) {
					c.Also = []lesson.Action{lesson.Compress} // an escape this slow is always below the limit
				}
				return c
			case ecg.NotSure:
				c := lesson.Unsure()
				c.Also = append(c.Also, lesson.Compress) // the worse of two signs is no pulse
				return c
			default:
				return lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay,
					Then:    "Pads on, pacing box to the bedside, 12-lead; oxygen, potassium, drugs, temperature.",
					Caution: "It is an escape: do not suppress it. It may stop at any moment: feel the pulse again and again.",
					Source:  guideline,
				}
			}
		}),
	},
}
