package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var flutter = Rhythm{
	Change: atrialFlutter,
	Lesson: lesson.Lesson{
		ID:     "atrial-flutter",
		Name:   "atrial flutter",
		Family: lesson.Atrial,
		LookFor: []string{
			"Rate: often about 150 in an adult and 200 to 220 in a newborn, and it never moves.",
			"Rhythm: regular at 2:1, 3:1 or 4:1; in groups when the ratio changes.",
			"P wave: none; an even saw-tooth, 250 to 350 a minute in an adult, up to 580 in a newborn.",
			"PR: cannot be measured.",
			"QRS: narrow for age, the patient's own.",
			"T wave: hard to part from the saw-tooth.",
			"Special: two or more waves for each QRS and no flat line in II, III and aVF.",
		},
		LookFirst: "Perfusion and pulse.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "supraventricular-tachycardia",
				Difference: "Two waves for each QRS: one stands exactly midway between those you see, hidden in QRS or T; the other has at most one P for each QRS.",
				Bedside:    "Keep a strip running while the team slows the node: the saw-tooth is laid bare.",
				Source:     "newborn figures: rare-disease entry on neonatal flutter (read); adult from memory",
			}, {
				ID:         "atrial-tachycardia",
				Difference: "More waves than QRS and no flat line; atrial tachycardia has one P for each QRS with a flat line between.",
				Bedside:    "A 12-lead shows the saw-tooth in II, III and aVF.",
				Source:     textbooks,
			}, {
				ID:         "atrial-fibrillation",
				Difference: "One even saw-tooth that can be marched out with calipers; the line of fibrillation is never twice the same.",
				Bedside:    "Nothing to settle first: the action is the same.",
				Source:     textbooks,
			}, {
				ID:         "mains-hum",
				Difference: "A saw-tooth of 250 to 580 waves a minute with QRS at fixed places in it; hum is a solid even band of 50 or 60 waves a second.",
				Bedside:    "Hum stands on a lead that is off as well; new electrodes and parted cables end it.",
				Source:     common,
			}, {
				ID:         "shivering",
				Difference: "Every wave is like the last and QRS keep a fixed place among them; the waves of shivering change in height and distance and QRS do not follow them.",
				Bedside:    "Look and feel: shivering stops with warmth or a hand on the limb, and normal P waves come out.",
				Source:     "Baranchuk and Kang 2009, Cardiol J 16:373 (read)",
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.AtrialRate, At: func(age ecg.Age) lesson.Range {
				switch y := age.Years(); {
				case y < 1:
					return lesson.Range{Low: 280, High: 580, Source: "newborn 340-580, about 440: rare-disease entry (read); 280-500: BMC Pediatr 2020, s12887-020-02259-7 (read)"}
				case y < 16:
					return lesson.Range{Low: 250, High: 450, Source: "between the newborn and the adult range (derived)"}
				default:
					return lesson.Range{Low: 250, High: 350, Source: "standard adult range (from memory)"}
				}
			}},
			everyAge(lesson.PPerQRS, 1.7, 4.8, "2:1 to 4:1 or changing between them (from memory), with room for waves at the edge of a strip"),
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				if age.Years() < 1 {
					return lesson.Range{Low: 125, High: 290, Source: "ventricular 125-280: rare-disease entry (read); half of 580 at 2:1 (derived)"}
				}
				return lesson.Range{Low: 60, High: 225, Source: "atrial rate divided by the ratio (derived)"}
			}},
			narrowQRS(),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"The team gets ready for a synchronised shock: defibrillator at the bedside, pads on, access.",
			func(age ecg.Age) lesson.Care {
				caution := "The ratio can change to 1:1 and double the rate: keep pads near."
				switch {
				case age.Years() < 1:
					caution = "A fixed rate of 200 to 220 in a newborn that crying and sleep do not change is this until shown otherwise."
				case !isChild(age):
					caution = "A fixed rate near 150 is this until shown otherwise; the hour it began matters for treatment."
				}
				return lesson.Care{
					Urgency: lesson.Urgent, First: lesson.CallStay,
					Then:    "12-lead, and a strip that runs on while the team slows the node: it shows the waves.",
					Caution: caution,
					Source:  guideline + "; " + common,
				}
			}),
	},
}
