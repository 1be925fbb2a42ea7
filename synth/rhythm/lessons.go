package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

// Sources of criteria and differences that several lessons share.
const (
	bySense   = "definition"
	pals20    = "AHA PALS 2020 tachycardia algorithm (read)"
	kerber    = "Kerber 1997, Circulation 95:1677 (limits from memory)"
	huang     = "Huang 2006, Int J Cardiol 111:163 (read)"
	common    = lesson.CommonPractice
	guideline = lesson.Guideline
)

// withPulse are the states of a rhythm that may or may not carry a pulse: the strip
// is the same in all of them.
func withPulse() []ecg.State {
	return []ecg.State{ecg.Stable, ecg.PoorPerfusion, ecg.NotSure, ecg.NoSignsOfLife}
}

// pulseless are the states of a rhythm that carries no pulse.
func pulseless() []ecg.State { return []ecg.State{ecg.NoSignsOfLife, ecg.NotSure} }

// everyAge is a criterion that does not depend on age.
func everyAge(m lesson.Measure, low, high float64, source string) lesson.Criterion {
	return lesson.Criterion{Measure: m, At: func(ecg.Age) lesson.Range {
		return lesson.Range{Low: low, High: high, Source: source}
	}}
}

// accepted is the criterion that a measure lies where any published table has it.
func accepted(m lesson.Measure, norm func(ecg.Age) norms.Norm) lesson.Criterion {
	return lesson.Criterion{Measure: m, At: func(age ecg.Age) lesson.Range {
		s := norm(age).Accept
		return lesson.Range{Low: s.Low, High: s.High, Source: s.Source}
	}}
}

// narrowQRS is the criterion that the usual beats are narrow for age.
func narrowQRS() lesson.Criterion {
	return lesson.Criterion{Measure: lesson.QRSTime, At: func(age ecg.Age) lesson.Range {
		wide := norms.WideQRS(age)
		return lesson.Range{Low: norms.QRS(age).Accept.Low, High: wide.High, Source: wide.Source}
	}}
}

// onePerQRS is the criterion of one P wave for each QRS, with room for one wave at
// the edge of a strip.
func onePerQRS() lesson.Criterion {
	return everyAge(lesson.PPerQRS, 0.9, 1.1, bySense)
}

// isChild reports whether paediatric guidelines apply.
func isChild(age ecg.Age) bool { return norms.BandOf(age).Name != "adult" }

// doubtfulArrest is the answer when an arrest rhythm stands on the screen and the
// signs disagree: treated as an arrest until somebody has felt a pulse.
func doubtfulArrest() lesson.Care {
	return lesson.Care{
		Urgency: lesson.ArrestNow, First: lesson.Compress, Also: []lesson.Action{lesson.LookCall},
		Then:    "Look and feel for at most ten seconds, and call; no certain pulse and no signs of life means compressions.",
		Caution: "A patient who moves, breathes and looks at you is not in arrest: then see to electrodes and cable.",
		Source:  guideline,
	}
}

// lookAgain is the answer when a patient with signs of life has an arrest rhythm on
// the screen, which cannot both be true.
func lookAgain() lesson.Care {
	return lesson.Care{
		Urgency: lesson.Urgent, First: lesson.LookCall, Also: []lesson.Action{lesson.CallStay},
		Then:    "Stay with the patient, feel the pulse, then check electrodes, cable, lead and size.",
		Caution: "Signs of life and this strip do not go together: one of them is about to change or is false.",
		Source:  common,
	}
}

// arrestCare is the care of the rhythms without a pulse.
func arrestCare(then lesson.Care) func(ecg.Age, ecg.State) lesson.Care {
	return lesson.ByState(then, func(_ ecg.Age, state ecg.State) lesson.Care {
		if state == ecg.NotSure {
			return doubtfulArrest()
		}
		return lookAgain()
	})
}

// livingCare is the care of a rhythm that may carry a pulse: its own answer when the
// patient is stable, and one sentence of its own when perfusion is poor.
func livingCare(arrest lesson.Care, poor string, stable func(ecg.Age) lesson.Care) func(ecg.Age, ecg.State) lesson.Care {
	return lesson.ByState(arrest, func(age ecg.Age, state ecg.State) lesson.Care {
		switch state {
		case ecg.PoorPerfusion:
			return lesson.Poor(poor)
		case ecg.NotSure:
			return lesson.Unsure()
		default:
			return stable(age)
		}
	})
}
