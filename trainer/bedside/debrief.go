package bedside

import (
	"fmt"
	"strings"

	"telltrace/scenarios/play"
	marking "telltrace/scoring/bedside"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/trainer/look"
	"telltrace/trainer/sheet"
)

// write makes the lines of the debrief.
func (m *Model) write() {
	l := m.env.Look
	var out []string
	say := func(style look.Style, s string) {
		for _, line := range sheet.Wrap(s, m.cols) {
			out = append(out, style.Render(line))
		}
	}
	under := func(style look.Style, head, s string) {
		for i, line := range sheet.Wrap(s, m.cols-len(head)) {
			if i > 0 {
				head = strings.Repeat(" ", len(head))
			}
			out = append(out, style.Render(head+line))
		}
	}
	e, _ := m.play.Episode()
	say(l.Body, e.Outcome)
	say(l.Title, verdictOf(marking.Worst(m.visits)))
	for _, v := range m.visits {
		taught, _ := synth.Lesson(v.Episode.Subject())
		out = append(out, "")
		say(l.Title, fmt.Sprintf("From %s: %s, %s.", clock(v.From), taught.Name, stateWords(string(v.Episode.State))))
		under(l.Body, "  expected   ", "The patient first; then: "+orWords(v))
		under(l.Body, "  looked at  ", lookedWords(v))
		for _, p := range v.Points {
			head := fmt.Sprintf("  %5s %-9s ", clock(p.At), verdictWord(p.Verdict))
			style := l.Right
			if p.Verdict == ledger.Wrong || p.Verdict == ledger.Near {
				style = l.Wrong
			} else if p.Verdict == ledger.Critical {
				style = l.Miss
			}
			under(style, head, p.What)
			if p.Why != "" {
				under(l.Body, strings.Repeat(" ", len(head)), p.Why)
			}
		}
		under(l.Body, "  why        ", strings.TrimSpace(v.Episode.Expect.Why+" "+v.Care.Then+" "+v.Care.Caution))
		under(l.Faint, "  source     ", v.Care.Source+".")
	}
	for i, q := range m.script.Questions {
		out = append(out, "")
		say(l.Title, q.Ask)
		if i < len(m.answers) && m.answers[i] == q.Right {
			say(l.Right, "right: "+q.Right)
		} else {
			given := ""
			if i < len(m.answers) {
				given = " You said: " + m.answers[i] + "."
			}
			say(l.Wrong, "not this one: "+q.Right+"."+given)
		}
		say(l.Body, q.Why)
	}
	out = append(out, "")
	say(l.Body, m.script.Teaches)
	say(l.Caution, look.Caution)
	m.lines = out
	m.from = max(0, min(m.from, len(out)-m.room()))
	m.enable()
}

// verdictOf is the verdict on the whole, in words.
func verdictOf(v ledger.Verdict) string {
	switch v {
	case ledger.Right:
		return "As it should be: patient first, and what was needed."
	case ledger.Near:
		return "Nearly: nobody came to harm, and something can be better."
	case ledger.Wrong:
		return "Not this time: see below what was missing."
	default:
		return "Unsafe: this could have cost a life."
	}
}

func verdictWord(v ledger.Verdict) string {
	switch v {
	case ledger.Wrong:
		return "not this"
	case ledger.Critical:
		return "! unsafe"
	default:
		return string(v)
	}
}

func stateWords(s string) string { return strings.ReplaceAll(s, "-", " ") }

// orWords are the right actions.
func orWords(v marking.Visit) string {
	var words []string
	for _, a := range v.Right {
		words = append(words, strings.ToLower(a.Words()[:1])+a.Words()[1:])
	}
	return strings.Join(words, "; or: ") + "."
}

// lookedWords are the looks in their order.
func lookedWords(v marking.Visit) string {
	var words []string
	for _, e := range v.Looked {
		switch e.Kind {
		case play.Looks:
			words = append(words, fmt.Sprintf("%s (%s)", stateWords(string(e.Look)), clock(e.At)))
		case play.Breaks:
			words = append(words, "broken off")
		}
	}
	if len(words) == 0 {
		return "nothing"
	}
	return strings.Join(words, ", ")
}
