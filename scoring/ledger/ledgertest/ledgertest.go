// Package ledgertest holds the one set of tests for every ledger.Store: Exercise
// goes through the numbered contract of ledger.Store.
package ledgertest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
)

// start is the time of Answer(0).
var start = time.Date(2026, 3, 1, 22, 0, 0, 0, time.UTC)

// Answer makes the n-th of a series of valid answers, a minute apart, every field
// filled, as a Store gives it back.
func Answer(n int) ledger.Answer {
	return ledger.Answer{
		ID:           fmt.Sprintf("answer-%06d", n),
		Presentation: fmt.Sprintf("showing-%06d", n/2),
		Learner:      "learner-1",
		At:           start.Add(time.Duration(n) * time.Minute),
		Mode:         ledger.Practise,
		Part:         "ectopics",
		Class:        "autumn",
		Strip:        fmt.Sprintf("2/ventricular-bigeminy/6y/%d", n/2),
		Subject:      "ventricular-bigeminy",
		State:        ecg.Stable,
		Question:     []ledger.Question{ledger.Rhythm, ledger.FirstAction}[n%2],
		Offered:      []string{"sinus-rhythm", "ventricular-bigeminy", "movement", "not-sure"},
		Chosen:       "movement",
		Right:        []string{"ventricular-bigeminy"},
		Verdict:      ledger.Wrong,
		Sure:         ledger.Sure,
		Looked:       []ledger.Look{{What: ledger.LookPulse, AfterMS: 1200}, {What: ledger.LookChild, AfterMS: 3400}},
		Took:         4200 * time.Millisecond,
	}
}

// Mixed makes so many answers of several learners and entries, of every mode and
// question, with times that jump back and forth as where a clock was set; the same for
// the same seed.
func Mixed(n int, seed uint64) []ledger.Answer {
	rng := rand.New(rand.NewPCG(seed, 0))
	out := make([]ledger.Answer, n)
	for i := range out {
		a := Answer(i)
		a.ID = fmt.Sprintf("mixed-%d-%06d", seed, i)
		a.Learner = fmt.Sprintf("learner-%d", rng.IntN(3))
		a.Subject = []string{"asystole", "sinus-rhythm", "ventricular-bigeminy"}[rng.IntN(3)]
		a.At = start.Add(time.Duration(rng.IntN(100*24*60)-50*24*60) * time.Minute)
		a.Mode = ledger.Modes[rng.IntN(len(ledger.Modes))]
		a.Question = ledger.Questions[rng.IntN(len(ledger.Questions))]
		a.Verdict = ledger.Verdicts[rng.IntN(len(ledger.Verdicts))]
		a.Correct = a.Verdict == ledger.Right
		a.Sure = []ledger.Confidence{ledger.NotAsked, ledger.Sure, ledger.Unsure}[rng.IntN(3)]
		a.Took = time.Duration(rng.IntN(30000)) * time.Millisecond
		out[i] = a
	}
	return out
}

// SumsAgree holds the sums of a store, each learner's and everybody's, against its answers.
func SumsAgree(t testing.TB, s ledger.Store) {
	t.Helper()
	learners, err := s.Learners(t.Context())
	require.NoError(t, err)
	for _, who := range append(learners, "", "nobody") {
		want, err := ledger.SumsOf(s.Answers(t.Context(), ledger.Query{Learner: who}))
		require.NoError(t, err)
		got, err := ledger.Sums(t.Context(), s, who)
		require.NoError(t, err)
		require.Equal(t, want, got, "the sums of %q", who)
	}
}

// sums: in whatever order and company answers come in, again and again, the sums are
// those of the answers.
func sums(t *testing.T, s ledger.Store) {
	SumsAgree(t, s)
	list := Mixed(300, 5)
	rng := rand.New(rand.NewPCG(5, 1))
	for range 6 {
		rng.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		require.NoError(t, s.Add(t.Context(), list[:50]...), "some of them are there already")
		SumsAgree(t, s)
	}
	other := list[0]
	other.Chosen = "another"
	require.Error(t, s.Add(t.Context(), Answer(7000), other))
	require.NoError(t, s.Add(t.Context(), list...))
	SumsAgree(t, s)
	want, err := ledger.SumsOf(func(yield func(ledger.Answer, error) bool) {
		for _, a := range list {
			if !yield(a, nil) {
				return
			}
		}
	})
	require.NoError(t, err)
	got, err := ledger.Sums(t.Context(), s, "")
	require.NoError(t, err)
	require.Equal(t, want, got)
}

// Exercise runs every case of the contract over stores made by open, which gives
// an empty one each time.
func Exercise(t *testing.T, open func(t *testing.T) ledger.Store) {
	for _, c := range []struct {
		name string
		run  func(*testing.T, ledger.Store)
	}{
		{"case 2, all or none", allOrNone},
		{"case 3, the same ID again", sameID},
		{"case 4, what comes back", roundTrip},
		{"case 5, order", order},
		{"case 6, selection", selection},
		{"sums", sums},
		{"case 7, snapshot", snapshot},
		{"case 8, invalid", invalid},
		{"case 9, learners", learners},
		{"case 10, cancelled", cancelled},
		{"case 11, closed", closed},
		{"concurrent use", concurrent},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := open(t)
			t.Cleanup(func() { assert.NoError(t, s.Close()) })
			c.run(t, s)
		})
	}
}

func all(t *testing.T, s ledger.Store) []ledger.Answer {
	t.Helper()
	list, err := ledger.Collect(s.Answers(t.Context(), ledger.Query{}))
	require.NoError(t, err)
	return list
}

func allOrNone(t *testing.T, s ledger.Store) {
	require.NoError(t, s.Add(t.Context()), "nothing to add")
	other := Answer(1)
	require.NoError(t, s.Add(t.Context(), other))
	other.Chosen = "sinus-rhythm"
	require.Error(t, s.Add(t.Context(), Answer(0), other, Answer(2)))
	invalid := Answer(3)
	invalid.Learner = ""
	require.Error(t, s.Add(t.Context(), Answer(0), invalid))
	assert.Equal(t, []ledger.Answer{Answer(1)}, all(t, s), "answers of a refused Add were kept")
	require.NoError(t, s.Add(t.Context(), Answer(0), Answer(2)))
	assert.Len(t, all(t, s), 3)
}

func sameID(t *testing.T, s ledger.Store) {
	a := Answer(0)
	require.NoError(t, s.Add(t.Context(), a, a))
	require.NoError(t, s.Add(t.Context(), a))
	a.At = a.At.In(time.FixedZone("", 3600)).Add(400 * time.Microsecond) // the same to the millisecond
	require.NoError(t, s.Add(t.Context(), a))
	assert.Len(t, all(t, s), 1)

	for field, change := range map[string]func(*ledger.Answer){
		"Presentation": func(a *ledger.Answer) { a.Presentation = "x" },
		"Learner":      func(a *ledger.Answer) { a.Learner = "x" },
		"At":           func(a *ledger.Answer) { a.At = a.At.Add(time.Millisecond) },
		"Mode":         func(a *ledger.Answer) { a.Mode = ledger.Replay },
		"Part":         func(a *ledger.Answer) { a.Part = "x" },
		"Class":        func(a *ledger.Answer) { a.Class = "x" },
		"Strip":        func(a *ledger.Answer) { a.Strip = "x" },
		"Subject":      func(a *ledger.Answer) { a.Subject = "x" },
		"State":        func(a *ledger.Answer) { a.State = "" },
		"Question":     func(a *ledger.Answer) { a.Question = ledger.FirstAction },
		"Offered":      func(a *ledger.Answer) { slices.Reverse(a.Offered) },
		"Chosen":       func(a *ledger.Answer) { a.Chosen = "" },
		"Right":        func(a *ledger.Answer) { a.Right = append(a.Right, "x") },
		"Correct":      func(a *ledger.Answer) { a.Correct = true },
		"Verdict":      func(a *ledger.Answer) { a.Verdict = ledger.Near },
		"Sure":         func(a *ledger.Answer) { a.Sure = ledger.NotAsked },
		"Looked":       func(a *ledger.Answer) { a.Looked[1].AfterMS++ },
		"Took":         func(a *ledger.Answer) { a.Took += time.Millisecond },
	} {
		a := Answer(0)
		change(&a)
		var conflict *ledger.ConflictError
		if assert.ErrorAs(t, s.Add(t.Context(), a), &conflict, field) {
			assert.Equal(t, ledger.ConflictError{ID: a.ID, Field: field}, *conflict)
		}
	}
	assert.Equal(t, []ledger.Answer{Answer(0)}, all(t, s))
}

func roundTrip(t *testing.T, s ledger.Store) {
	plain := Answer(0)
	odd := Answer(1)
	odd.Learner = "Zoë \"O'Neil\"; <b> \u202e ünïcode\n=1+1"
	odd.Chosen, odd.State, odd.Sure = "", "", ledger.NotAsked
	odd.Offered, odd.Right, odd.Looked, odd.Took = nil, nil, nil, 0
	odd.Correct, odd.Verdict = true, ledger.Right
	odd.Mode, odd.Part, odd.Class = ledger.Drill, "arrest rhythms", "autumn \"A\""
	local := Answer(2)
	local.At = local.At.In(time.FixedZone("east", 5*3600+1800)).Add(999 * time.Microsecond)
	local.Offered, local.Looked = []string{}, []ledger.Look{}
	local.Took += 999 * time.Microsecond
	require.NoError(t, s.Add(t.Context(), plain, odd, local))

	want := Answer(2)
	want.Offered, want.Looked = nil, nil
	assert.Equal(t, []ledger.Answer{plain, odd, want}, all(t, s))

	plain.Offered[0], plain.Looked[0].What = "changed", "changed"
	got := all(t, s)
	assert.Equal(t, Answer(0), got[0], "the store shares the caller's memory")
	got[0].Offered[0] = "changed"
	assert.Equal(t, Answer(0), all(t, s)[0], "the reader shares the store's memory")
}

func order(t *testing.T, s ledger.Store) {
	var want []ledger.Answer
	for i := range 20 {
		a := Answer(i)
		a.At = start.Add(time.Duration(i/4) * time.Millisecond) // four at each time
		want = append(want, a)
	}
	mixed := slices.Clone(want)
	rand.New(rand.NewPCG(1, 2)).Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
	for _, a := range mixed {
		require.NoError(t, s.Add(t.Context(), a))
	}
	assert.Equal(t, want, all(t, s))
	got, err := ledger.Collect(s.Answers(t.Context(), ledger.Query{NewestFirst: true}))
	require.NoError(t, err)
	slices.Reverse(want)
	assert.Equal(t, want, got)
}

func selection(t *testing.T, s ledger.Store) {
	var list []ledger.Answer
	for i := range 24 {
		a := Answer(i)
		a.Learner = []string{"ann", "bob"}[i%2]
		a.Subject = []string{"asystole", "movement", "sinus-rhythm"}[i%3]
		a.Mode = []ledger.Mode{ledger.Practise, ledger.Replay, ledger.Fresh, ledger.Check}[i/2%4]
		a.Class, a.Part = []string{"", "autumn"}[i/6%2], []string{"", "blocks", "ectopics"}[i%3]
		list = append(list, a)
	}
	require.NoError(t, s.Add(t.Context(), list...))
	since := list[11].At.Add(300 * time.Microsecond) // the same millisecond: included
	for _, q := range []ledger.Query{
		{Learner: "bob"}, {Learner: "nobody"}, {Subject: "movement"}, {Mode: ledger.Replay}, {Since: since},
		{Learner: "ann", Subject: "asystole", Mode: ledger.Practise, Since: list[1].At},
		{Class: "autumn"}, {Class: "spring"}, {Part: "blocks"}, {Learner: "ann", Class: "autumn", Part: "ectopics"},
		{Limit: 5}, {Limit: 5, NewestFirst: true}, {Limit: 100}, {Learner: "ann", Since: since, Limit: 2},
	} {
		var want []ledger.Answer
		for _, a := range list {
			if (q.Learner == "" || a.Learner == q.Learner) && (q.Subject == "" || a.Subject == q.Subject) &&
				(q.Class == "" || a.Class == q.Class) && (q.Part == "" || a.Part == q.Part) &&
				(q.Mode == "" || a.Mode == q.Mode) && !a.At.Before(q.Since.Truncate(time.Millisecond)) {
				want = append(want, a)
			}
		}
		if q.NewestFirst {
			slices.Reverse(want)
		}
		if q.Limit > 0 {
			want = want[:min(q.Limit, len(want))]
		}
		got, err := ledger.Collect(s.Answers(t.Context(), q))
		require.NoError(t, err)
		assert.Equal(t, want, got, "%+v", q)
	}
}

func snapshot(t *testing.T, s ledger.Store) {
	require.NoError(t, s.Add(t.Context(), Answer(0), Answer(1)))
	n := 0
	for a, err := range s.Answers(t.Context(), ledger.Query{}) {
		require.NoError(t, err)
		assert.Equal(t, Answer(n), a)
		n++
		require.NoError(t, s.Add(t.Context(), Answer(10+n)), "adding while reading")
		_, err = s.Learners(t.Context())
		require.NoError(t, err, "reading while reading")
	}
	assert.Equal(t, 2, n)
	for range s.Answers(t.Context(), ledger.Query{}) {
		break
	}
	assert.Len(t, all(t, s), 4)
}

func invalid(t *testing.T, s ledger.Store) {
	for field, spoil := range map[string]func(*ledger.Answer){
		"ID":           func(a *ledger.Answer) { a.ID = "" },
		"Presentation": func(a *ledger.Answer) { a.Presentation = "" },
		"Learner":      func(a *ledger.Answer) { a.Learner = "" },
		"Strip":        func(a *ledger.Answer) { a.Strip = "" },
		"Subject":      func(a *ledger.Answer) { a.Subject = "" },
		"At":           func(a *ledger.Answer) { a.At = time.Time{} },
		"Mode":         func(a *ledger.Answer) { a.Mode = "play" },
		"Question":     func(a *ledger.Answer) { a.Question = "" },
		"Verdict":      func(a *ledger.Answer) { a.Verdict = "" },
		"State":        func(a *ledger.Answer) { a.State = "fine" },
		"Sure":         func(a *ledger.Answer) { a.Sure = "perhaps" },
		"Took":         func(a *ledger.Answer) { a.Took = -1 },
		"UTF-8":        func(a *ledger.Answer) { a.Offered[2] = "\xff" },
	} {
		a := Answer(0)
		spoil(&a)
		assert.ErrorContains(t, s.Add(t.Context(), a), field)
	}
	assert.Empty(t, all(t, s))
	for field, q := range map[string]ledger.Query{"Limit": {Limit: -1}, "Mode": {Mode: "play"}} {
		_, err := ledger.Collect(s.Answers(t.Context(), q))
		assert.ErrorContains(t, err, field)
	}
}

func learners(t *testing.T, s ledger.Store) {
	got, err := s.Learners(t.Context())
	require.NoError(t, err)
	assert.Empty(t, got)
	for i, name := range []string{"bob", "Zoë", "ann", "bob", "Ann", "ann"} {
		a := Answer(i)
		a.Learner = name
		require.NoError(t, s.Add(t.Context(), a))
	}
	got, err = s.Learners(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []string{"Ann", "Zoë", "ann", "bob"}, got)
}

func cancelled(t *testing.T, s ledger.Store) {
	require.NoError(t, s.Add(t.Context(), Answer(0)))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	assert.ErrorIs(t, s.Add(ctx, Answer(1)), context.Canceled)
	_, err := ledger.Collect(s.Answers(ctx, ledger.Query{}))
	assert.ErrorIs(t, err, context.Canceled)
	_, err = s.Learners(ctx)
	assert.ErrorIs(t, err, context.Canceled)
	assert.Len(t, all(t, s), 1)
}

func closed(t *testing.T, s ledger.Store) {
	require.NoError(t, s.Add(t.Context(), Answer(0)))
	require.NoError(t, s.Close())
	require.NoError(t, s.Close())
	assert.ErrorIs(t, s.Add(t.Context(), Answer(1)), ledger.ErrClosed)
	_, err := ledger.Collect(s.Answers(t.Context(), ledger.Query{}))
	assert.ErrorIs(t, err, ledger.ErrClosed)
	_, err = s.Learners(t.Context())
	assert.ErrorIs(t, err, ledger.ErrClosed)
}

func concurrent(t *testing.T, s ledger.Store) {
	const writers, each = 4, 20
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for i := range each {
				assert.NoError(t, s.Add(t.Context(), Answer(w*each+i), Answer(0))) // all of them add answer 0 too
				_, err := ledger.Collect(s.Answers(t.Context(), ledger.Query{Limit: 3}))
				assert.NoError(t, err)
			}
		})
	}
	wg.Wait()
	got := all(t, s)
	require.Len(t, got, writers*each)
	for i, a := range got {
		assert.Equal(t, Answer(i), a)
	}
}
