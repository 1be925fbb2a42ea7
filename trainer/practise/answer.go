package practise

import (
	"errors"
	"io"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/scoring/steps"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// given is an answer with its mark.
type given struct {
	chosen string
	mark   scoring.Mark
	asked  bool
}

// choices are the answers of the present question, in words; ids gives them as they
// are kept.
func (m *Model) choices() []string {
	switch m.phase {
	case reading:
		return m.stepChoices()
	case acting:
		out := make([]string, len(m.round.Actions))
		for i, a := range m.round.Actions {
			out[i] = a.Words()
		}
		return out
	}
	var out []string
	for _, id := range m.ids() {
		out = append(out, nameOf(id))
	}
	return out
}

func (m *Model) ids() []string {
	switch m.phase {
	case reading:
		return steps.Choices(m.step())
	case acting:
		out := make([]string, len(m.round.Actions))
		for i, a := range m.round.Actions {
			out[i] = string(a)
		}
		return out
	}
	return append(slices.Clone(m.round.Choices), scoring.NotSure)
}

// nameOf is an entry as a choice.
func nameOf(id string) string {
	name := look.NotSure
	if id != scoring.NotSure {
		l, ok := synth.Lesson(id)
		if !ok {
			return id
		}
		name = l.Name
	}
	return strings.ToUpper(name[:1]) + name[1:]
}

// commit marks the chosen answer and sends it to the ledger.
func (m *Model) commit() tea.Cmd {
	ids := m.ids()
	if m.phase == reading {
		return m.commitStep()
	}
	g := given{asked: true}
	if m.writing {
		g.chosen, ids = m.meant, nil
	} else {
		g.chosen = ids[m.cursor]
	}
	c := m.askedCase()
	a := m.answer(ids, g.chosen)
	var err error
	if m.phase == naming {
		a.Question, a.Sure = ledger.Rhythm, ledger.Sure
		if m.unsure {
			a.Sure = ledger.Unsure
		}
		g.mark, err = scoring.MarkRhythm(c, g.chosen, synth.Lesson)
		m.named = g
	} else {
		a.Question = ledger.FirstAction
		g.mark, err = scoring.MarkFirstAction(c, lesson.Action(g.chosen), synth.Lesson)
		m.acted = g
	}
	if err != nil {
		m.phase, m.trouble = failed, err
		return nil
	}
	a.Right, a.Correct, a.Verdict = g.mark.Right, g.mark.Correct, g.mark.Verdict
	m.pending, m.phase = a, saving
	return m.keep(a)
}

// askedCase is what stands before the learner.
func (m *Model) askedCase() scoring.Case {
	return scoring.Case{Subject: m.round.Subject, Age: m.round.Age, State: m.state(), Looked: m.looked(),
		Unsettled: scoring.Unsettled(m.round.Subject, m.round.Choices, synth.Lesson)}
}

// answer is an answer about this showing, not yet marked.
func (m *Model) answer(offered []string, chosen string) ledger.Answer {
	a := ledger.Answer{
		ID: m.env.NewID(), Presentation: m.present, Learner: m.env.Learner, At: m.now,
		Mode: m.round.Mode, Part: m.round.Part, Class: m.env.Class,
		Strip: m.round.Strip.String(), Subject: m.round.Subject, State: m.round.Strip.State,
		Offered: offered, Chosen: chosen, Took: m.took(),
	}
	for _, l := range m.looks {
		a.Looked = append(a.Looked, ledger.Look{What: l.what, AfterMS: l.at.Sub(m.shown).Milliseconds()})
	}
	return a
}

// state is the patient's; with a recording nobody knows.
func (m *Model) state() ecg.State {
	if m.round.Strip.State == "" {
		return ecg.NotSure
	}
	return m.round.Strip.State
}

// took is the time since the telling evidence was on screen, on hold or not, none
// for an answer that came before it; for a question that came later since it was asked.
func (m *Model) took() time.Duration {
	since := m.asked
	if m.phase == naming {
		if m.evident.IsZero() {
			return 0
		}
		if m.evident.After(m.asked) {
			since = m.evident
		}
	}
	return max(m.now.Sub(since), 0)
}

// kept says that the ledger has, or has not, kept the answer.
type kept struct{ err error }

func (m *Model) keep(a ledger.Answer) tea.Cmd {
	return keepAll(m.env.Store, m.id, append(slices.Clone(m.pendingMore), a))
}

// afterKeeping goes on once the answer is safe.
func (m *Model) afterKeeping(err error) tea.Cmd {
	defer m.enable()
	if m.phase != saving {
		return nil
	}
	m.trouble = err
	switch {
	case err != nil:
		m.phase = unsaved
	case m.lapsed:
		m.wait()
	case m.pending.Question != ledger.Rhythm && m.pending.Question != ledger.FirstAction:
		m.nextStep()
	case !m.acted.asked && len(m.round.Actions) > 0:
		m.phase, m.cursor, m.asked, m.writing = acting, -1, m.env.Now(), false
	case m.round.Silent && m.round.Waits:
		m.wait()
	case m.round.Silent:
		if m.nextRound(); errors.Is(m.trouble, io.EOF) {
			return screen.Say(screen.Back{})
		}
	default:
		m.now = m.env.Now()
		m.stage.Hold(m.now)
		m.phase = explained
		m.explain = m.explainRound()
		m.layout()
	}
	return nil
}
