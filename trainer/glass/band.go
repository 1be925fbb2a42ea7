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
	Cells []paper.Cell // row by row
	Look  *look.Look   // they are drawn in
}

// copyOf is b in memory of its own, that of old where it fits.
func (b Band) copyOf(old []paper.Cell) Band {
	b.Cells = append(old[:0], b.Cells...)
	return b
}

// pens are the styles of a look's inks on its grounds.
type pens struct {
	of  *look.Look
	ids [look.Inks][look.Grounds]id
}

// pens makes those of a look; false where they are too many.
func (a *atlas) pens(l *look.Look) (p pens, ok bool) {
	p.of = l
	for ink := range p.ids {
		for ground := range p.ids[ink] {
			var s style
			for _, sequence := range []string{l.Ink(look.Ink(ink)), l.Ground(look.Ground(ground))} {
				if n := len(sequence); n > 3 && !s.take(sequence[2:n-1]) {
					return p, false
				}
			}
			if p.ids[ink][ground], ok = a.id(s); !ok {
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
	if p.pens.of != b.Look {
		var ok bool
		if p.pens, ok = p.atlas.pens(b.Look); !ok {
			return false
		}
	}
	last, fresh := p.lastLine(row)
	all := fresh || last.whole
	*last = line{band: true}
	next := p.cells.next
	cells := b.Cells[(row-b.Row)*b.Cols:][:min(b.Cols, len(next))]
	for col, c := range cells {
		s := p.pens.ids[c.Ink][c.Ground]
		if c.Rune == ' ' {
			next[col] = newCell(0, p.atlas.blanks[s])
		} else {
			next[col] = newCell(c.Rune, s)
		}
	}
	clear(next[len(cells):])
	p.replace(row, all)
	return true
}
