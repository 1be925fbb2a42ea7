package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var rightBundleBranchBlock = Rhythm{
	Change: bundleBlock(true),
	Lesson: lesson.Lesson{
		ID:     "right-bundle-branch-block",
		Name:   "right bundle branch block",
		Family: lesson.Block,
		LookFor: []string{
			"Rate: the sinus node's own.",
			"Rhythm: regular.",
			"P wave: one before every QRS.",
			"PR: the same in every beat, normal for age.",
			"QRS: wide for age, quick at the start and slow at the end; a late upright wave in V1, a broad S in I.",
			"T wave: in V1 away from the late wave.",
			"Special: common and known after repair of a hole between the ventricles.",
		},
		LookFirst: "The old strip.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "left-bundle-branch-block",
				Difference: "V1 ends upright and lead I has a broad S; in left block V1 points down throughout and lead I is broad, notched and upright.",
				Bedside:    "A 12-lead settles it; neither is named from lead II alone.",
				Source:     surawicz,
			}, {
				ID:         "pre-excitation",
				Difference: "Normal PR and a quick start, the slow part comes last; in pre-excitation the PR is short and the start is slurred.",
				Bedside:    "A 12-lead, drawn large enough to see the first 0.04 s.",
				Source:     surawicz,
			},
		},
		Criteria: bundleBlockCriteria(0.05, 4),
		States:   withPulse(),
		Care:     bundleBlockCare("Known after septal repair it needs nothing; new or widening over hours, think of potassium and drugs and call."),
	},
}

// bundleBlockCriteria are those of either side. V1 ends upright in right block and
// down in left block: its last deflection in mV parts them.
func bundleBlockCriteria(lowV1, highV1 float64) []lesson.Criterion {
	return []lesson.Criterion{
		{Measure: lesson.QRSTime, At: func(age ecg.Age) lesson.Range {
			wide := norms.WideQRS(age)
			return lesson.Range{Low: wide.High, High: 0.20, Source: "complete block, adult 0.12 s, 4-16 y 0.10 s, below 4 y 0.09 s: " + surawicz + "; upper limit common practice"}
		}},
		everyAge(lesson.LateV1, lowV1, highV1, "upright end of V1 in right block, downward in left: "+surawicz+"; figures one drawn dot from zero (derived)"),
		accepted(lesson.PRTime, norms.PR),
		onePerQRS(),
	}
}

// bundleBlockCare is the care of either side; caution is its own.
func bundleBlockCare(caution string) func(ecg.Age, ecg.State) lesson.Care {
	return livingCare(lesson.NotShockable(),
		"The block alone does not explain poor perfusion: is it new, is it widening, what is the potassium.",
		func(age ecg.Age) lesson.Care {
			c := lesson.Care{
				Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.Chart},
				Then:    "12-lead and tell the team if it is new; chart the patient's own QRS width, the yardstick for any wide beat to come.",
				Caution: caution,
				Source:  surawicz + "; " + common,
			}
			if !isChild(age) {
				c.Also = append(c.Also, lesson.CallStay)
				c.Then = "With chest pain and a new block: 12-lead and call at once. Otherwise tell the team if it is new and chart the QRS width."
			}
			return c
		})
}
