package form

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// widest is how long a line of words gets at most.
const widest = 110

// View draws the screen; it changes nothing but the picture it keeps.
func (m *Model) View() string {
	l := m.env.Look
	head := l.Title.Render(m.ex.Title)
	var lines []string
	switch m.phase {
	case failed:
		lines = append([]string{head, ""}, m.wrapped("This exercise cannot be shown: "+m.trouble.Error())...)
	case finished:
		lines = append([]string{head, "", l.Body.Render(fmt.Sprintf("All %d are done: %d of %d answers were right.", m.ex.Pages, m.right, m.fields)), ""},
			m.wrapped(look.PatientFirst+" "+look.Caution)...)
	default:
		at := fmt.Sprintf("%d of %d", m.number+1, m.ex.Pages)
		gap := max(m.cols-ansi.StringWidth(m.ex.Title)-ansi.StringWidth(at), 1)
		lines = []string{head + strings.Repeat(" ", gap) + l.Faint.Render(at)}
		lines = append(append(lines, m.picture()...), m.below(m.under())...)
	}
	return screen.Page(l, m.cols, m.rows, lines, m.ShortHelp())
}

// text is the task in lines.
func (m *Model) text() []string { return m.wrapped(m.page.Task.Text) }

// wanted is how many rows text and fields want, whichever field has the cursor.
func (m *Model) wanted() int {
	fields, choices := m.page.Task.Fields, 0
	for _, f := range fields {
		if !m.page.Task.Inline {
			choices = max(choices, len(f.Choices))
		}
	}
	n := len(m.text()) + len(fields) + choices
	if len(fields) > 1 {
		n++
	}
	return n
}

// pictureRows is what the picture has: what the rest leaves, but its least.
func (m *Model) pictureRows() int {
	if m.page.Draw == nil {
		return 0
	}
	return min(max(m.rows-2-m.wanted(), m.page.Least), max(m.page.Most, m.page.Least))
}

// under is how many rows are left below the picture.
func (m *Model) under() int { return max(m.rows-2-len(m.picture()), 0) }

// picture is the picture, drawn when something has changed.
func (m *Model) picture() []string {
	rows := m.pictureRows()
	if rows == 0 {
		return nil
	}
	if m.drawn == nil || m.drawnCols != m.cols || m.drawnRows != rows {
		m.drawn = m.page.Draw(m.cols, rows, m.values, m.phase == marked)
		if m.env.Look.Plain { // words
			m.drawn = m.wrapped(strings.Join(m.drawn, "\n"))
		}
		m.drawnCols, m.drawnRows = m.cols, rows
		m.drawn = m.drawn[:min(len(m.drawn), rows)]
	}
	return m.drawn
}

// below is what stands under the picture in rows lines.
func (m *Model) below(rows int) []string {
	l := m.env.Look
	switch m.phase {
	case keeping:
		return []string{l.Faint.Render("Keeping the answer.")}
	case unkept:
		return m.wrapped("This answer could not be kept: " + m.trouble.Error() + ". Nothing is lost: enter tries again.")
	case marked:
		all := m.marking()
		from := min(m.scroll, max(len(all)-rows, 0))
		return all[from:min(from+rows, len(all))]
	}
	text := m.text()
	for i := range text {
		text[i] = l.Body.Render(text[i])
	}
	fields, at := m.lines()
	room := max(rows-len(text), 1)
	from := max(min(at-room/2, len(fields)-room), 0)
	return append(text, fields[from:min(from+room, len(fields))]...)
}

// lines are the fields, and the line the cursor is on.
func (m *Model) lines() (lines []string, at int) {
	l := m.env.Look
	fields, inline := m.page.Task.Fields, m.page.Task.Inline
	width := 0
	for _, f := range fields {
		width = max(width, len(f.Name))
	}
	line := func(on bool, s string) {
		style := l.Choice
		if on {
			style, at = l.Chosen, len(lines)
		}
		lines = append(lines, style.Render(ansi.Truncate(l.Mark(on)+s, m.cols, "…")))
	}
	for i, f := range fields {
		here := i == m.focus
		value := f.Words(m.values[i])
		if value == "" || !m.done[i] && f.Number == nil {
			value = "-"
		}
		if len(fields) > 1 {
			line(here && (inline || f.Number != nil), fmt.Sprintf("%-*s  %s", width, f.Name, value))
		}
		if here && f.Number == nil && !inline {
			for k, c := range f.Choices {
				line(k == m.cursor, fmt.Sprintf("%d  %s", k+1, c.Words))
			}
		}
	}
	if len(fields) > 1 {
		line(m.focus == len(fields), "Give these answers")
	}
	return lines, at
}

// marking is every field with its mark and reason, and what else there is to say.
func (m *Model) marking() []string {
	l := m.env.Look
	var lines []string
	for i, f := range m.page.Task.Fields {
		k := m.marks[i]
		word, style := "Right", l.Right
		switch {
		case k.Unsafe:
			word, style = "Unsafe", l.Miss
		case !k.Right:
			word, style = "Not this one", l.Wrong
		}
		said := m.wrapped(fmt.Sprintf("%s. %s: %s.", word, f.Name, strings.TrimSuffix(k.Chosen, ".")))
		said[0] = style.Render(word) + strings.TrimPrefix(said[0], word)
		lines = append(lines, said...)
		why := k.Why
		if !k.Right {
			why += " Right is: " + strings.TrimSuffix(strings.Join(k.Truth, ", or "), ".") + ". " + k.WhyNot
		}
		for _, w := range m.wrap(strings.TrimSpace(why), 2) {
			lines = append(lines, "  "+w)
		}
	}
	if after := m.page.Task.After; after != nil {
		for _, p := range after(m.values) {
			lines = append(lines, m.wrapped(p)...)
		}
	}
	return lines
}

// mostScroll is the last line the marks can begin with.
func (m *Model) mostScroll() int {
	if m.phase != marked {
		return 0
	}
	return max(len(m.marking())-m.under(), 0)
}

func (m *Model) wrapped(s string) []string { return m.wrap(s, 0) }

func (m *Model) wrap(s string, indent int) []string {
	return strings.Split(ansi.Wordwrap(s, max(min(m.cols, widest)-indent, 1), ""), "\n")
}
