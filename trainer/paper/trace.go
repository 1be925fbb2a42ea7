package paper

import (
	"unicode/utf8"

	"telltrace/trainer/look"
)

// calibration pulse: 1 mV for 200 ms, the convention of recorders, with a short
// foot before and after it.
const (
	calibrationMV      = 1.0
	calibrationSeconds = 0.2
	footDots           = 2
)

// inset is the number of dot columns the calibration pulse takes at the left, a
// whole number of cells and one cell of space.
func (v View) inset() int {
	if !v.Calibrate {
		return 0
	}
	dots := v.calibrationDots() + 2*footDots + cellDotsX
	return dots + dots%cellDotsX
}

func (v View) calibrationDots() int { return int(calibrationSeconds*v.DotsPerSecond() + 0.5) }

func (v View) insetSeconds() float64 { return float64(v.inset()) / v.DotsPerSecond() }

// Trace draws a signal: each dot column from its minimum to its maximum, joined
// half-way to its neighbours where they do not touch. What a column shows depends
// on it and its two neighbours alone, so the picture moves dot by dot and does not
// change while it moves. Gaps where samples are invalid get a word if there is
// room. With v.Calibrate the calibration pulse is drawn too.
//
// The envelope must have been made for v's scale and speed.
func (c *Canvas) Trace(v View, e *Envelope) {
	if v.Calibrate {
		c.calibration(v)
	}
	perMV := v.DotsPerMV()
	c.draw(v, e, v.inset(), scaling{zero: float64(v.middle()) + v.Baseline*perMV, perUnit: perMV})
}

// Pulse draws a pulse trace over the height of the canvas, lo at the foot and hi at
// the top, as a line twice as heavy as a lead's and with its name to the left, so
// that the two are told apart without colour. With hi <= lo it lies at the foot.
func (c *Canvas) Pulse(v View, e *Envelope, lo, hi float64, name string) {
	foot := float64(c.rows*cellDotsY - 2) // one row is for the weight of the line
	s := scaling{zero: foot, weight: 1}
	if hi > lo {
		s.perUnit = foot / (hi - lo)
		s.zero += lo * s.perUnit
	}
	c.draw(v, e, max(v.inset(), (utf8.RuneCountInString(name)+2)*cellDotsX), s)
	c.write(1, 0, name, look.InkText, paperOwn)
}

// A scaling maps a value to a dot row.
type scaling struct {
	zero    float64 // dot row of value 0
	perUnit float64 // dot rows that one unit climbs
	weight  int     // further dot rows below each
}

func (s scaling) span(c column) span {
	return span{rowOf(s.zero - float64(c.hi)*s.perUnit), rowOf(s.zero-float64(c.lo)*s.perUnit) + s.weight, true}
}

// draw rasters the columns of an envelope from the window's dot column inset on, and
// names its gaps.
func (c *Canvas) draw(v View, e *Envelope, inset int, s scaling) {
	if c.rows == 0 || e.ratio == 0 {
		return
	}
	at := func(dot int) span {
		if k := dot - e.first; k >= 0 && k < len(e.cols) && e.cols[k].valid() {
			return s.span(e.cols[k])
		}
		return span{}
	}
	left := v.Dot(v.Left)
	from := max(left+inset, e.first)
	to := min(left+c.cols*cellDotsX, e.first+len(e.cols))
	gaps := false
	prev, here := at(from-1), at(from)
	for dot := from; dot < to; dot++ {
		next := at(dot + 1)
		if here.ok {
			top, foot := here.joined(prev, next)
			c.fill(dot-left, top, foot)
		} else {
			gaps = true
		}
		prev, here = here, next
	}
	if gaps {
		c.nameGaps(e, left, from, to)
	}
}

// A span is the dot rows of one column.
type span struct {
	top, foot int
	ok        bool
}

// joined extends a span to its neighbours: each of two columns takes its half of
// the rows between them, the later one the odd row.
func (s span) joined(prev, next span) (top, foot int) {
	top, foot = s.top, s.foot
	if prev.ok {
		if between := s.top - prev.foot - 1; between > 0 {
			top = min(top, s.top-between+between/2)
		} else if between := prev.top - s.foot - 1; between > 0 {
			foot = max(foot, s.foot+between-between/2)
		}
	}
	if next.ok {
		if between := s.top - next.foot - 1; between > 0 {
			top = min(top, s.top-between/2)
		} else if between := next.top - s.foot - 1; between > 0 {
			foot = max(foot, s.foot+between/2)
		}
	}
	return top, foot
}

// rowOf rounds a dot row, keeping it in the range of integers.
func rowOf(y float64) int {
	if y >= farDots {
		return farDots
	}
	if !(y > -farDots) {
		return -farDots
	}
	return int(y+farDots+0.5) - farDots // floor(y + 0.5) without a call
}

// calibration draws the pulse at the left, its foot on 0 mV or as near as the
// window allows.
func (c *Canvas) calibration(v View) {
	tall := int(calibrationMV*v.DotsPerMV() + 0.5)
	foot := max(min(v.row(0), c.rows*cellDotsY-1), min(tall, c.rows*cellDotsY-1))
	end := footDots + v.calibrationDots()
	for x := 0; x < min(end+footDots, c.cols*cellDotsX) && c.rows > 0; x++ {
		switch {
		case x < footDots-1 || x > end:
			c.fill(x, foot, foot)
		case x == footDots-1 || x == end:
			c.fill(x, foot-tall, foot)
		default:
			c.fill(x, foot-tall, foot-tall)
		}
	}
}

// nameGaps writes a word into every gap from..to that has room for it, on the
// middle row.
func (c *Canvas) nameGaps(e *Envelope, left, from, to int) {
	width := utf8.RuneCountInString(look.NoSignal)
	begin := from
	for dot := from; dot <= to; dot++ {
		if dot < to && !e.cols[dot-e.first].valid() {
			continue
		}
		a, b := (begin-left+1)/cellDotsX, (dot-left)/cellDotsX // whole cells a..b-1
		if col := a + (b-a-width)/2; b-a >= width+2 && c.free(c.rows/2, col, col+width-1) {
			c.write(col, c.rows/2, look.NoSignal, look.InkFaint, paperOwn)
		}
		begin = dot + 1
	}
}
