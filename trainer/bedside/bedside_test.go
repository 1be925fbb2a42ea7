package bedside_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/library"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/trainer/bedside"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

func opens(t *testing.T, name string, envs ...**screen.Env) func(*screen.Env) screen.Screen {
	t.Helper()
	s, err := library.Find(name)
	require.NoError(t, err)
	return func(env *screen.Env) screen.Screen {
		for _, e := range envs {
			*e = env
		}
		return bedside.New(env, s)
	}
}

func TestGolden(t *testing.T) {
	for _, size := range screentest.Sizes {
		screentest.Run(t, size[0], size[1], opens(t, "flat-at-night"), func(t *testing.T, d *screentest.Driver) {
			d.Tick(2 * time.Second)
			d.Press("c")
			d.Tick(1500 * time.Millisecond)
			d.Press("a")
			d.Golden("flat")
			d.Press("enter")
			d.Golden("over")
			d.Press("enter", "1", "enter")
			d.Golden("debrief")
		})
	}
}

// Looking shows after a second, and not before; doing needs a second key.
func TestLooking(t *testing.T) {
	screentest.Run(t, 120, 40, opens(t, "flat-at-night"), func(t *testing.T, d *screentest.Driver) {
		d.Sees("Alarm: no beats")
		d.SeesNot("blanket moves")
		d.Press("c")
		d.Tick(500 * time.Millisecond)
		d.SeesNot("blanket moves")
		d.Sees("looking ...")
		d.Tick(600 * time.Millisecond)
		d.Sees("blanket moves")
		d.Press("x")
		d.Sees("Alarm: no beats")
		d.Press("enter")
		d.Sees("The alarm is silenced.")
		d.SeesNot("about 96 over")
		d.Press("i")
		d.Tick(2 * time.Second)
		d.Sees("about 96 over")
	})
}

// A pulse that is not there is felt for ten seconds at most, and acting breaks it off.
func TestFeelingForAPulse(t *testing.T) {
	screentest.Run(t, 120, 40, opens(t, "down-at-noon"), func(t *testing.T, d *screentest.Driver) {
		d.Press("p")
		d.Tick(4500 * time.Millisecond)
		d.Sees("feeling ... 4 s, ten at most")
		d.Press("b", "enter")
		d.Sees("The team is here")
		d.Tick(21 * time.Second)
		d.Sees("there is a pulse again")
		d.Press("enter")
		d.Sees("broken off")
		d.Sees("Went to the patient first")
	})
}

// What was done goes to the ledger at once, episode by episode, as steps of the scenario.
func TestAnswersAreKept(t *testing.T) {
	var env *screen.Env
	screentest.Run(t, 80, 24, opens(t, "flat-at-night", &env), func(t *testing.T, d *screentest.Driver) {
		read := func() []ledger.Answer {
			answers, err := ledger.Collect(env.Store.Answers(context.Background(), ledger.Query{}))
			require.NoError(t, err)
			return answers
		}
		d.Press("x", "enter") // silenced unseen, and nothing else: the arrest goes unheard
		d.Tick(19 * time.Second)
		assert.Empty(t, read())
		d.Tick(2 * time.Second)
		require.Len(t, read(), 1)
		a := read()[0]
		assert.Equal(t, ledger.Critical, a.Verdict)
		assert.Equal(t, ledger.Scenario, a.Mode)
		assert.Equal(t, ledger.Task, a.Question)
		assert.Equal(t, "flat-at-night", a.Part)
		assert.Equal(t, "silence", a.Chosen)
		_, err := ecg.ParseIdentity(a.Strip)
		require.NoError(t, err)
		d.Press("b", "enter", "enter", "2", "enter")
		all := read()
		require.Len(t, all, 3)
		assert.Equal(t, ecg.NoSignsOfLife, all[1].State)
		assert.Contains(t, all[1].Strip, "then=asystole@")
		assert.Equal(t, ledger.Wrong, all[2].Verdict, "the question")
		d.Sees("Unsafe")
	})
}

// Who leaves in the middle loses nothing that was done.
func TestLeaving(t *testing.T) {
	var env *screen.Env
	screentest.Run(t, 80, 24, opens(t, "grandmothers-tablets", &env), func(t *testing.T, d *screentest.Driver) {
		d.Press("c")
		d.Tick(2 * time.Second)
		d.Press("w", "enter", "q")
		answers, err := ledger.Collect(env.Store.Answers(context.Background(), ledger.Query{}))
		require.NoError(t, err)
		require.Len(t, answers, 1)
		assert.Equal(t, "settle", answers[0].Chosen)
	})
}

// broken keeps nothing until it is mended.
type broken struct {
	ledger.Store
	mended bool
}

func (b *broken) Add(ctx context.Context, a ...ledger.Answer) error {
	if !b.mended {
		return errors.New("disk full")
	}
	return b.Store.Add(ctx, a...)
}

func TestAnswersWaitForAStoreThatFails(t *testing.T) {
	var env *screen.Env
	store := &broken{}
	open := opens(t, "flat-at-night", &env)
	screentest.Run(t, 80, 24, func(e *screen.Env) screen.Screen {
		store.Store, e.Store = e.Store, store
		return open(e)
	}, func(t *testing.T, d *screentest.Driver) {
		d.Press("c")
		d.Tick(2 * time.Second)
		d.Press("a", "enter")
		d.Sees("answers are not kept yet")
		store.mended = true
		d.Press("r")
		d.SeesNot("not kept yet")
		answers, err := ledger.Collect(store.Answers(context.Background(), ledger.Query{}))
		require.NoError(t, err)
		assert.Len(t, answers, 1)
	})
}

func TestList(t *testing.T) {
	open := func(env *screen.Env) screen.Screen { return bedside.NewList(env, library.All()) }
	screentest.Run(t, 80, 24, open, func(t *testing.T, d *screentest.Driver) {
		d.Golden("list")
		d.Press("up")
		d.Sees("60 of 60")
		d.Press("down", "down", "enter")
		d.Sees("in the chart")
		d.Press("q")
		d.Sees("At the bedside")
	})
}

// A run of ten alarms: each is looked into, answered, told and kept; the end says how
// many that asked for it were acted on.
func TestAlarms(t *testing.T) {
	var env *screen.Env
	open := func(e *screen.Env) screen.Screen { env = e; return bedside.NewAlarms(e) }
	for _, size := range screentest.Sizes {
		screentest.Run(t, size[0], size[1], open, func(t *testing.T, d *screentest.Driver) {
			d.Tick(time.Second)
			d.Press("c")
			d.Tick(1100 * time.Millisecond)
			d.Golden("alarm")
			d.Press("n", "enter")
			d.Golden("told")
			for range 9 {
				d.Press("enter", "c")
				d.Tick(1100 * time.Millisecond)
				d.Press("d", "enter")
			}
			d.Press("enter")
			d.Golden("alarms-end")
			answers, err := ledger.Collect(env.Store.Answers(context.Background(), ledger.Query{Part: "real-or-not"}))
			require.NoError(t, err)
			assert.Len(t, answers, 10)
			assert.Equal(t, []string{"real", "not-real", "doubt"}, answers[0].Offered)
			assert.Equal(t, ledger.LookChild, answers[0].Looked[0].What)
		})
	}
}

// An alarm that is not answered runs out after a minute, and counts.
func TestAlarmRunsOut(t *testing.T) {
	screentest.Run(t, 80, 24, func(e *screen.Env) screen.Screen { return bedside.NewAlarms(e) }, func(t *testing.T, d *screentest.Driver) {
		d.Tick(59 * time.Second)
		d.SeesNot("No answer")
		d.Tick(2 * time.Second)
		d.Sees("No answer while time ran")
		d.Sees("Nothing was looked at")
	})
}

// For a screen reader: words in place of drawings, and the page is turned.
func TestPlain(t *testing.T) {
	plain := func(open func(*screen.Env) screen.Screen) func(*screen.Env) screen.Screen {
		return func(env *screen.Env) screen.Screen {
			env.Look, env.Still = look.New(env.Renderer, look.Options{Plain: true}), true
			return open(env)
		}
	}
	alarms := plain(func(env *screen.Env) screen.Screen { return bedside.NewAlarms(env) })
	scenario := plain(opens(t, "flat-at-night"))
	screentest.Exercise(t, alarms)
	screentest.Exercise(t, scenario)
	// A page turned late shows what is there now, not what was there then.
	screentest.Run(t, 80, 24, plain(opens(t, "flat-at-night")), func(t *testing.T, d *screentest.Driver) {
		d.Press("x", "enter")
		d.Tick(40 * time.Second)
		d.Sees("The arterial line reads 18.")
		d.Sees("shows 9 pulses")
		d.Press(" ")
		d.Sees("shows no pulses")
	})
	screentest.Run(t, 80, 24, scenario, func(t *testing.T, d *screentest.Driver) {
		d.Press("c")
		d.Tick(2 * time.Second)
		d.Press(" ", "a")
		d.Golden("plain")
		d.Press("enter", "enter", "1", "enter")
		d.Golden("plain-debrief")
	})
}

// A held strip stands, can be moved along and measured, while the patient's clock and numbers
// go on; released, it shows what came meanwhile.
func TestAStripIsHeldWhileThePatientGoesOn(t *testing.T) {
	screentest.Run(t, 80, 24, opens(t, "usual-night"), func(t *testing.T, d *screentest.Driver) {
		strip := func() string { return strings.Join(strings.Split(d.Cells(), "\n")[1:9], "\n") }
		d.Press(" ")
		held := strip()
		d.Tick(5 * time.Second)
		assert.Equal(t, held, strip())
		d.Sees("held 0:05")
		d.Press("left")
		assert.NotEqual(t, held, strip(), "it moves along")
		d.Press("right")
		assert.Equal(t, held, strip())
		d.Press("k", "left", "m")
		d.Sees("Calipers: 410 ms, 10.3 small boxes at 25 mm/s; as RR 146 a minute.")
		d.Press("q")
		d.Sees("held")
		d.SeesNot("Calipers")
		d.Press(" ")
		d.SeesNot("held")
		released := strip()
		assert.NotEqual(t, held, released)
		d.Press(" ")
		assert.Equal(t, released, strip(), "it had caught up")
	})
}

// Under the help, and while the program is suspended, no time passes for the patient, nor on
// the strip.
func TestThePatientWaitsUnderTheHelp(t *testing.T) {
	strip := func(d *screentest.Driver) string { return strings.Join(strings.Split(d.Cells(), "\n")[1:9], "\n") }
	glance := "" // the strip after a help of no length
	screentest.Run(t, 80, 24, opens(t, "usual-night"), func(t *testing.T, d *screentest.Driver) {
		d.Tick(3 * time.Second)
		d.Press("?", "?")
		d.Tick(2 * time.Second)
		d.Press(" ")
		glance = strip(d)
	})
	screentest.Run(t, 80, 24, opens(t, "usual-night"), func(t *testing.T, d *screentest.Driver) {
		d.Tick(3 * time.Second)
		d.Press("?")
		d.Sees("Keys that act now")
		d.Tick(time.Minute)
		d.Press("?")
		d.Sees("0:03")
		d.Tick(2 * time.Second)
		d.Sees("0:05")
		d.Press(" ")
		assert.Equal(t, glance, strip(d))
		d.Press(" ")
		d.Press("ctrl+z")
		d.Tick(time.Minute)
		d.Send(tea.ResumeMsg{})
		d.Sees("0:05")
		d.Tick(time.Second)
		d.Sees("0:06")
		d.Press("ctrl+z")
		d.Tick(time.Minute)
		d.Press("l") // where nothing says that the program goes on, as on Windows
		d.Sees("0:06")
		d.Tick(2 * time.Second)
		d.Sees("0:08")
	})
}
