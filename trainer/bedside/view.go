package bedside

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"telltrace/trainer/glass"
	"telltrace/trainer/screen"
)

// Rows that do not depend on the window: title, numbers, patient, what happens, four of
// the bedside, four of things to do, keys.
const fixedRows = 13

// arrange shares the window out.
func (m *Model) arrange() {
	if m.cols == 0 || m.phase == failed {
		return
	}
	m.layout(fixedRows)
	if m.phase == debrief {
		m.write()
	}
}

// room is how many lines of the debrief fit.
func (m *Model) room() int { return max(m.rows-2, 1) }

// View draws the screen; it changes nothing.
func (m *Model) View() string {
	switch m.phase {
	case failed:
		return m.page([]string{m.title(), "", "This scenario cannot be shown: " + m.broken.Error()})
	case asking:
		return m.page(m.question())
	case debrief:
		lines := append([]string{m.title()}, m.lines[m.from:min(m.from+m.room(), len(m.lines))]...)
		return m.page(lines)
	}
	return m.page(append(append([]string{m.title()}, m.stage.Draw(nil)...), m.beneath()...))
}

// Paint is View with the strip as a band while it may move.
func (m *Model) Paint() (string, []glass.Band) {
	if m.phase > over {
		return m.View(), nil
	}
	rows, bands := m.stage.Paint(1)
	return m.page(append(append([]string{m.title()}, rows...), m.beneath()...)), bands
}

func (m *Model) page(lines []string) string {
	return screen.Page(m.env.Look, m.cols, m.rows, lines, m.ShortHelp())
}

// title is the first line.
func (m *Model) title() string {
	left := m.script.Title
	if m.phase <= over {
		left += "   " + m.stage.Header()
	}
	right := clock(m.play.Now())
	switch {
	case m.trouble != nil:
		right = "answers are not kept yet: r tries again"
	case m.env.Notice != "":
		right = m.env.Notice
	case m.phase >= asking:
		right = "training only"
	}
	return m.head(left, right)
}

// beneath is what stands under the strip.
func (m *Model) beneath() []string { return append(m.seen(), m.offers()...) }

// offers lists what can be done, in two columns.
func (m *Model) offers() []string {
	l := m.env.Look
	if m.phase == over {
		return []string{"", l.Body.Render("It is over. " + m.onwardWords())}
	}
	half := (len(acts) + 1) / 2
	width := m.cols / 2
	one := func(i int) string {
		a := acts[i]
		style := l.Choice
		if i == m.chosen {
			style = l.Chosen
		}
		words := ansi.Truncate(l.Mark(i == m.chosen)+a.key+" "+a.says, width-1, "…")
		return style.Render(words) + strings.Repeat(" ", max(width-ansi.StringWidth(words), 0))
	}
	var lines []string
	for i := range half {
		lines = append(lines, one(i)+strings.TrimRight(one(i+half), " "))
	}
	return lines
}

func (m *Model) onwardWords() string {
	if len(m.script.Questions) > 0 {
		return "Enter leads to a question, and then to what was expected."
	}
	return "Enter leads to what was expected."
}

// question is the question being asked.
func (m *Model) question() []string {
	l := m.env.Look
	q := m.script.Questions[m.asked]
	lines := []string{m.title(), "", l.Title.Render(m.cut(q.Ask)), ""}
	for i, a := range q.Answers {
		style := l.Choice
		if i == m.chosen {
			style = l.Chosen
		}
		lines = append(lines, style.Render(m.cut(fmt.Sprintf("%s%d  %s", l.Mark(i == m.chosen), i+1, a))))
	}
	return lines
}
