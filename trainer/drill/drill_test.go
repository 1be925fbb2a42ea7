package drill_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	scored "telltrace/scoring/drill"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/trainer/drill"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

const text = `drill: small
title: A small one
strips: 3
seconds: 20
show: {asystole: 1, sinus-rhythm: 2}
ages: [6y]
ask: [rhythm, first-action]
strips-for: everyone
retakes: 1
pass: {right: 60, each: {asystole: 100}, dangerous: 0}
`

func small(t *testing.T, change ...string) scored.Drill {
	t.Helper()
	all := text
	for _, c := range change {
		all += c + "\n"
	}
	d, err := scored.Parse("small.yaml", []byte(all))
	require.NoError(t, err)
	return d
}

// run opens the sheet of a drill.
func run(t *testing.T, d scored.Drill, store *ledger.Memory, drive func(*testing.T, *screentest.Driver)) {
	screentest.Run(t, 120, 40, func(e *screen.Env) screen.Screen {
		if store != nil {
			e.Store = store
		}
		return drill.New(e, d)
	}, drive)
}

func kept(t *testing.T, s ledger.Store) []ledger.Answer {
	t.Helper()
	list, err := ledger.Collect(s.Answers(context.Background(), ledger.Query{Mode: ledger.Drill}))
	require.NoError(t, err)
	return list
}

// right answers a strip with what is right, looking at the patient first.
func right(t *testing.T, d *screentest.Driver, of scored.Drill, n int) {
	t.Helper()
	list, err := of.Draw("", 0)
	require.NoError(t, err)
	d.Sees(fmt.Sprintf("A small one, strip %d of 3", n))
	d.Press("c")
	d.Tick(2 * time.Second)
	for i, id := range list[n-1].Choices {
		if id == list[n-1].Strip.Subject() {
			d.Press(fmt.Sprint(i+1), "enter")
		}
	}
	d.SeesNot("The name:")
	d.Sees("do first")
	taught, _ := synth.Lesson(list[n-1].Strip.Subject())
	first := taught.Care(list[n-1].Strip.Age, list[n-1].Strip.State).First
	for i, a := range list[n-1].Actions {
		if a == first {
			d.Press(fmt.Sprint(i+1), "enter")
			return
		}
	}
	t.Fatal("the right action is not offered")
}

func TestPassed(t *testing.T) {
	d, store := small(t), ledger.NewMemory()
	run(t, d, store, func(t *testing.T, s *screentest.Driver) {
		s.Sees("3 strips, 20 seconds for each; what is asked: what the strip shows, then what you do first.")
		s.Press("b")
		s.Sees("about 20 s left")
		for n := range 3 {
			right(t, s, d, n+1)
		}
		s.Sees("Sitting 1, 14 Nov 2025")
		s.Sees(": passed.")
		s.Sees("met: 6 of 6 answers right, 100 %; wanted 60 %")
		// Each strip can be seen again, with the reasons.
		s.Press("v")
		s.Sees("A small one, strip 1 of 3 again")
		s.Sees("The name: right.")
		s.Press("enter", "enter", "enter")
		s.Sees("Sitting 1")
	})
	assert.Len(t, kept(t, store), 6, "looking again adds nothing")
	for _, a := range kept(t, store) {
		assert.Equal(t, d.Part(), a.Part)
	}
}

// Time that runs out counts as no answer, and the next strip waits for the learner.
func TestTimeRunsOut(t *testing.T) {
	d, store := small(t), ledger.NewMemory()
	run(t, d, store, func(t *testing.T, s *screentest.Driver) {
		s.Press("b")
		s.Tick(16 * time.Second)
		s.Sees("5 s left")
		s.Tick(5 * time.Second)
		s.Sees("The time for this strip is over; it counts as not answered.")
		s.Tick(time.Hour) // a lid that was closed costs no more than this strip
		s.Sees("The time for this strip is over")
		s.Press("enter")
		s.Sees("strip 2 of 3")
		s.Sees("about 20 s left")
		s.Press("1", "enter") // the name in time, the first action not
		s.Tick(21 * time.Second)
		s.Press("enter")
		s.Tick(21 * time.Second)
		s.Press("enter")
		s.Sees("not passed")
		s.Sees("Questions whose time ran out: 5.")
	})
	list := kept(t, store)
	require.Len(t, list, 6)
	assert.Empty(t, list[0].Chosen)
	assert.False(t, list[0].Correct)
	assert.Equal(t, ledger.Wrong, list[0].Verdict)
	assert.Contains(t, list[0].Right, list[0].Subject)
	assert.GreaterOrEqual(t, list[0].Took, 20*time.Second)
	assert.NotEmpty(t, list[2].Chosen)
}

// A drill that broke off goes on at its strip; the time of that strip has run on.
func TestBrokenOff(t *testing.T) {
	for _, c := range []struct {
		away time.Duration
		then string
	}{{5 * time.Second, "about 15 s left"}, {time.Hour, "The time for this strip is over"}} {
		d := small(t)
		run(t, d, ledger.NewMemory(), func(t *testing.T, s *screentest.Driver) {
			s.Press("b")
			right(t, s, d, 1)
			s.Sees("strip 2 of 3")
			s.Press("q")
			s.Sees("Sitting 1 broke off at strip 2 of 3")
			s.Tick(c.away)
			s.Press("b")
			s.Tick(100 * time.Millisecond)
			s.Sees(c.then)
		})
	}
}

// As often as it may be taken, and no oftener.
func TestRetakes(t *testing.T) {
	d, store := small(t), ledger.NewMemory()
	run(t, d, store, func(t *testing.T, s *screentest.Driver) {
		for range 2 {
			s.Press("b")
			for range 3 {
				s.Tick(time.Second)
				s.Press("5", "enter", "1", "enter")
			}
			s.Sees("Sitting")
		}
		s.Sees("This drill was taken twice")
		s.SeesNot("begin, or go on")
	})
	strips := map[string]bool{}
	for _, a := range kept(t, store) {
		strips[a.Strip] = true
	}
	assert.Len(t, strips, 6, "a retake has other strips")
}

// By setting it is told after each strip, and a pause between strips is allowed.
func TestToldAfterEachStrip(t *testing.T) {
	run(t, small(t, "tell: strip"), nil, func(t *testing.T, s *screentest.Driver) {
		s.Press("b", "1", "enter", "1", "enter")
		s.Sees("The name:")
		s.Tick(time.Hour)
		s.Press("enter")
		s.Sees("strip 2 of 3")
		s.Sees("about 20 s left")
	})
	run(t, small(t, "pause: true"), nil, func(t *testing.T, s *screentest.Driver) {
		s.Press("b", "1", "enter", "1", "enter")
		s.Sees("The next strip begins, and its time with it, when you press enter.")
		s.Tick(time.Hour)
		s.Press("enter")
		s.Sees("strip 2 of 3")
	})
}

// Extra time is the learner's own matter: the strip gives it, no result says so.
func TestExtraTime(t *testing.T) {
	screentest.Run(t, 80, 24, func(e *screen.Env) screen.Screen {
		e.Settings.ExtraTime = map[string]int{e.Learner: 50}
		return drill.New(e, small(t))
	}, func(t *testing.T, s *screentest.Driver) {
		s.Press("b")
		s.Sees("about 30 s left")
	})
}

func TestList(t *testing.T) {
	for _, size := range screentest.Sizes {
		screentest.Run(t, size[0], size[1], func(e *screen.Env) screen.Screen { return drill.NewList(e) }, func(t *testing.T, d *screentest.Driver) {
			d.Golden("list")
			d.Press("1")
			d.Golden("sheet")
		})
	}
}
