package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var junctionalEctopicTachycardia = Rhythm{
	Change: junctionalEctopic,
	Lesson: lesson.Lesson{
		ID:     "junctional-ectopic-tachycardia",
		Name:   "junctional ectopic tachycardia",
		Family: lesson.Junctional,
		LookFor: []string{
			"Rate: 140 to 260 in a child, above 100 in an adult.",
			"Rhythm: regular; now and then a well-timed P is conducted and that beat comes early.",
			"P wave: at a slower rate of its own, unrelated to the QRS.",
			"PR: another one in every beat, without order.",
			"QRS: the patient's own, narrow for age.",
			"T wave: some carry a bump that is a P.",
			"Special: more QRS than P; it warms up over minutes, mostly in the first days after heart surgery.",
		},
		LookFirst: "Pressure, perfusion and temperature, and the hours since surgery.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "supraventricular-tachycardia",
				Difference: "P waves march at their own slower rate, and an early beat follows a well-timed P; the other has no P or one at a fixed place behind the QRS.",
				Bedside:    "A recording from the atrial wires shows P against QRS; a slow warm-up after surgery speaks for this one.",
				Source:     junctionalPost,
			}, {
				ID:         "third-degree-av-block",
				Difference: "More QRS than P, and fast; in the block there are more P than QRS, and slow, and a well-timed P does not conduct.",
				Bedside:    "Count both over six seconds.",
				Source:     "reviews of AV dissociation (read second-hand)",
			}, {
				ID:         "accelerated-junctional-rhythm",
				Difference: "Fast for age, P waves slower than QRS; the accelerated rhythm has a rate usual for age.",
				Bedside:    "Pressure and urine fall in the tachycardia; write down the rate every quarter of an hour.",
				Source:     junctionalPost + "; rates from memory",
			}, {
				ID:         "sinus-tachycardia",
				Difference: "P has no fixed place before the QRS and is slower than it; in sinus tachycardia one stands before each QRS at one PR.",
				Bedside:    "On a central venous trace tall waves come and go as atria beat against closed valves; atrial wires settle it.",
				Source:     junctionalPost + "; venous waves: from memory",
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				if isChild(age) {
					return lesson.Range{Low: 140, High: 260, Source: "140-250: " + termList + "; after surgery usually 170-260 (from memory)"}
				}
				return lesson.Range{Low: 100, High: 250, Source: "above 100: standard adult range (from memory)"}
			}},
			everyAge(lesson.PPerQRS, 0.25, 0.95, "ventricular rate above atrial rate: "+junctionalPost),
			everyAge(lesson.RRSpread, 0, 0.12, "regular but for captured beats (from memory)"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Call the cardiologist or surgeon to the bedside; active warming off, fever treated as ordered, pacing box ready.",
			func(age ecg.Age) lesson.Care {
				c := lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay,
					Then:    "Stop active warming and treat fever as ordered; 12-lead with an atrial wire tracing; electrolytes with magnesium and calcium; go through sedation and infusions with the prescriber.",
					Caution: "A synchronised shock does not end it, and fever feeds it; have the pacing box at the bedside.",
					Source:  junctionalPost + "; Erickson 2006 (abstract read)",
				}
				if !isChild(age) {
					c.Caution = "Rare in adults: think of digoxin; a synchronised shock does not end it."
					c.Source = common
				}
				return c
			}),
	},
}
