package ectopics_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ectopics"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/synth/ecg"
	screens "telltrace/trainer/ectopics"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

func open(env *screen.Env) screen.Screen { return screens.New(env, env.Values) }

func TestContract(t *testing.T) { screentest.Exercise(t, open) }

// fill types the answers of a minute; wrong changes the count.
func fill(d *screentest.Driver, seen ectopics.Seen, what string, off int) {
	for _, n := range []int{len(seen.Early) + off, seen.Shapes, seen.Pairs, seen.Run} {
		d.Press(strings.Split(fmt.Sprint(n), "")...)
		d.Press("enter")
	}
	d.Press(map[bool]string{false: "1", true: "2"}[seen.OnT > 0], "enter")
	d.Press(map[string]string{ectopics.Chart: "1", ectopics.Notify: "2", ectopics.Call: "3"}[what])
	d.Press("enter")
}

func kept(t *testing.T, s ledger.Store) []ledger.Answer {
	t.Helper()
	list, err := ledger.Collect(s.Answers(context.Background(), ledger.Query{}))
	require.NoError(t, err)
	return list
}

// The minute is the one that the identity of the answers replays; what was typed by its
// marks is right, at every size, and a count that is off is not.
func TestAMinute(t *testing.T) {
	for _, size := range screentest.Sizes {
		for _, off := range []int{0, 40} {
			var env *screen.Env
			screentest.Run(t, size[0], size[1], func(e *screen.Env) screen.Screen { env = e; return open(e) }, func(t *testing.T, d *screentest.Driver) {
				d.Sees("Early ventricular beats")
				d.Sees("Tell the team from 6 a minute")
				id := strip(t, env)
				s := count(t, id)
				what, _ := env.Values.Decide(s)
				fill(d, s, what, off)
				d.Fits()
				list := kept(t, env.Store)
				require.Len(t, list, 6)
				for i, a := range list {
					assert.Equal(t, ledger.Exercise, a.Mode)
					assert.Equal(t, screens.Part, a.Part)
					assert.Equal(t, id.String(), a.Strip)
					assert.Equal(t, i > 0 || off == 0, a.Correct || !strings.HasPrefix(a.Chosen, "count"), "%v", a.Chosen)
				}
				if off > 0 {
					d.Sees("not so: ")
				}
				d.Press("enter")
				d.Sees("minute 2")
			})
		}
	}
}

// strip is the minute that a screen of this environment opened: the same draws again.
func strip(t *testing.T, env *screen.Env) ecg.Identity {
	t.Helper()
	id, err := screens.Draw(rand.New(rand.NewPCG(screentest.NewEnv().Seed(), 0)))
	require.NoError(t, err)
	return id
}

func count(t *testing.T, id ecg.Identity) ectopics.Seen {
	t.Helper()
	s, m, err := synth.Render(id, ectopics.Seconds)
	require.NoError(t, err)
	return ectopics.Count(s, m)
}

// Every page of the minute together shows each second once.
func TestPagesCoverTheMinute(t *testing.T) {
	for _, size := range append(screentest.Sizes, [2]int{97, 31}) {
		screentest.Run(t, size[0], size[1], open, func(t *testing.T, d *screentest.Driver) {
			last := 0
			for range 20 {
				var from, to int
				words := d.Words()
				_, after, ok := strings.Cut(words, "seconds ")
				require.True(t, ok)
				_, err := fmt.Sscanf(after, "%d to %d of 60", &from, &to)
				require.NoError(t, err)
				assert.Equal(t, last, from)
				last = to
				d.Press("right")
				d.Fits()
				if to == ectopics.Seconds {
					break
				}
			}
			assert.Equal(t, ectopics.Seconds, last)
		})
	}
}

// Three in ten minutes or more need nothing told, and each decision comes up.
func TestTheMinutesAreMixed(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 0))
	n, what := 60, map[string]int{}
	for range n {
		id, err := screens.Draw(rng)
		require.NoError(t, err)
		decision, _ := ectopics.Default().Decide(count(t, id))
		what[decision]++
	}
	assert.GreaterOrEqual(t, what[ectopics.Chart], 3*n/10, "%v", what)
	assert.Greater(t, what[ectopics.Notify], n/10, "%v", what)
	assert.Greater(t, what[ectopics.Call], n/10, "%v", what)
}

// gone is a store that cannot keep.
type gone struct{ ledger.Store }

func (gone) Add(context.Context, ...ledger.Answer) error { return fmt.Errorf("the disk is full") }

// Answers that cannot be kept are said, and given again on r.
func TestUnkept(t *testing.T) {
	var env *screen.Env
	screentest.Run(t, 80, 24, func(e *screen.Env) screen.Screen {
		env = e
		env.Store = gone{env.Store}
		return open(e)
	}, func(t *testing.T, d *screentest.Driver) {
		fill(d, ectopics.Seen{}, ectopics.Chart, 0)
		d.Sees("Your answers are not kept yet.")
		env.Store = env.Store.(gone).Store
		d.Press("r")
		d.Tick(time.Millisecond)
		assert.Len(t, kept(t, env.Store), 6)
	})
}
