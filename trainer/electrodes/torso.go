package electrodes

import (
	"slices"
	"strings"

	"telltrace/scenarios/placing"
	"telltrace/trainer/look"
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
	mirror    = 33 // a column from before and the same from behind add up to it
)

// spots are where the sites are on the trunk: row and the column of the middle.
var spots = map[placing.Site][2]int{
	placing.RightShoulder: {4, 8}, placing.LeftShoulder: {4, 25},
	placing.RightRibs: {10, 10}, placing.LeftRibs: {10, 23},
	placing.PlaceV1: {6, 14}, placing.PlaceV5: {8, 24},
}

// A label stands on the trunk: the letters of the clips at one site, each on its colour.
type label struct {
	row, col, width int
	text            string
}

// torso draws the trunk with the clips by their letters; a free site is a +.
func torso(l *look.Look, d placing.Drawn, at placing.Placement) []string {
	sites := placing.Sites
	if len(d.Cable) == len(placing.Three) {
		sites = sites[:4]
	}
	labels := map[int][]label{} // by row, from the left
	for _, s := range sites {
		b := label{row: spots[s][0], text: "+", width: 1}
		for _, e := range d.Cable {
			if at[e] == s {
				letters := "(" + d.Code.Letters(e) + ")"
				if e == d.Faulty { // seen only after the answer
					letters = "(" + d.Code.Letters(e) + look.MissMark + ")"
				}
				if b.text == "+" {
					b.text, b.width = "", 0
				}
				b.text, b.width = b.text+l.Clip(d.Code.Colour(e)).Render(letters), b.width+len(letters)
			}
		}
		middle := spots[s][1]
		if d.Behind {
			middle = mirror - middle // the same site from behind
		}
		b.col = min(max(middle-b.width/2, 0), torsoCols-b.width)
		labels[b.row] = append(labels[b.row], b)
	}
	lines := make([]string, 0, torsoRows)
	for row, line := range trunk {
		line += strings.Repeat(" ", torsoCols-len(line))
		slices.SortFunc(labels[row], func(a, b label) int { return a.col - b.col })
		drawn, col := "", 0
		for _, b := range labels[row] {
			b.col = max(b.col, col)
			drawn += line[col:b.col] + b.text
			col = b.col + b.width
		}
		lines = append(lines, strings.TrimRight(drawn+line[min(col, len(line)):], " "))
	}
	foot := "    right     in front     left"
	if d.Behind {
		foot = "    left     from behind     right"
	}
	return append(lines, foot)
}
