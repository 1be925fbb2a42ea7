package ectopics

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"telltrace/scoring/ectopics"
	"telltrace/synth/ecg"
	"telltrace/trainer/look"
	"telltrace/trainer/paper"
	"telltrace/trainer/screen"
	"telltrace/trainer/stage"
)

// Rows beside the strips: title, patient, values, six lines, keys.
const fixedRows = 10

// stripRows is the height of one row of strip: 1.5 mV at the base scale.
const stripRows = 6

// plainSeconds is what one table of a plain look covers, s.
const plainSeconds = 6

// seconds is how much one row of strip shows, s: whole seconds that a minute is made of, so
// that no beat stands in two rows.
func (m *Model) seconds() int {
	if m.env.Look.Plain {
		return plainSeconds
	}
	const perSecond = 20 // columns
	best := 2
	for _, s := range []int{3, 4, 5, 6, 10, 12, 15} {
		if s*perSecond <= m.cols {
			best = s
		}
	}
	return best
}

// strips is how many rows of strip there is room for.
func (m *Model) strips() int {
	if m.env.Look.Plain {
		return 1
	}
	return max(min((m.rows-fixedRows)/stripRows, ectopics.Seconds/m.seconds()), 1)
}

// pagesThere is over how many pages the minute goes.
func (m *Model) pagesThere() int {
	per := m.strips() * m.seconds()
	return (ectopics.Seconds + per - 1) / per
}

// layout draws the page of strips.
func (m *Model) layout() {
	m.drawn = nil
	if m.stage == nil || m.cols == 0 {
		return
	}
	m.page = max(min(m.page, m.pagesThere()-1), 0)
	m.from = max(min(m.from, len(m.said())-m.room()), 0)
	cols, rows := 20*m.seconds(), stripRows
	if m.env.Look.Plain {
		cols, rows = m.cols, m.rows-fixedRows
	}
	m.stage.Resize(cols, rows, 0)
	for k := range m.strips() {
		end := float64((m.page*m.strips() + k + 1) * m.seconds())
		if end > ectopics.Seconds {
			break
		}
		_, now := m.stage.Window()
		m.stage.Pan((now - end) / m.stage.View().Seconds())
		m.drawn = append(m.drawn, m.stage.Draw(m.overlay())...)
	}
}

// overlay numbers the early beats, once they are marked.
func (m *Model) overlay() *stage.Overlay {
	if m.phase != marked {
		return nil
	}
	o := &stage.Overlay{Marks: ecg.Marks{}}
	for i, q := range m.seen.Early {
		o.Brackets = append(o.Brackets, paper.Bracket{From: q.Onset, To: q.Offset, Text: fmt.Sprint(i + 1)})
	}
	return o
}

// View draws the screen; it changes nothing.
func (m *Model) View() string {
	l := m.env.Look
	if m.phase == failed {
		return screen.Page(l, m.cols, m.rows, []string{l.Title.Render("Early beats by count"), "", m.cut("This strip cannot be shown: " + m.trouble.Error())}, m.ShortHelp())
	}
	per := m.strips() * m.seconds()
	head := fmt.Sprintf("Early beats by count   %s   seconds %d to %d of %d", m.stage.Header(), m.page*per, min((m.page+1)*per, ectopics.Seconds), ectopics.Seconds)
	right := fmt.Sprintf("minute %d", m.count)
	if m.env.Notice != "" {
		right = m.env.Notice
	}
	right = ansi.Truncate(right, max(m.cols-ansi.StringWidth(head)-1, 0), "…")
	gap := max(m.cols-ansi.StringWidth(head)-ansi.StringWidth(right), 0)
	lines := []string{l.Title.Render(m.cut(head)) + strings.Repeat(" ", gap) + l.Faint.Render(right)}
	lines = append(lines, m.drawn...)
	lines = append(lines, l.Body.Render(m.cut(m.patient+" "+look.PatientFirst)))
	switch m.phase {
	case marked:
		said := m.said()
		lines = append(lines, said[m.from:min(m.from+m.room(), len(said))]...)
	case unsaved:
		lines = append(lines, l.Miss.Render("Your answers are not kept yet."), l.Body.Render(m.cut(m.trouble.Error())),
			l.Body.Render(m.cut("Press r to try again. Leaving now loses these answers.")))
	case saving:
		lines = append(lines, l.Title.Render("Keeping your answers ..."))
	default:
		lines = append(lines, l.Faint.Render(m.cut(m.valuesInWords())))
		lines = append(lines, m.form()...)
	}
	return screen.Page(l, m.cols, m.rows, lines, m.ShortHelp())
}

// valuesInWords says when early beats are told.
func (m *Model) valuesInWords() string {
	n, c := m.values.Notify, m.values.Call
	s := fmt.Sprintf("Tell the team from %d a minute, %d shapes, %d %s; call now: run of %d", n.Count, n.Shapes, n.Pairs, plural(n.Pairs, "pair"), c.Run)
	if c.OnT {
		s += ", on the T"
	}
	return s + "."
}

func plural(n int, what string) string {
	if n == 1 {
		return what
	}
	return what + "s"
}

var asks = map[ectopics.Quantity]string{
	ectopics.Number:   "Early ventricular beats",
	ectopics.Shapes:   "Shapes they have",
	ectopics.Pairs:    "Pairs (two in a row)",
	ectopics.Run:      "Longest run, beats",
	ectopics.OnT:      "One on the T wave?",
	ectopics.Decision: "What do you do?",
}

var answers = map[string]string{
	ectopics.No: "no", ectopics.Yes: "yes", ectopics.Chart: "chart", ectopics.Notify: "tell the team", ectopics.Call: "call now",
}

// form is the lines to be filled in.
func (m *Model) form() []string {
	l := m.env.Look
	var out []string
	for i, q := range ectopics.Quantities {
		value := m.typed[i]
		if among := ectopics.Choices(q); among != nil {
			var parts []string
			for k, a := range among {
				parts = append(parts, fmt.Sprintf("%s%d %s", l.Mark(a == value), k+1, answers[a]))
			}
			value = strings.Join(parts, "  ")
		} else if i == m.field {
			value += "_"
		}
		style := l.Choice
		if i == m.field {
			style = l.Chosen
		}
		out = append(out, style.Render(m.cut(fmt.Sprintf("%s%-25s %s", l.Mark(i == m.field), asks[q], value))))
	}
	return out
}

// room is how many lines there are for what is said after it.
func (m *Model) room() int { return max(m.rows-len(m.drawn)-3, 1) }

// said is how the lines were marked, and why.
func (m *Model) said() []string {
	if len(m.pending) == 0 {
		return nil
	}
	l := m.env.Look
	var out []string
	for i, a := range m.pending {
		q := ectopics.Quantities[i]
		word := func(s string) string {
			if w, ok := answers[s]; ok {
				return w
			}
			return s
		}
		_, right, _ := strings.Cut(a.Right[0], " ")
		line := fmt.Sprintf("%-25s %-18s ", asks[q], word(m.typed[i]))
		switch {
		case a.Correct && right != m.typed[i]:
			out = append(out, l.Right.Render(m.cut(line+"right: "+word(right)+" by the marks")))
		case a.Correct:
			out = append(out, l.Right.Render(m.cut(line+"right")))
		default:
			out = append(out, l.Wrong.Render(m.cut(line+"not so: "+word(right))))
		}
	}
	what, why := m.values.Decide(m.seen)
	last := m.pending[len(m.pending)-1]
	text := "None of the values is reached: the count is charted."
	if len(why) > 0 {
		text = "Reached: " + strings.Join(why, ", ") + ". So: " + answers[what] + "."
	}
	switch said := m.typed[len(m.typed)-1]; {
	case last.Correct:
	case overcalled(said, what):
		text += " More than the values ask for: on the safe side."
	default:
		out = append(out, m.wrapped(l.Miss.Render, "Unsafe because what should have been told was not.")...)
	}
	if len(m.seen.Early) == 0 && m.seen.Beats > 0 {
		text += " No beat here comes from the ventricles: early beats with a P before them, or the patient's own QRS, come from above."
	}
	out = append(out, m.wrapped(l.Body.Render, text)...)
	return append(out, m.wrapped(l.Faint.Render, "The values are your educator's, not an order for a patient. "+look.Caution)...)
}

func (m *Model) wrapped(style func(string) string, s string) []string {
	var out []string
	for _, line := range strings.Split(ansi.Wordwrap(s, max(min(m.cols, 110), 1), ""), "\n") {
		out = append(out, style(line))
	}
	return out
}

// cut shortens a line to the window.
func (m *Model) cut(s string) string { return ansi.Truncate(s, m.cols, "…") }
