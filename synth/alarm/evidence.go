package alarm

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
	"telltrace/synth/measure"
)

// evidence is what the last seconds show.
type evidence struct {
	seconds float64
	leads   []channel
	pulses  []channel
}

// A channel is a lead or a pulse trace with its beats.
type channel struct {
	name    string
	beats   []float64 // s
	trusted bool
	kind    measure.Kind // leads only
	shapes  []int        // leads only: of each beat, 0 the usual one
	width   float64      // leads only: of the usual QRS, s; NaN where it cannot be measured
}

// What makes a channel one to be trusted. A pulse repeats in size and comes at times that
// differ little from one to the next; noise does neither. A lead shows one shape most of
// the time.
const (
	fewest    = 5    // beats
	sizesFrom = 0.35 // of the usual rise of a pulse
	sizesTo   = 2.5
	sizesHold = 0.8  // share of pulses of such a size
	unsteady  = 0.32 // middle change of the interval, as a share of the middle interval
	oneShape  = 0.6  // share of beats of the commonest shape

	keepsTime = 0.20 // of the middle interval: so far others are from it in an even pulse

	leastPressure = 8.0 // mmHg, rise of a pulse that carries anything (common practice)
)

// leadOf reads a lead.
func leadOf(s ecg.Strip, name ecg.Lead) channel {
	c := channel{name: "lead " + string(name)}
	r, err := measure.Read(s, name)
	if err != nil {
		return c
	}
	c.kind, c.shapes, c.width = r.Kind, r.Groups, r.QRS
	for _, b := range r.Marks.Beats {
		c.beats = append(c.beats, b.QRS.Peak)
	}
	usual := 0
	for _, shape := range c.shapes {
		if shape == 0 {
			usual++
		}
	}
	c.trusted = r.Kind == measure.Organised && len(c.beats) >= fewest && float64(usual) >= oneShape*float64(len(c.beats))
	return c
}

// pulseOf reads a pulse trace from time from (s) on. What is a pulse is judged by the
// whole trace: a shaking without flow is small beside the pulses before it.
func pulseOf(w ecg.Witness, rate, from float64) channel {
	c := channel{name: "the pulse trace"}
	if w.Kind == ecg.ArterialPressure {
		c.name = "the arterial pressure"
	}
	onsets := measure.PulseOnsets(w.Values, rate)
	rises := make([]float64, len(onsets))
	for i, at := range onsets {
		to := at + 0.4
		if i+1 < len(onsets) {
			to = min(to, onsets[i+1])
		}
		low, high := math.Inf(1), math.Inf(-1)
		for k := max(int(at*rate), 0); k < min(int(to*rate)+1, len(w.Values)); k++ {
			low, high = min(low, w.Values[k]), max(high, w.Values[k])
		}
		rises[i] = max(high-low, 0)
	}
	usual := quantile(rises, 0.75)
	least := sizesFrom * usual
	if w.Kind == ecg.ArterialPressure && w.Unit == "mmHg" {
		least = max(least, leastPressure)
	}
	var all []float64
	hold := 0
	for i, at := range onsets {
		if at < from {
			continue
		}
		all = append(all, at-from)
		if rises[i] >= least {
			c.beats = append(c.beats, at-from)
			if rises[i] <= sizesTo*usual {
				hold++
			}
		}
	}
	rr := intervals(all)
	var change []float64
	for i := 1; i < len(rr); i++ {
		change = append(change, math.Abs(rr[i]-rr[i-1]))
	}
	c.trusted = len(c.beats) >= fewest && float64(hold) >= sizesHold*float64(len(all)) && quantile(change, 0.5) < unsteady*quantile(rr, 0.5)
	return c
}

func intervals(beats []float64) []float64 {
	out := make([]float64, 0, len(beats))
	for i := 1; i < len(beats); i++ {
		out = append(out, beats[i]-beats[i-1])
	}
	return out
}

// quantile is a quantile of some values, NaN of none.
func quantile(x []float64, share float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	return slices.Sorted(slices.Values(x))[min(int(share*float64(len(x))), len(x)-1)]
}

// longestGap is the longest time without a beat, s, up to the alarm.
func (e evidence) longestGap(c channel) float64 {
	gap, last := 0.0, 0.0
	for _, at := range append(slices.Clone(c.beats), e.seconds) {
		gap, last = max(gap, at-last), at
	}
	return gap
}

// slowest and fastest are the lowest and the highest rate, beats/min, over n beats in a
// row; NaN for fewer.
func (c channel) slowest(n int) float64 {
	return 60 * float64(n-1) / c.extreme(n, func(a, b float64) bool { return a > b })
}

func (c channel) fastest(n int) float64 {
	return 60 * float64(n-1) / c.extreme(n, func(a, b float64) bool { return a < b })
}

// extreme is the time that n beats in a row take, the one that is before all others.
func (c channel) extreme(n int, before func(a, b float64) bool) float64 {
	best := math.NaN()
	for i := n - 1; i < len(c.beats); i++ {
		if d := c.beats[i] - c.beats[i-n+1]; math.IsNaN(best) || before(d, best) {
			best = d
		}
	}
	return best
}

// even reports whether the beats keep their time all along.
func (c channel) even() bool {
	rr := intervals(c.beats)
	usual := quantile(rr, 0.5)
	for _, x := range rr {
		if math.Abs(x-usual) > keepsTime*usual {
			return false
		}
	}
	return len(rr) > 0
}

// run is the longest run of beats of another shape at more than a rate, beats/min.
func (c channel) run(above float64) int {
	longest, n := 0, 0
	for i, shape := range c.shapes {
		switch {
		case shape == 0:
			n = 0
		case n > 0 && c.beats[i]-c.beats[i-1] < 60/above:
			n++
		default:
			n = 1
		}
		longest = max(longest, n)
	}
	return longest
}

func trusted(list []channel) []channel {
	var out []channel
	for _, c := range list {
		if c.trusted {
			out = append(out, c)
		}
	}
	return out
}
