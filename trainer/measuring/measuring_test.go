package measuring_test

import (
	"regexp"
	"strconv"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/trainer/measuring"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

func open(env *screen.Env) screen.Screen { return measuring.New(env) }

func TestGolden(t *testing.T) {
	for _, size := range screentest.Sizes {
		screentest.Run(t, size[0], size[1], open, func(t *testing.T, d *screentest.Driver) {
			d.Golden("measure")
			d.Press("right", "right", "tab", "left", "m", "enter")
			d.Golden("marked")
		})
	}
}

// legs reads what the calipers show.
var legs = regexp.MustCompile(`Calipers: (\d+) ms, ([\d.]+) small boxes at (\d+) mm/s; as RR (\d+) a minute`)

func shown(t *testing.T, d *screentest.Driver) (ms, boxes, speed, rate float64) {
	t.Helper()
	found := legs.FindStringSubmatch(d.Words())
	require.NotNil(t, found, "on the page:\n%s", d.Cells())
	var out [4]float64
	for i, s := range found[1:] {
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		out[i] = x
	}
	return out[0], out[1], out[2], out[3]
}

// A small box is 40 ms at 25 mm/s and 20 ms at 50 mm/s (paper of recorders).
func TestLegsMoveByTenMilliseconds(t *testing.T) {
	screentest.Run(t, 120, 40, open, func(t *testing.T, d *screentest.Driver) {
		before, _, _, _ := shown(t, d)
		d.Press("left")
		ms, boxes, speed, rate := shown(t, d)
		assert.Equal(t, before+10, ms)
		assert.InDelta(t, ms/40, boxes, 0.06)
		assert.Equal(t, 25.0, speed)
		assert.InDelta(t, 60000/ms, rate, 0.5)
		d.Press("tab", "right", "right")
		ms, _, _, _ = shown(t, d)
		assert.Equal(t, before+30, ms, "the other leg")
		d.Press("v")
		ms, boxes, speed, _ = shown(t, d)
		assert.Equal(t, 50.0, speed)
		assert.InDelta(t, ms/20, boxes, 0.06)
	})
}

// The button puts the nearer leg where it is pressed, and drags it. At 50 columns a
// second of the double scale a column is 25 ms.
func TestTheMouseDragsTheNearerLeg(t *testing.T) {
	screentest.Run(t, 120, 40, open, func(t *testing.T, d *screentest.Driver) {
		press := func(x int, action tea.MouseAction) {
			d.Send(tea.MouseMsg{X: x, Y: 5, Button: tea.MouseButtonLeft, Action: action})
		}
		press(20, tea.MouseActionPress)
		press(20, tea.MouseActionRelease)
		press(100, tea.MouseActionPress)
		press(60, tea.MouseActionMotion)
		press(60, tea.MouseActionRelease)
		ms, _, _, _ := shown(t, d)
		assert.InDelta(t, 1000, ms, 10, "40 columns of 25 ms")
	})
}

// The whole exercise, answered as the legs happen to stand: each question is asked,
// marked with where they should stand, and counted at the end.
func TestTenStripsToTheEnd(t *testing.T) {
	screentest.Run(t, 120, 40, open, func(t *testing.T, d *screentest.Driver) {
		asked := 0
		for range 4 * measuring.Strips {
			if !regexp.MustCompile(`strip \d+ of 10`).MatchString(d.Words()) {
				break
			}
			d.Sees("Measure")
			d.Press("enter")
			asked++
			assert.Regexp(t, `yours: \d+`, d.Words())
			d.Press("enter")
		}
		d.Sees("10 strips are done.")
		total := 0
		for _, found := range regexp.MustCompile(`(?m)^  (Rate|PR|QRS|QT) +\d+ of (\d+)`).FindAllStringSubmatch(d.Cells(), -1) {
			n, err := strconv.Atoi(found[2])
			require.NoError(t, err)
			total += n
		}
		assert.Equal(t, asked, total)
		d.Sees("Training only")
	})
}
