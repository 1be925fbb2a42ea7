package form_test

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/task"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/trainer/form"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

// sample is a page with a choice and a number.
func sample(pages int) form.Exercise {
	return form.Exercise{Title: "A sample", Part: "sample", Pages: pages, Page: func(int) (form.Page, error) {
		return form.Page{Task: task.Task{
			Strip: ecg.Synthetic("sinus-rhythm", ecg.Years(6), 1), Subject: "sinus-rhythm", Text: "Fill this in.",
			Fields: []task.Field{
				{Name: "which", Choices: []task.Choice{{Words: "this one", Right: true, Why: "It is so."}, {Words: "that one", Unsafe: true, Why: "It hurts."}}},
				{Name: "rate", Number: &task.Number{Unit: "/min", Least: 0, Most: 300, Step: 5, Start: 100, Truth: 90, Within: 5,
					MayAbsent: true, Why: func(int) string { return "Counted." }}},
			},
		}}, nil
	}}
}

// broken refuses to keep anything until it is mended.
type broken struct {
	ledger.Store
	mended bool
}

func (b *broken) Add(ctx context.Context, a ...ledger.Answer) error {
	if !b.mended {
		return errors.New("the disk is full")
	}
	return b.Store.Add(ctx, a...)
}

func TestEachFieldIsMarkedAndKept(t *testing.T) {
	var e *screen.Env
	screentest.Run(t, 80, 24, func(env *screen.Env) screen.Screen { e = env; return form.New(env, sample(1)) }, func(t *testing.T, d *screentest.Driver) {
		d.Sees("Fill this in.")
		d.Press("down", "enter") // that one
		d.Sees("which  that one")
		d.Press("9", "3", "enter")
		d.Sees("93 /min")
		d.Press("enter") // give the answers
		d.Sees("Unsafe. which: that one. It hurts. Right is: this one.")
		d.Sees("Right. rate: 93 /min. Counted.")
		list, err := ledger.Collect(e.Store.Answers(t.Context(), ledger.Query{Part: "sample", Mode: ledger.Exercise}))
		require.NoError(t, err)
		require.Len(t, list, 2)
		assert.Equal(t, "which: that one", list[0].Chosen)
		assert.Equal(t, []string{"which: this one"}, list[0].Right)
		assert.Equal(t, ledger.Critical, list[0].Verdict)
		assert.Equal(t, "rate: 93 /min", list[1].Chosen)
		assert.Equal(t, ledger.Right, list[1].Verdict)
		assert.Equal(t, list[0].Presentation, list[1].Presentation)
		d.Press("enter")
		d.Sees("1 of 2 answers were right")
		d.SeesNot("points")
	})
}

func TestAnAnswerThatCannotBeKeptIsNotLost(t *testing.T) {
	store := &broken{Store: ledger.NewMemory()}
	screentest.Run(t, 80, 24, func(env *screen.Env) screen.Screen { env.Store = store; return form.New(env, sample(2)) }, func(t *testing.T, d *screentest.Driver) {
		d.Press("1", "down", "down", "n", "enter", "enter")
		d.Sees("could not be kept: the disk is full")
		store.mended = true
		d.Press("enter")
		d.Sees("Not this one. rate: none.")
		list, err := ledger.Collect(store.Answers(t.Context(), ledger.Query{}))
		require.NoError(t, err)
		assert.Len(t, list, 2)
	})
}
