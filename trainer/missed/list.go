package missed

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"telltrace/synth"
	"telltrace/trainer/screen"
)

// subjects are the rhythms in the log, to choose one from. The first stands for all.
type subjects struct {
	ids    []string // "" for all
	counts []int
	cursor int
}

// subjectsOf lists the subjects of the entries in the order of the catalogue, those
// it no longer has last; the cursor is on the present one.
func subjectsOf(all []entry, present string) subjects {
	s := subjects{ids: []string{""}}
	for _, l := range synth.Lessons() {
		s.ids = append(s.ids, l.ID)
	}
	for _, e := range all {
		if !slices.Contains(s.ids, e.Subject) {
			s.ids = append(s.ids, e.Subject)
		}
	}
	count := func(id string) (n int) {
		for _, e := range all {
			if id == "" || e.Subject == id {
				n++
			}
		}
		return n
	}
	s.ids = slices.DeleteFunc(s.ids, func(id string) bool { return count(id) == 0 })
	for _, id := range s.ids {
		s.counts = append(s.counts, count(id))
	}
	s.cursor = max(slices.Index(s.ids, present), 0)
	return s
}

func (s *subjects) move(by int) {
	s.cursor = max(min(s.cursor+by, len(s.ids)-1), 0)
}

// whenWidth is the width of the day in the list: "12 Nov 2024" and a gap.
const whenWidth = 13

// block is an entry of the list, wrapped to the window.
func (m *Model) block(i int) []string {
	e, l := m.list[i], m.env.Look
	width := max(m.cols-whenWidth-2, 1)
	what := strings.Split(ansi.Wrap(e.title()+", "+e.age()+". "+e.said(), width, ""), "\n")
	left := strings.Split(ansi.Wrap(e.left(), width, ""), "\n")
	when := dayWord(e.Last, m.env.Now(), m.env.Location)
	style := l.Choice
	if i == m.cursor {
		style = l.Chosen
	}
	var out []string
	for n, line := range what {
		head := "  " + strings.Repeat(" ", whenWidth)
		if n == 0 {
			head = l.Mark(i == m.cursor) + fmt.Sprintf("%-*s", whenWidth, when)
		}
		out = append(out, style.Render(head+line))
	}
	for _, line := range left {
		out = append(out, l.Faint.Render(strings.Repeat(" ", whenWidth+2)+line))
	}
	if m.rows >= 36 {
		out = append(out, "")
	}
	return out
}

// headRows are the title, one sentence and an empty line.
const headRows = 3

// layout lays out what is shown.
func (m *Model) layout() {
	if cols, rows := m.MinSize(); m.cols < cols || m.rows < rows {
		return
	}
	if m.open != nil {
		m.open.layout(m)
	}
	// The entry under the cursor is wholly on the page, and no room is left empty
	// under the last one.
	used := func(from, to int) (rows int) {
		for i := from; i < min(to, len(m.list)); i++ {
			rows += len(m.block(i))
		}
		return rows
	}
	room := m.rows - headRows - 1
	m.top = min(m.top, m.cursor)
	for m.top < m.cursor && used(m.top, m.cursor+1) > room {
		m.top++
	}
	for m.top > 0 && used(m.top-1, len(m.list)) <= room {
		m.top--
	}
}

// View draws the screen; it changes nothing.
func (m *Model) View() string {
	switch m.phase {
	case reading:
		return m.page([]string{m.title("Missed answers", ""), "", "Reading your answers ..."})
	case failing:
		return m.page(append([]string{m.title("Missed answers", ""), ""},
			m.wrap("Your answers cannot be read: "+m.trouble.Error()+". Nothing is lost by that. Press r to try again.")...))
	case choosing:
		return m.page(m.choicesView())
	case showing:
		return m.page(m.open.view(m))
	}
	return m.page(m.listView())
}

func (m *Model) listView() []string {
	l := m.env.Look
	if len(m.list) == 0 {
		lines := []string{m.title("Missed answers", ""), l.Body.Render(m.cut(m.notice)), ""}
		lines = append(lines, m.wrap("Nothing to look at again.")...)
		return append(lines, m.wrap("A strip that you take for something else comes here, to be tried again. It leaves when you have it right again: once on the same strip and twice on fresh ones, not all on one day.")...)
	}
	right := fmt.Sprintf("%d of %d", m.cursor+1, len(m.list))
	if m.subject != "" {
		right = "only " + name(m.subject) + "   " + right
	}
	sentence := l.Faint.Render(m.cut("To look at again, newest first. A strip leaves once you have it right again."))
	if m.notice != "" {
		sentence = l.Body.Render(m.cut(m.notice))
	}
	lines := []string{m.title("Missed answers", right), sentence, ""}
	for i := m.top; i < len(m.list); i++ {
		block := m.block(i)
		if i > m.cursor && len(lines)+len(block) > m.rows-1 {
			break // a part of an entry says too little
		}
		lines = append(lines, block...)
	}
	return lines
}

func (m *Model) choicesView() []string {
	l, c := m.env.Look, m.choices
	lines := []string{m.title("Missed answers of one rhythm", ""), "", ""}
	room := max(m.rows-headRows-1, 1)
	for i := max(0, c.cursor-room+1); i < len(c.ids) && len(lines) < m.rows-1; i++ {
		what := "All rhythms"
		if c.ids[i] != "" {
			what = capital(name(c.ids[i]))
		}
		style := l.Choice
		if i == c.cursor {
			style = l.Chosen
		}
		lines = append(lines, style.Render(m.cut(fmt.Sprintf("%s%-40s %d", l.Mark(i == c.cursor), what, c.counts[i]))))
	}
	return lines
}

// title is the first line: what this is, and what must be known.
func (m *Model) title(left, right string) string {
	l := m.env.Look
	if m.env.Notice != "" {
		right = m.env.Notice
	}
	right = ansi.Truncate(right, max(m.cols-ansi.StringWidth(left)-2, 0), "…")
	gap := max(m.cols-ansi.StringWidth(left)-ansi.StringWidth(right), 1)
	return l.Title.Render(left) + strings.Repeat(" ", gap) + l.Faint.Render(right)
}

// page fills the lines to the window with the hint line last.
func (m *Model) page(lines []string) string {
	return screen.Page(m.env.Look, m.cols, m.rows, lines, m.ShortHelp())
}

func (m *Model) cut(s string) string { return ansi.Truncate(s, m.cols, "…") }

// wrap breaks a paragraph to a width that is good to read.
func (m *Model) wrap(s string) []string {
	return strings.Split(ansi.Wrap(s, max(min(m.cols, 110), 1), ""), "\n")
}
