package watch

import (
	"fmt"
	"math"

	"telltrace/scenarios/script"
	"telltrace/synth/ecg"
)

// A Range is the low and the high alarm limit of a heart rate, beats/min.
type Range struct{ Low, High int }

// Check says what is wrong with a range, nil for nothing.
func (r Range) Check() error {
	const least, most = 20, 300
	switch {
	case r.Low < least || r.High > most:
		return fmt.Errorf("limits of %d and %d: choose them from %d to %d", r.Low, r.High, least, most)
	case r.Low >= r.High:
		return fmt.Errorf("limits of %d and %d: the low one must lie below the high one", r.Low, r.High)
	}
	return nil
}

// How a usual rate swings, as shares of itself: down in the middle of the night, up with a
// little chance. And where limits still fit it: common practice is about 20 % below and
// above, and then judgement (ours: ten more or less).
const (
	swingLow, swingHigh = 0.90, 1.08
	lowest, highest     = 0.68, 1.35
	aside               = 0.20
)

// holds reports whether a patient's usual swing stays within the limits.
func (r Range) holds(usual float64) bool {
	return float64(r.Low) <= swingLow*usual && float64(r.High) >= swingHigh*usual
}

// Fits reports whether limits are near those of common practice for a patient whose rate is
// usually so high: what is usual does not alarm, and what is not does.
func (r Range) Fits(usual float64) bool {
	return r.holds(usual) && float64(r.Low) >= lowest*usual && float64(r.High) <= highest*usual
}

// Practice is the range of common practice round a usual rate, to the next 5.
func Practice(usual float64) Range {
	nearest5 := func(x float64) int { return 5 * int(math.Round(x/5)) }
	return Range{nearest5((1 - aside) * usual), nearest5((1 + aside) * usual)}
}

// Usual is the heart rate of the patient of a bed as they came, beats/min.
func (w *Watch) Usual(bed int) float64 {
	return w.rates(bed, Stage{Rhythm: w.plan.Beds[bed].Rhythm, State: ecg.Stable}).heart
}

// SetLimits sets the limits of a bed, as Do does other things.
func (w *Watch) SetLimits(bed int, r Range) bool {
	return r.Check() == nil && w.may(bed, Limits) && w.do(Deed{Bed: bed, Act: Limits, Limits: r})
}

// Limits are those of a bed, false where nobody set any.
func (w *Watch) Limits(bed int) (Range, bool) {
	if i := w.last(bed, Limits); i >= 0 {
		return w.deeds[i].Limits, true
	}
	return Range{}, false
}

// reached reports whether the alarm of an event sounds with the limits there are: those of
// a rate where it is outside them.
func (w *Watch) reached(r Run) bool {
	limits, set := w.Limits(r.Event.Bed)
	switch {
	case r.Event.Limit:
		return !set || !limits.holds(w.Usual(r.Event.Bed))
	case !set || r.Event.Kind == Cable: // there the display counts what is no heart
		return true
	case r.Event.Alarm == script.AlarmLow:
		return w.rates(r.Event.Bed, r.stage(w.minute)).heart < float64(limits.Low)
	case r.Event.Alarm == script.AlarmHigh:
		return w.rates(r.Event.Bed, r.stage(w.minute)).heart > float64(limits.High)
	}
	return true
}
