// Package paper draws strips as cells: pure functions of samples, size, speed,
// gain and look. It decides geometry only. A View says which part of a signal
// falls where; an Envelope is the signal reduced to what one dot column can show;
// a Canvas holds the cells and writes them as rows. Start with Canvas.Trace.
//
// Everything rests on one square dot of 0.625 mm of paper, so that a big box
// (5 mm: 0.2 s and 0.5 mV at the usual speed and gain) is 8 dots each way: 4 cells
// wide and 2 high, and a second at 25 mm/s is 20 cells. The double scale halves
// the dot.
package paper

import (
	"math"
	"strconv"

	"telltrace/synth/ecg"
)

// Paper and cells. A terminal cell holds 2 x 4 dots and is about twice as high as
// wide, which makes the dots square.
const (
	dotsPerMM = 1.6 // at the base scale
	boxMM     = 5.0
	cellDotsX = 2
	cellDotsY = 4

	// maxDim bounds a canvas, in cells. No terminal is larger; a mistaken size
	// must not exhaust memory.
	maxDim = 4096
)

// A Scale is how many times finer the dots are than at the base scale.
type Scale int

// The scales of the paper.
const (
	Base   Scale = 1 // a dot is 25 ms and 0.0625 mV at 25 mm/s and 10 mm/mV
	Double Scale = 2 // 12.5 ms and 0.03125 mV: small or short differences, calipers
)

// Usual paper speed and gain of recorders.
const (
	DefaultSpeed = 25.0 // mm/s
	DefaultGain  = 10.0 // mm/mV
)

// A View says which part of a signal lies in a window of Cols x Rows cells. Zero
// Scale, Speed and Gain mean the usual ones. A View is a value: change a field to
// look elsewhere.
type View struct {
	Cols, Rows int
	Left       float64 // strip time at the left edge, s; may be negative
	Scale      Scale
	Speed      float64 // mm/s
	Gain       float64 // mm/mV
	Baseline   float64 // mV at the middle line; Follow chooses it
	Calibrate  bool    // leave room at the left for the calibration pulse
}

// Beyond these a scale, speed or gain is a mistake and the usual one is taken.
const (
	maxScale     = 16
	maxSpeedGain = 1000
)

func (v View) scale() int { return min(max(1, int(v.Scale)), maxScale) }

func (v View) speed() float64 {
	if v.Speed > 0 && v.Speed <= maxSpeedGain {
		return v.Speed
	}
	return DefaultSpeed
}

func (v View) gain() float64 {
	if v.Gain > 0 && v.Gain <= maxSpeedGain {
		return v.Gain
	}
	return DefaultGain
}

// DotsPerSecond is how many dot columns one second takes: 40 at the base scale and
// 25 mm/s.
func (v View) DotsPerSecond() float64 { return v.speed() * dotsPerMM * float64(v.scale()) }

// DotsPerMV is how many dot rows one millivolt takes: 16 at the base scale and
// 10 mm/mV.
func (v View) DotsPerMV() float64 { return v.gain() * dotsPerMM * float64(v.scale()) }

// Seconds is the time across the window.
func (v View) Seconds() float64 { return float64(max(0, v.Cols)*cellDotsX) / v.DotsPerSecond() }

// Height is the voltage from top to foot of the window, mV.
func (v View) Height() float64 { return float64(max(0, v.Rows)*cellDotsY) / v.DotsPerMV() }

// dotSlack (in dots) keeps a time that lies on the edge of a dot column in that
// column in spite of rounding; it is far below one sample.
const dotSlack = 1e-6

// Dot is the absolute dot column of a strip time: the same time has the same
// column however the window lies.
func (v View) Dot(t float64) int { return int(math.Floor(t*v.DotsPerSecond() + dotSlack)) }

// Column is the window's cell column of a strip time; below 0 or from Cols on when
// it lies outside.
func (v View) Column(t float64) int { return (v.Dot(t) - v.Dot(v.Left)) >> 1 }

// Time is the strip time at the left edge of a window column, s.
func (v View) Time(column int) float64 {
	return float64(v.Dot(v.Left)+column*cellDotsX) / v.DotsPerSecond()
}

// PanTo returns the view moved by whole cells, as little as needed, so that the
// time from..to is inside; from wins when both cannot be.
func (v View) PanTo(from, to float64) View {
	cell := cellDotsX / v.DotsPerSecond()
	if over := to - (v.Left + v.Seconds()); over > 0 {
		v.Left += math.Ceil(over/cell) * cell
	}
	if under := v.Left + v.insetSeconds() - from; under > 0 {
		v.Left -= math.Ceil(under/cell) * cell
	}
	return v
}

// middle is the dot row just under the middle line. It is a cell's edge, so that
// the baseline lies on a box line.
func (v View) middle() int { return max(0, v.Rows) / 2 * cellDotsY }

// farDots bounds a dot row before it becomes an integer; any row beyond the window
// will do.
const farDots = 1 << 20

// row is the dot row of a voltage, not limited to the window.
func (v View) row(mv float64) int {
	d := (mv - v.Baseline) * v.DotsPerMV()
	return v.middle() - int(math.Floor(min(max(d, -farDots), farDots)+0.5))
}

// Follow returns the view with a baseline that keeps what the envelope shows in
// the window: wander, a large beat, or a high gain would else lose it. The present
// baseline stays as long as it serves, so that the picture does not jump; a new one
// is a whole number of cell rows away from 0 mV where there is room for that. Where
// not all of it fits, the median stays in the middle half.
func (v View) Follow(e *Envelope) View {
	first := v.Dot(v.Left)
	lo, hi, ok := e.extent(first+v.inset(), first+v.Cols*cellDotsX)
	height := v.Height()
	if !ok || height == 0 {
		return v
	}
	step := cellDotsY / v.DotsPerMV()
	up := float64(v.middle()) / v.DotsPerMV() // above the middle line
	down := height - up - 1/v.DotsPerMV()
	lowest, highest := hi-up, lo+down // baselines at which everything shows
	if lowest > highest {
		median := e.median(first+v.inset(), first+v.Cols*cellDotsX)
		lowest, highest = median-up/2, median+down/2
		if fits := min(max((lo+hi)/2, lowest), highest); v.Baseline < lowest || v.Baseline > highest {
			v.Baseline = math.Round(fits/step) * step
		}
		return v
	}
	if v.Baseline >= lowest && v.Baseline <= highest {
		return v
	}
	b := math.Round((lowest+highest)/2/step) * step
	v.Baseline = min(max(b, lowest), highest)
	return v
}

// HeaderText names a trace as paper does: "II  25 mm/s  10 mm/mV".
func HeaderText(l ecg.Lead, v View) string {
	return string(l) + "  " + number(v.speed()) + " mm/s  " + number(v.gain()) + " mm/mV"
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
