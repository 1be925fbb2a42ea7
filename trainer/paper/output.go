package paper

import (
	"encoding/binary"
	"math/bits"
	"strings"
	"unicode/utf8"

	"telltrace/trainer/look"
)

// blankRows are the rows of empty paper as they are sent, kept between frames:
// most of a frame is a copy of them. There are two kinds, as the chequer begins
// with one tint or the other; without colour, as they have corner dots or not.
type blankRows struct {
	cols, boxW int // what they were made for
	rows       [2]blankRow
}

type blankRow struct {
	bytes []byte
	end   []int // per column, the offset after its cell
	codes []Code
}

// kind is the kind of blank row under a row.
func (c *Canvas) kind(row int) int {
	switch {
	case c.boxW == 0:
		return 0
	case c.look.Coloured():
		return c.boxRow(row) & 1
	case c.cornerAt(0, row):
		return 1
	default:
		return 0
	}
}

// blankRow returns the kind of row, making it when the paper has changed.
func (c *Canvas) blankRow(kind int) *blankRow {
	b := &c.blank
	if b.cols != c.cols || b.boxW != c.boxW {
		*b = blankRows{cols: c.cols, boxW: c.boxW}
	}
	r := &b.rows[kind]
	if r.end != nil {
		return r
	}
	r.end = make([]int, c.cols)
	for col := range r.end {
		if ground := c.blankGround(kind, col); col == 0 || ground != c.blankGround(kind, col-1) {
			r.bytes = append(r.bytes, c.look.Ground(ground)...)
		}
		cell := Cell{Rune: ' ', Ground: c.blankGround(kind, col)}
		if c.boxW > 0 && !c.look.Coloured() && kind == 1 && col%c.boxW == 0 {
			cell.Rune, cell.Ink = '.', look.InkFaint
		}
		r.codes = append(r.codes, code(cell.Rune, cell.Ink, cell.Ground))
		r.bytes = append(r.bytes, byte(cell.Rune))
		r.end[col] = len(r.bytes)
	}
	r.bytes = append(r.bytes, c.look.Reset()...)
	return r
}

func (c *Canvas) blankGround(kind, col int) look.Ground {
	if c.boxW == 0 || !c.look.Coloured() {
		return look.PaperA
	}
	return look.Ground((kind + col/c.boxW) & 1)
}

// AppendRow appends one row to dst: exactly as many cells as the canvas has
// columns, colours selected where they change, everything reset at the end.
// Without colour it is bare text. A row outside the canvas adds nothing.
func (c *Canvas) AppendRow(dst []byte, row int) []byte {
	if row < 0 || row >= c.rows {
		return dst
	}
	blank := c.blankRow(c.kind(row))
	line := c.dots[row*c.stride : (row+1)*c.stride]
	if c.written[row] {
		return c.appendWritten(dst, row, blank, line)
	}
	dst = append(dst, c.look.Ink(look.InkTrace)...)
	done := 0 // bytes of the blank row
	for at := 0; at < len(line); at += 8 {
		for set := binary.LittleEndian.Uint64(line[at:]); set != 0; {
			first := bits.TrailingZeros64(set) / 8
			set &^= 0xff << (8 * first)
			end := blank.end[at+first]
			if done < end-1 {
				dst = append(dst, blank.bytes[done:end-1]...)
			}
			dst = c.glyphs.append(dst, line[at+first])
			done = end
		}
	}
	return append(dst, blank.bytes[done:]...)
}

// appendWritten is AppendRow for a row that has words as well.
func (c *Canvas) appendWritten(dst []byte, row int, blank *blankRow, line []uint8) []byte {
	ink := look.InkTrace
	dst = append(dst, c.look.Ink(ink)...)
	done := 0
	for col, w := range c.words[row*c.cols : (row+1)*c.cols] {
		wave := line[col] != 0
		if !wave && w.r == 0 {
			continue
		}
		dst = append(dst, blank.bytes[done:blank.end[col]-1]...)
		done = blank.end[col]
		if wave {
			w = word{ink: look.InkTrace}
		}
		if w.ground != paperOwn {
			dst = append(dst, c.look.Ground(w.ground)...)
		}
		if w.ink != ink {
			ink = w.ink
			dst = append(dst, c.look.Ink(ink)...)
		}
		if wave {
			dst = c.glyphs.append(dst, line[col])
		} else {
			dst = utf8.AppendRune(dst, w.r)
		}
		if w.ground != paperOwn {
			dst = append(dst, c.look.Ground(c.groundAt(col, row))...)
		}
	}
	return append(dst, blank.bytes[done:]...)
}

// AppendCodes appends the cells of one row to dst. A row outside the canvas adds
// nothing.
func (c *Canvas) AppendCodes(dst []Code, row int) []Code {
	if row < 0 || row >= c.rows {
		return dst
	}
	begin := len(dst)
	dst = append(dst, c.blankRow(c.kind(row)).codes...)
	codes := dst[begin:]
	line := c.dots[row*c.stride : (row+1)*c.stride]
	if c.written[row] {
		for col, w := range c.words[row*c.cols : (row+1)*c.cols] {
			if w.r != 0 && line[col] == 0 {
				cell := c.At(col, row)
				codes[col] = code(cell.Rune, cell.Ink, cell.Ground)
			}
		}
	}
	for at := 0; at < len(line); at += 8 {
		for set := binary.LittleEndian.Uint64(line[at:]); set != 0; {
			first := bits.TrailingZeros64(set) / 8
			set &^= 0xff << (8 * first)
			ground := codes[at+first] >> groundBit << groundBit
			codes[at+first] = ground | code(c.glyphs[line[at+first]].r, look.InkTrace, 0)
		}
	}
	return dst
}

// Rows returns every row as AppendRow writes it.
func (c *Canvas) Rows() []string {
	rows, ends := make([]string, c.rows), make([]int, c.rows)
	c.all = c.all[:0]
	for i := range rows {
		c.all = c.AppendRow(c.all, i)
		ends[i] = len(c.all)
	}
	all, from := string(c.all), 0
	for i, to := range ends {
		rows[i], from = all[from:to], to
	}
	return rows
}

// String returns the rows joined by line feeds.
func (c *Canvas) String() string { return strings.Join(c.Rows(), "\n") }
