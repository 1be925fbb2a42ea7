package practise_test

import (
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

var measured = regexp.MustCompile(`Calipers: (\d+) ms`)

func span(t *testing.T, r run) float64 {
	t.Helper()
	found := measured.FindStringSubmatch(r.Words())
	require.NotNil(t, found, "on the page:\n%s", r.Cells())
	ms, err := strconv.ParseFloat(found[1], 64)
	require.NoError(t, err)
	return ms
}

// Calipers hold the strip, measure in place of the numbers, and go when they are put
// away or the strip runs on; no answer is touched by it.
func TestCalipersOnAStrip(t *testing.T) {
	drive(t, 120, 40, nil, rounds(2, nil), func(t *testing.T, r run) {
		r.Tick(time.Second)
		r.Press("2", "k")
		r.Sees("held")
		before := span(t, r)
		cells := r.Cells()
		r.Tick(3 * time.Second)
		assert.Equal(t, cells, r.Cells(), "the strip stands")
		r.Press("right", "right")
		assert.Equal(t, before-20, span(t, r), "the first leg moved towards the second")
		r.Press("tab", "shift+right")
		assert.Equal(t, before+20, span(t, r))
		assert.Contains(t, r.Cells(), "> 2  ", "what was chosen is chosen still")
		r.Press("q")
		r.SeesNot("Calipers:")
		r.Sees(asking)
		r.Press("k", " ")
		r.SeesNot("Calipers:")
		r.SeesNot("held")
	})
}

// A leg snaps to where a reader of the samples finds an edge or a peak: two legs near
// two R waves then measure one RR. At 4 months this strip has 272 a minute or so: the
// rate on the page says how many.
func TestALegSnapsToAWave(t *testing.T) {
	drive(t, 200, 50, nil, rounds(1, nil), func(t *testing.T, r run) {
		r.Tick(time.Second)
		r.Press("k")
		before := r.Cells()
		r.Press("s", "tab", "s")
		assert.NotEqual(t, before, r.Cells())
		ms := span(t, r)
		r.Press("s")
		assert.Equal(t, ms, span(t, r), "snapped, it stays")
	})
}

// Nothing flashes above 3 Hz (WCAG 2.1, success criterion 2.3.1): round a strip that
// runs, no cell changes more than three times in any second.
func TestNothingFlashes(t *testing.T) {
	const cols, rows, stripRows = 120, 40, 26
	screentest.Run(t, cols, rows, func(env *screen.Env) screen.Screen { return practise.New(env, rounds(1, nil)) }, func(t *testing.T, d *screentest.Driver) {
		var frames [][]rune
		for i := range 90 {
			if i == 10 || i == 50 {
				d.Press("c")
			}
			d.Tick(time.Second / 30)
			frames = append(frames, []rune(grid(d.Cells(), cols, rows)))
		}
		for at := stripRows * cols; at < cols*rows; at++ {
			for from := 0; from+30 < len(frames); from += 10 {
				changes := 0
				for i := from + 1; i <= from+30; i++ {
					if frames[i][at] != frames[i-1][at] {
						changes++
					}
				}
				require.LessOrEqual(t, changes, 3, "column %d, row %d", at%cols, at/cols)
			}
		}
	})
}

// grid fills the rows of a page up to their width.
func grid(cells string, cols, rows int) string {
	out := make([]rune, cols*rows)
	col, row := 0, 0
	for i := range out {
		out[i] = ' '
	}
	for _, r := range cells {
		if r == '\n' {
			col, row = 0, row+1
			continue
		}
		out[row*cols+col] = r
		col++
	}
	return string(out)
}
