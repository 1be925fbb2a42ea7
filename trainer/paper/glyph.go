package paper

import (
	"math/bits"
	"unicode/utf8"

	"telltrace/trainer/look"
)

// A cell's dots are one byte in the order of the Braille block (Unicode, U+2800):
// bits 0-2 and 6 are the left column from the top, bits 3-5 and 7 the right one.
var dotBit = [cellDotsX][cellDotsY]uint8{{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}}

// columnBits[side][top][foot] has the dots of one column from top to foot.
var columnBits = func() (m [cellDotsX][cellDotsY][cellDotsY]uint8) {
	for side := range m {
		for top := range m[side] {
			var set uint8
			for foot := top; foot < cellDotsY; foot++ {
				set |= dotBit[side][foot]
				m[side][top][foot] = set
			}
		}
	}
	return m
}()

// A glyphTable has the character of every combination of dots.
type glyphTable [256]glyph

// A glyph is a character as it is sent, in UTF-8.
type glyph struct {
	r     rune
	bytes [utf8.UTFMax]byte
	n     uint8
}

// append adds the glyph of dots to dst. Four bytes are written at once, whatever
// the length, to spare a call for each cell.
func (t *glyphTable) append(dst []byte, dots uint8) []byte {
	g := &t[dots]
	n := len(dst) + int(g.n)
	return append(dst, g.bytes[0], g.bytes[1], g.bytes[2], g.bytes[3])[:n]
}

var (
	brailleGlyphs = newGlyphTable(brailleRune)
	blockGlyphs   = newGlyphTable(blockRune)
	asciiGlyphs   = newGlyphTable(asciiRune)
)

func newGlyphTable(runeOf func(uint8) rune) *glyphTable {
	var t glyphTable
	for dots := range t {
		g := &t[dots]
		g.r = ' ' // no dots are a space: a hollow font would draw rings for U+2800
		if dots != 0 {
			g.r = runeOf(uint8(dots))
		}
		g.n = uint8(utf8.EncodeRune(g.bytes[:], g.r))
	}
	return &t
}

func glyphsOf(set look.Glyphs) *glyphTable {
	switch set {
	case look.HalfBlock:
		return blockGlyphs
	case look.ASCII:
		return asciiGlyphs
	default:
		return brailleGlyphs
	}
}

func brailleRune(dots uint8) rune { return 0x2800 + rune(dots) }

// blockRune halves the cell: upper half, lower half or both.
func blockRune(dots uint8) rune {
	const upper = 0x01 | 0x02 | 0x08 | 0x10
	switch {
	case dots&upper == 0:
		return '▄'
	case dots&^upper == 0:
		return '▀'
	default:
		return '█'
	}
}

// asciiRune says where in the cell the line runs and whether it climbs.
func asciiRune(dots uint8) rune {
	top, foot := cellDotsY, -1
	var sum, count [cellDotsX]int
	for side := range dotBit {
		for row, bit := range dotBit[side] {
			if dots&bit != 0 {
				top, foot = min(top, row), max(foot, row)
				sum[side] += row
				count[side]++
			}
		}
	}
	switch {
	case count[0] > 0 && count[1] > 0 && bits.OnesCount8(dots) <= 5 && foot-top >= 2:
		// twice the mean row on each side, compared without division
		if sum[0]*count[1] > sum[1]*count[0] {
			return '/'
		}
		if sum[0]*count[1] < sum[1]*count[0] {
			return '\\'
		}
		return '|'
	case foot-top >= 2:
		return '|'
	case foot <= 1 && top == 0:
		return '\''
	case top >= 2 && foot == 3:
		return '_'
	default:
		return '-'
	}
}
