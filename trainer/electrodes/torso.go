package electrodes

import (
	"fmt"
	"strings"

	"telltrace/scenarios/placing"
	"telltrace/synth/ecg"
	"telltrace/trainer/look"
	"telltrace/trainer/paper"
)

// The trunk, seen from before. The patient's right is at the left of the page.
var trunk = []string{
	"             (      )",
	"              )    (",
	"     .-------'      '-------.",
	"   .'                        '.",
	"  /                            \\",
	" |   |                      |   |",
	" |   |                      |   |",
	" |   |                      |   |",
	" |   |                      |   |",
	" |   |                      |   |",
	" |   |                      |   |",
	"     |                      |",
}

const (
	torsoRows = 13
	torsoCols = 35
)

// spots are where the sites are on the trunk: row and the column of the middle.
var spots = map[placing.Site][2]int{
	placing.RightShoulder: {4, 8}, placing.LeftShoulder: {4, 25},
	placing.RightRibs: {10, 10}, placing.LeftRibs: {10, 23},
	placing.PlaceV1: {6, 14}, placing.PlaceV5: {8, 24},
}

// torso draws the trunk with the clips by their letters; a free site is a +.
func torso(d placing.Drawn, at placing.Placement) []string {
	cells := make([][]rune, len(trunk))
	for i, line := range trunk {
		cells[i] = []rune(line + strings.Repeat(" ", torsoCols-len(line)))
	}
	sites := placing.Sites
	if len(d.Cable) == len(placing.Three) {
		sites = sites[:4]
	}
	for _, s := range sites {
		var here []string
		for _, e := range d.Cable {
			if at[e] == s {
				here = append(here, d.Code.Letters(e))
			}
		}
		text := "+"
		if len(here) > 0 {
			text = "(" + strings.Join(here, " ") + ")"
		}
		spot := spots[s]
		middle := spot[1]
		if d.Behind {
			middle = 33 - middle // the same site from behind
		}
		for k, r := range []rune(text) {
			if c := middle - len(text)/2 + k; c >= 0 && c < torsoCols {
				cells[spot[0]][c] = r
			}
		}
	}
	lines := make([]string, 0, torsoRows)
	for _, row := range cells {
		lines = append(lines, strings.TrimRight(string(row), " "))
	}
	foot := "    right     in front     left"
	if d.Behind {
		foot = "    left     from behind     right"
	}
	return append(lines, foot)
}

// Rows of a lead: fewer than full are drawn at half the gain, fewer than least beside each
// other in two columns.
const (
	fullRows  = 6
	leastRows = 4
)

// traces draws the leads one below the other, each by its name.
func traces(l *look.Look, strip ecg.Strip, cols, rows int) []string {
	n, side := len(strip.Leads), 1
	if (rows-1)/n < leastRows && n > 3 {
		side = 2
	}
	down := (n + side - 1) / side
	v := paper.View{Cols: cols / side, Rows: max((rows-1)/down/2*2, 2), Gain: paper.DefaultGain}
	if v.Rows < fullRows {
		v.Gain /= 2
	}
	v.Left = strip.Seconds() - v.Seconds()
	lines := []string{l.Faint.Render(fmt.Sprintf("%.0f mm/s   %.0f mm/mV", paper.DefaultSpeed, v.Gain))}
	for at := 0; at < n; at += side {
		part := trace(l, strip, at, v)
		if side == 2 && at+1 < n {
			for i, more := range trace(l, strip, at+1, v) {
				part[i] += more
			}
		}
		lines = append(lines, part...)
	}
	return lines[:min(len(lines), rows)]
}

// trace draws one lead.
func trace(l *look.Look, strip ecg.Strip, row int, v paper.View) []string {
	e := new(paper.Envelope)
	e.Reset(v, strip.Rate, 0)
	e.Append(strip.MV[row])
	v = v.Follow(e)
	c := paper.NewCanvas(l)
	c.Reset(v.Cols, v.Rows)
	c.Grid(v)
	c.Trace(v, e)
	c.Name(string(strip.Leads[row]))
	return c.Rows()
}
