package rhythm

import (
	"fmt"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var sinusTachycardia = Rhythm{
	Change: fastSinus,
	Lesson: lesson.Lesson{
		ID:     "sinus-tachycardia",
		Name:   "sinus tachycardia",
		Family: lesson.Sinus,
		LookFor: []string{
			"Rate: above the range for age; usually below 220 in an infant and below 180 in a child.",
			"Rhythm: regular, but it drifts with crying, pain, fever and rest.",
			"P wave: one upright in lead II before every QRS; it may sit on the T before it.",
			"PR: the same in every beat, short end of normal.",
			"QRS: narrow for age.",
			"T wave: close to the next P, sometimes one hump with it.",
			"Special: it began over minutes, and there is a reason to find.",
		},
		LookFirst: "The patient: pain, fever, crying, work of breathing, perfusion.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "supraventricular-tachycardia",
				Difference: "A normal P before each QRS and a rate that wanders over ten seconds; in the other the rate is fixed, P is missing or odd, and it starts within one beat.",
				Bedside:    "A cause that fits: fever, pain, crying, low volume, lack of oxygen. The rates overlap, so the rate alone settles nothing; a 12-lead does.",
				Source:     pals20 + "; fixed rate: from memory",
			}, {
				ID:         "sinus-rhythm",
				Difference: "The waves are the same; here the rate lies above the range for age, there within it.",
				Bedside:    "Count the pulse: a displayed rate exactly twice the pulse means that T waves were counted.",
				Source:     "Fleming 2011, Lancet 377:1011 (read); double counting: monitor standards (read second-hand)",
			},
			{
				ID:         "atrial-tachycardia",
				Difference: "P is upright in I, II and aVF and the rate drifts; in atrial tachycardia P has another shape and the rate hardly moves.",
				Bedside:    "A cause that fits, and a rate that falls when it is treated; a 12-lead shows the P axis.",
				Source:     pals20 + "; the rest from memory",
			},
			{
				ID:         "junctional-ectopic-tachycardia",
				Difference: "One P stands before each QRS at one PR; in the junctional one P waves are fewer than QRS and have no fixed place.",
				Bedside:    "In the first days after heart surgery ask for an atrial wire recording before calling it sinus.",
				Source:     junctionalPost,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				rest := norms.HeartRate(age).Accept
				high := 180.0
				if age.Years() < 1 {
					high = 225
				}
				return lesson.Range{Low: rest.High, High: high,
					Source: "above the high limit of " + rest.Source + "; infant usually below 220, child below 180: " + pals20 + "; crying infant up to 225, and adult, from memory"}
			}},
			everyAge(lesson.RRSpread, 0.004, 0.10, "varies, unlike a re-entry tachycardia: "+pals20+"; figure from memory"),
			onePerQRS(),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"This may be shock: pressure, capillary refill, bleeding, infection, breathing; access and help now.",
			func(age ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell,
					Then:    "Treat the cause, not the number: temperature, pain, fluids, bleeding, infusions, withdrawal; tell the team if nothing explains it.",
					Caution: fmt.Sprintf("It may be the only early sign of shock: a systolic pressure below %.0f mmHg is low at this age, and comes late.", norms.Hypotension(age)),
					Source:  pals20 + "; search for the cause: " + guideline,
				}
			}),
	},
}
