// Package missed works out which strips a learner should look at again. It is a
// pure function of the answers, so it is the same on every machine that has them.
//
// The rule. An answer that did not count as right puts its strip in the log, once
// for each of the two questions, what it shows and what is done first. It leaves after
//
//   - one right replay: the same strip, in mode replay, after the miss; and
//   - two right answers on fresh strips, after the miss: strips this learner had
//     not been asked about before, of the same subject (for the first action also
//     the same state of the patient), with the answer given in error among the
//     choices, and not among the right ones;
//   - on at least two calendar days, counting both kinds.
//
// Answering the strip wrongly again starts this anew, also after it has left.
package missed

import (
	"cmp"
	"slices"
	"time"

	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
)

// What is needed to leave the log.
const (
	FreshNeeded = 2
	DaysNeeded  = 2
)

// A Miss is a strip in the log.
type Miss struct {
	Strip    string // text form of the ecg.Identity
	Subject  string // catalogue id
	State    ecg.State
	Question ledger.Question
	Right    []string // the right answers

	ConfusedWith string // what was chosen at the last miss; "" when time ran out
	First, Last  time.Time
	Times        int            // how often it was missed, also before it had left the log
	Verdict      ledger.Verdict // of the last miss
	SureAndWrong bool           // the learner was sure at the last miss

	// Progress since the last miss.
	Replayed bool // answered right on the same strip
	Fresh    int  // right answers on fresh strips, at most FreshNeeded
	Days     int  // calendar days with either, at most DaysNeeded
}

// Left says what is left to do, in words that end a sentence: "one more right
// answer on a fresh strip, on another day".
func (m Miss) Left() string {
	fresh := max(0, FreshNeeded-m.Fresh)
	what := ""
	switch {
	case fresh == 1:
		what = "one more right answer on a fresh strip"
	case fresh == 2:
		what = "two right answers on fresh strips"
	}
	answers := fresh
	if !m.Replayed {
		answers++
		same := "one right answer on this same strip"
		if what != "" {
			same += " and "
		}
		what = same + what
	}
	switch {
	case m.Days >= DaysNeeded:
		return what
	case answers == 0:
		return "one more right answer, on another day"
	case m.Days == 0:
		return what + ", on at least two days"
	case answers == 1:
		return what + ", on another day"
	default:
		return what + ", at least one of them on another day"
	}
}

// List returns the misses still in the log, the last missed first, from the
// answers of one learner. The answers may come in any order and more than once.
// Calendar days are those of loc (nil: UTC).
func List(history []ledger.Answer, loc *time.Location) []Miss {
	if loc == nil {
		loc = time.UTC
	}
	ordered := slices.Clone(history)
	slices.SortFunc(ordered, ledger.Compare)
	ordered = slices.CompactFunc(ordered, func(a, b ledger.Answer) bool { return a.ID == b.ID })

	log := map[key]*entry{}
	bySubject := map[topic][]*entry{}
	asked := map[key]bool{}
	for _, a := range ordered {
		if a.Question != ledger.Rhythm && a.Question != ledger.FirstAction {
			continue
		}
		k, t, day := key{a.Strip, a.Question}, topicOf(a), dayOf(a.At, loc)
		fresh := !asked[k]
		asked[k] = true
		switch {
		case !a.Correct:
			e := log[k]
			if e == nil {
				e = &entry{}
				log[k] = e
				bySubject[t] = append(bySubject[t], e)
			}
			e.miss(a)
		case fresh && a.Mode != ledger.Replay:
			for _, e := range bySubject[t] {
				if e.tests(a) {
					e.fresh(a, day)
				}
			}
		case a.Mode == ledger.Replay:
			if e := log[k]; e != nil {
				e.replay(a, day)
			}
		}
	}
	return open(log)
}

func open(log map[key]*entry) []Miss {
	var out []Miss
	for _, e := range log {
		if !e.left {
			out = append(out, e.Miss)
		}
	}
	slices.SortFunc(out, func(a, b Miss) int {
		return cmp.Or(b.Last.Compare(a.Last), cmp.Compare(a.Strip, b.Strip), cmp.Compare(a.Question, b.Question))
	})
	return out
}

// A key is what can be missed: one question about one strip.
type key struct {
	strip    string
	question ledger.Question
}

// A topic is what fresh strips must share with the missed one.
type topic struct {
	subject  string
	question ledger.Question
	state    ecg.State // for the first action only: it depends on the state
}

func topicOf(a ledger.Answer) topic {
	t := topic{subject: a.Subject, question: a.Question}
	if a.Question == ledger.FirstAction {
		t.state = a.State
	}
	return t
}

// An entry is a Miss with what is needed to count.
type entry struct {
	Miss
	left     bool
	firstDay int // of a right answer since the last miss
}

func (e *entry) miss(a ledger.Answer) {
	if e.Times == 0 {
		e.First = a.At
	}
	e.Strip, e.Subject, e.State, e.Question, e.Right = a.Strip, a.Subject, a.State, a.Question, a.Right
	e.ConfusedWith, e.Verdict, e.SureAndWrong = a.Chosen, a.Verdict, a.Sure == ledger.Sure
	e.Last = a.At
	e.Times++
	e.left, e.Replayed, e.Fresh, e.Days = false, false, 0, 0
}

// tests reports whether a, on a fresh strip of the topic, puts the same confusion
// to the test. What was right but done unsafely, such as compressions on a patient
// nobody had checked, is no confusion: any right answer on the topic counts.
func (e *entry) tests(a ledger.Answer) bool {
	return e.ConfusedWith == "" || slices.Contains(e.Right, e.ConfusedWith) ||
		slices.Contains(a.Offered, e.ConfusedWith) && !slices.Contains(a.Right, e.ConfusedWith)
}

func (e *entry) fresh(a ledger.Answer, day int) {
	if e.after(a) {
		e.Fresh = min(FreshNeeded, e.Fresh+1)
		e.rightOn(day)
	}
}

func (e *entry) replay(a ledger.Answer, day int) {
	if e.after(a) {
		e.Replayed = true
		e.rightOn(day)
	}
}

// after: an answer of the same millisecond is not known to be later.
func (e *entry) after(a ledger.Answer) bool { return a.At.After(e.Last) }

func (e *entry) rightOn(day int) {
	switch {
	case e.Days == 0:
		e.firstDay, e.Days = day, 1
	case day != e.firstDay:
		e.Days = DaysNeeded // two: the first and another
	}
	e.left = e.Replayed && e.Fresh >= FreshNeeded && e.Days >= DaysNeeded
}

// dayOf numbers calendar days.
func dayOf(at time.Time, loc *time.Location) int {
	year, month, day := at.In(loc).Date()
	return (year*100+int(month))*100 + day
}
