package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var prematureAtrialBeats = Rhythm{
	Change: prematureAtrial,
	Shows:  AfterEctopic,
	Lesson: lesson.Lesson{
		ID:     "premature-atrial-beats",
		Name:   "premature atrial beats",
		Plural: true,
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: the patient's own, with single beats that come too soon.",
			"Rhythm: regular but for the early beat and a short pause after it.",
			"P wave: before the early beat too, early and of another shape, often in the T before it.",
			"PR: the same in the usual beats, sometimes longer in the early one.",
			"QRS: the early one looks like all the others.",
			"T wave: the one before the early beat may be taller or notched by the P in it.",
			"Special: the pause is shorter than with a ventricular beat, as the sinus node starts anew.",
		},
		LookFirst: "The pulse rate against the rate on the trace.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "premature-ventricular-beats",
				Difference: "An early P and the patient's own QRS; the ventricular one has no P, another QRS and a T turned the other way.",
				Bedside:    "In an infant a ventricular beat may be only a little wide: compare shapes, not widths. Either may give a weak pulse.",
				Source:     compensatory + "; " + pals20,
			}, {
				ID:         "aberrantly-conducted-atrial-beats",
				Difference: "The early QRS is as narrow as the others; with aberrant conduction it is wide, though an early P stands before it.",
				Bedside:    "Nothing to settle: look at the T before the early beat in both.",
				Source:     common,
			}, {
				ID:         "premature-junctional-beats",
				Difference: "An early P stands well before the early QRS; in the junctional one P is missing, upside down or behind it.",
				Bedside:    "Nothing to settle at the bedside: both are charted and counted.",
				Source:     bySense + " (from memory)",
			}, {
				ID:         "atrial-fibrillation",
				Difference: "P before every QRS, and the disorder is only around the early beats; fibrillation has no P and no regular stretch.",
				Bedside:    "Print ten seconds and mark every P.",
				Source:     common,
			},
		},
		Criteria: []lesson.Criterion{
			earlyBeats(),
			ownShape(),
			everyAge(lesson.PPerQRS, 0.9, 1.15, "a P before every beat ("+bySense+"), with room for a P at the edge"),
			everyAge(lesson.LongestRR, 1, 1.9, "early beat and pause last less than two cycles: "+compensatory),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Look for the cause of the poor perfusion: single early beats hardly explain it; ask about potassium, line tip and oxygen.",
			func(age ecg.Age) lesson.Care {
				caution := "New, frequent, or after heart surgery: tell the team; a slow pulse may hide early beats that were not conducted."
				if age.Years() < 1 {
					caution = "Common and mostly harmless in a well newborn; a slow pulse may hide early beats that were not conducted."
				}
				return lesson.Care{
					Urgency: lesson.Routine, First: lesson.Chart, Also: []lesson.Action{lesson.AssessTell},
					Then:    "Chart how many a minute; if they are frequent look at electrolytes, stimulants and the depth of a central or atrial line.",
					Caution: caution,
					Source:  healthyNewborns + "; " + common,
				}
			}),
	},
}
