package ledger

import (
	"cmp"
	"context"
	"iter"
	"slices"
	"strings"
	"time"
)

// A Sum is what one learner's answers about one catalogue entry come to. Strips shown a
// second time (mode Replay) are left out, as they are known. Every figure is a count, a
// sum or the latest of some times, so the order in which answers came in is without
// influence.
type Sum struct {
	Learner, Subject string

	Named      Tally         // what it shows
	NamedTook  time.Duration // over the right names
	LastNamed  time.Time     // the newest, right or wrong; zero when none
	SureWrong  int           // names given as sure, and wrong
	FirstDone  Tally         // what is done first
	ReadBefore Tally         // steps of the reading: rate, regularity, P, PR, QRS
}

// A Tally counts answers, those that counted as right, and those marked critical.
type Tally struct{ N, Right, Critical int }

func (t *Tally) add(a Answer) {
	t.N++
	if a.Correct {
		t.Right++
	}
	if a.Verdict == Critical {
		t.Critical++
	}
}

// A Summer is a Store that keeps the sums beside the answers, so that they are had at
// once however many answers there are. What it says equals SumsOf its answers
// (ledgertest.Exercise tests that).
type Summer interface {
	// Sums gives one learner's sums, or everybody's for "", in the order of learner
	// and subject.
	Sums(ctx context.Context, learner string) ([]Sum, error)
}

// Sums gives the sums of a store: those it keeps, or else worked out from its answers.
func Sums(ctx context.Context, s Store, learner string) ([]Sum, error) {
	if kept, ok := s.(Summer); ok {
		return kept.Sums(ctx, learner)
	}
	return SumsOf(s.Answers(ctx, Query{Learner: learner}))
}

// SumsOf works the sums out from answers in any order.
func SumsOf(answers iter.Seq2[Answer, error]) ([]Sum, error) {
	type key struct{ learner, subject string }
	by := map[key]*Sum{}
	for a, err := range answers {
		if err != nil {
			return nil, err
		}
		if a.Mode == Replay {
			continue
		}
		k := key{a.Learner, a.Subject}
		s := by[k]
		if s == nil {
			s = &Sum{Learner: a.Learner, Subject: a.Subject}
			by[k] = s
		}
		s.add(a)
	}
	out := make([]Sum, 0, len(by))
	for _, s := range by {
		out = append(out, *s)
	}
	slices.SortFunc(out, func(a, b Sum) int {
		return cmp.Or(strings.Compare(a.Learner, b.Learner), strings.Compare(a.Subject, b.Subject))
	})
	return out, nil
}

func (s *Sum) add(a Answer) {
	switch a.Question {
	case Rhythm:
		s.Named.add(a)
		if a.Correct {
			s.NamedTook += a.Took
		} else if a.Sure == Sure {
			s.SureWrong++
		}
		if a.At.After(s.LastNamed) {
			s.LastNamed = a.At
		}
	case FirstAction:
		s.FirstDone.add(a)
	case Rate, Regularity, PWaves, PR, QRS:
		s.ReadBefore.add(a)
	}
}
