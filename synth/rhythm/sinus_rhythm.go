package rhythm

import (
	"fmt"
	"math/rand/v2"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

var sinusRhythm = Rhythm{
	Change: func(Patient, *Setup, *rand.Rand) {},
	Lesson: lesson.Lesson{
		ID:     "sinus-rhythm",
		Name:   "sinus rhythm",
		Family: lesson.Sinus,
		LookFor: []string{
			"Rate: within the range for the patient's age.",
			"Rhythm: regular, a little faster while breathing in.",
			"P wave: one upright in lead II before every QRS, all of one shape.",
			"PR: the same in every beat, normal for age.",
			"QRS: narrow for age.",
			"T wave: upright in lead II, one after each QRS.",
			"Special: nothing; the age decides whether the rate is usual.",
		},
		LookFirst: "The patient and the rate for this age.",
		LookAlikes: []lesson.LookAlike{
			{
				ID:         "sinus-bradycardia",
				Difference: "The waves are the same; here the rate lies within the range for age, there below it.",
				Bedside:    "Age, and whether the patient sleeps.",
				Source:     "Fleming 2011, Lancet 377:1011 (read)",
			}, {
				ID:         "sinus-tachycardia",
				Difference: "The waves are the same; here the rate lies within the range for age, there above it.",
				Bedside:    "Compare the displayed rate with the pulse: exactly double means that T waves were counted as beats.",
				Source:     "Fleming 2011, Lancet 377:1011 (read); double counting: monitor standards (read second-hand)",
			}, {
				ID:         "third-degree-av-block",
				Difference: "Every P is followed by its QRS after the same PR; in the block P waves and QRS go their own ways and P waves are more.",
				Bedside:    "A pulse rate that fits the age speaks for sinus rhythm.",
				Source:     common,
			},
			{
				ID:         "respiratory-sinus-arrhythmia",
				Difference: "RR hardly moves over a breath; in the other it swings by more than a tenth with every breath, P and PR unchanged.",
				Bedside:    "Nothing to settle: both are normal.",
				Source:     "figure of a tenth: standard texts (from memory)",
			},
			{
				ID:         "wandering-atrial-pacemaker",
				Difference: "All P are of one shape; a wandering pacemaker changes the shape of P over some beats, and the PR with it.",
				Bedside:    "Nothing to settle: both are normal in the young.",
				Source:     healthyNewborns,
			},
			{
				ID:         "accelerated-junctional-rhythm",
				Difference: "An upright P stands before every QRS in lead II; in the junctional rhythm there is none, or one upside down close to the QRS.",
				Bedside:    "A 12-lead shows the P; pressure is a little better with the help of the atria.",
				Source:     common,
			},
			{
				ID:         "peaked-t-waves",
				Difference: "T is rounded, broad at its foot and below 0.6 mV; a peaked one is taller, pointed and narrow at its foot.",
				Bedside:    "Compare with an earlier strip: a T that has always been tall is the patient's own; a new one asks for a potassium.",
				Source:     potassiumTable,
			},
			{
				ID:         "inverted-t-waves",
				Difference: "T is upright in lead II; in V1 to V3 of a child a T that points down belongs to a normal strip.",
				Bedside:    "Know which lead is shown and where the chest electrode sits.",
				Source:     "Dickinson 2005, Heart 91:1626 (ages from memory)",
			},
			{
				ID:         "st-elevation",
				Difference: "After the QRS the line is level with the PR segment; the small lift of a healthy young heart stays at or below 0.1 mV in limb leads and is old.",
				Bedside:    "An earlier 12-lead; a new lift or pain asks for another one now.",
				Source:     repolarisation,
			},
			{
				ID:         "st-depression",
				Difference: "After the QRS the line is level with the PR segment; in the other it stays 0.1 mV or more below it in every beat.",
				Bedside:    "Measure five beats; what comes and goes with the breath is wander.",
				Source:     repolarisation,
			},
			{
				ID:         "long-qt",
				Difference: "QT measured by hand and corrected lies within the limit for age; in the other it is above it.",
				Bedside:    "Measure in one lead and say the rate and the formula: the usual one overcorrects in infants.",
				Source:     repolarisation,
			},
			{
				ID:         "low-voltage",
				Difference: "QRS passes 0.5 mV from top to bottom in one of I, II and III at least; in the other it does in none.",
				Bedside:    "Check the gain before you compare.",
				Source:     "AHA ECG standards (from memory)",
			},
			{
				ID:         "first-degree-av-block",
				Difference: "The PR lies within the range for age; in first-degree block above it. The limit grows with age, so measure before you name.",
				Bedside:    "Age, and the PR on an earlier strip.",
				Source:     "Rijnbeek 2001, Eur Heart J 22:702 (read second-hand)",
			},
			{
				ID:         "pre-excitation",
				Difference: "PR and QRS are usual for age and the QRS starts sharply; in pre-excitation the PR is short and the start slurred.",
				Bedside:    "Ask for fast spells; a 12-lead settles it.",
				Source:     surawicz,
			},
			{
				ID:         "pulseless-electrical-activity",
				Difference: "Nothing on the strip; only the pulse tells.",
				Told:       lesson.OnPulse,
				Bedside:    "Signs of life, a central pulse, waves on the arterial trace. The saturation number may stand for seconds after the flow has stopped.",
				Source:     "Tibballs 2009, Resuscitation 80:61, palpation right in 78 % (read)",
			},
			{
				ID:         "atrial-pacing",
				Difference: "No spike before the P and a rate that varies a little; a paced atrium has a spike before every P and a rate that never changes.",
				Bedside:    "No box, no wires; turn on pace marking, for a spike may be too small to see.",
				Source:     common,
			},
			{
				ID:         "swapped-electrodes",
				Difference: "P, QRS and T are upright in leads I and II; with swapped electrodes a lead turns over as a whole, or two leads change places.",
				Bedside:    "Compare with the last strip; follow each clip by its letters.",
				Source:     "PMC6932211 (read); which leads change: derived from the leads' definition",
			},
		},
		Criteria: []lesson.Criterion{
			accepted(lesson.Rate, norms.HeartRate),
			everyAge(lesson.RRSpread, 0, 0.10, "sinus 0.02-0.08, general (from memory), with room for breathing in children"),
			onePerQRS(),
			accepted(lesson.PRTime, norms.PR),
			accepted(lesson.QRSTime, norms.QRS),
			accepted(lesson.QTcBazett, norms.QTcBazett),
		},
		States: withPulse(),
		Care: livingCare(lesson.NotShockable(),
			"Look for the cause of the poor perfusion: the rhythm does not explain it.",
			func(age ecg.Age) lesson.Care {
				return lesson.Care{
					Urgency: lesson.Routine, First: lesson.Chart,
					Then:    fmt.Sprintf("Check that the alarm limits fit this patient; the usual resting rate at this age is %s.", restingRate(age)),
					Caution: "A normal trace excludes neither shock nor a lost pulse.",
					Source:  common,
				}
			}),
	},
}

// restingRate writes the usual rates at an age, "56 to 120 a minute".
func restingRate(age ecg.Age) string {
	r := norms.HeartRate(age).Accept
	return fmt.Sprintf("%.0f to %.0f a minute", r.Low, r.High)
}
