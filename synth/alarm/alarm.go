// Package alarm weighs the leads of a recording against its pulse traces at the moment
// of a bedside alarm, and says whether the alarm was real. The five alarms and their
// limits are those of the PhysioNet/CinC Challenge 2015 (Clifford et al. 2016, Physiol
// Meas 37:E5; limits from memory): no QRS for four seconds; five beats below 40 a minute;
// seventeen beats above 140; five ventricular beats above 100; four seconds of
// fibrillation or flutter. The event begins within ten seconds before the alarm, which is
// the last sample.
//
// A judgement like this sorts recordings. At the bedside nothing replaces the look at the
// patient: training only, not for patient care.
package alarm

import (
	"fmt"
	"slices"

	"telltrace/synth/ecg"
)

// A Kind is what the alarm called.
type Kind string

// Kinds.
const (
	Asystole     Kind = "asystole"
	Bradycardia  Kind = "bradycardia"
	Tachycardia  Kind = "tachycardia"
	VT           Kind = "vt"
	Fibrillation Kind = "vf"
)

// Kinds lists the kinds.
var Kinds = []Kind{Asystole, Bradycardia, Tachycardia, VT, Fibrillation}

// A Verdict is what the traces say of an alarm.
type Verdict struct {
	Kind    Kind
	Real    bool
	Reasons []string // a sentence each, what decided it first
}

// look is how much before the alarm is weighed, s: the ten in which the event begins and
// what a rate needs before it.
const look = 16.0

// Judge weighs a recording that ends with the alarm. It errs on a strip without samples,
// or shorter than four seconds.
func Judge(s ecg.Strip, kind Kind) (Verdict, error) {
	if !slices.Contains(Kinds, kind) {
		return Verdict{}, fmt.Errorf("alarm: %q is none of %v", kind, Kinds)
	}
	if s.Seconds() < 4 {
		return Verdict{}, fmt.Errorf("alarm: %.3g s are too short to weigh an alarm: want at least 4", s.Seconds())
	}
	end := s.Seconds()
	from := max(0, end-look)
	e := evidence{seconds: end - from}
	cut := s.Cut(int(from*s.Rate), len(s.MV[0]))
	for _, w := range s.Witnesses {
		if w.Kind == ecg.Pleth || w.Kind == ecg.ArterialPressure {
			e.pulses = append(e.pulses, pulseOf(w, s.Rate, from))
		}
	}
	for _, l := range cut.Leads {
		e.leads = append(e.leads, leadOf(cut, l))
	}
	v := Verdict{Kind: kind}
	switch kind {
	case Asystole:
		v.Real, v.Reasons = e.asystole()
	case Bradycardia:
		v.Real, v.Reasons = e.bradycardia()
	case Tachycardia:
		v.Real, v.Reasons = e.tachycardia()
	case VT:
		v.Real, v.Reasons = e.ventricular()
	default:
		v.Real, v.Reasons = e.fibrillation()
	}
	return v, nil
}
