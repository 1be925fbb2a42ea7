package glass

import (
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// A cell is one character and how it is shown; the zero cell is blank.
type cell struct {
	r rune // 0 for a blank
	style
}

// normal makes blanks that look the same the same: on an ordinary one what a
// character would look like does not count.
func (c cell) normal() cell {
	if c.r == ' ' && c.emphasis&seenOnBlank == 0 {
		c.r, c.front, c.emphasis = 0, 0, 0
	}
	return c
}

// A grid is the cells of a window, row by row.
type grid struct {
	cols, rows int
	cells      []cell
	next       []cell // one row, as it is to be
}

// resize reports whether the size has changed; the cells are then blank.
func (g *grid) resize(cols, rows int) bool {
	if cols == g.cols && rows == g.rows {
		return false
	}
	*g = grid{cols, rows, make([]cell, cols*rows), make([]cell, cols)}
	return true
}

// A line is a row of the page as it was last drawn.
type line struct {
	text  string
	whole bool // drawn as one piece: its cells are not known
}

// line draws a row where it differs from what is there.
func (p *Pane) line(row int, text string) {
	fresh := row >= len(p.lines)
	if fresh {
		p.lines = append(p.lines, line{})
	}
	last := &p.lines[row]
	if !fresh && last.text == text {
		return
	}
	lastWhole := last.whole
	*last = line{text: text}
	next := p.cells.next
	if !parse(text, next) {
		last.whole = true
		p.buf = appendMove(p.buf, row, 0)
		p.use(style{})
		p.buf = append(append(p.buf, ansi.Truncate(text, p.cells.cols, "")...), "\x1b[0m"...)
		if ansi.StringWidth(text) < p.cells.cols {
			p.buf = append(p.buf, eraseToEnd...)
		}
		return
	}
	have := p.cells.cells[row*p.cells.cols : (row+1)*p.cells.cols]
	p.change(row, have, next, fresh || lastWhole)
	copy(have, next)
}

// change writes the cells of a row that differ, all of them when those that are
// there are not known.
func (p *Pane) change(row int, have, next []cell, all bool) {
	end := len(next)
	for end > 0 && next[end-1] == (cell{}) {
		end--
	}
	at := -1 // column of the cursor, when it is in this row
	for col := 0; col < end; col++ {
		if !all && have[col] == next[col] {
			continue
		}
		p.reach(row, at, col, next)
		p.put(next[col])
		at = col + 1
	}
	blank := all && end < len(next)
	for col := end; col < len(next) && !blank; col++ {
		blank = have[col] != cell{}
	}
	if blank {
		p.reach(row, at, end, next)
		p.use(style{})
		p.buf = append(p.buf, eraseToEnd...)
	}
}

// reach brings the cursor to a column: by writing the cells between over again where
// they are few and need no other colour, else by moving.
func (p *Pane) reach(row, at, col int, next []cell) {
	const few = 3 // a move takes four bytes and more
	switch {
	case at == col:
		return
	case at < 0:
		p.buf = appendMove(p.buf, row, col)
		return
	}
	bytes := 0
	for _, c := range next[at:col] {
		if c.r == 0 && c.back == p.pen.back && p.pen.emphasis&seenOnBlank == 0 {
			bytes++
		} else if c.r != 0 && c.style == p.pen {
			bytes += utf8.RuneLen(c.r)
		} else {
			bytes = few + 1
		}
	}
	if bytes > few {
		p.buf = appendForward(p.buf, col-at)
		return
	}
	for _, c := range next[at:col] {
		p.put(c)
	}
}

// put writes one cell at the cursor.
func (p *Pane) put(c cell) {
	if c.r == 0 {
		blank := p.pen // whatever the front colour
		blank.back = c.back
		if blank.emphasis&seenOnBlank != 0 {
			blank.emphasis = 0
		}
		p.use(blank)
		p.buf = append(p.buf, ' ')
		return
	}
	p.use(c.style)
	p.buf = utf8.AppendRune(p.buf, c.r)
}

// use changes the pen.
func (p *Pane) use(s style) {
	p.buf = appendChange(p.buf, p.pen, s)
	p.pen = s
}

// parse puts a line into cells; false when it holds what does not fit into cells one
// by one: wide or combining characters, or sequences other than SGR. What is beyond
// the last cell is cut.
func parse(text string, cells []cell) bool {
	var pen style
	col := 0
	put := func(r rune) {
		if col < len(cells) {
			cells[col] = cell{r, pen}.normal()
		}
		col++
	}
	for i := 0; i < len(text); {
		switch b := text[i]; {
		case b == 0x1b:
			end := strings.IndexByte(text[i:], 'm')
			if end < 2 || text[i+1] != '[' || !pen.take(text[i+2:i+end]) {
				return false
			}
			i += end + 1
		case b < ' ' || b == 0x7f:
			return false
		case b < utf8.RuneSelf:
			put(rune(b))
			i++
		default:
			r, size := utf8.DecodeRuneInString(text[i:])
			if !narrow(r) {
				return false
			}
			put(r)
			i += size
		}
	}
	for ; col < len(cells); col++ {
		cells[col] = cell{}
	}
	return true
}

// narrow reports whether a character surely takes one cell and joins no other:
// Latin letters, general punctuation, arrows and mathematics up to the Braille
// patterns (Unicode 15, EastAsianWidth.txt has none of these as wide but a few
// symbols in 2300-27FF, which are left out).
func narrow(r rune) bool {
	return r >= 0xa0 && r < 0x300 && r != 0xad || // Latin
		r >= 0x2010 && r <= 0x2027 || // dashes, quotes, dots
		r >= 0x2190 && r < 0x2300 || // arrows, mathematics
		r >= 0x2500 && r <= 0x259f || // lines, blocks
		r >= 0x2800 && r <= 0x28ff // Braille
}
