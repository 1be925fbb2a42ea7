package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var preExcitation = Rhythm{
	Change: preExcited,
	Lesson: lesson.Lesson{
		ID:     "pre-excitation",
		Name:   "pre-excitation",
		Family: lesson.Block,
		LookFor: []string{
			"Rate: the sinus node's own.",
			"Rhythm: regular.",
			"P wave: one before every QRS, close to it.",
			"PR: short, below 0.12 s in an adult and 0.09 s in a child, the same in every beat.",
			"QRS: wide for age, with a slow, slurred start: the delta wave.",
			"T wave: often points away from the slur.",
			"Special: an accessory path; a fast irregular wide rhythm in this patient is dangerous.",
		},
		LookFirst: "The patient, palpitations, earlier fast spells.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "left-bundle-branch-block",
				Difference: "Short PR and a slurred start; in bundle branch block the PR is normal.",
				Bedside:    "A 12-lead, drawn large: a dot of 0.0125 s or finer is needed for the slur.",
				Source:     surawicz,
			}, {
				ID:         "right-bundle-branch-block",
				Difference: "Short PR and the slow part first; in right block the PR is normal and the slow part comes last.",
				Bedside:    "A 12-lead, drawn large: a dot of 0.0125 s or finer is needed for the slur.",
				Source:     surawicz,
			}, {
				ID:         "sinus-rhythm",
				Difference: "PR too short and QRS too wide with a slurred start; in sinus rhythm both are usual for age.",
				Bedside:    "Ask for fast spells; a 12-lead settles it.",
				Source:     surawicz,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.PRTime, At: func(age ecg.Age) lesson.Range {
				high := 0.12
				if isChild(age) {
					high = 0.09
				}
				return lesson.Range{Low: 0.03, High: high, Source: "below 0.12 s in an adult, 0.09 s in a child: Surawicz 2009 (from memory); lower limit common practice"}
			}},
			{Measure: lesson.QRSTime, At: func(age ecg.Age) lesson.Range {
				wide := norms.WideQRS(age)
				return lesson.Range{Low: wide.Low, High: 0.20, Source: "above 0.11 s in an adult, 0.09 s in a child: Surawicz 2009 (from memory); upper limit common practice"}
			}},
			onePerQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"If it is fast, or irregular and wide, the team gets ready for a synchronised shock: defibrillator on, pads on, access.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell,
					Then:    "12-lead, tell the team and cardiology, and pass it on at every handover: known accessory path.",
					Caution: "Fast, wide and irregular in this patient: call at once, and leave drugs that act on the node to the cardiologist.",
					Source:  guideline + "; " + common,
				}
			}),
	},
}
