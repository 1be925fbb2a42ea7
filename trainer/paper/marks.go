package paper

import (
	"math"
	"strconv"
	"unicode/utf8"

	"telltrace/synth/ecg"
	"telltrace/trainer/look"
)

// labelReach is how many rows a label may stand away from its wave.
const labelReach = 3

// Marks labels the P, QRS and T waves that are in the window, above or below the
// trace and never on it. It returns how many found no place.
func (c *Canvas) Marks(v View, m ecg.Marks) (unplaced int) {
	count := func(placed bool) {
		if !placed {
			unplaced++
		}
	}
	for _, b := range m.Beats { // the tall waves first: their place is narrow
		if b.QRS.Present() {
			count(c.label(v, "QRS", b.QRS))
		}
	}
	for _, p := range m.P {
		if p.Present() {
			count(c.label(v, "P", p))
		}
	}
	for _, b := range m.Beats {
		if b.T.Present() {
			count(c.label(v, "T", b.T))
		}
	}
	return unplaced
}

// label writes text beside the wave's peak, on the side the wave points to if there
// is room. A wave outside the window needs no label.
func (c *Canvas) label(v View, text string, wave ecg.Span) bool {
	width := utf8.RuneCountInString(text)
	peak := v.Column(wave.Peak)
	from := peak - width/2
	to := from + width - 1
	if from < v.inset()/cellDotsX || to >= c.cols {
		return true
	}
	if _, _, drawn := c.dotReach(v.Dot(wave.Peak) - v.Dot(v.Left)); !drawn {
		return true // its samples are missing
	}
	top, foot, _ := c.reach(from, to)
	above := func(k int) int { return top - k }
	below := func(k int) int { return foot + k }
	sides := []func(int) int{above, below}
	if c.pointsDown(v, wave) {
		sides = []func(int) int{below, above}
	}
	for _, side := range sides {
		for k := 1; k <= labelReach; k++ {
			// a free cell on either side keeps two labels apart
			if row := side(k); row < c.rows-1 && c.free(row, from, to) && c.spaced(row, from, to) {
				c.write(from, row, text, look.InkMark, paperOwn)
				return true
			}
		}
	}
	return false
}

// spaced reports whether the cells before from and after to have no words.
func (c *Canvas) spaced(row, from, to int) bool {
	blank := func(col int) bool {
		return col < 0 || col >= c.cols || c.words[row*c.cols+col].r == 0
	}
	return blank(from-1) && blank(to+1)
}

// pointsDown reports whether the trace lies lower at the wave's peak than at its
// onset.
func (c *Canvas) pointsDown(v View, wave ecg.Span) bool {
	left := v.Dot(v.Left)
	_, onset, ok1 := c.dotReach(v.Dot(wave.Onset) - left)
	peakTop, peak, ok2 := c.dotReach(v.Dot(wave.Peak) - left)
	return ok1 && ok2 && peak > onset+1 && peakTop >= onset-1
}

// dotReach is the first and the last dot row of dot column x.
func (c *Canvas) dotReach(x int) (top, foot int, ok bool) {
	for y := range c.rows * cellDotsY {
		if c.Dot(x, y) {
			if !ok {
				top, ok = y, true
			}
			foot = y
		}
	}
	return top, foot, ok
}

// A Bracket marks a stretch of time with its name.
type Bracket struct {
	From, To float64 // strip time, s
	Text     string
	Miss     bool // what must not be missed: another ground, and "!" before the text
}

// Intervals returns the brackets of one beat that can be measured on it: PR, QRS
// and QT with their length in milliseconds.
func Intervals(b ecg.Beat) []Bracket {
	var out []Bracket
	add := func(name string, from, seconds float64, ok bool) {
		if ok {
			ms := strconv.Itoa(int(math.Round(seconds * 1000)))
			out = append(out, Bracket{From: from, To: from + seconds, Text: name + " " + ms + " ms"})
		}
	}
	pr, ok := b.PR()
	add("PR", b.P.Onset, pr, ok)
	qrs, ok := b.QRSWidth()
	add("QRS", b.QRS.Onset, qrs, ok)
	qt, ok := b.QT()
	add("QT", b.QRS.Onset, qt, ok)
	return out
}

// ChooseBeat picks the beat to bracket: of those wholly in the window the one with
// most waves, nearest to its middle. False when there is none.
func ChooseBeat(v View, beats []ecg.Beat) (ecg.Beat, bool) {
	var best ecg.Beat
	bestWaves, bestAway := 0, 0.0
	for _, b := range beats {
		from, to, waves := b.QRS.Onset, b.QRS.Offset, 0
		for _, w := range []ecg.Span{b.P, b.QRS, b.T} {
			if w.Present() {
				from, to, waves = min(from, w.Onset), max(to, w.Offset), waves+1
			}
		}
		if !b.QRS.Present() || from < v.Left+v.insetSeconds() || to > v.Left+v.Seconds() {
			continue
		}
		away := math.Abs(b.QRS.Peak - v.Left - v.Seconds()/2)
		if waves > bestWaves || waves == bestWaves && away < bestAway {
			best, bestWaves, bestAway = b, waves, away
		}
	}
	return best, bestWaves > 0
}

// Bracket draws a bracket with its text in rows that are free of the trace: under
// it if there is room, else above. It returns false, having drawn nothing, when no
// place is left or the stretch is not wholly in the window; the caller then says it
// in words.
func (c *Canvas) Bracket(v View, b Bracket) bool {
	left := v.Dot(v.Left)
	x0, x1 := v.Dot(b.From)-left, v.Dot(b.To)-left
	if x1 < x0 || x0 < v.inset() || x1 >= c.cols*cellDotsX {
		return false
	}
	from, to := x0/cellDotsX, x1/cellDotsX
	caption, ink, ground := b.Text, look.InkMark, paperOwn
	if b.Miss {
		caption, ink, ground = look.MissMark+" "+b.Text, look.InkMiss, look.GroundMiss
	}
	width := utf8.RuneCountInString(caption) + 1 // and a space
	top, foot, drawn := c.reach(from, to)
	if !drawn {
		top, foot = c.rows/2, c.rows/2
	}
	type place struct {
		row   int
		under bool
	}
	var places []place
	for row := foot + 1; row < c.rows-1; row++ { // the ticks keep the last row
		places = append(places, place{row, true})
	}
	for row := top - 1; row >= 0; row-- {
		places = append(places, place{row, false})
	}
	for _, p := range places {
		for _, at := range []int{to + 1, from - width} { // after it, before it
			a, z := min(from, at), max(to, at+width-1)
			if !c.free(p.row, a, z) || !c.spaced(p.row, a, z) {
				continue
			}
			text := " " + caption
			if at < from {
				text = caption + " "
			}
			c.write(at, p.row, text, ink, ground)
			c.span(p.row, x0, x1, p.under, ink, ground)
			return true
		}
	}
	return false
}

// span draws the bracket itself, its legs towards the wave: to the dot in Braille,
// to the cell otherwise.
func (c *Canvas) span(row, x0, x1 int, under bool, ink look.Ink, ground look.Ground) {
	from, to := x0/cellDotsX, x1/cellDotsX
	line, legTop, legFoot := 2, 0, 2
	if !under {
		line, legTop, legFoot = 1, 1, 3
	}
	for col := from; col <= to; col++ {
		r := '-'
		if col == from || col == to {
			r = '|'
		}
		if c.look.Glyphs == look.Braille {
			var dots uint8
			for x := max(x0, col*cellDotsX); x <= min(x1, col*cellDotsX+1); x++ {
				dots |= dotBit[x%cellDotsX][line]
				if x == x0 || x == x1 {
					dots |= columnBits[x%cellDotsX][legTop][legFoot]
				}
			}
			r = brailleRune(dots)
		}
		c.words[row*c.cols+col] = word{r, ink, ground}
		c.written[row] = true
	}
}
