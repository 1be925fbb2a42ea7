package paper

import "telltrace/trainer/look"

// A Cell is one terminal cell as it is shown.
type Cell struct {
	Rune   rune
	Ink    look.Ink
	Ground look.Ground
}

// A Code is a Cell in one word, quick to copy and to compare: the character in the
// lower bits, then the ink, then the ground.
type Code uint32

// Bits of a Code.
const (
	runeBits  = 21 // Unicode ends at 10FFFF
	inkBits   = 3
	penBits   = inkBits + 2
	runeMask  = 1<<runeBits - 1
	CodePens  = 1 << penBits // how many values Code.Pen has
	groundBit = runeBits + inkBits
)

func code(r rune, ink look.Ink, ground look.Ground) Code {
	return Code(r) | Code(ink)<<runeBits | Code(ground)<<groundBit
}

// Rune is the character.
func (c Code) Rune() rune { return rune(c & runeMask) }

// Pen is ink and ground as one number below CodePens.
func (c Code) Pen() int { return int(c >> runeBits) }

// PenOf is the Pen of an ink on a ground.
func PenOf(ink look.Ink, ground look.Ground) int { return code(0, ink, ground).Pen() }

// A Canvas is a band of cells with one trace on it, drawn anew for every frame
// without allocating. Draw in this order: Reset, Grid, Trace or Pulse, labels and
// brackets; then AppendRow or Rows. Where a wave and a word claim one cell, the
// wave is shown, whichever came first. A Canvas is not safe for concurrent use.
type Canvas struct {
	look   *look.Look
	glyphs *glyphTable

	cols, rows int
	stride     int     // bytes per row of dots, a multiple of 8
	dots       []uint8 // the trace, one byte of dots a cell
	words      []word  // what is written, one entry a cell
	written    []bool  // rows of words that are not empty
	boxW, boxH int     // cells of a big box; 0 without a grid

	blank blankRows
	all   []byte // the rows as they are sent, kept for its memory
}

// A word is the part of a label in one cell; the zero word is none.
type word struct {
	r      rune
	ink    look.Ink
	ground look.Ground
}

// paperOwn as a word's ground leaves it on the paper under it.
const paperOwn look.Ground = 0

// NewCanvas makes an empty canvas for a look.
func NewCanvas(l *look.Look) *Canvas { return &Canvas{look: l, glyphs: glyphsOf(l.Glyphs)} }

// Reset makes the canvas blank and gives it a size in cells. A negative size
// counts as none; memory is kept.
func (c *Canvas) Reset(cols, rows int) {
	cols, rows = min(max(cols, 0), maxDim), min(max(rows, 0), maxDim)
	resized := cols != c.cols || rows != c.rows
	c.cols, c.rows = cols, rows
	c.stride = (c.cols + 7) &^ 7
	c.boxW, c.boxH = 0, 0
	c.dots = cleared(c.dots, c.stride*c.rows)
	if resized {
		c.words, c.written = cleared(c.words, c.cols*c.rows), cleared(c.written, c.rows)
	}
	for row, any := range c.written {
		if any {
			clear(c.words[row*c.cols : (row+1)*c.cols])
			c.written[row] = false
		}
	}
}

func cleared[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	s = s[:n]
	clear(s)
	return s
}

// Size is the canvas in cells.
func (c *Canvas) Size() (cols, rows int) { return c.cols, c.rows }

// At is the cell of a column and row as it is shown; it panics outside the canvas.
func (c *Canvas) At(col, row int) Cell {
	cell := Cell{Rune: ' ', Ink: look.InkTrace, Ground: c.groundAt(col, row)}
	if dots := c.dots[row*c.stride+col]; dots != 0 {
		cell.Rune = c.glyphs[dots].r
	} else if w := c.words[row*c.cols+col]; w.r != 0 {
		cell.Rune, cell.Ink = w.r, w.ink
		if w.ground != paperOwn {
			cell.Ground = w.ground
		}
	} else if c.cornerAt(col, row) {
		cell.Rune, cell.Ink = '.', look.InkFaint
	}
	return cell
}

// Dot reports whether the trace has a dot in dot column x and dot row y of the
// window, counted from the upper left corner; false outside.
func (c *Canvas) Dot(x, y int) bool {
	if x < 0 || y < 0 || x >= c.cols*cellDotsX || y >= c.rows*cellDotsY {
		return false
	}
	return c.dots[y/cellDotsY*c.stride+x/cellDotsX]&dotBit[x%cellDotsX][y%cellDotsY] != 0
}

// fill sets the dots of dot column x from row top to row foot. What lies outside
// the window is drawn at its edge: a wave too tall is cut, not lost.
func (c *Canvas) fill(x, top, foot int) {
	last := c.rows*cellDotsY - 1
	t, f := uint(min(max(top, 0), last)), uint(min(max(foot, 0), last)) // unsigned: plain shifts
	bits := &columnBits[uint(x)%cellDotsX]
	col, stride := uint(x)/cellDotsX, uint(c.stride)
	at, end := t/cellDotsY*stride+col, f/cellDotsY*stride+col
	if at == end {
		c.dots[at] |= bits[t%cellDotsY][f%cellDotsY]
		return
	}
	c.dots[at] |= bits[t%cellDotsY][cellDotsY-1]
	for at += stride; at < end; at += stride {
		c.dots[at] |= bits[0][cellDotsY-1]
	}
	c.dots[end] |= bits[0][f%cellDotsY]
}

// write puts text on a row from a column on; what is outside is left out.
func (c *Canvas) write(col, row int, text string, ink look.Ink, ground look.Ground) {
	if row < 0 || row >= c.rows {
		return
	}
	for _, r := range text {
		if col >= 0 && col < c.cols {
			c.words[row*c.cols+col] = word{r, ink, ground}
			c.written[row] = true
		}
		col++
	}
}

// free reports whether neither the trace nor a word has a cell in from..to (to
// included) of a row. Columns outside the canvas are not free.
func (c *Canvas) free(row, from, to int) bool {
	if row < 0 || row >= c.rows || from < 0 || to >= c.cols {
		return false
	}
	for col := from; col <= to; col++ {
		if c.dots[row*c.stride+col] != 0 || c.words[row*c.cols+col].r != 0 {
			return false
		}
	}
	return true
}

// reach is the first and the last row the trace has in columns from..to, false
// when it has none.
func (c *Canvas) reach(from, to int) (top, foot int, ok bool) {
	from, to = max(from, 0), min(to, c.cols-1)
	top = c.rows
	for row := range c.rows {
		for col := from; col <= to; col++ {
			if c.dots[row*c.stride+col] != 0 {
				top, foot, ok = min(top, row), row, true
				break
			}
		}
	}
	return top, foot, ok
}
