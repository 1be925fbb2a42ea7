// Package scenarios puts a strip at a bedside: whose it is, in which state, what
// looking at the child, the pulse and the electrodes shows, and which answers are
// offered. It knows no screen and no score. Everything follows from the strip's
// identity or from a seed, so a bedside can be shown again exactly as it was.
//
// The patients are invented. For training only.
package scenarios

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// An Exercise is one strip with the answers offered for it.
type Exercise struct {
	Strip   ecg.Identity
	Choices []string        // catalogue ids, in the order shown; "not sure" is the screen's to add
	Actions []lesson.Action // first actions, most pressing first
}

// A Wish narrows what Draw draws. The zero Wish draws from everything.
type Wish struct {
	Subjects []string // catalogue ids the strip may be about; empty for all
	With     string   // catalogue id that must be among the choices; "" for none
	Age      *ecg.Age // nil for any age
}

// choices is how many entries are offered.
const choices = 4

// ages are those of the invented ward, children first and most.
var ages = []ecg.Age{
	ecg.Days(3), ecg.Days(10), ecg.Days(21), ecg.Months(2), ecg.Months(4), ecg.Months(8), ecg.Months(14),
	ecg.Years(2), ecg.Years(3), ecg.Years(5), ecg.Years(6), ecg.Years(8), ecg.Years(10), ecg.Years(13),
	ecg.Years(15), ecg.Years(19), ecg.Years(44), ecg.Years(71),
}

// Draw draws an exercise: first a set of look-alikes, then four of them, then the
// truth among the four, then age, state and seed.
func Draw(w Wish, rng *rand.Rand) (Exercise, error) {
	for _, id := range append(slices.Clone(w.Subjects), w.With) {
		if id == "" {
			continue
		}
		if _, err := synth.FindLesson(id); err != nil {
			return Exercise{}, err
		}
	}
	offered, subject := w.draw(rng)
	return Compose(subject, offered, ecg.Plain, w.Age, rng)
}

// Compose makes an exercise of what it is to be about and the choices offered: age (one
// at which the entry occurs, nil for any), state and seed are drawn.
func Compose(subject string, offered []string, severity ecg.Severity, at *ecg.Age, rng *rand.Rand) (Exercise, error) {
	taught, err := synth.FindLesson(subject)
	if err != nil {
		return Exercise{}, err
	}
	age := ages[rng.IntN(len(ages))]
	if at != nil {
		age = *at
	} else {
		for !synth.OccursAt(subject, age) {
			age = ages[rng.IntN(len(ages))]
		}
	}
	// Seeds stay short enough to be typed.
	id := Showing(subject, age, rng.Uint64N(1_000_000))
	if id.Artifact != "" && id.Rhythm == "sinus-rhythm" && rng.IntN(4) == 0 {
		id.Rhythm = "sinus-tachycardia"
	}
	id.Severity = severity
	id.State = drawState(taught.States, rng)
	return Exercise{Strip: id, Choices: offered, Actions: actions(offered, id, rng)}, nil
}

// For is the exercise of a given strip with the choices that were offered before.
func For(id ecg.Identity, offered []string, acts []lesson.Action) Exercise {
	return Exercise{Strip: id, Choices: offered, Actions: acts}
}

// draw picks the choices and the subject. A centre is drawn, then the set around
// it: the centre, what it is taken for, and what that is taken for. The truth is
// drawn from the set last, each with the same chance, so the choices do not give it
// away.
func (w Wish) draw(rng *rand.Rand) (offered []string, subject string) {
	set := neighbours(w.centre(rng), rng)
	if w.With != "" && !slices.Contains(set, w.With) {
		set[len(set)-1] = w.With // the centre is first and stays
	}
	rng.Shuffle(len(set), func(i, j int) { set[i], set[j] = set[j], set[i] })
	may := slices.DeleteFunc(slices.Clone(set), func(id string) bool { return !w.wanted(id) })
	return set, may[rng.IntN(len(may))]
}

// usualUrgency is that of an entry in the state it is usually met in.
func usualUrgency(id string) lesson.Urgency {
	l, _ := synth.Lesson(id)
	return l.Care(ecg.Years(6), l.States[0]).Urgency
}

// centre draws the entry whose look-alikes are offered.
func (w Wish) centre(rng *rand.Rand) string {
	var ids []string
	for _, l := range synth.Lessons() {
		if w.wanted(l.ID) {
			ids = append(ids, l.ID)
		}
	}
	return ids[rng.IntN(len(ids))]
}

// neighbours is an entry, one that usually needs nothing done (what looks like an
// alarm is most often that), and what the first is confused with, then what those
// are confused with, in an order drawn from rng. So about three strips in ten need
// nothing and one in three is urgent.
func neighbours(centre string, rng *rand.Rand) []string {
	set := []string{centre}
	add := func(id string) {
		if len(set) < choices && !slices.Contains(set, id) {
			set = append(set, id)
		}
	}
	for at := 0; len(set) < choices; at++ {
		l, _ := synth.Lesson(set[at])
		calm := calmOf(l)
		add(calm[rng.IntN(len(calm))])
		for _, k := range rng.Perm(len(l.LookAlikes)) {
			add(l.LookAlikes[k].ID)
		}
	}
	return set
}

// calmOf are the entries that usually need nothing done: those an entry is confused
// with, or, where there are none, all of them.
func calmOf(l lesson.Lesson) []string {
	calm := func(id string) bool { return id != l.ID && usualUrgency(id) == lesson.Routine }
	var out []string
	for _, a := range l.LookAlikes {
		if calm(a.ID) {
			out = append(out, a.ID)
		}
	}
	if len(out) > 0 {
		return out
	}
	for _, other := range synth.Lessons() {
		if calm(other.ID) {
			out = append(out, other.ID)
		}
	}
	return out
}

// wanted reports whether a strip may be about an entry.
func (w Wish) wanted(id string) bool {
	return len(w.Subjects) == 0 || slices.Contains(w.Subjects, id)
}

// Showing is a plain strip about an entry, an artifact over the rhythm it is usually
// met with: sinus rhythm, so that looking for the complexes underneath pays, but
// under compressions an arrest.
func Showing(subject string, age ecg.Age, seed uint64) ecg.Identity {
	id := ecg.Synthetic(subject, age, seed)
	l, _ := synth.Lesson(subject)
	if len(l.States) > 0 {
		id.State = l.States[0]
	}
	if l.Family == lesson.Artifact {
		id.Rhythm, id.Artifact = "sinus-rhythm", subject
		if id.State == ecg.NoSignsOfLife {
			id.Rhythm = "coarse-ventricular-fibrillation"
		}
	}
	return id
}

// drawState draws a state; the first, the usual one, five times in six.
func drawState(states []ecg.State, rng *rand.Rand) ecg.State {
	if len(states) == 0 {
		return ecg.Stable
	}
	if len(states) == 1 || rng.IntN(6) > 0 {
		return states[0]
	}
	return states[1+rng.IntN(len(states)-1)]
}

// actionsOffered is how many first actions are offered, "look and call" among them.
const actionsOffered = 5

// actions picks the first actions to offer: those that the choices, the true one
// among them, lead to in one state or another, so that what is offered does not
// tell which choice is true.
func actions(offered []string, id ecg.Identity, rng *rand.Rand) []lesson.Action {
	truth, _ := synth.Lesson(id.Subject())
	keep := []lesson.Action{truth.Care(id.Age, id.State).First, lesson.LookCall}
	var more []lesson.Action
	for _, other := range offered {
		l, _ := synth.Lesson(other)
		for _, s := range l.States {
			more = append(more, l.Care(id.Age, s).First)
		}
	}
	more = append(more, lesson.Silence, lesson.Chart, lesson.CallStay, lesson.Compress)
	rng.Shuffle(len(more), func(i, j int) { more[i], more[j] = more[j], more[i] })
	for _, a := range more {
		if len(keep) == actionsOffered {
			break
		}
		if !slices.Contains(keep, a) {
			keep = append(keep, a)
		}
	}
	order := lesson.Actions()
	slices.SortFunc(keep, func(a, b lesson.Action) int { return slices.Index(order, a) - slices.Index(order, b) })
	return slices.Compact(keep)
}

// Check reports what is wrong with an exercise, for those read from elsewhere.
func (e Exercise) Check() error {
	if err := synth.Check(e.Strip); err != nil {
		return err
	}
	if !slices.Contains(e.Choices, e.Strip.Subject()) {
		return fmt.Errorf("exercise on %s: the choices %v lack the truth", e.Strip, e.Choices)
	}
	return nil
}
