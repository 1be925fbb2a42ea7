package practise

import (
	"context"
	"io"
	"math/rand/v2"
	"sync"
	"time"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/scoring/spacing"
	"telltrace/scoring/steps"
	"telltrace/synth"
	"telltrace/trainer/screen"
)

// Course is the catalogue in the order in which learners meet it.
var Course = sync.OnceValue(func() *spacing.Course { return spacing.NewCourse(synth.Lessons()) })

// Chosen is practice in which each strip is chosen by what the learner's answers so far
// say, with the steps of the reading as long as they are due. The answers are read again
// before each strip, as far as they are new, so what was answered in another window
// counts as well.
func Chosen(env *screen.Env) Plan {
	learner, guide := spacing.NewLearner(Course()), steps.NewGuide(synth.Lessons())
	history := &history{env: env, add: func(a ledger.Answer) { learner.Add(a); guide.Add(a) }, seen: map[string]bool{}}
	return func() (Round, error) {
		if err := history.read(); err != nil {
			return Round{}, err
		}
		rng := rand.New(rand.NewPCG(env.Seed(), 0))
		step := learner.Next(env.Now(), rng)
		e, err := scenarios.Compose(step.Subject, step.Choices, step.Severity, nil, rng)
		if err != nil {
			return Round{}, err
		}
		r, err := Synthetic(titleOf(step), ledger.Practise, e)
		r.Steps = guide.Ask(e.Choices)
		if step.Stage == spacing.SideBySide {
			r.Beside = step.Choices[0]
			if r.Beside == step.Subject {
				r.Beside = step.Choices[1]
			}
		}
		return r, err
	}
}

// titleOf says why this strip comes, without saying what it shows.
func titleOf(step spacing.Step) string {
	switch {
	case step.Stage == spacing.SideBySide:
		return "Practice: these two, one against the other"
	default:
		return "Practice"
	}
}

// For is a plan that ends once so much time has passed since its first strip.
func For(env *screen.Env, d time.Duration, plan Plan) Plan {
	var began time.Time
	return func() (Round, error) {
		now := env.Now()
		if began.IsZero() {
			began = now
		}
		if now.Sub(began) >= d {
			return Round{}, io.EOF
		}
		return plan()
	}
}

// history folds the learner's answers, the new ones each time.
type history struct {
	env    *screen.Env
	add    func(ledger.Answer)
	newest time.Time
	seen   map[string]bool // answers of the newest moment, which may get company
}

func (h *history) read() error {
	q := ledger.Query{Learner: h.env.Learner, Since: h.newest}
	for a, err := range h.env.Store.Answers(context.Background(), q) {
		if err != nil {
			return err
		}
		if h.seen[a.ID] {
			continue
		}
		if a.At.After(h.newest) {
			h.newest = a.At
			clear(h.seen)
		}
		h.seen[a.ID] = true
		h.add(a)
	}
	return nil
}
