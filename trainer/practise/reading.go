package practise

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"telltrace/scoring/ledger"
	"telltrace/scoring/steps"
	"telltrace/synth"
	"telltrace/synth/lesson"
	"telltrace/trainer/paper"
)

// stepGiven is a step of the reading in order, answered and marked.
type stepGiven struct {
	q      ledger.Question
	chosen string
	mark   steps.Mark
}

// firstQuestion is what a round begins with.
func (m *Model) firstQuestion() phase {
	if len(m.round.Steps) > 0 {
		return reading
	}
	return naming
}

// step is the one that is asked.
func (m *Model) step() ledger.Question {
	if n := len(m.steps); n < len(m.round.Steps) {
		return m.round.Steps[n]
	}
	return ""
}

func (m *Model) stepChoices() []string {
	q := m.step()
	var out []string
	for _, c := range steps.Choices(q) {
		out = append(out, steps.Words(q, c))
	}
	return out
}

// stepRows are the most rows that the steps of this round take under the question: the
// answers, and the mark of the step before.
func (m *Model) stepRows() int {
	rows := 0
	for _, q := range m.round.Steps {
		rows = max(rows, len(steps.Choices(q))+1)
	}
	if rows > 0 {
		rows = max(rows, len(m.round.Choices)+2)
	}
	return rows
}

// stretch is the stretch of the strip that the steps are about.
func (m *Model) stretch() steps.Seen {
	dot := 0.025
	if m.stage.Scale() == paper.Double {
		dot /= 2
	}
	truth, _ := synth.Lesson(m.round.Subject)
	edge := m.stage.Edge()
	return steps.See(m.round.Truth(m.stage), max(edge-stripSeconds, 0), edge, m.round.Age, dot, truth.Family == lesson.Artifact)
}

// commitStep marks a step and sends it to the ledger.
func (m *Model) commitStep() tea.Cmd {
	q := m.step()
	chosen := m.typed
	if q != ledger.Rate {
		chosen = steps.Choices(q)[m.cursor]
	} else if rate, err := steps.ParseRate(m.typed); err == nil {
		chosen = rate
	}
	mark, err := m.stretch().Mark(q, chosen)
	if err != nil {
		m.phase, m.trouble = failed, err
		return nil
	}
	m.steps = append(m.steps, stepGiven{q, chosen, mark})
	a := m.answer(steps.Choices(q), chosen)
	a.Question, a.Right, a.Correct, a.Verdict = q, mark.Right, mark.Correct, mark.Verdict
	m.pending, m.phase = a, saving
	return m.keep(a)
}

// nextStep asks the next step, or the name once there is none, or nothing to read.
func (m *Model) nextStep() {
	last := m.steps[len(m.steps)-1]
	nothing := last.q == ledger.Rate && last.chosen == steps.Untold && last.mark.Correct
	if m.step() == "" || nothing {
		m.askName()
		return
	}
	m.phase, m.cursor, m.typed, m.asked = reading, -1, "", m.env.Now()
}

// askName asks what the strip shows.
func (m *Model) askName() {
	m.phase, m.cursor, m.typed, m.asked = naming, -1, "", m.env.Now()
	m.witness()
}

// lastStep is the line that says how the step before was marked.
func (m *Model) lastStep() []string {
	if m.phase != reading && m.phase != naming || len(m.steps) == 0 || m.round.Silent {
		return nil
	}
	l := m.env.Look
	s := m.steps[len(m.steps)-1]
	style, verdict := l.Wrong, "not so. "
	switch {
	case s.mark.Correct:
		style, verdict = l.Right, "right. "
	case s.mark.Verdict == ledger.Near:
		verdict = "near. "
	}
	said := stepNames[s.q] + ": " + verdict
	return []string{style.Render(said) + l.Body.Render(ansi.Truncate(s.mark.Words, max(m.cols-ansi.StringWidth(said), 0), "…"))}
}

var stepNames = map[ledger.Question]string{ledger.Rate: "Rate", ledger.Regularity: "Regularity", ledger.PWaves: "P", ledger.PR: "PR", ledger.QRS: "QRS"}

// readingWas says which steps were not right, after the answers.
func (m *Model) readingWas() []string {
	if len(m.steps) == 0 {
		return nil
	}
	var wrong []string
	for _, s := range m.steps {
		if !s.mark.Correct {
			wrong = append(wrong, fmt.Sprintf("%s: you said %s. %s", stepNames[s.q], strings.ToLower(steps.Words(s.q, s.chosen)), s.mark.Words))
		}
	}
	if wrong == nil {
		return []string{"You read it in order, each step right."}
	}
	return []string{"Your reading. " + strings.Join(wrong, " ")}
}

// typeRate takes a digit, or takes one back.
func (m *Model) typeRate(msg tea.KeyMsg) {
	const digits = 3
	switch {
	case key.Matches(msg, m.keys.erase):
		m.typed = m.typed[:max(len(m.typed)-1, 0)]
	case len(m.typed) < digits:
		m.typed += msg.String()
	}
}

// typedLines are the line that is typed on, and what it means.
func (m *Model) typedLines() []string {
	l := m.env.Look
	line := l.Chosen.Render(m.cut("> " + m.typed + "_"))
	if m.phase == reading {
		return []string{line, l.Faint.Render(m.cut("Count the QRS in six seconds, times ten; 0 where none can be counted."))}
	}
	switch {
	case m.meant != "" && m.said():
		return []string{line, l.Body.Render(m.cut("Means: " + nameOf(m.meant) + ". Enter answers."))}
	case m.meant != "":
		return []string{line, l.Body.Render(m.cut("No entry has that name. The nearest is: " + nameOf(m.meant) + ". Enter takes it; or write on."))}
	case m.typed != "":
		return []string{line, l.Body.Render(m.cut("Nothing has a name like that. Write on, or choose instead with esc."))}
	}
	return []string{line, l.Faint.Render(m.cut("A name or what the trade calls it, such as VT, SVT or afib. Enter answers; esc goes back to the choices."))}
}

// said reports whether what is written is a name, and not only near one.
func (m *Model) said() bool {
	_, ok := synth.Said(m.typed)
	return ok
}

// write takes a key while a name is written. What is meant is on the page before enter
// gives it as the answer.
func (m *Model) write(msg tea.KeyMsg) tea.Cmd {
	const longest = 48
	k := m.keys
	switch {
	case key.Matches(msg, k.unwrite):
		m.writing, m.typed, m.meant = false, "", ""
		return nil
	case key.Matches(msg, k.commit):
		if m.meant == "" {
			return nil
		}
		if !m.said() { // the nearest is taken, and shown, first
			m.typed = nameOf(m.meant)
			return nil
		}
		return m.commit()
	case key.Matches(msg, k.erase):
		runes := []rune(m.typed)
		m.typed = string(runes[:max(len(runes)-1, 0)])
	case len(msg.Runes) > 0 && len(m.typed) < longest:
		m.typed += string(msg.Runes)
	}
	m.meant, _ = synth.Meant(m.typed)
	return nil
}
