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
	weight  int32   // further dot rows below each
}

// draw rasters the columns of an envelope from the window's dot column inset on, and
// names its gaps.
func (c *Canvas) draw(v View, e *Envelope, inset int, s scaling) {
	if c.rows == 0 || e.ratio == 0 {
		return
	}
	left := v.Dot(v.Left)
	from := max(left+inset, e.first)
	to := min(left+c.cols*cellDotsX, e.first+len(e.cols))
	if from >= to {
		return
	}
	gaps := false
	for i, drawn := range e.spans(s)[from-e.first : to-e.first] {
		if drawn.ok {
			c.fill(from-left+i, int(drawn.top), int(drawn.foot))
		} else {
			gaps = true
		}
	}
	if gaps {
		c.nameGaps(e, left, from, to)
	}
}

// A span is the dot rows of one column.
type span struct {
	top, foot int32
	ok        bool
}

// spans are the columns as they are drawn, joined to their neighbours. They are
// kept: the next call works out only what has been appended since.
func (e *Envelope) spans(s scaling) []span {
	if s != e.scaling {
		e.scaling, e.drawn = s, e.drawn[:0]
	}
	e.drawn = e.drawn[:max(len(e.drawn)-2, 0)] // the newest column may have grown, and its neighbour joins it
	from := len(e.drawn)
	// Of two columns that do not touch, each takes its half of the rows between them,
	// the later one the odd row. One pass: here is drawn once next is known.
	here, next := e.span(from-1), e.span(from)
	for k := from; k < len(e.cols); k++ {
		drawn := next
		if above, below := next.top-here.foot, here.top-next.foot; here.ok && above > 1 {
			drawn.top -= above / 2
		} else if here.ok && below > 1 {
			drawn.foot += below / 2
		}
		here, next = next, e.span(k+1)
		if above, below := next.top-here.foot, here.top-next.foot; next.ok && above > 1 {
			drawn.foot = max(drawn.foot, here.foot+(above-1)/2)
		} else if next.ok && below > 1 {
			drawn.top = min(drawn.top, here.top-(below-1)/2)
		}
		e.drawn = append(e.drawn, drawn)
	}
	return e.drawn
}

// span is that of column k before it is joined; not ok where there is none.
func (e *Envelope) span(k int) span {
	if k < 0 || k >= len(e.cols) || !e.cols[k].valid() {
		return span{}
	}
	s := &e.scaling
	return span{rowOf(s.zero - float64(e.cols[k].hi)*s.perUnit), rowOf(s.zero-float64(e.cols[k].lo)*s.perUnit) + s.weight, true}
}

// rowOf rounds a dot row, keeping it in the range of integers.
func rowOf(y float64) int32 {
	if y >= farDots {
		return farDots
	}
	if !(y > -farDots) {
		return -farDots
	}
	return int32(y+farDots+0.5) - farDots // floor(y + 0.5) without a call
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
