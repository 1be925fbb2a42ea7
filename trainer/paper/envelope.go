package paper

import (
	"math"
	"slices"
)

// An Envelope is a signal reduced to the minimum and the maximum of every dot
// column. Columns are absolute (View.Dot), so a sample always falls in the same
// one, and a moving window only has to append. A column without a valid sample
// (NaN) is a gap. The zero Envelope is empty.
type Envelope struct {
	dots   float64 // dot columns per second
	ratio  float64 // samples per dot column
	origin float64 // start of the signal, in samples from time 0

	first int // absolute dot column of cols[0]
	cols  []column
	n     int     // samples taken
	last  float64 // the newest sample
	mids  []float64

	drawn   []span // of cols, as far as they are worked out for scaling
	scaling scaling
}

// A column is what one dot column shows; lo > hi says that there is nothing.
type column struct{ lo, hi float32 }

func (c column) valid() bool { return c.lo <= c.hi }

var gap = column{lo: float32(math.Inf(1)), hi: float32(math.Inf(-1))}

// Limits of what is taken for a signal; anything beyond counts as invalid.
const (
	maxValue = 1e6 // mV, or the unit of a pulse trace
	minRate  = 0.1 // Hz
	maxStart = 1e7 // s from strip time 0, either way
)

// Reduce makes the envelope of samples (rate in Hz, the first one at strip time
// start, s) for views with v's scale and speed.
func Reduce(v View, samples []float64, rate, start float64) *Envelope {
	var e Envelope
	e.Reset(v, rate, start)
	e.Append(samples)
	return &e
}

// Reset empties the envelope for a signal of rate Hz that begins at strip time
// start, s, and keeps the memory. Without a usable rate and start it stays empty.
func (e *Envelope) Reset(v View, rate, start float64) {
	dots := v.DotsPerSecond()
	*e = Envelope{dots: dots, ratio: rate / dots, origin: start * rate, cols: e.cols[:0], mids: e.mids, drawn: e.drawn[:0]}
	if !(rate >= minRate) || math.IsInf(rate, 1) || !(math.Abs(start) <= maxStart) {
		e.ratio = 0
		return
	}
	e.first = int(math.Floor(start*dots + dotSlack))
}

// edge is the first sample of an absolute dot column, counted from the start of
// the signal. It alone decides which sample belongs where.
func (e *Envelope) edge(dot int) int {
	return int(math.Ceil(float64(dot)*e.ratio - e.origin - dotSlack*e.ratio))
}

// Append takes the next samples. The newest column may be partly filled; it grows
// with the next call.
func (e *Envelope) Append(samples []float64) {
	if e.ratio == 0 {
		return
	}
	for len(samples) > 0 {
		dot := e.first + max(0, len(e.cols)-1)
		end := e.edge(dot + 1)
		if len(e.cols) == 0 {
			e.cols, end = append(e.cols, gap), max(end, e.n+1)
		} else if end <= e.n {
			dot, end = e.skip(dot+1, samples[0])
			e.cols = append(e.cols, gap)
		}
		k := min(len(samples), end-e.n)
		c := &e.cols[dot-e.first]
		lo, hi := ordered(float64(c.lo)), ordered(float64(c.hi))
		for _, x := range samples[:k] { // integers take no branch that can be guessed wrong
			n := ordered(x)
			lo, hi = min(lo, n), max(hi, n)
		}
		if lo >= ordered(-maxValue) && hi <= ordered(maxValue) {
			*c = column{float32(fromOrdered(lo)), float32(fromOrdered(hi))}
		} else {
			*c = sane(*c, samples[:k])
		}
		e.last = samples[k-1]
		e.n += k
		samples = samples[k:]
	}
}

// ordered maps a number to an integer such that both are in the same order; NaN lies
// beyond the infinities (IEEE 754: sign and magnitude).
func ordered(x float64) int64 {
	b := int64(math.Float64bits(x))
	return b ^ int64(uint64(b>>63)>>1)
}

// fromOrdered undoes ordered.
func fromOrdered(n int64) float64 {
	return math.Float64frombits(uint64(n ^ int64(uint64(n>>63)>>1)))
}

// sane adds to a column the samples that can be a signal.
func sane(c column, samples []float64) column {
	for _, x := range samples {
		if math.Abs(x) <= maxValue {
			c.lo, c.hi = min(c.lo, float32(x)), max(c.hi, float32(x))
		}
	}
	return c
}

// skip finds the column of sample n, which is next, and fills the columns before
// it that no sample falls in (a signal slower than the dots) on the straight line
// from the last sample. It returns the column and its end.
func (e *Envelope) skip(dot int, next float64) (int, int) {
	end := e.edge(dot + 1)
	for ; end <= e.n; end = e.edge(dot + 1) {
		at := (float64(dot)+0.5)*e.ratio - e.origin - float64(e.n-1) // samples after the last
		c := gap
		if x := e.last + (next-e.last)*min(max(at, 0), 1); math.Abs(x) <= maxValue {
			c = column{float32(x), float32(x)}
		}
		e.cols = append(e.cols, c)
		dot++
	}
	return dot, end
}

// Forget drops what lies before strip time t, so that an endless signal takes
// constant memory.
func (e *Envelope) Forget(t float64) {
	if e.ratio == 0 {
		return
	}
	k := min(int(math.Floor(t*e.dots+dotSlack))-e.first, len(e.cols)-1)
	// The rest is moved only when it is the smaller part: a sample costs O(1).
	if k > 0 && k >= len(e.cols)/2 {
		e.cols = e.cols[:copy(e.cols, e.cols[k:])]
		e.drawn = e.drawn[:copy(e.drawn, e.drawn[min(k, len(e.drawn)):])]
		e.first += k
	}
}

// End is the strip time up to which samples are known, s.
func (e *Envelope) End() float64 {
	if e.ratio == 0 {
		return 0
	}
	return (e.origin + float64(e.n)) / (e.ratio * e.dots)
}

// Range is the lowest and the highest valid sample in strip time from..to, false
// when there is none. It serves to scale a pulse trace.
func (e *Envelope) Range(from, to float64) (lo, hi float64, ok bool) {
	if math.IsNaN(from) || math.IsNaN(to) {
		return 0, 0, false
	}
	far := float64(math.MaxInt32)
	dot := func(t float64) int { return int(min(max(math.Floor(t*e.dots+dotSlack), -far), far)) }
	return e.extent(dot(from), dot(to)+1)
}

// within returns the columns from..to (not including to) that exist.
func (e *Envelope) within(from, to int) []column {
	a, b := max(0, from-e.first), min(len(e.cols), to-e.first)
	if a >= b {
		return nil
	}
	return e.cols[a:b]
}

func (e *Envelope) extent(from, to int) (lo, hi float64, ok bool) {
	all := gap
	for _, c := range e.within(from, to) {
		if c.lo < all.lo {
			all.lo = c.lo
		}
		if c.hi > all.hi {
			all.hi = c.hi
		}
	}
	return float64(all.lo), float64(all.hi), all.valid()
}

// median is the median over the valid columns of their middle.
func (e *Envelope) median(from, to int) float64 {
	e.mids = e.mids[:0]
	for _, c := range e.within(from, to) {
		if c.valid() {
			e.mids = append(e.mids, (float64(c.lo)+float64(c.hi))/2)
		}
	}
	if len(e.mids) == 0 {
		return 0
	}
	slices.Sort(e.mids)
	return e.mids[len(e.mids)/2]
}
