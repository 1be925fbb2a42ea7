package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var respiratorySinusArrhythmia = Rhythm{
	Change: respiratoryArrhythmia,
	Lesson: lesson.Lesson{
		ID:     "respiratory-sinus-arrhythmia",
		Name:   "respiratory sinus arrhythmia",
		Family: lesson.Sinus,
		LookFor: []string{
			"Rate: within the range for age, quicker and slower in turn.",
			"Rhythm: irregular in waves, shorter RR while breathing in, longer while breathing out.",
			"P wave: one upright in lead II before every QRS, all of one shape.",
			"PR: the same in every beat.",
			"QRS: narrow for age, all alike.",
			"T wave: upright in lead II, one after each QRS.",
			"Special: one swing for each breath; a sign of health in the young.",
		},
		LookFirst: "The chest: watch the breath and the rate together.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "The waves are the same; here RR swings by more than a tenth with every breath, there it hardly moves.",
				Bedside:    "Nothing to settle: both are normal. Count over a full minute.",
				Source:     "figure of a tenth: standard texts (from memory)",
			}, {
				ID:         "sinus-pause",
				Difference: "RR lengthens and shortens little by little, once per breath; a pause comes all at once and is at least half as long again as the RR before it.",
				Bedside:    "Watch the breath: the swing keeps time with it, a pause does not.",
				Source:     healthyNewborns,
			}, {
				ID:         "atrial-fibrillation",
				Difference: "A P of one shape and one PR before every QRS, and a pattern that repeats; fibrillation has neither P nor pattern.",
				Bedside:    "Fibrillation is rare in children: look twice for P before naming it.",
				Source:     "chapter on sinus arrhythmia, Singh 2011 (read); " + common,
			}, {
				ID:         "wandering-atrial-pacemaker",
				Difference: "P keeps its shape and PR its length while RR swings; a wandering pacemaker changes both.",
				Bedside:    "Nothing to settle: both are harmless in the young.",
				Source:     healthyNewborns,
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.Rate, norms.HeartRate),
			everyAge(lesson.RRRange, 0.10, 0.60, "more than a tenth: standard texts (from memory); upper limit: below a pause ("+healthyNewborns+")"),
			onePerQRS(),
			accepted(lesson.PRTime, norms.PR),
			everyAge(lesson.PRSpread, 0, 0.03, "PR unchanged: Singh 2011 (read); figure is one reading error"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Look for the cause of the poor perfusion: this rhythm does not explain it.",
			func(ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Routine, First: lesson.Chart,
					Then:    "Chart it as a normal finding; count the rate over a full minute.",
					Caution: "It may come and go with sleep, age and drugs: what that means is not for the reader of a strip to say.",
					Source:  "Singh 2011 (read); " + common,
				}
			}),
	},
}
