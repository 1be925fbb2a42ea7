package paper

import (
	"strconv"

	"telltrace/synth/ecg"
	"telltrace/trainer/look"
)

// Grid lays the paper: big boxes as a chequer of two tints, a tick at the foot
// every second, a stronger one with a label every three (for the six-second
// method). The paper lies still in the window while the trace moves over it: fewer
// cells change, and boxes stay whole cells.
func (c *Canvas) Grid(v View) {
	c.boxW, c.boxH = 4*v.scale(), 2*v.scale()
	second := int(v.DotsPerSecond()) / cellDotsX
	if second < 1 || c.rows == 0 {
		return
	}
	minor, major := "'", "|"
	if c.look.Glyphs == look.Braille {
		minor, major = "⡄", "⡇"
	}
	foot := c.rows - 1
	for s := 1; s*second < c.cols; s++ {
		if s%3 != 0 {
			c.write(s*second, foot, minor, look.InkFaint, paperOwn)
			continue
		}
		c.write(s*second, foot, major, look.InkFaint, paperOwn)
		c.write(s*second+1, foot, strconv.Itoa(s), look.InkFaint, paperOwn)
		c.write(s*second+1+len(strconv.Itoa(s)), foot, " s", look.InkFaint, paperOwn)
	}
}

// Header writes lead, speed and gain along the top of the paper.
func (c *Canvas) Header(l ecg.Lead, v View) { c.write(1, 0, HeaderText(l, v), look.InkText, paperOwn) }

// Name writes the name of a lead at the top left, where several are shown.
func (c *Canvas) Name(name string) { c.write(1, 0, name, look.InkText, paperOwn) }

// groundAt is the tint of a cell: chequered by big boxes counted from the left
// edge and from the middle line, on which the baseline lies. Without colours there is
// one ground.
func (c *Canvas) groundAt(col, row int) look.Ground {
	if c.boxW == 0 || !c.look.Coloured() {
		return look.PaperA
	}
	return look.Ground((col/c.boxW + c.boxRow(row)) & 1)
}

// boxRow is the box row of a cell row; the boxes above the middle line are
// numbered down from an even number that is out of reach.
func (c *Canvas) boxRow(row int) int { return (row - c.rows/2 + 2*maxDim*c.boxH) / c.boxH }

// cornerAt reports whether a cell has the faint dot that stands for the chequer
// when there are no colours: at the lower left corner of each big box.
func (c *Canvas) cornerAt(col, row int) bool {
	return c.boxW > 0 && !c.look.Coloured() && col%c.boxW == 0 && c.boxRow(row+1) != c.boxRow(row)
}
