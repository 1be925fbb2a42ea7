package spacing_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/scoring/spacing"
	"telltrace/synth/ecg"
)

func answerAt(days float64, subject, chosen string, offered ...string) ledger.Answer {
	return ledger.Answer{At: dayZero.Add(time.Duration(days * 24 * float64(time.Hour))), Mode: ledger.Practise, Question: ledger.Rhythm,
		Subject: subject, Offered: offered, Chosen: chosen, Correct: subject == chosen, Sure: ledger.Sure, Took: 5 * time.Second}
}

// The model's own definition: after one half-life the chance to recall is one half
// (Settles and Meeder 2016, equation 1).
func TestHalfLife(t *testing.T) {
	t.Parallel()
	m := spacing.Memory{}.After(answerAt(0, "asystole", "asystole"))
	half := m.Last.Add(time.Duration(m.HalfLife() * 24 * float64(time.Hour)))
	assert.InDelta(t, 0.5, m.Recall(half), 1e-9)
	assert.InDelta(t, 1, m.Recall(m.Last), 1e-9)
	assert.InDelta(t, 1, m.Recall(m.Last.Add(-time.Hour)), 1e-9, "a clock set back is no gain and no loss")
}

// What proves more lengthens the half-life more.
func TestCredit(t *testing.T) {
	t.Parallel()
	half := func(answers ...ledger.Answer) float64 {
		var m spacing.Memory
		for _, a := range answers {
			m = m.After(a)
		}
		return m.HalfLife()
	}
	right := func(days float64) ledger.Answer { return answerAt(days, "asystole", "asystole") }
	wrong := func(days float64) ledger.Answer { return answerAt(days, "asystole", "movement") }
	unsure, slow := right(2), right(2)
	unsure.Sure, slow.Took = ledger.Unsure, time.Minute
	assert.Greater(t, half(right(0), right(2)), half(right(0), right(0.01)), "spaced more than massed")
	assert.Greater(t, half(right(0), right(2)), half(right(0), unsure), "sure more than unsure")
	assert.Greater(t, half(right(0), right(2)), half(right(0), slow), "quick more than slow")
	assert.Less(t, half(right(0), wrong(2)), half(right(0)), "a miss shortens it")
	m := spacing.Memory{}.After(wrong(0))
	assert.True(t, m.Return, "sure and wrong comes back")
	assert.False(t, m.After(right(1)).Return)
}

// The level of difficulty settles where the target share is right (Kaernbach 1991).
func TestLevelSettles(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 1))
	var m spacing.Memory
	right, n := 0, 0
	for k := range 6000 {
		p := 1 - 0.5*m.Level // harder strips are missed more often
		a := answerAt(float64(k)/1000, "asystole", "movement")
		if rng.Float64() < p {
			a = answerAt(float64(k)/1000, "asystole", "asystole")
		}
		m = m.After(a)
		if k > 500 {
			n++
			if a.Correct {
				right++
			}
		}
	}
	assert.InDelta(t, 0.83, float64(right)/float64(n), 0.01)
}

// Normal comes first; what must not be missed and what is taken for it come before what
// has nothing to do with an arrest.
func TestCourse(t *testing.T) {
	t.Parallel()
	order := course.Order()
	assert.Equal(t, "sinus-rhythm", order[0])
	assert.Len(t, order, len(byID))
	sorted := slices.Clone(order)
	slices.Sort(sorted)
	assert.Len(t, slices.Compact(sorted), len(byID), "each once")
	last := 0
	for i, id := range order {
		topic, _ := course.Topic(id)
		if topic.Kind == spacing.Arrest {
			last = i
		}
		if i > 0 {
			assert.True(t, slices.ContainsFunc(topic.LookAlikes, func(o string) bool { return slices.Index(order, o) < i }),
				"%s is a look-alike of something met", id)
		}
	}
	assert.Less(t, last, 20, "the last arrest")
}

// A wrong name that was written, not chosen, is a confusion as well: it is offered with the
// entry more often than before.
func TestAWrittenNameIsAConfusion(t *testing.T) {
	t.Parallel()
	together := func(said string) int {
		l, rng := spacing.NewLearner(course), rand.New(rand.NewPCG(3, 3))
		for k := range 400 {
			now := dayZero.Add(time.Duration(k) * 20 * time.Second)
			s := l.Next(now, rng)
			l.Add(ledger.Answer{At: now, Mode: ledger.Practise, Question: ledger.Rhythm, Subject: s.Subject, Offered: s.Choices, Chosen: s.Subject, Correct: true, Sure: ledger.Sure})
		}
		for range 4 {
			l.Add(ledger.Answer{At: dayZero.Add(3 * time.Hour), Mode: ledger.Practise, Question: ledger.Rhythm, Subject: "movement",
				Chosen: said, Sure: ledger.Unsure})
		}
		n := 0
		for _, s := range l.Ahead(200, dayZero.Add(4*time.Hour), rng) {
			if s.Subject == "movement" && slices.Contains(s.Choices, "coarse-ventricular-fibrillation") {
				n++
			}
		}
		return n
	}
	assert.Greater(t, together("coarse-ventricular-fibrillation"), together("not-sure"))
}

// A plan is what practice then gives, as long as each strip is named right, and looking
// ahead changes nothing.
func TestAheadIsWhatComes(t *testing.T) {
	t.Parallel()
	l, other := spacing.NewLearner(course), spacing.NewLearner(course)
	now := dayZero
	ahead := l.Ahead(40, now, rand.New(rand.NewPCG(5, 5)))
	assert.Equal(t, ahead, l.Ahead(40, now, rand.New(rand.NewPCG(5, 5))))
	rng := rand.New(rand.NewPCG(5, 5))
	for i, planned := range ahead {
		step := other.Next(now, rng)
		require.Equal(t, planned, step, "strip %d", i+1)
		other.Add(ledger.Answer{At: now, Mode: ledger.Practise, Question: ledger.Rhythm, Subject: step.Subject, Offered: step.Choices,
			Chosen: step.Subject, Correct: true, Sure: ledger.Sure, Took: 5 * time.Second})
		now = now.Add(20 * time.Second)
	}
	assert.Len(t, l.Met(), 2, "nothing has been learnt by looking")
}

// The rules of Next, seen over a month of one learner.
func TestNext(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(7, 7))
	s, l := newStudent(course.Order(), laws["power law"], rng), spacing.NewLearner(course)
	pairs := map[string]map[string]int{} // newer entry: how often each half was the truth
	arrests, late := 0, 0
	var sureWrong string
	waited := 0
	for day := range 30 {
		for k := range perDay {
			at := float64(day) + float64(k)/3000
			now := dayZero.Add(time.Duration(at * 24 * float64(time.Hour)))
			step := l.Next(now, rng)
			assert.Contains(t, step.Choices, step.Subject)
			assert.Equal(t, len(slices.Compact(slices.Sorted(slices.Values(step.Choices)))), len(step.Choices), "no choice twice")
			for _, id := range step.Choices {
				assert.Contains(t, l.Met(), id, "only what has been brought in")
			}
			if step.Stage == spacing.SideBySide {
				newer := step.Choices[0]
				if slices.Index(course.Order(), step.Choices[1]) > slices.Index(course.Order(), newer) {
					newer = step.Choices[1]
				}
				if pairs[newer] == nil {
					pairs[newer] = map[string]int{}
				}
				pairs[newer][step.Subject]++
			}
			if sureWrong != "" {
				if waited++; step.Subject == sureWrong {
					sureWrong = ""
				}
				assert.LessOrEqual(t, waited, 6, "sure and wrong comes back soon")
			}
			if day >= 25 {
				late++
				if topic, _ := course.Topic(step.Subject); topic.Kind == spacing.Arrest {
					arrests++
				}
			}
			chosen, sure := s.name(course, step.Subject, step.Choices, step.Severity, at, rng)
			s.learn(step.Subject, chosen, step.Choices, at)
			a := answerAt(at, step.Subject, chosen, step.Choices...)
			if !sure {
				a.Sure = ledger.Unsure
			}
			l.Add(a)
			if sure && !a.Correct && sureWrong == "" {
				sureWrong, waited = step.Subject, 0
			}
		}
	}
	assert.Greater(t, len(pairs), 60)
	for newer, halves := range pairs {
		sum, most := 0, 0
		for _, n := range halves {
			sum, most = sum+n, max(most, n)
		}
		assert.LessOrEqual(t, sum, 6, newer)
		if sum == 6 {
			assert.LessOrEqual(t, most, 4, "%s: three and three, near enough: %v", newer, halves)
		}
	}
	assert.Greater(t, float64(arrests)/float64(late), 0.05, "what must not be missed is never retired")
}

// A clock set back, or an answer that came late from another machine, breaks nothing.
func TestOldClock(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(7, 8))
	l := spacing.NewLearner(course)
	for k := range 200 {
		now := dayZero.AddDate(0, 0, -k)
		step := l.Next(now, rng)
		l.Add(ledger.Answer{At: now, Question: ledger.Rhythm, Mode: ledger.Practise, Subject: step.Subject, Offered: step.Choices, Chosen: step.Subject, Correct: k%5 > 0})
		m, _ := l.Memory(step.Subject)
		assert.False(t, math.IsNaN(m.Recall(dayZero)) || math.IsInf(m.HalfLife(), 0))
		assert.Contains(t, []ecg.Severity{ecg.Plain, ecg.Middle, ecg.Subtle}, step.Severity)
	}
	l.Add(ledger.Answer{Subject: "no such entry", Question: ledger.Rhythm})
}
