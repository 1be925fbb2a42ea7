package measuring_test

import (
	"context"
	"errors"
	"regexp"
	"strconv"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
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

// refusing keeps nothing until it is mended.
type refusing struct {
	ledger.Store
	mended bool
}

func (r *refusing) Add(ctx context.Context, a ...ledger.Answer) error {
	if !r.mended {
		return errors.New("the disk is full")
	}
	return r.Store.Add(ctx, a...)
}

// A measurement is in the ledger before its mark is on the page; one that cannot be kept is
// kept later, once.
func TestMeasurementsAreKept(t *testing.T) {
	store := &refusing{Store: ledger.NewMemory()}
	screentest.Run(t, 120, 40, func(env *screen.Env) screen.Screen {
		env.Store, env.Class = store, "autumn"
		return measuring.New(env)
	}, func(t *testing.T, d *screentest.Driver) {
		ms, _, _, rate := shown(t, d)
		d.Press("enter")
		d.Sees("This could not be kept: the disk is full.")
		d.SeesNot("yours:")
		store.mended = true
		d.Press("enter")
		d.Sees("yours:")
		list, err := ledger.Collect(store.Answers(context.Background(), ledger.Query{Part: measuring.Part}))
		require.NoError(t, err)
		require.Len(t, list, 1)
		a := list[0]
		assert.Equal(t, ledger.Exercise, a.Mode)
		assert.Equal(t, ledger.Rate, a.Question)
		assert.Equal(t, "autumn", a.Class)
		assert.Equal(t, strconv.Itoa(int(rate)), a.Chosen)
		assert.Positive(t, ms)
		assert.Len(t, a.Right, 1)
		d.Press("enter") // on to PR, or the next quantity the strip has
		d.Press("enter")
		list, err = ledger.Collect(store.Answers(context.Background(), ledger.Query{Part: measuring.Part}))
		require.NoError(t, err)
		require.Len(t, list, 2)
		assert.Equal(t, list[0].Presentation, list[1].Presentation, "one strip")
	})
}
