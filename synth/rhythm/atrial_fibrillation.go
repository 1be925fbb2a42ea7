package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var fibrillatingAtria = Rhythm{
	Change: atrialFibrillation,
	Lesson: lesson.Lesson{
		ID:     "atrial-fibrillation",
		Name:   "atrial fibrillation",
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: any, fast while it is new and untreated; the pulse at the wrist may be slower.",
			"Rhythm: irregular without any pattern.",
			"P wave: none; a fine, restless baseline of 350 to 600 waves a minute.",
			"PR: cannot be measured.",
			"QRS: narrow for age, the patient's own, all alike.",
			"T wave: there, with the restless line running over it.",
			"Special: no two RR in a row are alike and nothing repeats.",
		},
		LookFirst: "Perfusion, and the pulse counted at heart and wrist for a full minute.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "multifocal-atrial-tachycardia",
				Difference: "No P at all and a restless line; the multifocal one has a P before each QRS, in three shapes or more, and a flat line between.",
				Bedside:    "A 12-lead settles it; lung disease and lack of oxygen speak for the other.",
				Source:     termList + "; flat line: from memory",
			}, {
				ID:         "respiratory-sinus-arrhythmia",
				Difference: "No P and no pattern; in the other one P stands before every QRS and RR swings with the breath.",
				Bedside:    "Watch the breath; in a child look twice for P, as fibrillation is rare.",
				Source:     "Singh 2011 (read); " + common,
			}, {
				ID:         "premature-atrial-beats",
				Difference: "No P and no regular stretch; with early atrial beats the rhythm between them is regular and P can be seen.",
				Bedside:    "Print ten seconds and mark every P.",
				Source:     common,
			}, {
				ID:         "atrial-flutter",
				Difference: "The line between the beats is fine and never twice the same; flutter draws one even saw-tooth, even when its QRS come irregularly.",
				Bedside:    "Look in II, III, aVF and V1; a 12-lead settles it. The first action is the same.",
				Source:     textbooks,
			}, {
				ID:         "pre-excited-atrial-fibrillation",
				Difference: "Narrow QRS, all alike; the pre-excited one is wide, changes its width from beat to beat and is faster.",
				Bedside:    "Is an accessory path known? Wide, fast and irregular is called at once.",
				Source:     guideline,
			},
		},
		Criteria: []lesson.Criterion{
			everyAge(lesson.RRSpread, 0.10, 0.40, "about 0.24, use 0.15-0.35: Tateno and Glass 2001, Med Biol Eng Comput 39:664 (value from memory), widened for the few beats of a strip"),
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				high := 180.0
				if age.Years() < 1 {
					high = 250
				} else if isChild(age) {
					high = 220
				}
				return lesson.Range{Low: 60, High: high, Source: "untreated, with a healthy AV node (from memory)"}
			}},
			everyAge(lesson.Dominant, 4, 10, "f waves of the baseline between the beats 350-600 a minute, content 4-9 Hz (from memory)"),
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"The team gets ready for a synchronised shock: defibrillator at the bedside, pads on, access.",
			func(age ecg.Age) lesson.Care {
				c := lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay, Also: []lesson.Action{lesson.AssessTell},
					Then:    "12-lead; electrolytes, depth of the line, oxygen, thyroid; whether blood thinning is needed is the team's question.",
					Caution: "Rare in children: confirm it by 12-lead. Wide, very fast and irregular may be an accessory path: call at once.",
					Source:  guideline + "; " + common,
				}
				if !isChild(age) {
					c.Then = "12-lead and the hour it began, as treatment hangs on that; electrolytes, oxygen, infection, thyroid."
					c.Caution = "Known fibrillation at a usual rate is charted; new, fast or badly borne is called. The trace counts beats that give no pulse."
				}
				return c
			}),
	},
}
