package rhythm

import "telltrace/synth/lesson"

var leftBundleBranchBlock = Rhythm{
	Change: bundleBlock(false),
	Lesson: lesson.Lesson{
		ID:     "left-bundle-branch-block",
		Name:   "left bundle branch block",
		Family: lesson.Block,
		LookFor: []string{
			"Rate: the sinus node's own.",
			"Rhythm: regular.",
			"P wave: one before every QRS.",
			"PR: the same in every beat, normal for age.",
			"QRS: wide for age, broad and notched from the start; upright in I, deep and downward in V1.",
			"T wave: points away from the QRS.",
			"Special: rare in a child without heart disease or heart surgery.",
		},
		LookFirst: "The old strip, and in an adult chest pain.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "right-bundle-branch-block",
				Difference: "V1 points down throughout and lead I is broad and upright; in right block V1 ends upright and lead I has a broad S.",
				Bedside:    "A 12-lead settles it; neither is named from lead II alone.",
				Source:     surawicz,
			}, {
				ID:         "pre-excitation",
				Difference: "Normal PR; in pre-excitation the PR is short and the start of the QRS is slurred.",
				Bedside:    "A 12-lead, drawn large enough to see the first 0.04 s.",
				Source:     surawicz,
			}, {
				ID:         "ventricular-pacing",
				Difference: "A P with a steady PR before each QRS and no spike; paced beats begin with a spike, which may be too small to see.",
				Bedside:    "Look for a box, wires or a scar, and turn on pace marking.",
				Source:     common,
			},
		},
		Criteria: bundleBlockCriteria(-4, -0.05),
		States:   withPulse(),
		Care:     bundleBlockCare("New in a child it points to the heart muscle or to the operation; widening over hours, think of potassium and drugs and call."),
	},
}
