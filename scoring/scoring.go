// Package scoring marks an answer: plain values in, plain values out. How close a
// wrong answer comes is decided by its consequences (would the same thing be done
// first for this patient?), not by textbook families.
//
// MarkRhythm marks "what does it show?", MarkFirstAction "what do you do first?".
// Answers are kept by package ledger; package missed works out what is to be
// looked at again.
//
// Training only: the rules below follow synth/lesson and its sources; local policy,
// current resuscitation guidelines and licensed practice come first.
package scoring

import (
	"fmt"
	"slices"

	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// NotSure is the choice "not sure: check the patient and call" of the naming
// question; its counterpart among the first actions is lesson.LookCall. Both are
// always offered.
const NotSure = "not-sure"

// A Lookup finds what is taught about a catalogue id.
type Lookup func(id string) (lesson.Lesson, bool)

// A Case is what stood before the learner.
type Case struct {
	Subject string // catalogue id the strip is about
	Age     ecg.Age
	State   ecg.State

	// Looked holds what was looked at in this showing, in the words of
	// ledger.Look. A name that is marked only after the second question may count
	// what was looked at in between: an over-call followed by checking the patient
	// is a minor error.
	Looked []string

	// Acted is the first action chosen in the same showing, "" when there is none
	// yet. Only MarkRhythm uses it: choosing to look at the patient counts as
	// checking.
	Acted lesson.Action

	// Unsettled says that the strip, with what shows beside it, cannot settle the
	// question.
	Unsettled bool
}

// Unsettled reports whether nothing that is drawn tells a strip from one of the other names
// offered: then "not sure: check the patient" is the right name for who has not checked.
func Unsettled(subject string, offered []string, find Lookup) bool {
	l, _ := find(subject)
	return slices.ContainsFunc(offered, func(id string) bool {
		like, ok := l.LookAlike(id)
		return ok && like.Told == lesson.AtBedside
	})
}

// Checked reports whether the child or the pulse was looked at.
func (c Case) Checked() bool {
	return slices.Contains(c.Looked, ledger.LookChild) || slices.Contains(c.Looked, ledger.LookPulse)
}

// A Mark is what an answer is worth.
type Mark struct {
	Verdict ledger.Verdict
	Correct bool     // counts as right: the verdict is Right, or the difference is one of naming only
	Right   []string // every right answer, the best first
	Unsafe  string   // one sentence "Unsafe because ...", or ""
	Note    string   // one sentence on what the verdict rests on, or ""
}

// namingOnly lists entries that are treated alike and whose difference is one of
// words: fibrillation coarse or fine, asystole or ventricular standstill.
var namingOnly = [][2]string{
	{"coarse-ventricular-fibrillation", "fine-ventricular-fibrillation"},
	{"asystole", "p-wave-asystole"},
}

func sameButForName(a, b string) bool {
	return slices.Contains(namingOnly, [2]string{a, b}) || slices.Contains(namingOnly, [2]string{b, a})
}

// pulseless reports whether pulseless electrical activity is a name for the case as
// well: complexes that should carry a pulse, and no sign of life. Fast ventricular
// rhythms are left out, as they can be shocked.
func pulseless(c Case, truth lesson.Lesson, chosen string) bool {
	if chosen != "pulseless-electrical-activity" || c.State != ecg.NoSignsOfLife {
		return false
	}
	switch truth.Family {
	case lesson.Sinus, lesson.Atrial, lesson.Junctional, lesson.Block, lesson.Paced, lesson.Shape:
		return true
	}
	return false
}

// MarkRhythm marks the name given to the strip, a catalogue id or NotSure. It
// returns an error only when the catalogue knows the subject or the chosen id not.
// The rules, the first that applies:
//
//  1. NotSure is right where the strip cannot settle it, else near.
//  2. The subject itself is right; where the strip cannot settle it, only for who
//     checked the patient, else near.
//  3. A difference of naming only is near and counts as right; so is pulseless
//     electrical activity for any complexes that should carry a pulse and do not.
//  4. An arrest called artifact or something routine is critical.
//  5. A name that would have kept nobody at the bedside, in an arrest or for a
//     rhythm that is urgent in itself, is wrong.
//  6. An over-call (more urgent than the truth) is near when the patient was
//     checked, else wrong.
//  7. The same first action for this patient, and no less urgent, is near.
//  8. All else is wrong.
//
// What a name leads to is what is taught for this patient's state when the patient
// was checked. Who has not checked acts on the name alone: then it is what the name
// means in its usual state.
func MarkRhythm(c Case, chosen string, find Lookup) (Mark, error) {
	truth, ok := find(c.Subject)
	if !ok {
		return Mark{}, fmt.Errorf("marking: the catalogue has no %q to compare with", c.Subject)
	}
	checked := c.Checked() || c.Acted == lesson.LookCall
	right := []string{c.Subject}
	if c.Unsettled {
		right = []string{NotSure}
		if checked {
			right = append(right, c.Subject)
		}
	}
	mark := func(v ledger.Verdict, note string) (Mark, error) {
		return Mark{Verdict: v, Correct: v == ledger.Right, Right: right, Note: note}, nil
	}

	if chosen == NotSure {
		if c.Unsettled {
			return mark(ledger.Right, "This strip alone cannot settle it: the patient does.")
		}
		return mark(ledger.Near, "Checking the patient is never wrong; this strip can be told.")
	}
	if chosen == c.Subject {
		if c.Unsettled && !checked {
			return mark(ledger.Near, "So it turned out, but the strip alone could not settle it: check the patient.")
		}
		return mark(ledger.Right, "")
	}
	named, ok := find(chosen)
	if !ok {
		return Mark{}, fmt.Errorf("marking: the catalogue has no %q, which was chosen", chosen)
	}
	if sameButForName(c.Subject, chosen) {
		m, err := mark(ledger.Near, "A difference of name only: what is done is the same.")
		m.Correct = true
		return m, err
	}

	if pulseless(c, truth, chosen) {
		m, err := mark(ledger.Near, "Right for this patient, who has complexes and no pulse; the strip alone shows "+truth.Name+".")
		m.Correct = true
		return m, err
	}

	truthCare, usual := truth.Care(c.Age, c.State), usualCare(named, c.Age)
	namedCare := usual
	if checked {
		namedCare = named.Care(c.Age, c.State)
	}
	wrong := func(unsafe string) (Mark, error) {
		m, err := mark(ledger.Wrong, "")
		m.Unsafe = unsafe
		return m, err
	}
	arrest := isArrest(c, truthCare)
	calm := named.Family == lesson.Artifact || usual.Urgency == lesson.Routine
	higher := rank(namedCare.Urgency) - rank(truthCare.Urgency)
	switch {
	case arrest && calm:
		m, err := wrong("Unsafe because an arrest was taken for " + named.Name + ": this patient needs compressions now.")
		m.Verdict = ledger.Critical
		return m, err
	case arrest && (rank(usual.Urgency) < rank(lesson.Urgent) || higher < 0):
		return wrong("Unsafe because " + named.Name + " would not have started compressions, and this is an arrest.")
	case calm && rank(usualCare(truth, c.Age).Urgency) >= rank(lesson.Urgent),
		higher < 0 && rank(truthCare.Urgency) >= rank(lesson.Urgent):
		return wrong("Unsafe because help would come late: this patient needs somebody called now.")
	case higher > 0 && checked:
		return mark(ledger.Near, "Called too high, but you checked the patient: a minor error, and on the safe side.")
	case higher > 0:
		return mark(ledger.Wrong, "Called too high: look at the patient first.")
	case higher == 0 && sameFirst(truthCare, namedCare):
		return mark(ledger.Near, "Another name, but the same first action for this patient.")
	}
	return mark(ledger.Wrong, "")
}

// NoAnswer marks a question whose time ran out: wrong, with what would have been right. In
// an arrest it is told why that is unsafe, but nobody did harm by an answer. It returns an
// error only when the catalogue does not know the subject, or the question has no answer
// that could be right.
func NoAnswer(c Case, q ledger.Question, find Lookup) (Mark, error) {
	var m Mark
	var err error
	switch q {
	case ledger.Rhythm:
		m, err = MarkRhythm(c, NotSure, find)
	case ledger.FirstAction:
		m, err = MarkFirstAction(c, lesson.LookCall, find)
	default:
		return Mark{}, fmt.Errorf("marking: %q is not marked here", q)
	}
	if err != nil {
		return Mark{}, err
	}
	m.Verdict, m.Correct, m.Note = ledger.Wrong, false, ""
	if truth, ok := find(c.Subject); ok && isArrest(c, truth.Care(c.Age, c.State)) {
		m.Unsafe = "Unsafe because this is an arrest, and time ran out."
	}
	return m, nil
}

// MarkFirstAction marks the first action chosen. It returns an error only when the
// catalogue does not know the subject, or the action is none. The rules, the first
// that applies:
//
//  1. LookCall is right where the lesson says so, where the strip cannot settle it
//     and where the signs disagree, else near.
//  2. Silencing an alarm, or starting compressions, on a patient who was not
//     checked is critical, also where the compressions turn out to be needed.
//  3. What the lesson teaches for this state and age is right.
//  4. An arrest that is charted, silenced, or mended at the electrodes is critical.
//  5. Compressions on a stable patient who was checked are wrong.
//  6. Silencing after checking is near where nothing needs to be done, else wrong.
//  7. An over-call is near when the patient was checked, else wrong.
//  8. All else is wrong.
func MarkFirstAction(c Case, chosen lesson.Action, find Lookup) (Mark, error) {
	truth, ok := find(c.Subject)
	if !ok {
		return Mark{}, fmt.Errorf("marking: the catalogue has no %q to compare with", c.Subject)
	}
	if _, ok := effort(chosen); !ok && chosen != lesson.LookCall && chosen != lesson.Silence {
		return Mark{}, fmt.Errorf("marking: %q is no first action", chosen)
	}
	care := truth.Care(c.Age, c.State)
	taught := rightActions(care)
	if (c.Unsettled || c.State == ecg.NotSure) && !slices.Contains(taught, lesson.LookCall) {
		taught = append(taught, lesson.LookCall)
	}
	right := make([]string, len(taught))
	for i, a := range taught {
		right[i] = string(a)
	}
	mark := func(v ledger.Verdict, unsafe, note string) (Mark, error) {
		return Mark{Verdict: v, Correct: v == ledger.Right, Right: right, Unsafe: unsafe, Note: note}, nil
	}

	arrest, isRight := isArrest(c, care), slices.Contains(taught, chosen)
	switch {
	case chosen == lesson.LookCall && isRight:
		return mark(ledger.Right, "", "")
	case chosen == lesson.LookCall:
		return mark(ledger.Near, "", "Checking the patient and calling is never wrong; here it can be said what comes first.")
	case chosen == lesson.Silence && !c.Checked():
		return mark(ledger.Critical, "Unsafe because the alarm was silenced without looking at the patient.", "")
	case chosen == lesson.Compress && !c.Checked():
		note := ""
		if isRight {
			note = "Compressions were needed here; check for signs of life first, it takes seconds."
		}
		return mark(ledger.Critical, "Unsafe because compressions were started on a patient nobody had checked.", note)
	case isRight:
		return mark(ledger.Right, "", "")
	case arrest && leavesBedside(chosen):
		return mark(ledger.Critical, "Unsafe because this is an arrest and nothing was done for the patient.", "")
	case chosen == lesson.Compress && c.State == ecg.Stable:
		return mark(ledger.Wrong, "Unsafe because this patient has a pulse and is well: compressions can only harm.", "")
	case chosen == lesson.Silence && care.Urgency == lesson.Routine:
		return mark(ledger.Near, "", "You had checked the patient; the cause of the alarm is still to be seen to.")
	}

	least, done := leastEffort(taught), 0
	if n, ok := effort(chosen); ok {
		done = n
	}
	switch {
	case done > least && c.Checked():
		return mark(ledger.Near, "", "More than was needed, after checking the patient: a minor error, and on the safe side.")
	case done > least:
		return mark(ledger.Wrong, "", "More than was needed: look at the patient first.")
	case done < least && arrest:
		return mark(ledger.Wrong, "Unsafe because this is an arrest and compressions have not begun.", "")
	case done < least && care.Urgency == lesson.Urgent:
		return mark(ledger.Wrong, "Unsafe because this patient needs help called now.", "")
	}
	return mark(ledger.Wrong, "", "")
}

// isArrest: the patient's state decides before the rhythm does.
func isArrest(c Case, care lesson.Care) bool {
	return c.State == ecg.NoSignsOfLife || care.Urgency == lesson.ArrestNow
}

// usualCare is what a name means in the state it is usually met in.
func usualCare(l lesson.Lesson, age ecg.Age) lesson.Care {
	state := ecg.Stable
	if len(l.States) > 0 {
		state = l.States[0]
	}
	return l.Care(age, state)
}

// rightActions are the actions taught, the first one first.
func rightActions(c lesson.Care) []lesson.Action {
	return append([]lesson.Action{c.First}, c.Also...)
}

// sameFirst: what is taught first for one is right for the other. That both allow
// a third action, such as looking at the patient, does not bring them together.
func sameFirst(a, b lesson.Care) bool {
	return slices.Contains(rightActions(a), b.First) || slices.Contains(rightActions(b), a.First)
}

// rank orders urgencies, calm to worst.
func rank(u lesson.Urgency) int {
	return slices.Index([]lesson.Urgency{lesson.Routine, lesson.Watch, lesson.Urgent, lesson.ArrestNow}, u)
}

// effort orders the actions by how much they set in motion. Looking and silencing
// have no place in it: they are marked by their own rules.
func effort(a lesson.Action) (int, bool) {
	switch a {
	case lesson.Chart, lesson.Reattach, lesson.Settle:
		return 0, true
	case lesson.AssessTell:
		return 1, true
	case lesson.CallStay:
		return 2, true
	case lesson.Support:
		return 3, true
	case lesson.Compress:
		return 4, true
	}
	return 0, false
}

// leastEffort is the smallest effort among the right actions. Where only looking
// and calling if in doubt is right, that is more than charting and less than
// calling.
func leastEffort(actions []lesson.Action) int {
	least, found := 1, false
	for _, a := range actions {
		if n, ok := effort(a); ok && (!found || n < least) {
			least, found = n, true
		}
	}
	return least
}

// leavesBedside: the actions of someone who takes the strip for artifact or for
// nothing.
func leavesBedside(a lesson.Action) bool {
	return a == lesson.Chart || a == lesson.Reattach || a == lesson.Settle || a == lesson.Silence
}
