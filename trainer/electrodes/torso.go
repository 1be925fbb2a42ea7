package electrodes

import (
	"strings"

	"telltrace/scenarios/placing"
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
