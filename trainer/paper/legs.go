package paper

import "telltrace/trainer/look"

// Legs are the two legs of a pair of calipers on a strip.
type Legs struct {
	At    [2]float64 // strip time, s
	Held  int        // the leg that moves: drawn unbroken, the other one broken
	March bool       // repeat the interval along the strip
}

// Patterns of a leg within a cell, as dot rows from the top.
var (
	unbroken = [cellDotsY]bool{true, true, true, true}
	broken   = [cellDotsY]bool{true, false, true, false}
	sparse   = [cellDotsY]bool{true, false, false, false}
)

// leastMarch is the shortest interval, in dots, that is repeated along the strip:
// below it the legs would stand too close to be told apart.
const leastMarch = 6

// Legs draws calipers over the height of the canvas where neither the trace nor a
// word is. Draw them last.
func (c *Canvas) Legs(v View, l Legs) {
	left := v.Dot(v.Left)
	x := [2]int{v.Dot(l.At[0]) - left, v.Dot(l.At[1]) - left}
	for _, i := range [2]int{l.Held, 1 - l.Held} { // of two on one cell the held one is seen
		pattern := broken
		if i == l.Held {
			pattern = unbroken
		}
		c.leg(v, x[i], pattern, look.InkMark)
	}
	if step := max(x[0], x[1]) - min(x[0], x[1]); l.March && step >= leastMarch {
		for at := 1; at*step <= maxDim*cellDotsX; at++ {
			before, after := min(x[0], x[1])-at*step, max(x[0], x[1])+at*step
			if before < 0 && after >= c.cols*cellDotsX {
				break
			}
			c.leg(v, before, sparse, look.InkFaint)
			c.leg(v, after, sparse, look.InkFaint)
		}
	}
}

// leg draws one line down the window at dot column x; outside it nothing.
func (c *Canvas) leg(v View, x int, pattern [cellDotsY]bool, ink look.Ink) {
	if x < v.inset() || x >= c.cols*cellDotsX {
		return
	}
	var dots uint8
	for y, set := range pattern {
		if set {
			dots |= dotBit[x%cellDotsX][y]
		}
	}
	r := brailleRune(dots)
	if c.look.Glyphs != look.Braille {
		r = map[[cellDotsY]bool]rune{unbroken: '|', broken: ':', sparse: '.'}[pattern]
	}
	for row := range c.rows {
		if c.free(row, x/cellDotsX, x/cellDotsX) {
			c.write(x/cellDotsX, row, string(r), ink, paperOwn)
		}
	}
}
