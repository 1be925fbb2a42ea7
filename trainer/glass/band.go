package glass

import (
	"slices"

	"telltrace/trainer/look"
	"telltrace/trainer/paper"
)

// A Band is rows of a page that are given as cells: a strip that moves, of which no
// text is made only to be taken apart again. The page's own text in these rows does
// not count.
type Band struct {
	Row   int          // of the page, the first
	Cols  int          // cells a row
	Cells []paper.Code // row by row
	Look  *look.Look   // they are drawn in
}

// copyOf is b in memory of its own, that of old where it fits.
func (b Band) copyOf(old []paper.Code) Band {
	b.Cells = append(old[:0], b.Cells...)
	return b
}

// pens are the styles of a look's inks on its grounds.
type pens struct {
	of  *look.Look
	ids [paper.CodePens]id
}

// pens makes those of a look; false where they are too many.
func (a *atlas) pens(l *look.Look) (p pens, ok bool) {
	p.of = l
	for ink := range look.Inks {
		for ground := range look.Grounds {
			var s style
			for _, sequence := range []string{l.Ink(ink), l.Ground(ground)} {
				if n := len(sequence); n > 3 && !s.take(sequence[2:n-1]) {
					return p, false
				}
			}
			if p.ids[paper.PenOf(ink, ground)], ok = a.id(s); !ok {
				return p, false
			}
		}
	}
	return p, true
}

// bandRow draws a row of a band, if there is one; false where there is none.
func (p *Pane) bandRow(row int) bool {
	at := slices.IndexFunc(p.bands, func(b Band) bool {
		return b.Cols > 0 && row >= b.Row && row < b.Row+len(b.Cells)/b.Cols
	})
	if at < 0 {
		return false
	}
	b := &p.bands[at]
	last, fresh := p.lastLine(row)
	all := fresh || last.whole
	same := last.band && p.pens.of == b.Look // then codes can be compared
	if p.pens.of != b.Look {
		var ok bool
		if p.pens, ok = p.atlas.pens(b.Look); !ok {
			return false
		}
	}
	*last = line{band: true}
	have, codes := p.cells.row(row), p.cells.codesOf(row)
	next := b.Cells[(row-b.Row)*b.Cols:][:min(b.Cols, len(have))]
	if same && !all && slices.Equal(codes[:len(next)], next) {
		return true
	}
	p.changed = p.changed[:0]
	for col, c := range next {
		if same && codes[col] == c && !all {
			continue
		}
		codes[col] = c
		if cell := p.cellOf(c); all || have[col] != cell {
			have[col] = cell
			p.changed = append(p.changed, altered{col, p.atlas.blanks[cell.style()]})
		}
	}
	cursor := p.byGround(row, have, all)
	p.endRow(row, cursor, len(next), have, all)
	clear(codes[len(next):])
	return true
}

// An altered cell is one of a row to be drawn, with its background.
type altered struct {
	col    int
	ground id
}

// byGround draws the changed cells of a row, those on one background after those on
// another: on a chequer that takes fewer bytes than to change it at every box. It
// returns where the cursor is then. When the whole row is drawn it is drawn as it
// stands.
func (p *Pane) byGround(row int, have []cell, all bool) (cursor int) {
	cursor = -1
	for left := p.changed; len(left) > 0; {
		ground, here := left[0].ground, p.atlas.blanks[p.pen]
		for i := range left { // as long as there is something on the background in use
			if left[i].ground == here {
				ground = here
				break
			}
		}
		rest := left[:0]
		for _, c := range left {
			if !all && c.ground != ground {
				rest = append(rest, c)
				continue
			}
			col := c.col
			if cursor > col {
				cursor = -1 // to the left there is no short move
			}
			p.reach(row, cursor, col, have)
			p.put(have[col])
			cursor = col + 1
		}
		left = rest
	}
	return cursor
}

// cellOf is the cell of a band's code.
func (p *Pane) cellOf(c paper.Code) cell {
	s := p.pens.ids[c.Pen()]
	if c.Rune() == ' ' {
		return newCell(0, p.atlas.blanks[s])
	}
	return newCell(c.Rune(), s)
}
