package missed

import (
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"telltrace/scenarios"
	"telltrace/scoring"
	"telltrace/scoring/ledger"
	scored "telltrace/scoring/missed"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/practise"
)

// An entry is one missed answer with what is needed to ask it again.
type entry struct {
	scored.Miss
	id      ecg.Identity
	trouble error    // the identity cannot be read
	names   []string // the names that were offered, ids
	actions []string // the first actions that were offered
}

// entriesOf works out what is missed, the last missed first.
func entriesOf(history []ledger.Answer, loc *time.Location) []entry {
	var out []entry
	for _, miss := range scored.List(history, loc) {
		e := entry{Miss: miss}
		e.id, e.trouble = ecg.ParseIdentity(miss.Strip)
		e.offered(history)
		out = append(out, e)
	}
	return out
}

// offered finds the choices of the showing in which the strip was last missed; a
// question that was not asked then takes those of another showing.
func (e *entry) offered(history []ledger.Answer) {
	last := ""
	for _, a := range history {
		if a.Strip == e.Strip && a.Question == e.Question && !a.Correct && !a.At.Before(e.Last) {
			last = a.Presentation
		}
	}
	for _, a := range history {
		if a.Strip != e.Strip {
			continue
		}
		to := &e.names
		if a.Question == ledger.FirstAction {
			to = &e.actions
		}
		if len(*to) == 0 || a.Presentation == last {
			*to = a.Offered
		}
	}
	// "Not sure" is the practise screen's to add.
	e.names = slices.DeleteFunc(slices.Clone(e.names), func(id string) bool { return id == scoring.NotSure })
}

// teachable reports whether the catalogue still has what the strip is about.
func (e entry) teachable() bool {
	_, ok := synth.Lesson(e.Subject)
	return ok
}

// taught is an entry of the catalogue; one that it no longer has is called by its id.
func taught(id string) lesson.Lesson {
	l, ok := synth.Lesson(id)
	if !ok {
		l.Name = id
	}
	return l
}

// name is an entry of the catalogue as said aloud.
func name(id string) string { return taught(id).Name }

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// title is what it was.
func (e entry) title() string {
	if e.Question == ledger.FirstAction {
		return "First action in " + name(e.Subject)
	}
	return capital(name(e.Subject))
}

// age is the patient's in words, or where the strip comes from.
func (e entry) age() string {
	switch {
	case e.trouble != nil:
		return "age not known"
	case e.id.Recording != "":
		return "a recording"
	}
	return e.id.Age.Words() + " old"
}

// said is what was answered.
func (e entry) said() string {
	var s string
	switch {
	case e.ConfusedWith == "":
		s = "No answer in time."
	case e.ConfusedWith == scoring.NotSure:
		s = "You were not sure."
	case e.Question == ledger.FirstAction:
		s = "You said: " + lesson.Action(e.ConfusedWith).Words() + "."
	default:
		s = "You said: " + name(e.ConfusedWith) + "."
	}
	if e.Times > 1 {
		s += fmt.Sprintf(" Missed %d times.", e.Times)
	}
	return s
}

// confused is the catalogue entry the subject was taken for, "" where there is
// none.
func (e entry) confused() string {
	if e.Question != ledger.Rhythm || e.ConfusedWith == scoring.NotSure {
		return ""
	}
	return e.ConfusedWith
}

// left is what is left to do.
func (e entry) left() string { return "Left to do: " + e.Left() + "." }

// once is a plan of a single round.
func once(round func() (practise.Round, error)) practise.Plan {
	done := false
	return func() (practise.Round, error) {
		if done {
			return practise.Round{}, io.EOF
		}
		done = true
		return round()
	}
}

// again is the same strip with the choices offered then.
func (e entry) again(recording Recording) (practise.Round, error) {
	if e.trouble != nil {
		return practise.Round{}, e.trouble
	}
	names := e.names
	if !slices.Contains(names, e.Subject) {
		names = lookAlikes(e.Subject, e.confused())
	}
	if e.id.Recording != "" {
		if recording == nil {
			return practise.Round{}, fmt.Errorf("it comes from the recording %s, which cannot be played from here", e.id.Recording)
		}
		return recording(e.id, ledger.Replay, names)
	}
	actions := make([]lesson.Action, len(e.actions))
	for i, a := range e.actions {
		actions[i] = lesson.Action(a)
	}
	return practise.Synthetic("The same strip again", ledger.Replay, scenarios.For(e.id, names, actions))
}

// lookAlikes are choices for a strip whose own were not kept: the subject, what it
// was taken for, and what it is often taken for.
func lookAlikes(subject, confused string) []string {
	names := []string{subject}
	add := func(id string) {
		if id != "" && len(names) < 4 && !slices.Contains(names, id) {
			names = append(names, id)
		}
	}
	add(confused)
	l, _ := synth.Lesson(subject)
	for _, a := range l.LookAlikes {
		if _, ok := synth.Lesson(a.ID); ok {
			add(a.ID)
		}
	}
	slices.Sort(names)
	return names
}

// draws is how often a fresh strip is drawn until it puts the same confusion to the
// test. A first action needs the same state and the same wrong action on offer,
// which about one draw in ten has.
const draws = 1000

// another is a fresh strip of the same subject with the confused one among the
// choices; for a first action in the same state of the patient.
func (e entry) another(seed uint64) (practise.Round, error) {
	rng := rand.New(rand.NewPCG(seed, 0))
	wish := scenarios.Wish{Subjects: []string{e.Subject}}
	if _, known := synth.Lesson(e.confused()); known {
		wish.With = e.confused()
	}
	for range draws {
		x, err := scenarios.Draw(wish, rng)
		if err != nil {
			return practise.Round{}, err
		}
		if e.Question == ledger.Rhythm || x.Strip.State == e.State && e.tests(x) {
			return practise.Synthetic("A fresh strip", ledger.Fresh, x)
		}
	}
	return practise.Round{}, fmt.Errorf("no fresh strip of %s could be drawn that offers the same actions; try this one again instead", name(e.Subject))
}

// tests reports whether the action chosen in error is on offer and wrong there.
// One that was right but came unchecked is put to the test by the same state alone.
func (e entry) tests(x scenarios.Exercise) bool {
	if e.ConfusedWith == "" || slices.Contains(e.Right, e.ConfusedWith) {
		return true
	}
	chosen := lesson.Action(e.ConfusedWith)
	c := scoring.Case{Subject: e.Subject, Age: x.Strip.Age, State: x.Strip.State}
	mark, err := scoring.MarkFirstAction(c, chosen, synth.Lesson)
	return err == nil && slices.Contains(x.Actions, chosen) && !slices.Contains(mark.Right, e.ConfusedWith)
}
