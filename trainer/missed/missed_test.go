package missed_test

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/trainer/missed"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

// Days before the run begins.
const day = 24 * time.Hour

// svt is a missed strip that most tests use, with what was offered for it.
const svt = "3/supraventricular-tachycardia/4mo/77"

var (
	fast    = []string{"sinus-rhythm", "sinus-tachycardia", "supraventricular-tachycardia", "monomorphic-ventricular-tachycardia"}
	actions = []string{"compress", "call-stay", "look-call", "assess-tell", "silence"}
)

// answer is an answer of the learner, ago before the run begins.
func answer(n int, ago time.Duration, strip, subject, chosen string, offered []string) ledger.Answer {
	id, _ := ecg.ParseIdentity(strip)
	return ledger.Answer{
		ID: fmt.Sprintf("old-%02d", n), Presentation: fmt.Sprintf("showing-%02d", n), Learner: "a learner",
		At: screentest.Start.Add(-ago), Mode: ledger.Practise, Strip: strip, Subject: subject, State: id.State,
		Question: ledger.Rhythm, Offered: append(append([]string{}, offered...), "not-sure"), Chosen: chosen,
		Right: []string{subject}, Correct: chosen == subject, Verdict: verdict(chosen == subject), Sure: ledger.Sure,
	}
}

func verdict(right bool) ledger.Verdict {
	if right {
		return ledger.Right
	}
	return ledger.Wrong
}

// firstAction makes an answer one to the second question.
func firstAction(a ledger.Answer, chosen, right string) ledger.Answer {
	a.ID += "-action"
	a.Question, a.Chosen, a.Right, a.Offered, a.Sure = ledger.FirstAction, chosen, []string{right}, actions, ledger.NotAsked
	a.Correct, a.Verdict = chosen == right, verdict(chosen == right)
	return a
}

// history is a log of every kind.
func history() []ledger.Answer {
	run := answer(2, day, "3/ventricular-run/6y/12", "ventricular-run", "movement", []string{"supraventricular-tachycardia", "movement", "ventricular-run", "monomorphic-ventricular-tachycardia"})
	still := answer(3, 12*day, "3/asystole/10y/5;state=no-signs-of-life", "asystole", "asystole", []string{"asystole", "fine-ventricular-fibrillation", "disconnected-lead", "movement"})
	return []ledger.Answer{
		answer(1, time.Hour, svt, "supraventricular-tachycardia", "sinus-tachycardia", fast),
		run, still, firstAction(still, "silence", "compress"),
		answer(4, 20*day, "3/sinus-rhythm/10y/5;artifact=movement", "movement", "coarse-ventricular-fibrillation", []string{"movement", "coarse-ventricular-fibrillation", "asystole", "fine-ventricular-fibrillation"}),
		answer(5, 400*day, "recording;at=12.5;seconds=10;path=ward/7", "premature-ventricular-beats", "sinus-rhythm", []string{"sinus-rhythm", "movement", "premature-ventricular-beats", "ventricular-run"}),
	}
}

// opening opens the screen on a log.
func opening(recording missed.Recording, log ...ledger.Answer) func(*screen.Env) screen.Screen {
	return func(env *screen.Env) screen.Screen {
		if err := env.Store.Add(context.Background(), log...); err != nil {
			panic(err)
		}
		return missed.New(env, recording)
	}
}

func TestContract(t *testing.T) {
	t.Run("with a log", func(t *testing.T) { screentest.Exercise(t, opening(nil, history()...)) })
	t.Run("without", func(t *testing.T) { screentest.Exercise(t, opening(nil)) })
}

func TestGolden(t *testing.T) { // every step is compared with its golden file
	for _, size := range screentest.Sizes {
		t.Run(fmt.Sprint(size), func(t *testing.T) {
			screentest.Run(t, size[0], size[1], opening(nil, history()...), func(t *testing.T, d *screentest.Driver) {
				d.Golden("list")
				d.Press("r", "down")
				d.Golden("rhythms")
				d.Press("q", "enter")
				d.Golden("opened")
				d.Press("q", "down", "down", "enter")
				d.Golden("opened-first-action")
			})
		})
	}
}

func TestEmptyLog(t *testing.T) {
	screentest.Run(t, 80, 24, opening(nil), func(t *testing.T, d *screentest.Driver) {
		d.Golden("empty")
		d.Press("enter", "t", "f", "r", "down")
		assert.Contains(t, d.Words(), "Nothing to look at again.")
	})
}

// Other learners' answers are not shown.
func TestOnlyOnesOwn(t *testing.T) {
	a := answer(1, day, svt, "supraventricular-tachycardia", "sinus-tachycardia", fast)
	a.Learner = "another"
	screentest.Run(t, 80, 24, opening(nil, a), func(t *testing.T, d *screentest.Driver) {
		assert.Contains(t, d.Words(), "Nothing to look at again.")
	})
}

func TestFilter(t *testing.T) {
	screentest.Run(t, 120, 40, opening(nil, history()...), func(t *testing.T, d *screentest.Driver) {
		d.Sees("1 of 5")
		d.Press("r")
		d.SeesNot("Sinus bradycardia") // only what is in the log
		for range 9 {
			d.Press("down")
		}
		d.Press("enter")
		assert.Contains(t, d.Words(), "only Movement 1 of 1")
		d.Sees("Movement, 10 years old")
		d.SeesNot("Asystole")
		d.Press("a")
		d.Sees("1 of 5")
		d.Press("r", "q")
		d.Sees("1 of 5")
	})
}

// One rhythm taken for another is a group of its own, and a whole group can be had as a
// set: each entry once, then back to the list.
func TestAPairAsASet(t *testing.T) {
	more := answer(8, day, ecg.Synthetic("supraventricular-tachycardia", ecg.Months(4), 78).String(), "supraventricular-tachycardia", "sinus-tachycardia", fast)
	screentest.Run(t, 120, 40, opening(nil, append(history(), more)...), func(t *testing.T, d *screentest.Driver) {
		d.Press("r")
		d.Sees("Supraventricular tachycardia, taken for sinus tachycardia 2")
		d.Press("down", "enter")
		d.Sees("only Supraventricular tachycardia, taken for sinus tachycardia 1 of 2")
		d.SeesNot("Asystole")
		d.Press("s")
		d.Sees("The same strip again: 1 of 2")
		for range 2 {
			d.Press("1", "enter") // the name
			if strings.Contains(d.Words(), "What do you do first?") {
				d.Press("1", "enter")
			}
			d.Sees("read on")
			d.Press("enter")
		}
		d.Sees("Missed answers")
	})
}

// Any other rhythm can be set beside a missed strip, with what tells the two apart.
func TestSetBeside(t *testing.T) {
	for _, size := range screentest.Sizes {
		screentest.Run(t, size[0], size[1], opening(nil, history()...), func(t *testing.T, d *screentest.Driver) {
			d.Press("enter")
			d.Sees("You said sinus tachycardia")
			d.Press("b")
			d.Sees("Set beside it")
			for range 40 {
				if strings.Contains(d.Words(), "> Atrial flutter") {
					break
				}
				d.Press("down")
			}
			d.Press("enter")
			d.Sees("Beside it: atrial flutter")
			d.Sees("What tells them apart: ")
			d.SeesNot("You said sinus tachycardia, which")
			d.Fits()
			d.Press("b", "q")
			d.Sees("Beside it: atrial flutter")
			d.Press("q")
			d.Sees("Missed answers")
		})
	}
}

func TestLongListScrolls(t *testing.T) {
	var log []ledger.Answer
	for i := range 40 {
		log = append(log, answer(i, time.Duration(i)*day, fmt.Sprintf("3/supraventricular-tachycardia/4mo/%d", i), "supraventricular-tachycardia", "sinus-tachycardia", fast))
	}
	screentest.Run(t, 80, 24, opening(nil, log...), func(t *testing.T, d *screentest.Driver) {
		for i := range 40 {
			d.Sees(fmt.Sprintf("%d of 40", i+1))
			assert.Regexp(t, `(?m)^> \w`, d.Cells(), "the one under the cursor is on the page")
			d.Press("down")
		}
		d.Press("home")
		d.Sees("> today")
		d.Press("end")
		d.Sees("40 of 40")
		d.Fits()
	})
}

func TestTheSameStripAgain(t *testing.T) {
	var env *screen.Env
	open := opening(nil, history()...)
	screentest.Run(t, 120, 40, func(e *screen.Env) screen.Screen { env = e; return open(e) }, func(t *testing.T, d *screentest.Driver) {
		d.Press("enter", "t")
		d.Sees("The same strip again")
		d.Choose("Supraventricular tachycardia")
		d.Press("enter")
		a := newest(t, env)
		assert.Equal(t, svt, a.Strip)
		assert.Equal(t, ledger.Replay, a.Mode)
		assert.Equal(t, append(append([]string{}, fast...), "not-sure"), a.Offered, "the choices offered then")
		assert.True(t, a.Correct)

		d.Press("enter") // after the explanation; actions were not asked then
		d.Sees("A missed answer")
		d.Sees("Left to do: two right answers on fresh strips, at least one of them on another day.")
		d.Press("q")
		d.Sees("> today")
		d.Sees("Left to do: two right answers on fresh strips, at least one of them on another day.")
	})
}

func TestAFreshStrip(t *testing.T) {
	var env *screen.Env
	open := opening(nil, history()...)
	screentest.Run(t, 120, 40, func(e *screen.Env) screen.Screen { env = e; return open(e) }, func(t *testing.T, d *screentest.Driver) {
		d.Press("enter", "f")
		d.Sees("A fresh strip")
		d.Choose("Supraventricular tachycardia")
		d.Press("enter")
		a := newest(t, env)
		assert.Equal(t, ledger.Fresh, a.Mode)
		assert.NotEqual(t, svt, a.Strip)
		assert.Equal(t, "supraventricular-tachycardia", a.Subject)
		assert.Contains(t, a.Offered, "sinus-tachycardia", "what it was taken for is among the choices")
		d.Press("q")
		d.Sees("Left to do: one right answer on this same strip and one more right answer on a fresh strip")
	})
}

// A fresh strip for a first action is in the same state, and what was done wrongly
// is on offer; else it would never leave the log.
func TestAFreshStripForAFirstAction(t *testing.T) {
	var env *screen.Env
	open := opening(nil, history()...)
	screentest.Run(t, 120, 40, func(e *screen.Env) screen.Screen { env = e; return open(e) }, func(t *testing.T, d *screentest.Driver) {
		d.Press("down", "down", "f")
		d.Choose("Asystole")
		d.Press("enter")
		d.Press("c")
		d.Tick(time.Second)
		d.Choose("Start compressions with ventilation, call the resuscitation team")
		d.Press("enter")
		a := newest(t, env)
		assert.Equal(t, ledger.FirstAction, a.Question)
		assert.Equal(t, ecg.NoSignsOfLife, a.State)
		assert.Contains(t, a.Offered, "silence")
		d.Press("enter")
		d.Sees("Left to do: one right answer on this same strip and one more right answer on a fresh strip")
	})
}

// With the last right answer it leaves, and the learner is told.
func TestLeavingTheLog(t *testing.T) {
	log := []ledger.Answer{
		answer(1, 3*day, svt, "supraventricular-tachycardia", "sinus-tachycardia", fast),
		answer(2, 2*day, "3/supraventricular-tachycardia/4mo/78", "supraventricular-tachycardia", "supraventricular-tachycardia", fast),
		answer(3, 2*day, "3/supraventricular-tachycardia/4mo/79", "supraventricular-tachycardia", "supraventricular-tachycardia", fast),
	}
	screentest.Run(t, 120, 40, opening(nil, log...), func(t *testing.T, d *screentest.Driver) {
		d.Press("enter", "t")
		d.Choose("Supraventricular tachycardia")
		d.Press("enter", "enter")
		d.Sees("Supraventricular tachycardia: well done, this one has left your list.")
		d.Sees("Nothing to look at again.")
	})
}

func newest(t *testing.T, env *screen.Env) ledger.Answer {
	t.Helper()
	list, err := ledger.Collect(env.Store.Answers(context.Background(), ledger.Query{NewestFirst: true, Limit: 1}))
	require.NoError(t, err)
	require.Len(t, list, 1)
	return list[0]
}

func TestStripsThatCannotBeShown(t *testing.T) {
	for _, tt := range []struct {
		name, strip, subject, says string
		fresh                      bool
	}{
		{"older engine", "999/supraventricular-tachycardia/4mo/7", "supraventricular-tachycardia", "was made by engine version 999", true},
		{"not an identity", "something else", "supraventricular-tachycardia", "want ENGINE/RHYTHM/AGE/SEED", true},
		{"a recording, nothing to play it", "recording;at=1;seconds=10;path=ward/7", "supraventricular-tachycardia", "ward/7, which cannot be played from here", true},
		{"gone from the catalogue", "3/no-such-rhythm/4mo/7", "no-such-rhythm", `The catalogue of this program has no "no-such-rhythm".`, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			screentest.Run(t, 100, 30, opening(nil, answer(1, day, tt.strip, tt.subject, "sinus-tachycardia", fast)), func(t *testing.T, d *screentest.Driver) {
				d.Press("enter")
				d.Sees("This strip cannot be shown:")
				assert.Contains(t, d.Words(), tt.says)
				d.Sees("You said: sinus tachycardia.")
				d.Press("t", "left", "l", "z")
				d.Sees("This strip cannot be shown:")
				d.Press("f")
				if tt.fresh {
					d.Sees("A fresh strip")
				} else {
					d.Sees("This strip cannot be shown:")
				}
			})
		})
	}
}

// A recording comes through the function that is given.
func TestRecording(t *testing.T) {
	const strip = "recording;at=12.5;seconds=10;path=ward/7"
	recording := func(id ecg.Identity, mode ledger.Mode, offered []string) (practise.Round, error) {
		assert.Equal(t, strip, id.String())
		assert.Equal(t, ledger.Replay, mode)
		assert.Equal(t, fast, offered)
		round, err := practise.Synthetic("A recording again", mode, scenarios.For(ecg.Synthetic("supraventricular-tachycardia", ecg.Years(40), 3), offered, nil))
		round.Strip, round.Marks, round.Evidence, round.Bedside = id, nil, nil, nil
		return round, err
	}
	a := answer(1, day, strip, "supraventricular-tachycardia", "sinus-tachycardia", fast)
	screentest.Run(t, 120, 40, opening(recording, a), func(t *testing.T, d *screentest.Driver) {
		d.Sees("Supraventricular tachycardia, a recording.")
		d.Press("enter")
		d.Sees("This is supraventricular tachycardia, a recording")
		assert.Contains(t, d.Cells(), "QRS", "marked from the samples")
		d.Press("t")
		d.Sees("A recording again")
	})
	gone := func(ecg.Identity, ledger.Mode, []string) (practise.Round, error) {
		return practise.Round{}, errors.New("ward/7: the file is gone")
	}
	screentest.Run(t, 120, 40, opening(gone, a), func(t *testing.T, d *screentest.Driver) {
		d.Press("enter")
		d.Sees("This strip cannot be shown: ward/7: the file is gone.")
	})
}

// A store that cannot be read is told in words, and can be tried again.
type broken struct {
	ledger.Store
	err error
}

func (b *broken) Answers(ctx context.Context, q ledger.Query) iter.Seq2[ledger.Answer, error] {
	if b.err == nil {
		return b.Store.Answers(ctx, q)
	}
	return func(yield func(ledger.Answer, error) bool) { yield(ledger.Answer{}, b.err) }
}

func TestALedgerThatCannotBeRead(t *testing.T) {
	store := &broken{err: errors.New("answers.db: damaged")}
	open := opening(nil, history()...)
	screentest.Run(t, 80, 24, func(env *screen.Env) screen.Screen {
		store.Store = env.Store
		s := open(env)
		env.Store = store
		return s
	}, func(t *testing.T, d *screentest.Driver) {
		assert.Contains(t, d.Words(), "Your answers cannot be read: answers.db: damaged.")
		d.Press("r")
		d.Sees("cannot be read")
		store.err = nil
		d.Press("r")
		d.Sees("1 of 5")
	})
}

func TestCount(t *testing.T) {
	screentest.Run(t, 80, 24, func(env *screen.Env) screen.Screen {
		s := opening(nil, history()...)(env)
		n, err := missed.Count(context.Background(), env)
		assert.NoError(t, err)
		assert.Equal(t, 5, n)
		return s
	}, func(*testing.T, *screentest.Driver) {})
}

// The opened strip pans as far as it was played, and back.
func TestPanLeadAndScale(t *testing.T) {
	screentest.Run(t, 120, 40, opening(nil, history()...), func(t *testing.T, d *screentest.Driver) {
		d.Press("enter")
		first := d.Cells()
		d.Press("left")
		assert.NotEqual(t, first, d.Cells())
		d.Press("right")
		assert.Equal(t, first, d.Cells())
		d.Press("right")
		assert.Equal(t, first, d.Cells(), "there is nothing after its end")
		for range 60 {
			d.Press("left")
		}
		far := d.Cells()
		d.Press("left")
		assert.Equal(t, far, d.Cells(), "there is nothing before its beginning")
		d.Press("l")
		assert.NotEqual(t, far, d.Cells())
		leads := d.Cells()
		d.Press("z")
		assert.NotEqual(t, leads, d.Cells())
	})
}
