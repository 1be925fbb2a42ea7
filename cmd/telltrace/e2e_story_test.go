//go:build !windows

package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/scoring/ledger/sqlite"
	"telltrace/scoring/spacing"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/look"
	"telltrace/trainer/practise"
)

// sizes are the windows the program is looked at in, columns by rows; the smallest
// alone under -short.
func sizes() [][2]int {
	all := [][2]int{{80, 24}, {120, 40}, {200, 50}}
	if testing.Short() {
		return all[:1]
	}
	return all
}

// together runs subtests at the same time, however few processors there are: most
// of their time they wait for a page.
func together(t *testing.T, tests map[string]func(*testing.T)) {
	var running sync.WaitGroup
	for name, test := range tests {
		running.Go(func() { t.Run(name, test) })
	}
	running.Wait()
}

// atSizes are tests of all windows.
func atSizes(test func(t *testing.T, seed uint64, cols, rows int)) map[string]func(*testing.T) {
	tests := map[string]func(*testing.T){}
	for i, size := range sizes() {
		tests[fmt.Sprintf("%dx%d", size[0], size[1])] = func(t *testing.T) { test(t, uint64(100*i), size[0], size[1]) }
	}
	return tests
}

// drawn are the exercises that practice gives with --seed, in order: as wished, or, where
// nothing is, to a beginner who names each right.
func drawn(t *testing.T, seed uint64, n int, w scenarios.Wish) []scenarios.Exercise {
	t.Helper()
	seeds := rand.New(rand.NewPCG(seed, 0))
	learner := spacing.NewLearner(practise.Course())
	var out []scenarios.Exercise
	for range n {
		rng := rand.New(rand.NewPCG(seeds.Uint64(), 0))
		draw := func() (scenarios.Exercise, error) { return scenarios.Draw(w, rng) }
		if len(w.Subjects) == 0 && w.Age == nil {
			step := learner.Next(time.Now(), rng)
			draw = func() (scenarios.Exercise, error) {
				return scenarios.Compose(step.Subject, step.Choices, step.Severity, nil, rng)
			}
		}
		e, err := draw()
		require.NoError(t, err)
		learner.Add(ledger.Answer{At: time.Now(), Mode: ledger.Practise, Question: ledger.Rhythm, Subject: e.Strip.Subject(),
			Offered: append(slices.Clone(e.Choices), scoring.NotSure), Chosen: e.Strip.Subject(), Correct: true, Sure: ledger.Sure})
		out = append(out, e)
	}
	return out
}

// A sitting is somebody at the program, with what was answered.
type sitting struct {
	t       *testing.T
	window  window
	answers []expected
}

// expected is what the ledger must hold of an answer.
type expected struct {
	ledger.Answer // without what cannot be known before: ID, Presentation, At, Took
	age           ecg.Age
	strip         int
	shown, asked  time.Time // no later than the strip, and the question, was on the page
	before, after time.Time // the answer was given between these
}

// A showing is one strip in front of the learner.
type showing struct {
	*sitting
	strip   int
	e       scenarios.Exercise
	bedside scenarios.Bedside
	mode    ledger.Mode
	unsure  bool
	looked  []ledger.Look
	before  time.Time // the strip had not been shown
	asked   time.Time
}

// shows waits for a strip and compares what is on the page with the exercise.
// before is a moment at which it had not been asked for.
func (s *sitting) shows(e scenarios.Exercise, mode ledger.Mode, strip int, before time.Time) *showing {
	s.t.Helper()
	bedside, err := scenarios.At(e.Strip)
	require.NoError(s.t, err)
	sh := &showing{sitting: s, strip: strip, e: e, bedside: bedside, mode: mode, before: before, asked: before}
	if mode == ledger.Practise {
		namesAtOnce(s.window)
	}
	see(s.window, "What does it show?", bedside.Patient)
	for i, id := range e.Choices {
		see(s.window, fmt.Sprintf("%d  %s", i+1, capital(nameOf(s.t, id))))
	}
	see(s.window, strconv.Itoa(len(e.Choices)+1)+"  "+capital(look.NotSure))
	seeDots(s.window, "25 mm/s")
	for _, finding := range []string{bedside.Child, bedside.Pulse, bedside.Electrodes} {
		require.False(s.t, says(s.window.Page(), finding), "hidden until looked at: %q in\n%s", finding, s.window.Page())
	}
	return sh
}

// namesAtOnce passes over the steps of the reading, which a beginner is asked for.
func namesAtOnce(w window) {
	see(w, "Rate: how many QRS a minute?")
	w.Type("n")
}

// look looks at the bedside; the finding comes a second later.
func (s *showing) look(key string) {
	s.t.Helper()
	what := map[string]struct{ name, finding string }{
		"c": {ledger.LookChild, s.bedside.Child}, "p": {ledger.LookPulse, s.bedside.Pulse}, "e": {ledger.LookElectrodes, s.bedside.Electrodes},
	}[key]
	pressed := time.Now()
	s.window.Type(key)
	see(s.window, "looking ...", what.finding)
	require.GreaterOrEqual(s.t, time.Since(pressed), time.Second, "looking costs a second")
	s.looked = append(s.looked, ledger.Look{What: what.name})
}

// name answers the first question and waits for the second.
func (s *showing) name(id string) {
	s.t.Helper()
	offered := append(slices.Clone(s.e.Choices), scoring.NotSure)
	s.answer(ledger.Rhythm, offered, id, "What do you do first?")
}

// act answers the second question and waits for the explanation.
func (s *showing) act(action lesson.Action) {
	s.t.Helper()
	var offered []string
	for i, a := range s.e.Actions {
		offered = append(offered, string(a))
		see(s.window, fmt.Sprintf("%d  %s", i+1, a.Words()[:20])) // long ones are cut at the edge
	}
	s.answer(ledger.FirstAction, offered, string(action), "The first action: ")
}

func (s *showing) answer(q ledger.Question, offered []string, chosen, then string) {
	s.t.Helper()
	i := slices.Index(offered, chosen)
	require.GreaterOrEqual(s.t, i, 0, "%s is offered in %v", chosen, offered)
	s.window.Type(strconv.Itoa(i + 1))
	see(s.window, fmt.Sprintf("> %d  ", i+1))
	x := expected{age: s.e.Strip.Age, strip: s.strip, shown: s.before, asked: s.asked, before: time.Now(), Answer: ledger.Answer{
		Learner: "me", Mode: s.mode, Strip: s.e.Strip.String(), Subject: s.e.Strip.Subject(), State: s.e.Strip.State,
		Question: q, Offered: offered, Chosen: chosen, Looked: s.looked,
	}}
	s.window.Type(enter)
	see(s.window, then)
	x.after, s.asked = time.Now(), x.before
	if q == ledger.Rhythm {
		x.Sure = ledger.Sure
		if s.unsure {
			x.Sure = ledger.Unsure
		}
	}
	s.answers = append(s.answers, x)
}

// rightAction is the first action that is taught.
func (s *showing) rightAction() lesson.Action {
	l, _ := synth.Lesson(s.e.Strip.Subject())
	return l.Care(s.e.Strip.Age, s.e.Strip.State).First
}

// A mistake is a wrong choice, with what the page says of it.
type mistake struct {
	id         string
	verdict    ledger.Verdict
	difference string // that is taught
}

// mistakeIn finds one for somebody who has felt the pulse.
func mistakeIn(e scenarios.Exercise) (mistake, bool) {
	truth, _ := synth.Lesson(e.Strip.Subject())
	for _, id := range e.Choices {
		c := scoring.Case{Subject: truth.ID, Age: e.Strip.Age, State: e.Strip.State, Looked: []string{ledger.LookPulse}}
		a, taught := truth.LookAlike(id)
		if m, err := scoring.MarkRhythm(c, id, synth.Lesson); err == nil && !m.Correct && taught {
			return mistake{id, m.Verdict, a.Difference}, true
		}
	}
	return mistake{}, false
}

// said is how a wrong name is called.
func (m mistake) said() string {
	return map[ledger.Verdict]string{ledger.Near: "near, not it.", ledger.Wrong: "not this one.", ledger.Critical: "unsafe."}[m.verdict]
}

func nameOf(t *testing.T, id string) string {
	t.Helper()
	l, ok := synth.Lesson(id)
	require.True(t, ok, id)
	return l.Name
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// seeDots waits until some rows below a caption have Braille dots: a strip.
func seeDots(w window, caption string) {
	w.Await("a strip in dots below "+caption, func(page string) bool {
		_, below, _ := strings.Cut(page, caption)
		rows := 0
		for _, line := range strings.Split(below, "\n") {
			if strings.ContainsFunc(line, isDots) {
				rows++
			}
		}
		return rows > 1
	})
}

// isDots reports whether a cell is of Braille dots, one at least.
func isDots(r rune) bool { return r > 0x2800 && r <= 0x28FF }

// story is the main job from first start to the missed-answers log, in any window.
// The seed is the first from one on that gives a second strip with a mistake that is
// taught about.
func story(t *testing.T, h *home, seed uint64, open func(args ...string) window) {
	exercises := drawn(t, seed, 2, scenarios.Wish{})
	slip, found := mistakeIn(exercises[1])
	for !found {
		seed++
		exercises = drawn(t, seed, 2, scenarios.Wish{})
		slip, found = mistakeIn(exercises[1])
	}
	t.Logf("seed %d: %s, then %s taken for %s", seed, exercises[0].Strip, exercises[1].Strip, slip.id)
	flag := "--seed=" + strconv.FormatUint(seed, 10)
	s := &sitting{t: t, window: open(flag)}

	w := s.window
	see(w, look.Caution, look.PatientFirst)
	w.Type(enter)
	see(w, "Do you see a smooth line of dots?")
	seeDots(w, "telltrace")
	w.Type("y")
	see(w, "Which of these two do you see better?")
	w.Type("d")
	see(w, "Practise", "none to look at again")

	asked := time.Now()
	w.Type("p")
	first := s.shows(exercises[0], ledger.Practise, 1, asked)
	first.look("c")
	first.name(first.e.Strip.Subject())
	first.act(first.rightAction())
	see(w, "The name: right.", "The first action: right.", nameOf(t, first.e.Strip.Subject()))
	seeDots(w, nameOf(t, first.e.Strip.Subject()))

	asked = time.Now()
	w.Type(enter)
	second := s.shows(exercises[1], ledger.Practise, 2, asked)
	truth := nameOf(t, second.e.Strip.Subject())
	w.Type("u")
	see(w, "I am not sure.")
	second.unsure = true
	second.look("p")
	second.look("e")
	second.name(slip.id)
	second.act(second.rightAction())
	see(w, "The name: "+slip.said(), "The first action: right.", truth)
	caption := "You said " + nameOf(t, slip.id) + ", which look"
	see(w, caption)
	seeDots(w, caption) // the strip of what was chosen
	readOn(t, w, "What tells them apart: "+slip.difference)
	w.Type("q")
	see(w, "one to look at again")
	w.Type("q")
	require.Zero(t, w.Left())

	s.window = open(flag)
	w = s.window
	see(w, "one to look at again")
	w.Type("m")
	see(w, "Missed answers", capital(truth), "You said: "+nameOf(t, slip.id)+".")
	w.Type(enter)
	see(w, "A missed answer", "missed today")
	seeDots(w, truth)
	readOn(t, w, "You said: "+nameOf(t, slip.id)+". It was: "+truth+".")
	readOn(t, w, "one right answer on this same strip and two right answers on fresh strips")
	asked = time.Now()
	w.Type("t")
	again := s.shows(exercises[1], ledger.Replay, 3, asked)
	see(w, "The same strip again")
	again.look("p")
	again.name(again.e.Strip.Subject())
	again.act(again.rightAction())
	see(w, "The name: right.", "The first action: right.")
	w.Type(enter)
	see(w, "A missed answer")
	readOn(t, w, "Left to do: two right answers on fresh strips")
	w.Type("q")
	see(w, "Missed answers")
	w.Type("q")
	see(w, "one to look at again")
	w.Type("q")
	require.Zero(t, w.Left())

	s.kept(h.store())
	assert.FileExists(t, filepath.Join(h.config(), "telltrace", "settings.json"), "the look that was chosen is kept")
}

// stored reads a ledger.
func stored(t *testing.T, path string) []ledger.Answer {
	t.Helper()
	store, err := sqlite.Open(path)
	require.NoError(t, err)
	defer store.Close()
	list, err := ledger.Collect(store.Answers(context.Background(), ledger.Query{}))
	require.NoError(t, err)
	return list
}

// kept compares the ledger with what was answered: all of it, nothing else, in
// order.
func (s *sitting) kept(path string) {
	t := s.t
	t.Helper()
	got := stored(t, path)
	require.Len(t, got, len(s.answers))
	ids, presentations := map[string]bool{}, map[string]int{}
	for i, a := range got {
		want := s.answers[i]
		ids[a.ID] = true
		if strip, known := presentations[a.Presentation]; known {
			assert.Equal(t, strip, want.strip, "one presentation is one showing")
		}
		presentations[a.Presentation] = want.strip
		assert.WithinRange(t, a.At, want.before.Truncate(time.Millisecond), want.after)
		assert.LessOrEqual(t, a.Took, want.after.Sub(want.asked), "answer %d", i)
		if a.Question == ledger.FirstAction {
			assert.GreaterOrEqual(t, a.Took, time.Duration(0), "answer %d: typed within a millisecond it took none", i)
		}
		l, _ := synth.Lesson(a.Subject)
		right := []string{a.Subject}
		if scoring.Unsettled(a.Subject, a.Offered, synth.Lesson) { // then the patient settles it, for who looked
			right = []string{scoring.NotSure}
			if slices.ContainsFunc(want.Looked, func(l ledger.Look) bool { return l.What != ledger.LookElectrodes }) {
				right = append(right, a.Subject)
			}
		}
		if a.Question == ledger.FirstAction {
			assert.Contains(t, a.Right, string(l.Care(want.age, a.State).First))
			right = a.Right
		}
		want.Right, want.Correct = right, slices.Contains(right, a.Chosen)
		if want.Correct {
			assert.Equal(t, ledger.Right, a.Verdict)
		} else {
			assert.NotEqual(t, ledger.Right, a.Verdict)
		}
		require.Len(t, a.Looked, len(want.Looked), "answer %d", i)
		last := time.Duration(-1)
		for k, g := range a.Looked {
			after := time.Duration(g.AfterMS) * time.Millisecond
			assert.Greater(t, after, last, "looks are in order")
			assert.LessOrEqual(t, after, want.after.Sub(want.shown))
			assert.Equal(t, want.Looked[k].What, g.What)
			last = after
		}
		want.ID, want.Presentation, want.At, want.Took, want.Verdict, want.Looked = a.ID, a.Presentation, a.At, a.Took, a.Verdict, a.Looked
		assert.Equal(t, want.Answer, a, "answer %d", i)
	}
	assert.Len(t, ids, len(got), "every answer has an id of its own")
	strips := map[int]bool{}
	for _, a := range s.answers {
		strips[a.strip] = true
	}
	assert.Len(t, presentations, len(strips), "every showing has an id of its own")
}
