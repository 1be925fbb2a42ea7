package practise

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/synth/lesson"
	"telltrace/trainer/screen"
	"telltrace/trainer/stage"
)

// timed reports whether time runs on this strip now.
func (m *Model) timed() bool {
	switch m.phase {
	case naming, reading, acting:
		return m.round.Limit > 0
	}
	return false
}

// left is the time left for the strip.
func (m *Model) left() time.Duration { return m.round.Limit - m.round.Spent - m.now.Sub(m.shown) }

// timeLeft says the time left in steps of five seconds, the last ones singly: seconds that
// run all the time would hurry the eye.
func (m *Model) timeLeft() string {
	s := int(math.Ceil(max(m.left().Seconds(), 0)))
	if s > 5 {
		return fmt.Sprintf("about %d s left", (s+4)/5*5)
	}
	return fmt.Sprintf("%d s left", s)
}

// runOut ends a strip whose time is over: the questions that are open are kept as not
// answered, and nothing goes on before the learner is there.
func (m *Model) runOut() tea.Cmd {
	if m.calipers.Out() {
		m.calipers.PutAway()
	}
	m.writing = false
	var open []ledger.Question
	if m.phase != acting {
		open = append(open, ledger.Rhythm)
	}
	if len(m.round.Actions) > 0 {
		open = append(open, ledger.FirstAction)
	}
	c := m.askedCase()
	var out []ledger.Answer
	for _, q := range open {
		mark, err := scoring.NoAnswer(c, q, synth.Lesson)
		if err != nil {
			m.phase, m.trouble = failed, err
			return nil
		}
		a := m.answer(m.idsOf(q), "")
		a.Question, a.Right, a.Verdict = q, mark.Right, mark.Verdict
		a.Took = m.round.Spent + max(m.now.Sub(m.shown), 0)
		out = append(out, a)
	}
	m.pending, m.lapsed, m.phase = out[len(out)-1], true, saving
	m.pendingMore = out[:len(out)-1]
	return m.keep(m.pending)
}

// idsOf are the choices of a question.
func (m *Model) idsOf(q ledger.Question) []string {
	was := m.phase
	defer func() { m.phase = was }()
	m.phase = naming
	if q == ledger.FirstAction {
		m.phase = acting
	}
	return slices.Clone(m.ids())
}

// keepAll sends what is pending to the ledger, all of it or nothing.
func keepAll(store ledger.Store, id screen.ID, answers []ledger.Answer) tea.Cmd {
	return screen.Ask(id, func() tea.Msg { return kept{store.Add(context.Background(), answers...)} })
}

// wait lets the learner begin the next strip.
func (m *Model) wait() {
	m.phase = waiting
	m.touch()
}

// waitingView is the page between two strips.
func (m *Model) waitingView() []string {
	l := m.env.Look
	lines := []string{m.title(), ""}
	if m.lapsed {
		lines = append(lines, l.Body.Render("The time for this strip is over; it counts as not answered."), "")
	}
	return append(lines, l.Body.Render("The next strip begins, and its time with it, when you press enter."),
		l.Faint.Render("You may also leave with q: the drill goes on from here when you come back."))
}

// reopen shows a strip as it was answered: no question, why at once.
func (m *Model) reopen() {
	Hold(m.stage, m.round)
	c := m.askedCase()
	for _, a := range m.round.Answered {
		for _, at := range a.Looked {
			c.Looked = append(c.Looked, at.What)
		}
		g := given{chosen: a.Chosen, asked: true}
		var err error
		switch {
		case a.Question == ledger.Rhythm && a.Chosen == "", a.Question == ledger.FirstAction && a.Chosen == "":
			g.mark, err = scoring.NoAnswer(c, a.Question, synth.Lesson)
		case a.Question == ledger.Rhythm:
			g.mark, err = scoring.MarkRhythm(c, a.Chosen, synth.Lesson)
		case a.Question == ledger.FirstAction:
			g.mark, err = scoring.MarkFirstAction(c, lesson.Action(a.Chosen), synth.Lesson)
		default:
			continue
		}
		if err != nil {
			m.phase, m.trouble = failed, err
			return
		}
		if a.Question == ledger.Rhythm {
			m.named = g
		} else {
			m.acted = g
		}
	}
	m.phase = explained
	m.explain = m.explainRound()
	m.layout()
}

// The strip goes on, at most so long, until what it is about has been on the page of
// the narrowest window, s.
const (
	narrowest = 4
	atMost    = 60
)

// Hold plays a strip to where it shows first, and on until the telling evidence is on the
// page, and holds it there.
func Hold(s *stage.Stage, r Round) {
	var clock time.Time
	s.Advance(clock)
	for range atMost {
		if r.Evidence == nil || s.Ended() {
			break
		}
		if at, ok := r.Evidence(r.Start - narrowest); ok && at <= s.Edge() {
			break
		}
		s.Run(clock)
		clock = clock.Add(time.Second)
		s.Hold(clock)
	}
}
