package rhythm

import (
	"fmt"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var sinusBradycardia = Rhythm{
	Change: slowSinus,
	Lesson: lesson.Lesson{
		ID:     "sinus-bradycardia",
		Name:   "sinus bradycardia",
		Family: lesson.Sinus,
		LookFor: []string{
			"Rate: below the range for the patient's age.",
			"Rhythm: regular, or swinging slowly with the breath.",
			"P wave: one upright in lead II before every QRS, and none besides.",
			"PR: the same in every beat, normal or a little long.",
			"QRS: narrow for age.",
			"T wave: smooth; no extra bump that could be a hidden P.",
			"Special: a slow infant lacks oxygen until shown otherwise.",
		},
		LookFirst: "Breathing, colour, saturation and, where there is one, the tube.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-rhythm",
				Difference: "The waves are the same; here the rate lies below the range for age, there within it.",
				Bedside:    "Age, sleep, and how the patient looks.",
				Source:     "Fleming 2011, Lancet 377:1011 (read)",
			}, {
				ID:         "third-degree-av-block",
				Difference: "Only one P for each QRS and a PR that stays; halve the visible PP and march it through: no bump at the half-way steps.",
				Bedside:    "In a slow infant see to airway, breathing and oxygen first, whatever the name; a 12-lead settles it.",
				Source:     common,
			}, {
				ID:         "ventricular-bigeminy",
				Difference: "All complexes look alike and keep equal distances; in bigeminy every second one is early, of another shape, and gives little pulse.",
				Bedside:    "Count the pulse against the trace: equal here, about half in bigeminy.",
				Source:     common,
			},
			{
				ID:         "blocked-atrial-bigeminy",
				Difference: "Every T is smooth and there is one P for each QRS; in blocked bigeminy an early P deforms every T.",
				Bedside:    "A 12-lead shows a hidden P in one lead or another; in a slow infant airway and breathing come first either way.",
				Source:     common + "; " + fetalBigeminy,
			},
			{
				ID:         "junctional-rhythm",
				Difference: "An upright P stands before every QRS in lead II; in the junctional rhythm there is none, or one upside down close to the QRS.",
				Bedside:    "A 12-lead shows the P; both are seen in healthy sleeping children.",
				Source:     healthyNewborns + "; " + southall,
			},
			{
				ID:         "two-to-one-av-block",
				Difference: "No second P midway between the visible ones; in 2:1 block one stands there, often in the T.",
				Bedside:    "Halve the visible PP and march it; in a slow infant airway, breathing and oxygen come first, whatever the name.",
				Source:     common,
			},
			{
				ID:         "pulseless-electrical-activity",
				Difference: "Nothing on the strip; only the pulse tells.",
				Told:       lesson.OnPulse,
				Bedside:    "Signs of life and a central pulse felt for at most ten seconds; in doubt compressions.",
				Source:     "Tibballs 2009, Resuscitation 80:61, palpation right in 78 % (read)",
			},
		},
		Criteria: []lesson.Criterion{
			{Measure: lesson.Rate, At: func(age ecg.Age) lesson.Range {
				limit := norms.HeartRate(age).Accept
				return lesson.Range{Low: 0.5 * limit.Low, High: limit.Low,
					Source: "below the low limit of " + limit.Source + "; down to half of it (derived)"}
			}},
			everyAge(lesson.RRSpread, 0, 0.12, "sinus 0.02-0.08, general (from memory), breathing shows more at slow rates"),
			onePerQRS(),
			narrowQRS(),
		},
		States: withPulse(),
		Care: lesson.ByState(lesson.NotShockable(), func(age ecg.Age, state ecg.State) lesson.Care {
			switch state {
			case ecg.PoorPerfusion:
				return slowAndPoor(age)
			case ecg.NotSure:
				return lesson.Unsure()
			default:
				return lesson.Care{
					Urgency: lesson.Watch, First: lesson.AssessTell, Also: []lesson.Action{lesson.LookCall},
					Then:    "Look for lack of oxygen, a vagal cause such as suction or the tube, drugs, cold, low sugar and raised pressure in the head; 12-lead if it is new.",
					Caution: slowCaution(age),
					Source:  guideline,
				}
			}
		}),
	},
}

// compressBelow is the rate in beats/min under which a child or infant whose
// perfusion stays poor with good oxygenation and ventilation gets compressions (AHA
// 2020, from memory).
const compressBelow = 60

// slowAndPoor is the care of any slow rhythm with poor perfusion. Breathing comes
// first at every age; a child below the limit goes on to compressions.
func slowAndPoor(age ecg.Age) lesson.Care {
	c := lesson.Poor("Call; the team looks for the cause and prepares to pace.")
	if isChild(age) {
		c.Also = nil
		c.Then = fmt.Sprintf("Below %d a minute and still poorly perfused although oxygen and ventilation are good: start compressions.", compressBelow)
		c.Caution = "Do not wait for the pulse to be lost in an infant or child."
	}
	return c
}

func slowCaution(age ecg.Age) string {
	switch {
	case norms.BandOf(age).Name == "newborn":
		return "A newborn below 100 who is awake is looked at now; the first minutes after birth follow the newborn guideline."
	case isChild(age):
		return fmt.Sprintf("Usual at this age is %s; slower can be normal in deep sleep and in the athletic adolescent.", restingRate(age))
	default:
		return "Usual in sleep and in the trained; symptoms mostly come below 50 a minute."
	}
}
