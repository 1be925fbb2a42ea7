package missed

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"telltrace/synth"
	"telltrace/trainer/screen"
)

// A group is a part of the log: all of it, one rhythm, or one rhythm taken for another.
type group struct{ subject, chosen string }

func (g group) has(e entry) bool {
	return (g.subject == "" || e.Subject == g.subject) && (g.chosen == "" || e.confused() == g.chosen)
}

// words name the group.
func (g group) words() string {
	switch {
	case g.subject == "":
		return "All rhythms"
	case g.chosen == "":
		return capital(name(g.subject))
	}
	return capital(name(g.subject)) + ", taken for " + name(g.chosen)
}

// A chooser is a list to choose one from: a group of the log, or a rhythm to set beside a
// strip.
type chooser struct {
	groups []group
	counts []int // entries of each group; nil for rhythms
	cursor int
}

// groupsOf lists all, then the pairs that were confused, the most confused first, then the
// subjects in the order of the catalogue, those it no longer has last; the cursor is on the
// present one.
func groupsOf(all []entry, present group) chooser {
	var pairs, subjects []group
	for _, l := range synth.Lessons() {
		subjects = append(subjects, group{subject: l.ID})
	}
	for _, e := range all {
		if g := (group{e.Subject, e.confused()}); g.chosen != "" && !slices.Contains(pairs, g) {
			pairs = append(pairs, g)
		}
		if g := (group{subject: e.Subject}); !slices.Contains(subjects, g) {
			subjects = append(subjects, g)
		}
	}
	count := func(g group) (n int) {
		for _, e := range all {
			if g.has(e) {
				n++
			}
		}
		return n
	}
	slices.SortStableFunc(pairs, func(a, b group) int { return count(b) - count(a) })
	subjects = slices.DeleteFunc(subjects, func(g group) bool { return count(g) == 0 })
	c := chooser{groups: slices.Concat([]group{{}}, pairs, subjects)}
	for _, g := range c.groups {
		c.counts = append(c.counts, count(g))
	}
	c.cursor = max(slices.Index(c.groups, present), 0)
	return c
}

// besideOf lists the rhythms to set beside one: those it is taken for first.
func besideOf(subject string) chooser {
	var c chooser
	add := func(id string) {
		g := group{subject: id}
		if l, ok := synth.Lesson(id); ok && l.ID != subject && !slices.Contains(c.groups, g) {
			c.groups = append(c.groups, g)
		}
	}
	l, _ := synth.Lesson(subject)
	for _, a := range l.LookAlikes {
		add(a.ID)
	}
	for _, l := range synth.Lessons() {
		add(l.ID)
	}
	return c
}

func (c *chooser) move(by int) { c.cursor = max(min(c.cursor+by, len(c.groups)-1), 0) }

// taken is the group under the cursor.
func (c *chooser) taken() group {
	if c.cursor >= len(c.groups) {
		return group{}
	}
	return c.groups[c.cursor]
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
	case choosing, besides:
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
	if m.only != (group{}) {
		right = "only " + m.only.words() + "   " + right
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
	title := "Missed answers of one rhythm, or one taken for another"
	if c.counts == nil {
		title = "Set beside it"
	}
	lines := []string{m.title(title, ""), "", ""}
	room := max(m.rows-headRows-1, 1)
	for i := max(0, c.cursor-room+1); i < len(c.groups) && len(lines) < m.rows-1; i++ {
		style, count := l.Choice, ""
		if i == c.cursor {
			style = l.Chosen
		}
		if c.counts != nil {
			count = fmt.Sprint(c.counts[i])
		}
		lines = append(lines, style.Render(m.cut(fmt.Sprintf("%s%-66s %s", l.Mark(i == c.cursor), c.groups[i].words(), count))))
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
