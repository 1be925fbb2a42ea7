package ledger

import (
	"cmp"
	"context"
	"iter"
	"slices"
	"sync"
)

// Memory is a Store that forgets when the program ends: for practice without a
// log, and for tests. The zero Memory is ready for use.
type Memory struct {
	mu     sync.Mutex
	closed bool
	byID   map[string]Answer
}

// NewMemory makes an empty Memory.
func NewMemory() *Memory { return &Memory{} }

// Add keeps the answers until the program ends.
func (m *Memory) Add(ctx context.Context, answers ...Answer) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.closed {
		return ErrClosed
	}
	added := make(map[string]Answer, len(answers))
	for _, a := range answers {
		a, err := Clean(a)
		if err != nil {
			return err
		}
		have, found := m.byID[a.ID]
		if !found {
			have, found = added[a.ID]
		}
		if found {
			if field := Differ(have, a); field != "" {
				return &ConflictError{ID: a.ID, Field: field}
			}
			continue
		}
		added[a.ID] = a
	}
	if m.byID == nil {
		m.byID = make(map[string]Answer)
	}
	for id, a := range added {
		m.byID[id] = a
	}
	return nil
}

// Answers yields copies of the answers the query selects.
func (m *Memory) Answers(ctx context.Context, q Query) iter.Seq2[Answer, error] {
	return func(yield func(Answer, error) bool) {
		list, err := m.selected(ctx, q)
		for i := 0; err == nil && i < len(list); i++ {
			if err = ctx.Err(); err != nil {
				break
			}
			a := list[i]
			a.Offered, a.Right, a.Looked = own(a.Offered), own(a.Right), own(a.Looked)
			if !yield(a, nil) {
				return
			}
		}
		if err != nil {
			yield(Answer{}, err)
		}
	}
}

func (m *Memory) selected(ctx context.Context, q Query) ([]Answer, error) {
	if err := cmp.Or(ctx.Err(), q.Check()); err != nil {
		return nil, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.closed {
		return nil, ErrClosed
	}
	var list []Answer
	for _, a := range m.byID {
		if (q.Learner == "" || a.Learner == q.Learner) &&
			(q.Subject == "" || a.Subject == q.Subject) &&
			(q.Mode == "" || a.Mode == q.Mode) &&
			(q.Class == "" || a.Class == q.Class) &&
			(q.Part == "" || a.Part == q.Part) &&
			(q.Since.IsZero() || a.At.UnixMilli() >= q.Since.UnixMilli()) {
			list = append(list, a)
		}
	}
	slices.SortFunc(list, Compare)
	if q.NewestFirst {
		slices.Reverse(list)
	}
	if q.Limit > 0 && len(list) > q.Limit {
		list = list[:q.Limit]
	}
	return list, nil
}

// Compare puts answers in the order of a Store: by At, equal times by ID.
func Compare(a, b Answer) int {
	return cmp.Or(cmp.Compare(a.At.UnixMilli(), b.At.UnixMilli()), cmp.Compare(a.ID, b.ID))
}

// Learners lists the learners.
func (m *Memory) Learners(ctx context.Context) ([]string, error) {
	list, err := m.selected(ctx, Query{})
	if err != nil {
		return nil, err
	}
	var names []string
	for _, a := range list {
		names = append(names, a.Learner)
	}
	slices.Sort(names)
	return slices.Compact(names), nil
}

// Close forgets all answers.
func (m *Memory) Close() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.closed, m.byID = true, nil
	return nil
}
