package practise_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

// The strip most tests use, and what is offered for it.
var (
	strip   = ecg.Synthetic("supraventricular-tachycardia", ecg.Months(4), 77)
	choices = []string{"sinus-rhythm", "sinus-tachycardia", "supraventricular-tachycardia", "monomorphic-ventricular-tachycardia"}
	actions = []lesson.Action{lesson.Compress, lesson.CallStay, lesson.LookCall, lesson.AssessTell, lesson.Silence}
)

const (
	rightName   = "Supraventricular tachycardia"
	wrongName   = "Sinus tachycardia"
	rightAction = "Stay, call now, defibrillator near; 12-lead if it costs no time"
	asking      = "What does it show?"
	acting      = "What do you do first?"
)

// rounds is a plan of so many rounds of one exercise; change may alter each.
func rounds(n int, change func(*practise.Round)) practise.Plan {
	return func() (practise.Round, error) {
		if n--; n < 0 {
			return practise.Round{}, io.EOF
		}
		r, err := practise.Synthetic("Practice", ledger.Practise, scenarios.For(strip, choices, actions))
		if change != nil {
			change(&r)
		}
		return r, err
	}
}

// a run of the screen with what tests want to know of it.
type run struct {
	*screentest.Driver
	env *screen.Env
	id  screen.ID
}

func drive(t *testing.T, cols, rows int, store ledger.Store, plan practise.Plan, do func(*testing.T, run)) {
	t.Helper()
	driveIn(t, cols, rows, func(env *screen.Env) {
		if store != nil {
			env.Store = store
		}
	}, plan, do)
}

// driveIn is drive in an Env that was changed.
func driveIn(t *testing.T, cols, rows int, change func(*screen.Env), plan practise.Plan, do func(*testing.T, run)) {
	t.Helper()
	var r run
	screentest.Run(t, cols, rows, func(env *screen.Env) screen.Screen {
		change(env)
		s := practise.New(env, plan)
		r.env, r.id = env, s.ID()
		return s
	}, func(t *testing.T, d *screentest.Driver) {
		r.Driver = d
		do(t, r)
	})
}

// kept lists the answers in the store, oldest first.
func (r run) kept(t *testing.T) []ledger.Answer {
	t.Helper()
	list, err := ledger.Collect(r.env.Store.Answers(context.Background(), ledger.Query{}))
	require.NoError(t, err)
	return list
}

func TestContract(t *testing.T) {
	screentest.Exercise(t, func(env *screen.Env) screen.Screen { return practise.New(env, rounds(1000, nil)) })
}

func TestGolden(t *testing.T) { // every step is compared with its golden file
	for _, size := range screentest.Sizes {
		t.Run(fmt.Sprint(size), func(t *testing.T) {
			drive(t, size[0], size[1], nil, rounds(2, nil), func(t *testing.T, r run) {
				r.Golden("asking")
				r.Press("c")
				r.Tick(time.Second)
				r.Press("p")
				r.Tick(2 * time.Second)
				r.Golden("looked")
				r.Choose(rightName)
				r.Press("enter")
				r.Golden("acting")
				r.Choose(rightAction)
				r.Press("enter")
				r.Golden("right")
			})
			drive(t, size[0], size[1], nil, rounds(2, nil), func(t *testing.T, r run) {
				r.Choose(wrongName)
				r.Press("enter", "1", "enter")
				r.Golden("wrong")
			})
		})
	}
}

// gate is a store whose Add waits to be let through.
type gate struct {
	ledger.Store
	through chan error
}

func (g *gate) Add(ctx context.Context, a ...ledger.Answer) error {
	if err := <-g.through; err != nil {
		return err
	}
	return g.Store.Add(ctx, a...)
}

// Nothing else is shown or acted on until the answer is kept.
func TestKeptBeforeTheNextThing(t *testing.T) {
	var g *gate
	var r run
	screentest.Run(t, 120, 40, func(env *screen.Env) screen.Screen {
		g = &gate{ledger.NewMemory(), make(chan error)}
		env.Store = g
		r.env = env
		return practise.New(env, rounds(2, nil))
	}, func(t *testing.T, d *screentest.Driver) {
		r.Driver = d
		r.Choose(rightName)
		r.Press("enter")
		r.Sees("Keeping your answer")
		r.SeesNot(acting)
		r.Press("enter", "1", "2", "enter", "u", "down", "c", "p", " ", "r")
		r.Tick(5 * time.Second)
		r.Sees("Keeping your answer")
		r.SeesNot("looking ...")
		assert.Empty(t, r.kept(t))

		g.through <- nil
		r.Tick(time.Millisecond)
		r.Sees(acting)
		require.Len(t, r.kept(t), 1)
		assert.Empty(t, r.kept(t)[0].Looked, "no look was counted in between")

		r.Choose(rightAction)
		r.Press("enter")
		r.Sees("Keeping your answer")
		r.SeesNot("This is supraventricular tachycardia")
		g.through <- nil
		r.Tick(time.Millisecond)
		r.Sees("This is supraventricular tachycardia")
		assert.Len(t, r.kept(t), 2)
	})
}

// failing is a store that refuses a number of times.
type failing struct {
	ledger.Store
	times int
	tried []ledger.Answer
}

func (f *failing) Add(ctx context.Context, a ...ledger.Answer) error {
	f.tried = append(f.tried, a...)
	if f.times--; f.times >= 0 {
		return errors.New("answers.db: no room on the disk")
	}
	return f.Store.Add(ctx, a...)
}

func TestAStoreThatFails(t *testing.T) {
	f := &failing{Store: ledger.NewMemory(), times: 2}
	drive(t, 120, 40, f, rounds(2, nil), func(t *testing.T, r run) {
		r.Choose(wrongName)
		r.Press("enter")
		r.Sees("Your answer is not kept yet. answers.db: no room on the disk")
		r.Sees("Press r to try again.")
		r.SeesNot(acting)
		r.Press("enter", "1", "enter", "n")
		r.Sees("Your answer is not kept yet.")
		r.Press("r")
		r.Sees("Your answer is not kept yet.")
		r.Press("r")
		r.Sees(acting)
		require.Len(t, f.tried, 3)
		assert.Equal(t, f.tried[0], f.tried[1], "the same answer, with the same id and time")
		assert.Equal(t, f.tried[0], f.tried[2])
		list := r.kept(t)
		require.Len(t, list, 1)
		assert.Equal(t, "sinus-tachycardia", list[0].Chosen)
	})
}

// The program may be killed between the two questions: the first answer is there.
func TestKilledBetweenTheQuestions(t *testing.T) {
	store := ledger.NewMemory()
	drive(t, 120, 40, store, rounds(2, nil), func(t *testing.T, r run) {
		r.Choose(rightName)
		r.Press("enter")
		r.Sees(acting)
	})
	list, err := ledger.Collect(store.Answers(context.Background(), ledger.Query{}))
	require.NoError(t, err)
	require.Len(t, list, 1)
	a := list[0]
	assert.Equal(t, ledger.Rhythm, a.Question)
	assert.Equal(t, strip.String(), a.Strip)
	assert.Equal(t, "supraventricular-tachycardia", a.Chosen)
	assert.Equal(t, append(append([]string{}, choices...), "not-sure"), a.Offered)
	assert.True(t, a.Correct)
	assert.Equal(t, ledger.Sure, a.Sure)
	assert.Equal(t, ledger.Practise, a.Mode)
	assert.Equal(t, "a learner", a.Learner)
}

// Both answers belong to one showing, and a second strip is another.
func TestOneShowing(t *testing.T) {
	drive(t, 120, 40, nil, rounds(2, nil), func(t *testing.T, r run) {
		for range 2 {
			r.Press("u")
			r.Choose(rightName)
			r.Press("enter")
			r.Choose(rightAction)
			r.Press("enter", "enter")
			r.Tick(time.Second)
		}
		list := r.kept(t)
		require.Len(t, list, 4)
		assert.Equal(t, list[0].Presentation, list[1].Presentation)
		assert.Equal(t, list[2].Presentation, list[3].Presentation)
		assert.NotEqual(t, list[0].Presentation, list[2].Presentation)
		assert.Equal(t, ledger.Unsure, list[0].Sure)
		assert.Equal(t, ledger.NotAsked, list[1].Sure)
		assert.True(t, r.Quit, "after the last round it goes back")
	})
}

// Looking takes a second, one at a time, and is kept in its order.
func TestLooking(t *testing.T) {
	drive(t, 120, 40, nil, rounds(1, nil), func(t *testing.T, r run) {
		r.Tick(500 * time.Millisecond)
		r.Press("p")
		r.Sees("looking ...")
		r.Press("e") // not while still feeling the pulse
		r.Tick(900 * time.Millisecond)
		r.Sees("looking ...")
		r.Tick(150 * time.Millisecond)
		r.SeesNot("looking ...")
		r.Sees("at the upper arm")
		r.SeesNot("electrodes sit firmly")
		r.Tick(450 * time.Millisecond)
		r.Press("c")
		r.Tick(2 * time.Second)
		r.Choose(rightName)
		r.Press("enter")
		list := r.kept(t)
		require.Len(t, list, 1)
		assert.Equal(t, []ledger.Look{{What: ledger.LookPulse, AfterMS: 500}, {What: ledger.LookChild, AfterMS: 2000}}, list[0].Looked)
	})
}

// The time of an answer counts from the moment the telling evidence is on the page,
// and holding the strip does not stop it.
func TestTook(t *testing.T) {
	const evidence = 3 * time.Second
	late := func(r *practise.Round) {
		at := r.Start + evidence.Seconds()
		r.Evidence = func(float64) (float64, bool) { return at, true }
	}
	for _, tt := range []struct {
		name string
		do   func(run)
		want time.Duration
	}{
		{"after it", func(r run) { r.Tick(5 * time.Second) }, 2 * time.Second},
		{"before it", func(r run) { r.Tick(time.Second) }, 0},
		{"on hold after it", func(r run) { r.Tick(4 * time.Second); r.Press(" "); r.Tick(6 * time.Second) }, 7 * time.Second},
		{"on hold before it: it has not come yet", func(r run) {
			r.Tick(time.Second)
			r.Press(" ")
			r.Tick(10 * time.Second)
			r.Press(" ")
			r.Tick(4 * time.Second)
		}, 2 * time.Second},
	} {
		t.Run(tt.name, func(t *testing.T) {
			drive(t, 120, 40, nil, rounds(1, late), func(t *testing.T, r run) {
				tt.do(r)
				r.Choose(rightName)
				r.Press("enter")
				list := r.kept(t)
				require.Len(t, list, 1)
				assert.InDelta(t, tt.want.Seconds(), list[0].Took.Seconds(), 2*r.env.Frame.Seconds())
				r.Tick(1500 * time.Millisecond)
				r.Choose(rightAction)
				r.Press("enter")
				assert.Equal(t, 1500*time.Millisecond, r.kept(t)[1].Took, "the second question counts from when it is asked")
			})
		})
	}
}

// After a wrong name: the chosen rhythm's strip below, and what tells them apart.
func TestAWrongName(t *testing.T) {
	drive(t, 120, 40, nil, rounds(1, nil), func(t *testing.T, r run) {
		r.Choose(wrongName)
		r.Press("enter")
		r.Choose(rightAction)
		r.Press("enter")
		assert.Contains(t, r.Words(), "The name: not this one.")
		r.Sees("This is supraventricular tachycardia")
		r.Sees("You said sinus tachycardia, which looks like this")
		r.Sees("What tells them apart: A rate that stays fixed")
	})
	drive(t, 120, 40, nil, rounds(1, nil), func(t *testing.T, r run) {
		r.Choose(rightName)
		r.Press("enter")
		r.Choose(rightAction)
		r.Press("enter")
		r.Sees("The name: right.")
		r.SeesNot("You said")
	})
}

// What is read in order agrees with what is marked on the strip; times that change
// from beat to beat are given from the shortest to the longest.
func TestReadInOrder(t *testing.T) {
	page := func(id, name string) (cells, words string) {
		plan := func() (practise.Round, error) {
			return practise.Synthetic("Practice", ledger.Practise, scenarios.For(scenarios.Showing(id, ecg.Months(14), 3), []string{id, "sinus-rhythm"}, actions))
		}
		drive(t, 200, 50, nil, plan, func(t *testing.T, r run) {
			r.Choose(name)
			r.Press("enter", "1", "enter")
			cells, words = r.Cells(), r.Words()
		})
		return cells, words
	}
	cells, words := page("right-bundle-branch-block", "Right bundle branch block")
	marked := regexp.MustCompile(`QRS (\d+) ms`).FindStringSubmatch(cells)
	require.NotNil(t, marked, cells)
	assert.Contains(t, words, "; QRS "+marked[1]+" ms: wide;", "complete block is wide: 0.09 s below 4 y (Surawicz et al. 2009)")
	assert.Contains(t, words, "1 P for each QRS; PR ")

	_, words = page("second-degree-av-block-type-1", "Second-degree AV block type 1")
	assert.Regexp(t, `irregular: RR varies by \d+ %; 1\.\d P for each QRS; PR \d+ ms \(\d+ to \d+\); QRS`, words)

	_, words = page("third-degree-av-block", "Third-degree AV block")
	assert.Regexp(t, `; regular: RR varies by \d %; [\d.]+ P for each QRS, none leads to it; QRS`, words)
}

// A lead that shows a bare line has nothing to mark; the one that goes on has.
func TestNothingIsMarkedOnABareLine(t *testing.T) {
	id := scenarios.Showing("disconnected-lead", ecg.Years(6), 2)
	plan := func() (practise.Round, error) {
		return practise.Synthetic("Practice", ledger.Practise, scenarios.For(id, []string{"disconnected-lead", "asystole"}, actions))
	}
	drive(t, 120, 40, nil, plan, func(t *testing.T, r run) {
		r.Choose("A disconnected lead")
		r.Press("enter", "1", "enter")
		seen := map[bool]int{}
		for range 3 {
			seen[strings.Contains(r.Cells(), "QRS ") && strings.Contains(r.Cells(), " ms")]++
			r.Press("l")
		}
		assert.Equal(t, map[bool]int{false: 2, true: 1}, seen, "leads with marks")
	})
}

// Compressions that were needed, but begun unseen: what comes first is the patient,
// and nothing says that the same action was right and was said in its place.
func TestRightButUnseen(t *testing.T) {
	id := ecg.Synthetic("asystole", ecg.Years(10), 5)
	id.State = ecg.NoSignsOfLife
	plan := func() (practise.Round, error) {
		return practise.Synthetic("Practice", ledger.Practise, scenarios.For(id, []string{"asystole", "movement"}, actions))
	}
	drive(t, 120, 40, nil, plan, func(t *testing.T, r run) {
		r.Choose("Asystole")
		r.Press("enter")
		r.Choose("Start compressions with ventilation, call the resuscitation team")
		r.Press("enter")
		assert.Contains(t, r.Words(), "The first action: unsafe.")
		assert.Contains(t, r.Words(), "First: Look at the patient first. Only then: Start compressions")
		assert.NotContains(t, r.Words(), "You said: Start compressions")
	})
}

func TestNotSureIsAlwaysThere(t *testing.T) {
	for _, size := range screentest.Sizes {
		drive(t, size[0], size[1], nil, rounds(1, nil), func(t *testing.T, r run) {
			r.Choose("Not sure: check the patient and call")
			r.Press("enter")
			r.Choose("Look at the patient, feel the pulse, call if in doubt")
			r.Press("enter")
			list := r.kept(t)
			require.Len(t, list, 2)
			assert.Equal(t, "not-sure", list[0].Chosen)
			assert.Equal(t, ledger.Near, list[0].Verdict, "checking the patient is never wrong")
			r.Sees("The name: near")
		})
	}
}

// Choosing is not answering: a slip is put right before enter.
func TestSelectThenCommit(t *testing.T) {
	drive(t, 120, 40, nil, rounds(1, nil), func(t *testing.T, r run) {
		r.Press("enter")
		r.Sees(asking)
		r.Press("1", "4", "down", "up")
		r.Choose(rightName)
		assert.Empty(t, r.kept(t))
		r.Press("enter")
		require.Len(t, r.kept(t), 1)
		assert.Equal(t, "supraventricular-tachycardia", r.kept(t)[0].Chosen)
	})
}

// A tick of another chain moves nothing and starts no second clock.
func TestStaleTicks(t *testing.T) {
	drive(t, 120, 40, nil, rounds(1, nil), func(t *testing.T, r run) {
		before := r.Cells()
		for range 20 {
			r.Send(screen.Reply{To: r.id, Msg: screen.Tick{At: r.env.Now().Add(time.Hour), Chain: 99}})
		}
		assert.Equal(t, before, r.Cells())
		r.steady(t)
	})
}

// steady checks that one clock runs, at one tick a frame.
func (r run) steady(t *testing.T) {
	t.Helper()
	before := r.Ticks
	r.Tick(2 * time.Second)
	assert.InDelta(t, float64(2*time.Second/r.env.Frame), float64(r.Ticks-before), 2)
}

// A screen on top of it and away again leaves one clock running, as often as it may
// happen.
func TestOneClockAfterComingBack(t *testing.T) {
	drive(t, 120, 40, nil, rounds(1, nil), func(t *testing.T, r run) {
		r.steady(t)
		for range 5 {
			r.Send(screen.Push{Screen: practise.New(r.env, rounds(1, nil))})
			r.Tick(100 * time.Millisecond)
			r.Press("q")
			r.Tick(10 * time.Millisecond)
		}
		r.Tick(time.Second)
		r.steady(t)
		assert.False(t, r.Quit)
	})
}

// However many frames are dropped, the strip is where the clock says: 25 mm/s.
func TestDroppedFrames(t *testing.T) {
	at := func(frame time.Duration) (cells string) {
		screentest.Run(t, 120, 40, func(env *screen.Env) screen.Screen {
			env.Frame = frame
			return practise.New(env, rounds(1, nil))
		}, func(t *testing.T, d *screentest.Driver) {
			d.Tick(10 * time.Second)
			cells = trace(d.Cells())
		})
		return cells
	}
	smooth := at(25 * time.Millisecond)
	assert.Equal(t, smooth, at(2*time.Second))
	assert.NotEqual(t, smooth, at(20*time.Second), "it moves at all")
}

// trace is the part of a page above the words.
func trace(cells string) string {
	strip, _, _ := strings.Cut(cells, "\nRate ")
	return strip
}

// A plan that fails says so, and q still goes back.
func TestAPlanThatFails(t *testing.T) {
	plan := func() (practise.Round, error) { return practise.Round{}, errors.New("no strip of that kind") }
	drive(t, 80, 24, nil, plan, func(t *testing.T, r run) {
		r.Sees("This strip cannot be shown: no strip of that kind")
		r.Tick(time.Second)
		r.Press("enter", "1", "l", "z", " ", "c", "left")
		r.Fits()
		r.Press("q")
		assert.True(t, r.Quit)
	})
}
