package bedside

import (
	"cmp"
	"slices"

	"telltrace/scenarios/alarms"
	"telltrace/scenarios/play"
	"telltrace/scenarios/script"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
)

// An AlarmMark is what the answer to "is this alarm real?" is worth.
type AlarmMark struct {
	Verdict ledger.Verdict
	Right   []alarms.Answer
	Points  []Point
}

// MarkAlarm marks the answer to an alarm, given at the present time of the play; ""
// when time ran out. The first rule that applies:
//
//  1. An arrest that was called not real, or not answered, is critical; another real
//     alarm, wrong.
//  2. "Not real" without having looked at the patient or felt the pulse is wrong.
//  3. In doubt is right where nobody could tell, and near elsewhere; so is calling
//     real what was looked at and is not: on the safe side.
//  4. Calling real what nobody looked at is wrong when it is not.
//
// Beside it the order counts: the patient, by eye or finger, before anything else; and
// to call an alarm not real one witness more than the patient's look settles it.
func MarkAlarm(c alarms.Case, p *play.Play, answer alarms.Answer) AlarmMark {
	e := c.Script.Episodes[0]
	m := AlarmMark{Right: []alarms.Answer{c.Truth}}
	if c.Truth == alarms.Doubt {
		m.Right = append(m.Right, alarms.Real)
	}
	var seen []script.Look
	for _, x := range p.Events() {
		if x.Kind == play.Sees || x.Kind == play.Breaks {
			seen = append(seen, x.Look)
		}
	}
	patient := slices.Contains(seen, script.LookPatient) || slices.Contains(seen, script.LookPulse)
	real := c.Truth != alarms.NotReal
	point := func(v ledger.Verdict, what, why string) { m.Points = append(m.Points, Point{p.Now(), v, what, why}) }
	switch {
	case real && (answer == alarms.NotReal || answer == ""):
		v := ledger.Wrong
		if e.State == ecg.NoSignsOfLife {
			v = ledger.Critical
		}
		point(v, cmp.Or(map[alarms.Answer]string{"": "No answer while time ran"}[answer], "Called not real"), "Unsafe because this patient needs help now.")
	case answer == "":
		point(ledger.Near, "No answer while time ran", "Nothing was wrong with the patient.")
	case answer == alarms.NotReal && !patient:
		point(ledger.Wrong, "Called not real unseen", "So it was, but nobody had looked: the next one may be real.")
	case slices.Contains(m.Right, answer):
		point(ledger.Right, "Told rightly", "")
	case answer == alarms.Doubt:
		point(ledger.Near, "In doubt, acted", "Never wrong; here the signs agree, when they are all looked at.")
	case patient:
		point(ledger.Near, "Called real", "On the safe side, after looking; nothing was wrong with the patient.")
	default:
		point(ledger.Wrong, "Called real unseen", "One look would have told that the patient is well.")
	}
	switch {
	case len(seen) == 0:
		point(ledger.Near, "Nothing was looked at", "Look at the patient first: it takes a second.")
	case seen[0] != script.LookPatient && seen[0] != script.LookPulse:
		point(ledger.Near, "Looked at the "+words(seen[0])+" first", "The patient first, by eye or by finger.")
	}
	if answer == alarms.NotReal && !real && patient && len(seen) == 1 && arrestAlarm(e.Alarm) {
		point(ledger.Right, "One witness only", "An alarm of an arrest deserves a second one: pulse, arterial line.")
	}
	m.Verdict = ledger.Right
	for _, x := range m.Points {
		m.Verdict = worse(m.Verdict, x.Verdict)
	}
	return m
}

// arrestAlarm reports whether an alarm speaks of an arrest.
func arrestAlarm(a script.Alarm) bool {
	return slices.Contains([]script.Alarm{script.AlarmNoBeats, script.AlarmFibrillates, script.AlarmVentricular, script.AlarmNoPulse}, a)
}
