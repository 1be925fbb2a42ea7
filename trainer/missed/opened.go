package missed

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/look"
	"telltrace/trainer/paper"
	"telltrace/trainer/practise"
	"telltrace/trainer/stage"
	"telltrace/trainer/telling"
)

// An opened entry is its strip, held and marked, with the strip of what was said
// below it, and words.
type opened struct {
	entry   entry
	beside  string       // the rhythm below: what was said, or one that was asked for
	main    *stage.Stage // nil when it cannot be shown
	other   *stage.Stage // nil when nothing else was named
	marks   ecg.Marks
	otherM  ecg.Marks
	apart   *telling.Difference // what tells the two apart as they are drawn
	trouble error
	scaled  bool // the learner chose the scale
	text    []string
	words   []string // text, wrapped
	from    int      // first line of words shown
	room    int      // lines that fit
}

// opens prepares an entry.
func (m *Model) opens(e entry) *opened {
	o := &opened{entry: e, beside: e.confused()}
	round, err := e.again(m.recording)
	if err != nil {
		o.trouble = err
	} else {
		o.main, o.marks = held(m.env.Look, round)
		o.trouble = o.main.Err()
	}
	o.set(m)
	o.retell(m, e)
	return o
}

// set puts the strip of the rhythm beside below, for the same patient.
func (o *opened) set(m *Model) {
	o.other = nil
	if o.main == nil || o.entry.id.Recording != "" {
		return
	}
	if p, ok := practise.Said(o.beside, o.entry.id.Age, o.entry.id.Seed, o.marks); ok {
		o.other, o.otherM = held(m.env.Look, practise.Round{Feed: p, Start: shownOfOther, Marks: p.Marks, Evidence: p.EvidenceAt})
		o.other.ShowLead(o.main.Lead())
	}
}

// shownOfOther is how much of the strip below has run when it is held, s: the page is full.
const shownOfOther = 12

// setBeside sets another rhythm beside the strip.
func (o *opened) setBeside(m *Model, id string) {
	o.beside = id
	o.set(m)
	o.retell(m, o.entry)
}

// held plays a round to where practice would show it first, and on until the telling
// evidence is on the page, and holds it there. Marks are the truth, or what can be
// read from the samples of a recording.
func held(l *look.Look, r practise.Round) (*stage.Stage, ecg.Marks) {
	s := stage.New(l, r.Feed, r.Start)
	practise.Hold(s, r)
	return s, r.Truth(s)
}

// retell writes the words anew: what is left to do may have changed.
func (o *opened) retell(m *Model, e entry) {
	o.entry = e
	o.text = nil
	add := func(format string, args ...any) { o.text = append(o.text, fmt.Sprintf(format, args...)) }
	if o.trouble != nil {
		add("This strip cannot be shown: %v.", o.trouble)
	}
	if o.beside != e.confused() && o.other == nil {
		add("%s does not occur in this patient.", capital(name(o.beside)))
	}
	truth, known := synth.Lesson(e.Subject)
	said := e.said()
	if e.SureAndWrong {
		said += " You were sure of it."
	}
	if e.Question == ledger.FirstAction {
		rights := make([]string, len(e.Right))
		for i, r := range e.Right {
			rights[i] = lesson.Action(r).Words()
		}
		if slices.Contains(e.Right, e.ConfusedWith) {
			add("%s It was needed, but nobody had checked the patient. %s", said, look.PatientFirst)
		} else {
			add("%s Right was: %s.", said, strings.Join(rights, ", or: "))
		}
	} else {
		add("%s It was: %s.", said, name(e.Subject))
	}
	if a, ok := truth.LookAlike(o.beside); ok {
		apart := "What tells them apart: " + a.Difference
		if e.State != ecg.NoSignsOfLife { // then the state has decided
			apart += " At the bedside: " + a.Bedside
		}
		add("%s", apart)
	}
	add("%s", e.left())
	if known {
		if e.Question == ledger.FirstAction && e.trouble == nil && e.id.Recording == "" {
			care := truth.Care(e.id.Age, e.State)
			add("Then: %s %s", care.Then, care.Caution)
		}
		add("To look for: %s", strings.Join(truth.LookFor, " "))
		add("First at the bedside: %s", truth.LookFirst)
	} else {
		add("The catalogue of this program has no %q.", e.Subject)
	}
	add("%s", look.Caution)
	o.layout(m)
}

// layout shares the window between the strips and the words. Two strips need a
// window that has six rows for each.
func (o *opened) layout(m *Model) {
	const words, chrome, least = 6, 2, 6 // lines of words at least; title and keys
	strip, strips := 0, 0
	if o.main != nil {
		strips = 1
		if o.other != nil {
			strips = 2
		}
		strip = (m.rows-chrome-words)/strips - 1
		if strip < least && strips == 2 {
			strips, strip = 1, m.rows-chrome-words-1
		}
		strip = min(strip, 16) &^ 1 // even: the middle line lies on a box line
		if !o.scaled {
			o.main.SetScale(practise.ScaleFor(o.entry.names, o.entry.id.Age, m.cols, strip))
		}
		o.main.Resize(m.cols, strip, 0)
		if o.other != nil {
			under := strip
			if strips == 1 {
				under = 0
			}
			o.other.SetScale(o.main.Scale())
			o.other.Resize(m.cols, under, 0)
			o.tell()
		}
	}
	o.words = nil
	for _, p := range o.text {
		o.words = append(o.words, m.wrap(p)...)
	}
	o.room = max(m.rows-chrome-strips*(strip+1), 0)
	o.from = max(min(o.from, len(o.words)-o.room), 0)
}

// tell finds what tells the two strips apart.
func (o *opened) tell() {
	o.apart = practise.Tell(o.main, o.other, o.marks, o.otherM, [2]string{o.entry.Subject, o.beside})
}

// long reports whether there are more words than fit.
func (o *opened) long() bool { return len(o.words) > o.room }

// twoShown reports whether the second strip has room.
func (o *opened) twoShown() bool { return o.other != nil && o.other.View().Rows > 0 }

func (m *Model) pressOpen(msg tea.KeyMsg) {
	k, o := m.keys, m.open
	switch {
	case key.Matches(msg, k.back):
		m.phase, m.open = listing, nil
	case key.Matches(msg, k.beside):
		m.phase, m.choices = besides, besideOf(o.entry.Subject)
	case key.Matches(msg, k.lead):
		o.main.NextLead()
		if o.other != nil {
			o.other.ShowLead(o.main.Lead())
			o.tell()
		}
	case key.Matches(msg, k.scale):
		o.scaled = true
		o.main.SetScale(paper.Base + paper.Double - o.main.Scale())
	case key.Matches(msg, k.pan):
		share := 0.25
		if msg.String() == "right" {
			share = -share
		}
		o.main.Pan(share)
		if o.other != nil {
			o.other.Pan(share)
		}
	case key.Matches(msg, k.scroll):
		if msg.String() == "down" {
			o.from++
		} else {
			o.from--
		}
	}
}

// view is the page without the hint line.
func (o *opened) view(m *Model) []string {
	l := m.env.Look
	head := "A missed answer"
	if o.main != nil {
		head += "   " + paper.HeaderText(o.main.Lead(), o.main.View())
	}
	lines := []string{m.title(head, "missed "+dayWord(o.entry.Last, m.env.Now(), m.env.Location))}
	if o.main != nil {
		lines = append(lines, l.Title.Render(m.cut(practise.Caption(o.captions(0), o.apart, 0))))
		lines = append(lines, practise.Marked(o.main, o.marks, o.apart, 0)...)
	}
	if o.main != nil && o.twoShown() {
		lines = append(lines, l.Title.Render(m.cut(practise.Caption(o.captions(1), o.apart, 1))))
		lines = append(lines, practise.Marked(o.other, o.otherM, o.apart, 1)...)
	}
	for _, w := range o.words[min(o.from, len(o.words)):min(o.from+o.room, len(o.words))] {
		lines = append(lines, l.Body.Render(w))
	}
	return lines
}

// captions stand above the strips.
func (o *opened) captions(i int) string {
	if i == 0 {
		return practise.ThisIs(taught(o.entry.Subject)) + ", " + o.entry.age()
	}
	if o.beside != o.entry.confused() {
		return "Beside it: " + name(o.beside)
	}
	return practise.YouSaid(taught(o.beside))
}
