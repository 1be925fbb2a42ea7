package alarm

import (
	"fmt"

	"telltrace/synth/measure"
)

// Limits of the five alarms (see the package comment), with room for the reading error of
// a beat or two.
const (
	silentFor   = 3.0  // s without a beat: below the four of the alarm, as one end may be cut
	slowBelow   = 46   // beats/min over five beats
	fastAbove   = 130  // over seventeen
	runAbove    = 95   // within a run
	runOf       = 4    // ventricular beats
	wideFrom    = 0.12 // s: a QRS from here on is wide (Surawicz 2009, adults)
	wildAbove   = 200  // a lead with beats slower than this and of one shape does not fibrillate
	slowBeats   = 5
	fastBeats   = 17
	pulseSilent = 2.5 // s without a pulse in fibrillation
)

const inDoubt = "Nothing can be trusted enough to call it false: in doubt, act as if it were real."

// asystole: a pulse that goes on, or a lead with beats, speaks against it; a lead alone does
// not where every pulse has stopped, as noise has bursts and complexes need not carry one.
func (e evidence) asystole() (bool, []string) {
	against := trusted(e.pulses)
	if !e.pulsesStopped() {
		against = append(against, trusted(e.leads)...)
	}
	for _, c := range against {
		if gap := e.longestGap(c); gap < silentFor {
			return false, []string{fmt.Sprintf("In %s beats go on: the longest time without one is %.1f s.", c.name, gap)}
		}
	}
	var why []string
	for _, c := range append(e.pulses, e.leads...) {
		if gap := e.longestGap(c); gap >= silentFor && len(c.beats) > 0 {
			why = append(why, fmt.Sprintf("In %s there is no beat for %.1f s.", c.name, gap))
		}
	}
	return true, append(why, "No trace shows beats that go on.")
}

// pulsesStopped reports whether there was a pulse in these seconds, and none of the traces
// that had one has it at the alarm.
func (e evidence) pulsesStopped() bool {
	stopped := false
	for _, c := range e.pulses {
		if n := len(c.beats); n > 0 {
			if e.seconds-c.beats[n-1] < silentFor {
				return false
			}
			stopped = stopped || n >= 3
		}
	}
	return stopped
}

// bradycardia: the pulse decides, then the leads.
func (e evidence) bradycardia() (bool, []string) {
	clear := append(trusted(e.pulses), trusted(e.leads)...)
	if len(clear) == 0 {
		return true, []string{inDoubt}
	}
	rate := clear[0].slowest(slowBeats)
	return rate < slowBelow, []string{fmt.Sprintf("In %s the slowest five beats come at %.0f a minute.", clear[0].name, rate)}
}

// tachycardia: a lead that shows it in one shape is believed, since fast beats may lack a
// pulse; else a steady pulse speaks.
func (e evidence) tachycardia() (bool, []string) {
	for _, c := range trusted(e.leads) {
		if rate := c.fastest(fastBeats); rate > fastAbove {
			return true, []string{fmt.Sprintf("In %s seventeen beats of one shape come at %.0f a minute.", c.name, rate)}
		}
	}
	clear := append(trusted(e.pulses), trusted(e.leads)...)
	if len(clear) == 0 {
		return true, []string{inDoubt}
	}
	n := min(fastBeats, len(clear[0].beats))
	rate := clear[0].fastest(n)
	return n == fastBeats && rate > fastAbove, []string{fmt.Sprintf("In %s the fastest %d beats come at %.0f a minute.", clear[0].name, n, rate)}
}

// ventricular: a run of beats of another shape in a lead that is otherwise of one shape.
func (e evidence) ventricular() (bool, []string) {
	clear := trusted(e.leads)
	for _, c := range clear {
		// A tachycardia that fills these seconds is their usual beat: nothing before it is
		// there to tell it from.
		if rate := c.fastest(fewest); !(c.width < wideFrom) && rate > runAbove {
			return true, []string{fmt.Sprintf("In %s the beats are wide all along and come at %.0f a minute: ventricular until shown otherwise.", c.name, rate)}
		}
		if n := c.run(runAbove); n >= runOf {
			return true, []string{fmt.Sprintf("In %s %d beats of another shape follow one another at more than %d a minute.", c.name, n, runAbove)}
		}
	}
	if len(clear) > 0 {
		why := []string{fmt.Sprintf("In %s the beats keep their shape: no run of %d others.", clear[0].name, runOf)}
		return false, append(why, e.pulseGoesOn(silentFor)...)
	}
	// Five fast beats in a row would change the time from pulse to pulse.
	for _, c := range trusted(e.pulses) {
		if rate := c.fastest(fewest); rate < runAbove && c.even() && e.longestGap(c) < silentFor {
			return false, []string{fmt.Sprintf("In %s the beats keep their time, never faster than %.0f a minute.", c.name, rate)}
		}
	}
	return true, []string{inDoubt}
}

// fibrillation: a pulse that goes on, or a lead with beats of one shape, speaks against it.
func (e evidence) fibrillation() (bool, []string) {
	if why := e.pulseGoesOn(pulseSilent); len(why) > 0 {
		return false, why
	}
	for _, c := range trusted(e.leads) {
		if rate := c.fastest(slowBeats); rate < wildAbove && e.longestGap(c) < pulseSilent {
			return false, []string{fmt.Sprintf("In %s beats of one shape go on, never faster than %.0f a minute.", c.name, rate)}
		}
	}
	var why []string
	for _, c := range e.leads {
		if c.kind == measure.Fibrillation {
			why = append(why, fmt.Sprintf("In %s there are waves without beats.", c.name))
		}
	}
	for _, c := range e.pulses {
		if gap := e.longestGap(c); gap >= pulseSilent {
			why = append(why, fmt.Sprintf("In %s there is no pulse for %.1f s.", c.name, gap))
		}
	}
	if len(why) == 0 {
		why = []string{inDoubt}
	}
	return true, why
}

// pulseGoesOn says which trusted pulse has no gap of so many seconds, nothing for none.
func (e evidence) pulseGoesOn(gap float64) []string {
	for _, c := range trusted(e.pulses) {
		if longest := e.longestGap(c); longest < gap {
			return []string{fmt.Sprintf("In %s the pulse goes on: the longest time without one is %.1f s.", c.name, longest)}
		}
	}
	return nil
}
