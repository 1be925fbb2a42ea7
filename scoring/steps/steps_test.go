package steps_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/scoring/steps"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// seen opens ten seconds of a strip of an entry.
func seen(t *testing.T, id string, age ecg.Age, seed uint64) steps.Seen {
	t.Helper()
	p, err := synth.Open(ecg.Synthetic(id, age, seed))
	require.NoError(t, err)
	leads, witnesses := p.Channels()
	page := make([][]float64, len(leads)+len(witnesses))
	for i := range page {
		page[i] = make([]float64, int(14*p.SampleRate()))
	}
	_, err = p.Fill(page)
	require.NoError(t, err)
	return steps.See(p.Marks(0, 14), 2, 12, age, 0.0125, false)
}

// The rows are what textbooks give as features of each rhythm (Goldberger, Clinical
// Electrocardiography, 9th edition 2018, chapters 13 to 21; from memory), for a child of
// six.
func TestTextbookReadings(t *testing.T) {
	for _, c := range []struct{ id, regular, p, pr, qrs string }{
		{"sinus-rhythm", steps.Regular, steps.OneEach, steps.UsualPR, steps.Narrow},
		{"sinus-tachycardia", steps.Regular, steps.OneEach, steps.UsualPR, steps.Narrow},
		{"supraventricular-tachycardia", steps.Regular, steps.NoP, steps.NoPR, steps.Narrow},
		{"atrial-fibrillation", steps.Irregular, steps.NoP, steps.NoPR, steps.Narrow},
		{"premature-atrial-beats", steps.RegularBut, steps.OneEach, steps.UsualPR, steps.Narrow},
		{"first-degree-av-block", steps.Regular, steps.OneEach, steps.LongPR, steps.Narrow},
		{"second-degree-av-block-type-1", steps.RegularBut, steps.MoreP, steps.Varies, steps.Narrow},
		{"second-degree-av-block-type-2", steps.RegularBut, steps.MoreP, steps.UsualPR, ""}, // narrow or wide: the block lies below the node
		{"third-degree-av-block", steps.Regular, steps.MoreP, steps.NoPR, steps.Narrow},
		{"left-bundle-branch-block", steps.Regular, steps.OneEach, steps.UsualPR, steps.Wide},
		{"pre-excitation", steps.Regular, steps.OneEach, steps.ShortPR, steps.Wide},
		{"premature-ventricular-beats", steps.RegularBut, steps.SomeP, steps.UsualPR, steps.Both},
		{"monomorphic-ventricular-tachycardia", steps.Regular, steps.NoP, steps.NoPR, steps.Wide},
		{"coarse-ventricular-fibrillation", steps.Untold, steps.NoP, steps.NoPR, steps.Untold},
		{"ventricular-pacing", steps.Regular, steps.NoP, steps.NoPR, steps.Wide},
	} {
		for seed := uint64(1); seed <= 3; seed++ {
			s := seen(t, c.id, ecg.Years(6), seed)
			for q, answer := range map[ledger.Question]string{ledger.Regularity: c.regular, ledger.PWaves: c.p, ledger.PR: c.pr, ledger.QRS: c.qrs} {
				if answer == "" {
					continue
				}
				m, err := s.Mark(q, answer)
				require.NoError(t, err)
				assert.Equal(t, ledger.Right, m.Verdict, "%s, seed %d, %s %s: %s %v", c.id, seed, q, answer, m.Words, m.Right)
			}
		}
	}
}

// beats makes marks with the given RR (s), a PR and a QRS.
func beats(pr, qrs float64, rr ...float64) ecg.Marks {
	var m ecg.Marks
	at := 0.5
	for i := range len(rr) + 1 {
		b := ecg.Beat{QRS: ecg.Span{Onset: at, Peak: at + qrs/2, Offset: at + qrs}}
		if pr > 0 {
			b.P = ecg.Span{Onset: at - pr, Peak: at - pr + 0.03, Offset: at - pr + 0.06}
			m.P = append(m.P, b.P)
		}
		m.Beats = append(m.Beats, b)
		if i < len(rr) {
			at += rr[i]
		}
	}
	return m
}

func even(n int, rr float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = rr
	}
	return out
}

func verdict(t *testing.T, s steps.Seen, q ledger.Question, answer string) ledger.Verdict {
	t.Helper()
	m, err := s.Mark(q, answer)
	require.NoError(t, err)
	assert.Equal(t, m.Verdict == ledger.Right, m.Correct)
	return m.Verdict
}

// A QRS more or less in six seconds is ten a minute (six-second method, common practice);
// the limits of an adult are 60 and 100 a minute (general usage).
func TestRateIsMarkedByWhatCanBeCounted(t *testing.T) {
	adult := ecg.Years(40)
	s := steps.See(beats(0.16, 0.09, even(12, 0.75)...), 0, 10, adult, 0.025, false) // 80 a minute
	for rate, want := range map[string]ledger.Verdict{
		"80": ledger.Right, "70": ledger.Right, "90": ledger.Right, "69": ledger.Wrong, "91": ledger.Wrong, "0": ledger.Wrong,
	} {
		assert.Equal(t, want, verdict(t, s, ledger.Rate, rate), rate)
	}
	// 115 a minute is fast and more than a tenth above 100: 98 is near, and called usual.
	fast := steps.See(beats(0.16, 0.09, even(18, 60/115.0)...), 0, 10, adult, 0.025, false)
	assert.Equal(t, ledger.Right, verdict(t, fast, ledger.Rate, "104"))
	assert.Equal(t, ledger.Wrong, verdict(t, fast, ledger.Rate, "98"), "beyond ten and a tenth")
	slow := steps.See(beats(0.16, 0.09, even(6, 60/53.0)...), 0, 10, adult, 0.025, false)
	assert.Equal(t, ledger.Near, verdict(t, slow, ledger.Rate, "62"), "53 is slow, 62 is not")
	// 96 a minute lies within a tenth of the limit: 103 is not held against the learner.
	edge := steps.See(beats(0.16, 0.09, even(15, 60/96.0)...), 0, 10, adult, 0.025, false)
	assert.Equal(t, ledger.Right, verdict(t, edge, ledger.Rate, "103"))

	none := steps.See(ecg.Marks{}, 0, 10, adult, 0.025, false)
	assert.Equal(t, ledger.Right, verdict(t, none, ledger.Rate, "0"))
	assert.Equal(t, ledger.Wrong, verdict(t, none, ledger.Rate, "60"))
	for _, bad := range []string{"", "fast", "-3", "1000", "80.5"} {
		_, err := s.Mark(ledger.Rate, bad)
		assert.Error(t, err, bad)
	}
}

// Wide is 0.12 s in an adult (Surawicz 2009), long PR above 0.20 s (general usage): within
// a dot of it either side is right, beyond it one.
func TestWithinADotOfALimitEitherSideIsRight(t *testing.T) {
	adult := ecg.Years(40)
	const dot = 0.0125
	for qrs, want := range map[float64][2]ledger.Verdict{
		0.085: {ledger.Right, ledger.Wrong}, 0.115: {ledger.Right, ledger.Right}, 0.125: {ledger.Right, ledger.Right}, 0.150: {ledger.Wrong, ledger.Right},
	} {
		s := steps.See(beats(0.16, qrs, even(12, 0.75)...), 0, 10, adult, dot, false)
		assert.Equal(t, want, [2]ledger.Verdict{verdict(t, s, ledger.QRS, steps.Narrow), verdict(t, s, ledger.QRS, steps.Wide)}, "QRS %g s", qrs)
	}
	for pr, want := range map[float64][2]ledger.Verdict{
		0.150: {ledger.Right, ledger.Wrong}, 0.240: {ledger.Wrong, ledger.Right},
	} {
		s := steps.See(beats(pr, 0.09, even(12, 0.75)...), 0, 10, adult, dot, false)
		assert.Equal(t, want, [2]ledger.Verdict{verdict(t, s, ledger.PR, steps.UsualPR), verdict(t, s, ledger.PR, steps.LongPR)}, "PR %g s", pr)
	}
}

func TestUnderAnArtifactCannotTellIsRightAsWell(t *testing.T) {
	m := beats(0.16, 0.09, even(12, 0.75)...)
	for _, q := range steps.Order {
		clean := steps.See(m, 0, 10, ecg.Years(40), 0.025, false)
		covered := steps.See(m, 0, 10, ecg.Years(40), 0.025, true)
		answer := steps.Untold
		assert.Equal(t, ledger.Wrong, verdict(t, clean, q, answer), q)
		assert.Equal(t, ledger.Right, verdict(t, covered, q, answer), q)
	}
}

// Every step of every entry, at the ends of childhood and beyond, has an answer that is
// right, among those that are offered.
func TestEveryStepCanBeAnswered(t *testing.T) {
	for _, l := range synth.Lessons() {
		for _, age := range []ecg.Age{ecg.Days(10), ecg.Years(40)} {
			p, err := synth.Open(ecg.Synthetic(l.ID, age, 5))
			if err != nil {
				continue // does not occur at this age
			}
			s := steps.See(p.Marks(0, 12), 2, 12, age, 0.025, l.Family == lesson.Artifact)
			for _, q := range steps.Order {
				m, err := s.Mark(q, steps.Untold)
				require.NoError(t, err)
				require.NotEmpty(t, m.Right)
				assert.LessOrEqual(t, len("Regularity: not so. "+m.Words), 80, "one line of a narrow window: %s", m.Words)
				again, err := s.Mark(q, m.Right[0])
				require.NoError(t, err, "%s %s", l.ID, q)
				assert.True(t, again.Correct, "%s %s %q", l.ID, q, m.Right[0])
				assert.NotEmpty(t, steps.Words(q, m.Right[0]))
			}
		}
	}
}

// The rule that the guide holds is the one its comment states.
func TestTheStepsFadeAndReturn(t *testing.T) {
	g := steps.NewGuide(synth.Lessons())
	offered := []string{"sinus-rhythm", "sinus-tachycardia"}
	n := 0
	strip := func(named bool, wrong ...ledger.Question) {
		n++
		for _, q := range g.Ask(offered) {
			g.Add(ledger.Answer{Subject: "sinus-rhythm", Mode: ledger.Practise, Question: q, Correct: len(wrong) == 0 || wrong[0] != q})
		}
		g.Add(ledger.Answer{ID: fmt.Sprint(n), At: time.Unix(int64(n), 0), Subject: "sinus-rhythm", Mode: ledger.Practise, Question: ledger.Rhythm, Correct: named})
	}
	for range steps.FullStrips {
		assert.Equal(t, steps.Order, g.Ask(offered))
		strip(true, ledger.PR)
	}
	assert.Equal(t, []ledger.Question{ledger.PR}, g.Ask(offered), "only what was wrong of late")
	for range steps.Lately {
		strip(true)
	}
	assert.Empty(t, g.Ask(offered))
	for range steps.FadeStrips {
		strip(true)
	}
	strip(false)
	assert.Empty(t, g.Ask(offered), "one error is none")
	strip(true)
	strip(false)
	assert.Equal(t, steps.Order, g.Ask(offered), "two in five bring them back")
	strip(true)
	strip(true)
	assert.Equal(t, steps.Order, g.Ask(offered), "both are still among the last five")
	strip(true)
	assert.Empty(t, g.Ask(offered))

	assert.Equal(t, steps.Order, g.Ask([]string{"sinus-rhythm", "first-degree-av-block"}), "a family that is new asks for them, whichever it is")
	assert.Empty(t, g.Ask([]string{"sinus-rhythm", "movement"}))
	for range steps.FullStrips {
		g.Add(ledger.Answer{Subject: "first-degree-av-block", Mode: ledger.Check, Question: ledger.Rhythm, Correct: true})
	}
	assert.Equal(t, steps.Order, g.Ask([]string{"first-degree-av-block"}), "check strips are not practice")
}
