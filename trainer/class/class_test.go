package class_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/drill"
	"telltrace/scoring/ledger"
	"telltrace/trainer/class"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

// sit keeps the answers of a learner to the first strips of a drill.
func sit(t *testing.T, store ledger.Store, d drill.Drill, learner, sitting string, strips int, right bool, at time.Time) {
	t.Helper()
	list, err := d.Draw("", 0)
	require.NoError(t, err)
	for i := range strips {
		for k, q := range []ledger.Question{ledger.Rhythm, ledger.FirstAction} {
			a := ledger.Answer{
				ID: fmt.Sprint(learner, sitting, i, k), Presentation: ledger.Showing(sitting, i+1, d.Strips), Learner: learner, Class: "autumn",
				At: at.Add(time.Duration(i) * time.Second), Mode: ledger.Drill, Part: d.Part(), Strip: list[i].Strip.String(),
				Subject: list[i].Strip.Subject(), Question: q, Chosen: list[i].Strip.Subject(), Correct: right, Verdict: ledger.Right,
			}
			if !right {
				a.Chosen, a.Verdict = "movement", ledger.Wrong
			}
			require.NoError(t, store.Add(context.Background(), a))
		}
	}
}

func TestClass(t *testing.T) {
	d, err := drill.Find("arrest-rhythms")
	require.NoError(t, err)
	for _, size := range screentest.Sizes {
		var env *screen.Env
		screentest.Run(t, size[0], size[1], func(e *screen.Env) screen.Screen {
			env = e
			e.Class = "autumn"
			return class.New(e)
		}, func(t *testing.T, s *screentest.Driver) {
			s.Sees("Nobody has answered")
			start := env.Now()
			sit(t, env.Store, d, "ann", "1", d.Strips, true, start.Add(-3*time.Minute))
			sit(t, env.Store, d, "bob\x1b[31m\u202e", "2", 7, false, start.Add(-time.Minute))
			sit(t, env.Store, d, "cy", "3", d.Strips, false, start.Add(-time.Hour))
			s.Tick(3 * time.Second) // it reads the ledger anew by itself
			s.Sees("1 at work, 2 finished")
			s.Sees("ann arrest-rhythms 20 of 20 40 of 40")
			s.Sees("passed")
			s.Sees("bob arrest-rhythms 7 of 20 0 of 14")
			s.Sees("not passed")
			s.Sees("Confused so far")
			s.Sees("taken for")
			s.Golden("class")
		})
	}
}

// Another class, and answers of yesterday, are not shown.
func TestOthersAreLeftOut(t *testing.T) {
	d, err := drill.Find("blocks")
	require.NoError(t, err)
	var env *screen.Env
	screentest.Run(t, 80, 24, func(e *screen.Env) screen.Screen {
		env = e
		e.Class = "spring"
		return class.New(e)
	}, func(t *testing.T, s *screentest.Driver) {
		sit(t, env.Store, d, "ann", "1", 2, true, env.Now())
		s.Tick(3 * time.Second)
		s.Sees("Nobody has answered")
		assert.NotContains(t, s.View(), "ann")
	})
}
