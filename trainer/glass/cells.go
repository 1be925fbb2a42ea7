package glass

import (
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"

	"telltrace/trainer/paper"
)

// A cell is a character and its style; the zero cell is a blank in the terminal's own
// colours. The character of a blank is 0.
type cell uint64

func newCell(r rune, s id) cell { return cell(r) | cell(s)<<32 }

func (c cell) rune() rune { return rune(c & 0xffffffff) }
func (c cell) style() id  { return id(c >> 32) }

// A grid is the cells of a window, row by row.
type grid struct {
	cols, rows int
	cells      []cell
	next       []cell       // one row, as it is to be
	codes      []paper.Code // of the rows that a band had last
}

func (g *grid) row(row int) []cell           { return g.cells[row*g.cols : (row+1)*g.cols] }
func (g *grid) codesOf(row int) []paper.Code { return g.codes[row*g.cols : (row+1)*g.cols] }

// resize reports whether the size has changed; the cells are then blank.
func (g *grid) resize(cols, rows int) bool {
	if cols == g.cols && rows == g.rows {
		return false
	}
	*g = grid{cols, rows, make([]cell, cols*rows), make([]cell, cols), make([]paper.Code, cols*rows)}
	return true
}

// A line is a row of the page as it was last drawn.
type line struct {
	text  string
	band  bool // it was of a band and had no text
	whole bool // drawn as one piece: its cells are not known
}

// lastLine is a row as it was last drawn; fresh when it was not yet.
func (p *Pane) lastLine(row int) (last *line, fresh bool) {
	if fresh = row >= len(p.lines); fresh {
		p.lines = append(p.lines, line{})
	}
	return &p.lines[row], fresh
}

// line draws a row of text where it differs from what is there.
func (p *Pane) line(row int, text string) {
	last, fresh := p.lastLine(row)
	if !fresh && !last.band && last.text == text {
		return
	}
	all := fresh || last.whole
	*last = line{text: text, whole: !p.atlas.parse(text, p.cells.next)}
	if last.whole {
		p.piece(row, text)
		return
	}
	p.replace(row, all)
}

// replace makes a row what next holds.
func (p *Pane) replace(row int, all bool) {
	have := p.cells.row(row)
	p.change(row, have, p.cells.next, all || p.whole && !slices.Equal(have, p.cells.next))
	copy(have, p.cells.next)
}

// piece writes a row as it is.
func (p *Pane) piece(row int, text string) {
	p.buf = appendMove(p.buf, row, 0)
	p.use(0, false)
	p.buf = append(append(p.buf, ansi.Truncate(text, p.cells.cols, "")...), "\x1b[0m"...)
	if ansi.StringWidth(text) < p.cells.cols {
		p.buf = append(p.buf, eraseToEnd...)
	}
}

// change writes the cells of a row that differ, all of them when those that are
// there are not known.
func (p *Pane) change(row int, have, next []cell, all bool) {
	end := len(next)
	for end > 0 && next[end-1] == 0 {
		end--
	}
	at := -1 // column of the cursor, when it is in this row
	for col := 0; col < end; col++ {
		if !all && have[col] == next[col] {
			continue
		}
		p.reach(row, at, col, have)
		p.put(next[col])
		at = col + 1
	}
	p.endRow(row, at, end, have, all)
}

// endRow makes the cells of a row from end on blank.
func (p *Pane) endRow(row, at, end int, have []cell, all bool) {
	if end == len(have) || !all && !slices.ContainsFunc(have[end:], func(c cell) bool { return c != 0 }) {
		return
	}
	p.reach(row, at, end, have)
	p.use(0, false)
	p.buf = append(p.buf, eraseToEnd...)
	clear(have[end:])
}

// reach brings the cursor to a column: by writing the cells between over again where
// they are few and need no other colour, else by moving.
func (p *Pane) reach(row, at, col int, have []cell) {
	const few = 3 // a move takes four bytes and more
	switch {
	case at == col:
		return
	case at < 0:
		p.buf = appendMove(p.buf, row, col)
		return
	case col-at > few:
		p.buf = appendForward(p.buf, col-at)
		return
	}
	bytes := 0
	for _, c := range have[at:col] {
		if r := c.rune(); r == 0 && p.atlas.blanks[p.pen] == c.style() {
			bytes++
		} else if r != 0 && c.style() == p.pen {
			bytes += utf8.RuneLen(r)
		} else {
			bytes = few + 1
		}
	}
	if bytes > few {
		p.buf = appendForward(p.buf, col-at)
		return
	}
	for _, c := range have[at:col] {
		p.put(c)
	}
}

// put writes one cell at the cursor.
func (p *Pane) put(c cell) {
	if r := c.rune(); r != 0 {
		p.use(c.style(), false)
		p.buf = utf8.AppendRune(p.buf, r)
		return
	}
	if p.atlas.blanks[p.pen] != c.style() {
		p.use(c.style(), true)
	}
	p.buf = append(p.buf, ' ')
}

// use changes the pen.
func (p *Pane) use(s id, blank bool) { p.buf, p.pen = p.atlas.append(p.buf, p.pen, s, blank) }

// parse puts a line into cells; false when it holds what does not fit into cells one
// by one: wide or combining characters, or sequences other than SGR. What is beyond
// the last cell is cut.
func (a *atlas) parse(text string, cells []cell) bool {
	pen, blank := id(0), id(0)
	col := 0
	for i := 0; i < len(text); {
		b := text[i]
		r, size := rune(b), 1
		switch {
		case b == 0x1b:
			end := strings.IndexByte(text[i:], 'm')
			if end < 2 || text[i+1] != '[' {
				return false
			}
			var ok bool
			if pen, ok = a.take(pen, text[i+2:i+end]); !ok {
				return false
			}
			blank = a.blanks[pen]
			i += end + 1
			continue
		case b < ' ' || b == 0x7f:
			return false
		case b >= utf8.RuneSelf:
			if r, size = utf8.DecodeRuneInString(text[i:]); !narrow(r) {
				return false
			}
		}
		i += size
		if col < len(cells) {
			if r != ' ' {
				cells[col] = newCell(r, pen)
			} else if a.styles[blank].emphasis == 0 {
				cells[col] = newCell(0, blank)
			} else {
				cells[col] = newCell(' ', pen)
			}
		}
		col++
	}
	if col < len(cells) {
		clear(cells[col:])
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
