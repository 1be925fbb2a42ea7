package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var longQTInterval = Rhythm{
	Change: longQT,
	Lesson: lesson.Lesson{
		ID:     "long-qt",
		Name:   "a long QT",
		Family: lesson.Shape,
		LookFor: []string{
			"Rate: the patient's own, often a little slow.",
			"Rhythm: regular.",
			"P wave: one before every QRS, sometimes close behind the T.",
			"PR: the same in every beat, normal for age.",
			"QRS: narrow for age.",
			"T wave: ends late, close before the next P.",
			"Special: QT divided by the root of RR is above the limit for age; from 0.50 s on it is dangerous.",
		},
		LookFirst: "QT measured by hand in one lead, with the rate beside it, then the list of drugs.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "QT measured by hand and corrected is above the limit for age; that a usual T is over before the middle between two R holds only below about 80 a minute.",
				Bedside:    "Measure by hand and say which formula: the usual one overcorrects at the rates of infants. A 12-lead settles it.",
				Source:     repolarisation,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.QTcBazett, At: func(age ecg.Age) lesson.Range {
				if age.Years() < 0.5 {
					return lesson.Range{Low: 0.49, High: 0.70, Source: "upper limit of early infancy 0.49 s (read), so that every table calls it long; a handbook says 0.45 below six months (read second-hand)"}
				}
				return lesson.Range{Low: 0.46, High: 0.70, Source: "0.45 s in boys and men, 0.46 in girls and women: handbook (read second-hand); " + repolarisation}
			}},
			onePerQRS(),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Pads on: the next pause or early beat can start a twisting tachycardia; potassium, magnesium, calcium and drugs now.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay, Also: []lesson.Action{lesson.AssessTell},
					Then:    "12-lead with QTc, tell the team, pads near; potassium, magnesium, calcium; go through QT drugs with prescriber and pharmacist.",
					Caution: "At 0.50 s or more, with early beats on the T, pauses or fainting it is urgent; no new drug without asking about QT.",
					Source:  repolarisation + "; practice standards (from memory)",
				}
			}),
	},
}
