package form

import (
	"context"

	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scenarios/task"
	"telltrace/scoring/ledger"
	"telltrace/trainer/screen"
)

// commit marks the page and sends it to the ledger.
func (m *Model) commit() tea.Cmd {
	t := m.page.Task
	for i, f := range t.Fields {
		if n := f.Number; n != nil && m.values[i] != task.None {
			m.values[i] = task.Value(n.Clamp(int(m.values[i])))
		}
	}
	m.marks, m.answers = t.Mark(m.values), nil
	present := m.env.NewID()
	for i, mark := range m.marks {
		m.fields++
		if mark.Right {
			m.right++
		}
		m.answers = append(m.answers, m.answer(present, t, t.Fields[i], mark))
	}
	m.phase, m.drawn = keeping, nil
	return m.keep()
}

// answer is one field as it is kept: its name stands before what was offered, chosen and
// right.
func (m *Model) answer(present string, t task.Task, f task.Field, mark task.Mark) ledger.Answer {
	named := func(words string) string { return f.Name + ": " + words }
	a := ledger.Answer{
		ID: m.env.NewID(), Presentation: present, Learner: m.env.Learner, At: m.env.Now(),
		Mode: ledger.Exercise, Part: m.ex.Part, Class: m.env.Class,
		Strip: t.Strip.String(), Subject: t.Subject, State: t.Strip.State, Question: ledger.Task,
		Chosen: named(mark.Chosen), Correct: mark.Right, Verdict: verdict(mark), Took: m.env.Now().Sub(m.asked),
	}
	for _, c := range f.Choices {
		a.Offered = append(a.Offered, named(c.Words))
	}
	for _, w := range mark.Truth {
		a.Right = append(a.Right, named(w))
	}
	return a
}

func verdict(m task.Mark) ledger.Verdict {
	switch {
	case m.Right:
		return ledger.Right
	case m.Unsafe:
		return ledger.Critical
	}
	return ledger.Wrong
}

func (m *Model) keep() tea.Cmd {
	store, answers := m.env.Store, m.answers
	return screen.Ask(m.id, func() tea.Msg { return kept{store.Add(context.Background(), answers...)} })
}
