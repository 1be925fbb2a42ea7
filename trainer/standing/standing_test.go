package standing_test

import (
	"context"
	"fmt"
	"iter"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
	"telltrace/trainer/standing"
)

// month is a learner who answered every day for four weeks, the last a day ago, and took
// asystole for a disconnected lead one time in three.
func month(learner string) []ledger.Answer {
	ids := []string{"sinus-rhythm", "asystole", "disconnected-lead", "fine-ventricular-fibrillation", "ventricular-run", "movement"}
	var out []ledger.Answer
	for day := 28; day >= 1; day-- {
		for k, id := range ids {
			l, _ := synth.Lesson(id)
			a := ledger.Answer{
				ID: fmt.Sprintf("d%02d-%d", day, k), Presentation: fmt.Sprintf("p%02d-%d", day, k), Learner: learner,
				At:   screentest.Start.AddDate(0, 0, -day).Add(time.Duration(k) * time.Minute),
				Mode: ledger.Practise, Strip: "2/" + id + "/6y/1", Subject: id, State: l.States[0], Question: ledger.Rhythm,
				Offered: []string{"asystole", "disconnected-lead", "sinus-rhythm", id}, Chosen: id, Right: []string{id},
				Correct: true, Verdict: ledger.Right, Sure: ledger.Sure, Took: 4 * time.Second,
			}
			if id == "asystole" && day%3 == 0 {
				a.Chosen, a.Correct, a.Verdict = "disconnected-lead", false, ledger.Critical
			}
			out = append(out, a)
		}
	}
	return out
}

func opening(answers func(learner string) []ledger.Answer) func(*screen.Env) screen.Screen {
	return func(env *screen.Env) screen.Screen {
		if err := env.Store.Add(context.Background(), answers(env.Learner)...); err != nil {
			panic(err)
		}
		return standing.New(env)
	}
}

func TestStanding(t *testing.T) {
	for _, size := range screentest.Sizes {
		screentest.Run(t, size[0], size[1], opening(month), func(t *testing.T, d *screentest.Driver) {
			d.Golden("standing")
			for range 20 {
				d.Press("down")
			}
			d.Fits()
		})
	}
}

// The figures of the sheet, counted by hand: 28 days, 9 of them with asystole missed.
func TestFigures(t *testing.T) {
	screentest.Run(t, 200, 50, opening(month), func(t *testing.T, d *screentest.Driver) {
		d.Sees("Asystole taken for a disconnected lead: 9 of 28.")
		d.Sees("Not called ready yet.")
		d.Sees("Going by your last 56 strips of an arrest")
		d.Sees("Is this an arrest? recognised 47 of 56; called one without need 0 of 112.")
		d.Sees("19 of 28") // arrest family without fine fibrillation
	})
}

func TestNothingYet(t *testing.T) {
	screentest.Run(t, 80, 24, opening(func(string) []ledger.Answer { return nil }), func(t *testing.T, d *screentest.Driver) {
		d.Sees("Nothing answered yet.")
	})
}

// A ledger that cannot be read is said, and can be tried again.
func TestTrouble(t *testing.T) {
	screentest.Run(t, 80, 24, func(env *screen.Env) screen.Screen {
		require.NoError(t, env.Store.Close())
		return standing.New(env)
	}, func(t *testing.T, d *screentest.Driver) {
		d.Sees("Your answers cannot be read: ledger: already closed.")
		d.Press("r")
		assert.False(t, d.Quit)
	})
}

// slow is a store whose answers wait to be let through.
type slow struct {
	ledger.Store
	through chan struct{}
}

func (s slow) Answers(ctx context.Context, q ledger.Query) iter.Seq2[ledger.Answer, error] {
	return func(yield func(ledger.Answer, error) bool) {
		<-s.through
		s.Store.Answers(ctx, q)(yield)
	}
}

// Sums gives those of the month.
func (s slow) Sums(context.Context, string) ([]ledger.Sum, error) {
	return ledger.SumsOf(s.Store.Answers(context.Background(), ledger.Query{}))
}

// While a long ledger is read, what it keeps as sums is there already.
func TestFamiliesComeAtOnce(t *testing.T) {
	var s slow
	screentest.Run(t, 80, 24, func(env *screen.Env) screen.Screen {
		opening(month)(env)                      // fills the store
		s = slow{env.Store, make(chan struct{})} // in the bubble of the test's clock
		env.Store = s
		return standing.New(env)
	}, func(t *testing.T, d *screentest.Driver) {
		d.Sees("Reading your answers ...")
		d.Sees("19 of 28")
		d.SeesNot("To look at again today")
		d.Fits()
		close(s.through)
		d.Tick(time.Millisecond)
		d.Sees("To look at again today")
		d.SeesNot("Reading your answers ...")
	})
}
