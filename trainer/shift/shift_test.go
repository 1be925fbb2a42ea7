package shift_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
	"telltrace/trainer/shift"
)

func open(env *screen.Env) screen.Screen { return shift.New(env) }

func TestGolden(t *testing.T) {
	for _, size := range screentest.Sizes {
		screentest.Run(t, size[0], size[1], open, func(t *testing.T, d *screentest.Driver) {
			d.Golden("choose")
			d.Press("up", "up", "enter")
			d.Tick(65 * time.Second)
			d.Press("2", "n")
			d.Tick(4 * time.Second)
			d.Press("c")
			d.Tick(time.Second)
			d.Golden("watch")
		})
	}
}

// Twelve hours at one bed pass in six minutes; then it is said what they came to, and any
// minute can be seen again. What happened is in the ledger as it passed.
func TestWholeWatch(t *testing.T) {
	var env *screen.Env
	screentest.Run(t, 120, 40, func(e *screen.Env) screen.Screen { env = e; return open(e) }, func(t *testing.T, d *screentest.Driver) {
		kept := func() int {
			answers, err := ledger.Collect(env.Store.Answers(context.Background(), ledger.Query{Part: "watch", Mode: ledger.Scenario}))
			require.NoError(t, err)
			return len(answers)
		}
		d.Press("down", "enter", "n")
		d.Sees("Charted.")
		d.Tick(3 * time.Minute)
		middle := kept()
		assert.Positive(t, middle)
		d.Tick(3*time.Minute + time.Second)
		d.Sees("what it came to")
		d.Sees("Vital signs charted: 1 of 12 hours")
		assert.Equal(t, 16, kept(), "eight alarms, six over limits that nobody set, a new rhythm, a question")
		d.Golden("told")
		d.Press("enter")
		d.Sees("seen again: 19:00")
		d.Sees("bed 1: chart")
		d.Press("shift+right", "right")
		d.Sees("seen again: 20:01")
		d.Sees("Nothing was done in this minute.")
		d.Golden("again")
		d.Press("enter")
		d.Sees("what it came to")
	})
}

// What takes time keeps the nurse from another bed, and says so.
func TestBusy(t *testing.T) {
	screentest.Run(t, 80, 24, open, func(t *testing.T, d *screentest.Driver) {
		d.Press("enter", "t")
		d.Sees("A 12-lead is being written.")
		d.Press("2", "c")
		d.Sees("You are busy at bed 1 until 19:05.")
		d.Press("h")
		d.Sees("Help is called; you stay.")
	})
}

// For a screen reader: words in place of drawings, and nothing moves by itself.
func TestPlain(t *testing.T) {
	plain := func(env *screen.Env) screen.Screen {
		env.Look, env.Still = look.New(env.Renderer, look.Options{Plain: true}), true
		return open(env)
	}
	screentest.Exercise(t, plain)
	screentest.Run(t, 80, 24, plain, func(t *testing.T, d *screentest.Driver) {
		d.Press("enter")
		d.Tick(20 * time.Second)
		d.Golden("plain")
	})
}

// Limits are typed for the bed in front while the watch goes on; what cannot be is refused with
// the reason, and what they came to is said at the end.
func TestLimitsAreTyped(t *testing.T) {
	screentest.Run(t, 80, 24, open, func(t *testing.T, d *screentest.Driver) {
		d.Press("down", "enter", "s")
		d.Sees("Limits of bed 1: low [ ] high")
		d.Press("8", "5", "tab", "5", "5", "enter")
		d.Sees("low 85 high [55 ] Not set: low below high, 20 to 300.")
		d.Press("backspace", "backspace", "q", "8", "8", "tab", "backspace", "backspace", "5", "6")
		d.Tick(2 * time.Second)
		d.Press("enter")
		d.Sees("The limits of bed 1 are 56 and 88.")
		d.Sees("not charted, 56-88")
		d.Tick(2 * time.Second)
		d.Press("s")
		d.Sees("low [56 ] high 88")
		d.Press("6", "enter")
		d.Sees("low [6 ] high 88 Not set")
		d.Press("esc")
		d.Sees("not charted, 56-88")
		d.Tick(6 * time.Minute)
		d.Sees("Bed 1, usually about 71 a minute: 56 to 88 fit; common practice is about 55 to 85, then judgement.")
		d.SeesNot("outside limits")
	})
}

// A strip is held and measured while the watch goes on, and stays although the patient changes.
func TestHeld(t *testing.T) {
	screentest.Run(t, 80, 24, open, func(t *testing.T, d *screentest.Driver) {
		strip := func() string { return strings.Join(strings.Split(d.Cells(), "\n")[1:9], "\n") }
		d.Press("down", "enter", " ")
		held := strip()
		d.Sees("held 19:00")
		d.Tick(30 * time.Second)
		assert.Equal(t, held, strip())
		d.Sees("held 19:59")
		d.Press("k", "s", "shift+right")
		d.Sees("Calipers:")
		d.Press("k", " ")
		d.SeesNot("held")
		assert.NotEqual(t, held, strip())
	})
}
