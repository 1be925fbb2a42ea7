package practise

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"telltrace/scenarios"
	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/look"
	"telltrace/trainer/stage"
	"telltrace/trainer/telling"
)

// An explanation is what stands on the page after the answers: the held strip with
// its marks, after a wrong name the strip of what was chosen below it at the same
// scale, and why.
type explanation struct {
	marks   ecg.Marks
	other   *stage.Stage // of the chosen entry, or of the other of a pair; nil for none
	otherM  ecg.Marks
	pair    [2]string           // what the two strips show
	apart   *telling.Difference // what tells the two apart as they are drawn
	caption [2]string
	text    []string // paragraphs
	from    int      // first line shown
	lines   int      // lines there are
	room    int      // lines that fit
}

// otherShown is how much of the chosen entry's strip has run when it is held, s.
const otherShown = 14

// explainRound works the explanation out, once per round.
func (m *Model) explainRound() explanation {
	r := m.round
	truth, _ := synth.Lesson(r.Subject)
	e := explanation{marks: r.Truth(m.stage)}
	e.caption[0] = ThisIs(truth)
	if m.state() == ecg.NoSignsOfLife {
		e.caption[0] += ", in a patient without signs of life"
	}
	switch {
	case m.named.chosen != r.Subject && m.named.chosen != scoring.NotSure:
		e.beneath(m, m.named.chosen, YouSaid)
	case r.Beside != "":
		e.beneath(m, r.Beside, beside)
	}
	e.text = m.paragraphs(truth)
	e.follow(m.stage)
	return e
}

// ThisIs names what a strip shows, for the line above it.
func ThisIs(l lesson.Lesson) string {
	if l.Plural {
		return "These are " + l.Name
	}
	return "This is " + l.Name
}

// YouSaid names what was chosen, for the line above its strip.
func YouSaid(l lesson.Lesson) string {
	looks := "looks"
	if l.Plural {
		looks = "look"
	}
	return "You said " + l.Name + ", which " + looks + " like this"
}

// beside names the other of a pair, for the line above its strip.
func beside(l lesson.Lesson) string {
	looks := "looks"
	if l.Plural {
		looks = "look"
	}
	return "Beside it: " + l.Name + ", which " + looks + " like this"
}

// beneath prepares the strip of another entry, for the same patient.
func (e *explanation) beneath(m *Model, id string, caption func(lesson.Lesson) string) {
	p, ok := Said(id, m.round.Age, m.round.Strip.Seed, e.marks)
	if !ok {
		return
	}
	named, _ := synth.Lesson(id)
	e.pair = [2]string{m.round.Subject, id}
	e.other = stage.New(m.env.Look, p, otherShown)
	e.other.Advance(m.now)
	e.otherM = p.Marks(0, otherShown)
	e.caption[1] = caption(named)
}

// follow shows the chosen entry's strip in the lead and at the scale of the first.
func (e *explanation) follow(s *stage.Stage) {
	if e.other != nil {
		e.other.SetScale(s.Scale())
		e.other.ShowLead(s.Lead())
		e.apart = Tell(s, e.other, e.marks, e.otherM, e.pair)
	}
}

// paragraphs are the words, the most important first.
func (m *Model) paragraphs(truth lesson.Lesson) []string {
	r := m.round
	care := truth.Care(r.Age, m.state())
	var p []string
	for _, g := range []given{m.named, m.acted} {
		if g.mark.Unsafe != "" {
			p = append(p, g.mark.Unsafe)
		}
	}
	for _, g := range []given{m.named, m.acted} {
		if g.mark.Note != "" {
			p = append(p, g.mark.Note)
		}
	}
	other := m.named.chosen
	if other == truth.ID || other == scoring.NotSure {
		other = r.Beside
	}
	if named, ok := synth.Lesson(other); ok && named.ID != truth.ID {
		if a, ok := truth.LookAlike(named.ID); ok {
			apart := "What tells them apart: " + a.Difference
			if m.state() != ecg.NoSignsOfLife { // then the state has decided
				apart += " At the bedside: " + a.Bedside
			}
			p = append(p, apart)
		} else {
			p = append(p, "What tells it: "+strings.TrimPrefix(truth.LookFor[len(truth.LookFor)-1], "Special: "))
		}
	}
	p = append(p, m.readingWas()...)
	p = append(p, m.firstAction(care)+" Then: "+care.Then, care.Caution)
	if r.Bedside != nil {
		p = append(p, m.bedsideWas(*r.Bedside))
	}
	p = append(p, "Read in order: "+r.readInOrder(m.stage))
	p = append(p, "To look for: "+strings.Join(truth.LookFor, " "))
	p = append(p, look.Caution)
	return p
}

// firstAction says what comes first, and what was said when that is something else.
func (m *Model) firstAction(care lesson.Care) string {
	right := m.acted.mark.Right
	if !m.acted.asked || len(right) == 0 {
		return "First: " + care.First.Words() + "."
	}
	said := lesson.Action(m.acted.chosen).Words()
	switch {
	case m.acted.mark.Verdict == ledger.Right:
		return "First: " + said + ". That is right here."
	case slices.Contains(right, m.acted.chosen):
		return "First: " + look.PatientFirst + " Only then: " + said + ", as you said."
	}
	return fmt.Sprintf("First: %s. You said: %s.", lesson.Action(right[0]).Words(), said)
}

// bedsideWas says what there was to see, looked at or not, and in which order it
// was looked at.
func (m *Model) bedsideWas(b scenarios.Bedside) string {
	s := "At the bedside: " + b.Child + " " + b.Pulse + " " + b.Electrodes
	looked := m.looked()
	if len(looked) == 0 {
		return s + " You looked at nothing before answering."
	}
	for i, what := range looked {
		if what == ledger.LookChild { // as it is kept; the patient may be of any age
			what = "patient"
		}
		looked[i] = "the " + what
	}
	return s + " You looked at " + strings.Join(looked, ", then ") + "."
}

// layout shares the window between the strips and the words.
func (e *explanation) layout(m *Model) {
	const words, chrome = 6, 3 // at least so many lines of words; title, verdict and keys
	strips := 1
	if e.other != nil {
		strips = 2
	}
	strip := min((m.rows-chrome-words-strips)/strips, bestStrip-4)
	if strip%2 == 1 {
		strip--
	}
	m.stage.Resize(m.cols, strip, 0)
	if e.other != nil {
		e.other.Resize(m.cols, strip, 0)
		e.apart = Tell(m.stage, e.other, e.marks, e.otherM, e.pair)
	}
	e.lines = len(e.wrapped(m))
	e.room = max(m.rows-chrome-strips*(strip+1), 0)
	e.from = min(e.from, max(e.lines-e.room, 0))
}

func (e *explanation) wrapped(m *Model) []string {
	width := min(m.cols, 110)
	var out []string
	for _, p := range e.text {
		out = append(out, strings.Split(ansi.Wordwrap(p, width, ""), "\n")...)
	}
	return out
}

func (e *explanation) scroll(down bool) {
	if down {
		e.from = min(e.from+1, max(e.lines-e.room, 0))
	} else {
		e.from = max(e.from-1, 0)
	}
}

// view is the page without the hint line.
func (e *explanation) view(m *Model) []string {
	l := m.env.Look
	second := m.verdict()
	if measured := m.calipers.Words(); measured != "" {
		second = l.Body.Render(m.cut(measured))
	}
	lines := []string{m.title(), second}
	lines = append(lines, l.Title.Render(m.cut(Caption(e.caption[0], e.apart, 0))))
	lines = append(lines, Marked(m.stage, e.marks, e.apart, 0)...)
	if e.other != nil {
		lines = append(lines, l.Title.Render(m.cut(Caption(e.caption[1], e.apart, 1))))
		lines = append(lines, Marked(e.other, e.otherM, e.apart, 1)...)
	}
	words := e.wrapped(m)
	for i := e.from; i < min(e.from+e.room, len(words)); i++ {
		style := l.Body
		if strings.HasPrefix(words[i], "Unsafe because") {
			style = l.Miss
		}
		lines = append(lines, style.Render(words[i]))
	}
	return lines
}

// verdict says how the answers were marked, in words first.
func (m *Model) verdict() string {
	l := m.env.Look
	word := func(g given, what string) string {
		if g.chosen == "" {
			return l.Wrong.Render(what + ": no answer.")
		}
		switch g.mark.Verdict {
		case ledger.Right:
			return l.Right.Render(what + ": right.")
		case ledger.Near:
			if g.mark.Correct {
				return l.Right.Render(what + ": near enough.")
			}
			return l.Wrong.Render(what + ": near, not it.")
		case ledger.Critical:
			return l.Miss.Render(what + ": unsafe.")
		default:
			return l.Wrong.Render(what + ": not this one.")
		}
	}
	s := word(m.named, "The name")
	if m.acted.asked {
		s += "  " + word(m.acted, "The first action")
	}
	return s
}
