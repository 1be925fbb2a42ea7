package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var junctionalRhythm = Rhythm{
	Change: junctional(
		func(p Patient) float64 { return junctionalEscape(p.Age).Low * (1 + rateGuard) },
		func(p Patient) float64 { return junctionalEscape(p.Age).High * (1 - rateGuard) }),
	Lesson: lesson.Lesson{
		ID:     "junctional-rhythm",
		Name:   "junctional rhythm",
		Family: lesson.Junctional,
		LookFor: []string{
			"Rate: 50 to 80 in the first years, 40 to 60 later.",
			"Rhythm: regular.",
			"P wave: none before the QRS, or upside down in lead II just before or behind it.",
			"PR: too short to have conducted, or none.",
			"QRS: narrow for age, the patient's own.",
			"T wave: upright in lead II; a small bump in front of it may be the P.",
			"Special: the rescue rhythm of a sinus node that is late.",
		},
		LookFirst: "Perfusion and pressure: the help of the atria is lost.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-bradycardia",
				Difference: "No upright P before the QRS in lead II; in bradycardia one stands before each.",
				Bedside:    "Waking or crying brings the sinus node back in a healthy child; a 12-lead shows the P.",
				Source:     healthyNewborns + "; " + southall,
			}, {
				ID:         "third-degree-av-block",
				Difference: "No more P waves than QRS; in the block P waves march through at a faster rate and none conducts.",
				Bedside:    "Count P and QRS over six seconds; in doubt treat it as the block.",
				Source:     "reviews of AV dissociation (read second-hand)",
			}, {
				ID:         "accelerated-junctional-rhythm",
				Difference: "The waves are the same; here the rate is that of an escape, there above it.",
				Bedside:    "Age decides the limit: 80 a minute in the first years, 60 later.",
				Source:     "rates from memory",
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: junctionalEscape},
			everyAge(lesson.RRSpread, 0, 0.05, "regular (common practice)"),
			everyAge(lesson.PPerQRS, 0, 1.15, "never more P than QRS ("+bySense+"), with room for a P at the edge of a slow strip"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: slowCare(func(ecg.Age) lesson.Care {
			return lesson.Care{
				Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.Chart},
				Then:    "Full vital signs, drugs, 12-lead if it is new; after heart surgery pacing wires and box ready, and the team told.",
				Caution: "In sleep a well child may show it and it is only charted; do not suppress it, the sinus node is the trouble.",
				Source:  healthyNewborns + "; " + southall,
			}
		}),
	},
}

// junctionalEscape is the rate at which the AV junction takes over when nothing
// faster does, beats/min.
func junctionalEscape(age ecg.Age) lesson.Range {
	if age.Years() < 3 {
		return lesson.Range{Low: 50, High: 80, Source: "escape of the first years (from memory)"}
	}
	return lesson.Range{Low: 40, High: 60, Source: "standard escape; resting escape of children 45-60 (from memory)"}
}
