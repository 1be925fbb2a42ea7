// Package counter is the heart-rate counter of a bedside display: a plain one, with the
// faults that plain ones have. It counts what is steep and high enough in one lead and
// shows the mean of the last intervals. So a T as steep as a QRS is counted twice over,
// pacing spikes count as beats, also when no beat follows, and complexes below the least
// height are not counted at all. What a strip really shows is for synth/measure to say.
//
// It sees samples alone and needs constant memory. Numbers that differ from the pulse
// are a lesson: count the pulse.
package counter

import "math"

// What a heart-rate meter has to do by its standard (ANSI/AAMI EC13 and IEC 60601-2-27,
// from memory): complexes of 0.5 mV and more are counted and those of 0.15 mV and less
// not; a rate of 0 is shown within ten seconds of standstill. What is only 10 ms wide must
// not be counted either; this counter does, as older ones did, and so counts spikes.
const (
	leastMV  = 0.15
	silentAt = 4.0 // s without a count until none is shown
)

const (
	lowHz, highHz = 4.0, 22.0 // between these a complex is steep
	share         = 0.70      // of the recent height that a complex must reach
	forgets       = 3.0       // s, time constant of the recent height
	blind         = 0.20      // s after a count
	intervals     = 6         // over which the rate is the mean
)

// A Counter counts one lead. It is not safe for concurrent use.
type Counter struct {
	rate       float64
	fast, slow float64 // two smoothed copies of the signal, mV; their difference is steep
	kFast      float64
	kSlow      float64
	fade       float64
	height     float64 // recent height of what is steep, mV
	peak       float64 // of the complex under way
	since      int     // frames since the last count
	waiting    int     // frames in which the complex under way may still grow
	rr         [intervals]int
	n          int
	started    bool
}

// New makes a counter for samples at rate Hz.
func New(rate float64) *Counter {
	alpha := func(hz float64) float64 { return 1 - math.Exp(-2*math.Pi*hz/rate) }
	return &Counter{rate: rate, kFast: alpha(highHz), kSlow: alpha(lowHz), fade: math.Exp(-1 / (forgets * rate)), since: int(rate)}
}

// Push counts the next samples, mV.
func (c *Counter) Push(mv []float64) {
	for _, v := range mv {
		if !c.started {
			c.started, c.fast, c.slow = true, v, v
		}
		c.fast += c.kFast * (v - c.fast)
		c.slow += c.kSlow * (v - c.slow)
		c.step(math.Abs(c.fast - c.slow))
	}
}

// step takes in how steep the signal is now.
func (c *Counter) step(steep float64) {
	c.since++
	c.height = max(c.height*c.fade, 0)
	if c.waiting > 0 { // the complex that was counted grows to its full height
		c.waiting--
		c.peak = max(c.peak, steep)
		if c.waiting == 0 {
			c.height = max(c.height, c.peak)
		}
		return
	}
	if steep < max(share*c.height, leastMV/2) || c.since < int(blind*c.rate) {
		return
	}
	if c.since < int(silentAt*c.rate) {
		c.rr[c.n%intervals] = c.since
		c.n++
	} else {
		c.n = 0
	}
	c.since, c.peak, c.waiting = 0, steep, int(0.08*c.rate)
}

// Rate is what is shown, beats/min; false for none.
func (c *Counter) Rate() (bpm float64, ok bool) {
	k := min(c.n, intervals)
	if k < 2 || float64(c.since) >= silentAt*c.rate {
		return 0, false
	}
	sum := 0
	for _, f := range c.rr[:k] {
		sum += f
	}
	return 60 * c.rate * float64(k) / float64(sum), true
}

// Of is what would be shown after these samples (mV, at rate Hz) alone.
func Of(mv []float64, rate float64) (bpm float64, ok bool) {
	c := New(rate)
	c.Push(mv)
	return c.Rate()
}
