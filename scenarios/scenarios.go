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

// lookAlikes is a group of entries that are taken for one another, and how often it is
// drawn. The set is drawn before the truth, so the choices do not give the truth
// away; the weights see to it that three strips in ten need nothing done.
type lookAlikes struct {
	weight  int
	entries []string
}

var sets = []lookAlikes{
	{2, []string{"sinus-rhythm", "sinus-tachycardia", "supraventricular-tachycardia", "monomorphic-ventricular-tachycardia"}},
	{2, []string{"sinus-rhythm", "sinus-bradycardia", "third-degree-av-block", "ventricular-bigeminy"}},
	{2, []string{"sinus-rhythm", "premature-ventricular-beats", "ventricular-bigeminy", "ventricular-run", "movement"}},
	{1, []string{"supraventricular-tachycardia", "monomorphic-ventricular-tachycardia", "ventricular-run", "movement"}},
	{2, []string{"coarse-ventricular-fibrillation", "fine-ventricular-fibrillation", "monomorphic-ventricular-tachycardia", "movement", "asystole"}},
	{2, []string{"asystole", "fine-ventricular-fibrillation", "disconnected-lead", "third-degree-av-block", "movement"}},
	{6, []string{"sinus-rhythm", "movement", "disconnected-lead", "premature-ventricular-beats"}},
	{4, []string{"sinus-rhythm", "sinus-bradycardia", "sinus-tachycardia", "premature-ventricular-beats"}},
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
	age := ages[rng.IntN(len(ages))]
	if w.Age != nil {
		age = *w.Age
	}
	// Seeds stay short enough to be typed.
	id := ecg.Synthetic(subject, age, rng.Uint64N(1_000_000))
	taught, _ := synth.Lesson(subject)
	if taught.Family == lesson.Artifact {
		id.Rhythm, id.Artifact = beneath(rng), subject
	}
	id.State = drawState(taught.States, rng)
	return Exercise{Strip: id, Choices: offered, Actions: actions(offered, id, rng)}, nil
}

// For is the exercise of a given strip with the choices that were offered before.
func For(id ecg.Identity, offered []string, acts []lesson.Action) Exercise {
	return Exercise{Strip: id, Choices: offered, Actions: acts}
}

// draw picks the choices and the subject.
func (w Wish) draw(rng *rand.Rand) (offered []string, subject string) {
	fits := func(entries []string) bool {
		return w.With == "" && len(w.Subjects) == 0 ||
			slices.ContainsFunc(entries, w.wanted) && (w.With == "" || slices.Contains(entries, w.With))
	}
	var fitting [][]string // as often as its weight says
	for _, s := range sets {
		if fits(s.entries) {
			fitting = append(fitting, slices.Repeat([][]string{s.entries}, s.weight)...)
		}
	}
	var set []string
	if len(fitting) > 0 {
		set = slices.Clone(fitting[rng.IntN(len(fitting))])
	} else {
		// No set has both: put what was asked for among the first set that has the
		// subject.
		i := max(0, slices.IndexFunc(sets, func(s lookAlikes) bool { return slices.ContainsFunc(s.entries, w.wanted) }))
		set = append(slices.Clone(sets[i].entries), w.With)
	}
	rng.Shuffle(len(set), func(i, j int) { set[i], set[j] = set[j], set[i] })
	// What must be there goes to the front, then the four are cut and mixed again.
	slices.SortStableFunc(set, func(a, b string) int { return w.rank(a) - w.rank(b) })
	set = set[:choices]
	rng.Shuffle(len(set), func(i, j int) { set[i], set[j] = set[j], set[i] })
	var may []string
	for _, id := range set {
		if len(w.Subjects) == 0 || w.wanted(id) {
			may = append(may, id)
		}
	}
	return set, may[rng.IntN(len(may))]
}

func (w Wish) wanted(id string) bool {
	return len(w.Subjects) == 0 || slices.Contains(w.Subjects, id)
}

func (w Wish) rank(id string) int {
	switch {
	case id == w.With && w.With != "":
		return 0
	case len(w.Subjects) > 0 && w.wanted(id):
		return 1
	default:
		return 2
	}
}

// beneath is the rhythm under an artifact: mostly sinus rhythm, so that looking for
// the complexes underneath pays.
func beneath(rng *rand.Rand) string {
	return []string{"sinus-rhythm", "sinus-rhythm", "sinus-rhythm", "sinus-tachycardia"}[rng.IntN(4)]
}

// drawState draws a state; the first, the usual one, three times in four.
func drawState(states []ecg.State, rng *rand.Rand) ecg.State {
	if len(states) == 0 {
		return ecg.Stable
	}
	if len(states) == 1 || rng.IntN(4) > 0 {
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
