package measuring

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// View draws the screen; it changes nothing.
func (m *Model) View() string {
	l := m.env.Look
	var lines []string
	switch {
	case l.Plain:
		lines = m.wrapped("Calipers measure on the drawn strip. In plain mode the times, PR, QRS and RR of each beat stand in the table under practice; there is nothing to measure here.")
	case m.phase == failed:
		lines = m.wrapped("This strip cannot be shown: " + m.trouble.Error())
	case m.phase == finished:
		lines = m.result()
	default:
		return screen.Page(l, m.cols, m.rows, m.question(), m.ShortHelp())
	}
	return screen.Page(l, m.cols, m.rows, append([]string{l.Title.Render("Calipers"), ""}, lines...), m.ShortHelp())
}

func (m *Model) question() []string {
	l := m.env.Look
	head := fmt.Sprintf("Calipers   %s   %s", m.stage.Header(), m.age.Words())
	right := fmt.Sprintf("strip %d of %d", m.strip+1, Strips)
	gap := max(m.cols-ansi.StringWidth(head)-ansi.StringWidth(right), 1)
	lines := []string{l.Title.Render(head) + strings.Repeat(" ", gap) + l.Faint.Render(right)}
	lines = append(lines, m.stage.Draw(m.overlay())...)
	lines = append(lines, l.Body.Render(ansi.Truncate(m.tool.Words(), m.cols, "…")))
	if m.phase == measuring {
		return append(lines, l.Title.Render(m.quantity.task()), l.Faint.Render("When the legs stand, press enter."))
	}
	if m.phase == keeping {
		return append(lines, l.Faint.Render("Keeping it ..."))
	}
	if m.phase == unkept {
		return append(lines, m.wrapped("This could not be kept: "+m.trouble.Error()+". Press enter to try again.")...)
	}
	if m.mark.right {
		lines = append(lines, l.Right.Render("Right."))
	} else {
		lines = append(lines, l.Wrong.Render("Not this time."))
	}
	return append(lines, m.wrapped(m.mark.words)...)
}

// result says how many of each were right.
func (m *Model) result() []string {
	l := m.env.Look
	lines := []string{l.Body.Render(fmt.Sprintf("%d strips are done. Within %.0f ms, and a QRS on the right side of wide:", Strips, 1000*tolerance)), ""}
	for q, t := range m.done {
		lines = append(lines, fmt.Sprintf("  %-5s %d of %d", quantity(q), t.right, t.asked))
	}
	return append(append(lines, ""), m.wrapped(look.Caution)...)
}

func (m *Model) wrapped(s string) []string {
	return strings.Split(ansi.Wordwrap(s, max(min(m.cols, 110), 1), ""), "\n")
}
