package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var acceleratedJunctionalRhythm = Rhythm{
	Change: junctional(
		func(p Patient) float64 { return acceleratedJunction(p.Age).Low * (1 + rateGuard) },
		func(p Patient) float64 { return acceleratedJunction(p.Age).High * (1 - rateGuard) }),
	Lesson: lesson.Lesson{
		ID:     "accelerated-junctional-rhythm",
		Name:   "accelerated junctional rhythm",
		Family: lesson.Junctional,
		LookFor: []string{
			"Rate: 80 to 140 in the first years, 60 to 120 in a child, 60 to 100 in an adult.",
			"Rhythm: regular.",
			"P wave: none before the QRS, or upside down in lead II just before or behind it.",
			"PR: too short to have conducted, or none.",
			"QRS: narrow for age, the patient's own.",
			"T wave: upright in lead II; a small bump in front of it may be the P.",
			"Special: faster than an escape, slower than a tachycardia; it takes over from the sinus node.",
		},
		LookFirst: "Pressure and perfusion, and the hours since surgery.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "junctional-rhythm",
				Difference: "The waves are the same; here the rate is above that of an escape.",
				Bedside:    "Age decides the limit: 80 a minute in the first years, 60 later.",
				Source:     "rates from memory",
			}, {
				ID:         "junctional-ectopic-tachycardia",
				Difference: "A rate usual for age; the tachycardia is above 140 in a child and 100 in an adult, with P waves that march slower.",
				Bedside:    "Write the rate down every quarter of an hour: this one can grow into the tachycardia.",
				Source:     junctionalPost + "; rates from memory",
			}, {
				ID:         "third-degree-av-block",
				Difference: "Not slow, and no more P waves than QRS; in the block P waves are more and the ventricles are slow.",
				Bedside:    "Count P and QRS over six seconds; a pulse of usual rate speaks against block.",
				Source:     "reviews of AV dissociation (read second-hand)",
			}, {
				ID:         "sinus-rhythm",
				Difference: "No upright P before the QRS in lead II, and a rate that does not move with the breath.",
				Bedside:    "On an arterial or central venous trace the help of the atria is missing; a 12-lead shows the P.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: acceleratedJunction},
			everyAge(lesson.RRSpread, 0, 0.05, "regular (common practice)"),
			everyAge(lesson.PPerQRS, 0, 1.15, "never more P than QRS ("+bySense+"), with room for a P at the edge of a slow strip"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"The help of the atria is lost: call; the team may pace the atria faster than it, and looks at infusions and electrolytes.",
			func(age ecg.Age) lesson.Care {
				c := lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell,
					Then:    "12-lead and tell the team; temperature, electrolytes, digoxin, and infusions that drive the heart.",
					Caution: "After heart surgery in a child it may become junctional ectopic tachycardia: watch the rate and the temperature.",
					Source:  common,
				}
				if !isChild(age) {
					c.Caution = "Think of digoxin and of the coronary arteries; after heart surgery it mostly passes."
				}
				return c
			}),
	},
}

// acceleratedJunction is the rate above an escape and below a tachycardia, beats/min.
func acceleratedJunction(age ecg.Age) lesson.Range {
	const source = "above the escape for age, below junctional ectopic tachycardia (from memory)"
	switch y := age.Years(); {
	case y < 3:
		return lesson.Range{Low: 80, High: 140, Source: source}
	case y < 16:
		return lesson.Range{Low: 60, High: 120, Source: source}
	default:
		return lesson.Range{Low: 60, High: 100, Source: "standard adult range (from memory)"}
	}
}
