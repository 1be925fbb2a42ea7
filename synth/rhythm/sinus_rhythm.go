package rhythm

import (
	"fmt"
	"math/rand/v2"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var sinusRhythm = Rhythm{
	Change: func(Patient, *Setup, *rand.Rand) {},
	Lesson: lesson.Lesson{
		ID:     "sinus-rhythm",
		Name:   "sinus rhythm",
		Family: lesson.Sinus,
		LookFor: []string{
			"Rate: within the range for the patient's age.",
			"Rhythm: regular, a little faster while breathing in.",
			"P wave: one upright in lead II before every QRS, all of one shape.",
			"PR: the same in every beat, normal for age.",
			"QRS: narrow for age.",
			"T wave: upright in lead II, one after each QRS.",
			"Special: nothing; the age decides whether the rate is usual.",
		},
		LookFirst: "The patient and the rate for this age.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-bradycardia",
				Difference: "The waves are the same; here the rate lies within the range for age, there below it.",
				Bedside:    "Age, and whether the patient sleeps.",
				Source:     "Fleming 2011, Lancet 377:1011 (read)",
			}, {
				ID:         "sinus-tachycardia",
				Difference: "The waves are the same; here the rate lies within the range for age, there above it.",
				Bedside:    "Compare the displayed rate with the pulse: exactly double means that T waves were counted as beats.",
				Source:     "Fleming 2011, Lancet 377:1011 (read); double counting: monitor standards (read second-hand)",
			}, {
				ID:         "third-degree-av-block",
				Difference: "Every P is followed by its QRS after the same PR; in the block P waves and QRS go their own ways and P waves are more.",
				Bedside:    "A pulse rate that fits the age speaks for sinus rhythm.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.Rate, norms.HeartRate),
			everyAge(lesson.RRSpread, 0, 0.10, "sinus 0.02-0.08, general (from memory), with room for breathing in children"),
			onePerQRS(),
			accepted(lesson.PRTime, norms.PR),
			accepted(lesson.QRSTime, norms.QRS),
			accepted(lesson.QTcBazett, norms.QTcBazett),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Look for the cause of the poor perfusion: the rhythm does not explain it.",
			func(age ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Routine, First: lesson.Chart,
					Then:    fmt.Sprintf("Check that the alarm limits fit this patient; the usual resting rate at this age is %s.", restingRate(age)),
					Caution: "A normal trace excludes neither shock nor a lost pulse.",
					Source:  common,
				}
			}),
	},
}

// restingRate writes the usual rates at an age, "56 to 120 a minute".
func restingRate(age ecg.Age) string {
	r := norms.HeartRate(age).Accept
	return fmt.Sprintf("%.0f to %.0f a minute", r.Low, r.High)
}
