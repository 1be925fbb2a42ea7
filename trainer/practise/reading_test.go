package practise_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/scoring/steps"
	"telltrace/synth/ecg"
	"telltrace/trainer/look"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

func withSteps(r *practise.Round) { r.Steps = steps.Order }

func TestContractWithSteps(t *testing.T) {
	screentest.Exercise(t, func(env *screen.Env) screen.Screen { return practise.New(env, rounds(1000, withSteps)) })
}

// The strip is a supraventricular tachycardia of an infant, which textbooks describe as
// fast, regular and narrow, without P waves to be seen (Park, Paediatric Cardiology for
// Practitioners, chapter 24; from memory).
func TestTheStepsComeBeforeTheName(t *testing.T) {
	for _, size := range screentest.Sizes {
		drive(t, size[0], size[1], nil, rounds(2, withSteps), func(t *testing.T, r run) {
			r.Sees("Rate: how many QRS a minute?")
			r.SeesNot("Rate 2") // the counter would give it away
			r.Press("enter")
			r.Sees("Rate: how many QRS a minute?")
			r.Press("9", "backspace", "2", "7", "0", "4", "enter")
			r.Sees("Rate: ")
			r.Sees("Are the QRS regular?")
			r.Choose("Regular")
			r.Press("enter")
			r.Sees("Regularity: right.")
			r.Choose("None to be seen")
			r.Press("enter")
			r.Sees("P: right.")
			r.Choose("Long")
			r.Press("enter")
			r.Sees("PR: not so.")
			r.Choose("Narrow")
			r.Press("enter")
			r.Sees("QRS: right.")
			r.Sees(asking)
			r.Choose(rightName)
			r.Press("enter")
			r.Choose(rightAction)
			r.Press("enter")
			r.Sees("This is supraventricular tachycardia")
			list := r.kept(t)
			require.Len(t, list, 7)
			for i, q := range append(append([]ledger.Question{}, steps.Order...), ledger.Rhythm, ledger.FirstAction) {
				assert.Equal(t, q, list[i].Question)
				assert.Equal(t, list[0].Presentation, list[i].Presentation)
				assert.Equal(t, q != ledger.PR, list[i].Correct, q)
			}
			assert.Equal(t, "270", list[0].Chosen)
			assert.Equal(t, steps.LongPR, list[3].Chosen)
		})
	}
}

// Who sees an arrest names it at once; the time to name it counts from then.
func TestTheStepsCanBePassedOver(t *testing.T) {
	drive(t, 80, 24, nil, rounds(2, withSteps), func(t *testing.T, r run) {
		r.Tick(5 * time.Second)
		r.Press("n")
		r.Sees(asking)
		r.Tick(2 * time.Second)
		r.Choose(rightName)
		r.Press("enter")
		list := r.kept(t)
		require.Len(t, list, 1)
		assert.InDelta(t, 2000, list[0].Took.Milliseconds(), 100)
	})
}

func TestANameIsWritten(t *testing.T) {
	for _, size := range screentest.Sizes {
		drive(t, size[0], size[1], nil, rounds(2, nil), func(t *testing.T, r run) {
			r.Press("w")
			r.Press(strings.Split("quxx", "")...)
			r.Sees("Nothing has a name like that")
			r.Press("enter")
			r.SeesNot(acting)
			r.Press("backspace", "backspace", "backspace", "backspace")
			r.Press(strings.Split("supraventriculr tachycardia", "")...)
			r.Sees("The nearest is: Supraventricular tachycardia")
			r.Press("enter")
			r.Sees("Means: Supraventricular tachycardia")
			assert.Empty(t, r.kept(t), "shown first, then given")
			r.Press("esc")
			r.Sees("Sinus tachycardia")
			r.Press("w", "S", "V", "T")
			r.Sees("Means: Supraventricular tachycardia")
			r.Press("enter")
			r.Sees(acting)
			list := r.kept(t)
			require.Len(t, list, 1)
			assert.Equal(t, "supraventricular-tachycardia", list[0].Chosen)
			assert.Empty(t, list[0].Offered, "a free answer")
			assert.True(t, list[0].Correct)
			r.Choose(rightAction)
			r.Press("enter")
			r.Sees("This is supraventricular tachycardia")
		})
	}
}

// Of a pair that is met one against the other, the other stands below also after a right
// name, with what tells the two apart.
func TestAPairIsSetSideBySide(t *testing.T) {
	pair := func(r *practise.Round) { r.Choices, r.Beside = r.Choices[1:3], "sinus-tachycardia" }
	for _, size := range screentest.Sizes {
		drive(t, size[0], size[1], nil, rounds(2, pair), func(t *testing.T, r run) {
			r.Choose(rightName)
			r.Press("enter")
			r.Choose(rightAction)
			r.Press("enter")
			r.Sees("This is supraventricular tachycardia")
			r.Sees("Beside it: sinus tachycardia")
			r.Fits()
		})
	}
}

// A sitting of so many minutes ends after them, never in the middle of a strip.
func TestASittingEnds(t *testing.T) {
	screentest.Run(t, 80, 24, func(env *screen.Env) screen.Screen {
		return practise.New(env, practise.For(env, 10*time.Minute, rounds(100, nil)))
	}, func(t *testing.T, d *screentest.Driver) {
		one := func() {
			d.Press("1", "enter", "1", "enter")
			d.Press("enter")
		}
		one()
		d.Sees("strip 2")
		d.Tick(11 * time.Minute)
		d.Sees("strip 2")
		one()
		assert.True(t, d.Quit, "back, and there is nothing beneath")
	})
}

// Where the pulse alone tells, no chance difference of the two strips is called the one that
// tells: sinus rhythm and pulseless electrical activity have the same complexes (standard
// texts).
func TestNothingOnTheStripTells(t *testing.T) {
	pulseless := ecg.Synthetic("sinus-rhythm", ecg.Years(6), 9)
	plan := func() (practise.Round, error) {
		e := scenarios.For(pulseless, []string{"sinus-rhythm", "pulseless-electrical-activity"}, nil)
		r, err := practise.Synthetic("Practice", ledger.Practise, e)
		r.Beside = "pulseless-electrical-activity"
		return r, err
	}
	drive(t, 120, 40, nil, plan, func(t *testing.T, r run) {
		r.Choose("Sinus rhythm")
		r.Press("enter")
		r.Sees("This is sinus rhythm")
		r.Sees("Nothing on the strip; only the pulse tells.")
		r.SeesNot("This is sinus rhythm: ")
	})
}

// Complexes over a flat pulse trace: a faulty probe or no pulse, and nothing that is drawn
// settles it (common practice). Not sure, check the patient, is right; a name is right for
// who has looked.
func TestWhatTheStripCannotSettle(t *testing.T) {
	fault, err := ecg.ParseIdentity("3/sinus-rhythm/6y/9;artifact=pulse-probe-fault")
	require.NoError(t, err)
	plan := func() (practise.Round, error) {
		return practise.Synthetic("Practice", ledger.Practise, scenarios.For(fault, []string{"pulse-probe-fault", "pulseless-electrical-activity"}, nil))
	}
	for _, c := range []struct {
		look   bool
		choose string
		want   ledger.Verdict
	}{
		{false, "3", ledger.Right}, {false, "1", ledger.Near}, {true, "1", ledger.Right},
	} {
		drive(t, 120, 40, nil, plan, func(t *testing.T, r run) {
			if c.look {
				r.Press("c")
				r.Tick(2 * time.Second)
			}
			r.Press(c.choose, "enter")
			assert.Equal(t, c.want, r.kept(t)[0].Verdict, "%+v", c)
		})
	}
}

// For a screen reader: the same steps and the same writing, choices by capital letters.
func TestStepsAndNamesInPlainWords(t *testing.T) {
	plain := func(env *screen.Env) {
		env.Look, env.Still = look.New(env.Renderer, look.Options{Plain: true}), true
	}
	driveIn(t, 80, 24, plain, rounds(2, withSteps), func(t *testing.T, r run) {
		r.Sees("Rate: how many QRS a minute?")
		r.Press("2", "7", "0", "enter")
		for _, answer := range []string{"Regular", "None to be seen", "None: no P leads to a QRS", "Narrow"} {
			r.Choose(answer)
			r.Press("enter")
		}
		r.Sees(asking)
		r.Press("w", "s", "v", "t")
		r.Sees("Means: Supraventricular tachycardia")
		r.Press("enter")
		r.Sees(acting)
		r.Choose(rightAction)
		r.Press("enter")
		r.Sees("This is supraventricular tachycardia")
		list := r.kept(t)
		require.Len(t, list, 7)
		for _, a := range list {
			assert.True(t, a.Correct, a.Question)
		}
	})
}
