package spacing

import (
	"math"
	"time"

	"telltrace/scoring/ledger"
)

// A Memory is what the answers say of one learner's memory of one entry.
//
// The model is half-life regression (Settles and Meeder 2016, ACL, "A trainable
// spaced repetition model for language learning"): the chance to recall after a time
// dt is 2^(-dt/h), and h is 2 to the power of a weighted sum of square roots of the
// times answered right and wrong. Two amendments: a right answer counts by how much
// it proved (less when sure of nothing or slow, less when it was asked again at
// once: spacing, as Pavlik and Anderson 2005 found), and a wrong one halves what was
// credited before.
type Memory struct {
	Shown    int       // strips about the entry
	Credit   float64   // right answers, each by how much it proved
	Wrong    float64   // wrong answers; a sure one counts twice
	Skill    float64   // recent share of right answers, 0 to 1, newer ones more
	Last     time.Time // of the last strip
	Level    float64   // of difficulty, 0 plain to 1 subtle
	Paired   int       // strips it was offered side by side with the one met before it
	PairedAs int       // how many of these were about it
	Streak   int       // right answers since the last wrong one
	Return   bool      // last answered sure and wrong: comes back first
}

// Weights of the regression; the half-life is in days. They are chosen, not fitted:
// one right answer carries over a day, four well spaced ones over two weeks.
const (
	weightBias  = -1.5
	weightRight = 2.0
	weightWrong = -0.5
	maxHalfLife = 274.0 // days, as in the paper
	minHalfLife = 15.0 / (24 * 60)
)

// HalfLife is the time after which recall has fallen to one half, in days.
func (m Memory) HalfLife() float64 {
	h := math.Exp2(weightBias + weightRight*math.Sqrt(m.Credit) + weightWrong*math.Sqrt(m.Wrong))
	return min(max(h, minHalfLife), maxHalfLife)
}

// Recall is the estimated chance that the entry is remembered at a moment, 0 to 1;
// 0 for one that was never shown.
func (m Memory) Recall(now time.Time) float64 {
	if m.Shown == 0 {
		return 0
	}
	days := max(now.Sub(m.Last), 0).Hours() / 24
	return math.Exp2(-days / m.HalfLife())
}

// Known is the estimated chance of a right answer at a moment: that it is remembered
// and that it was being told apart.
func (m Memory) Known(now time.Time) float64 { return m.Recall(now) * m.Skill }

// Steps of difficulty: up by upStep on a right answer, down on a wrong one by as much
// more as the target asks (weighted up-down, Kaernbach 1991: the step down over the
// step up is p/(1-p)).
const (
	target   = 0.83
	upStep   = 0.04
	downStep = upStep * target / (1 - target)
)

// slow is the time from which a right answer proves less.
const slow = 20 * time.Second

// learned is the share of the newest answer in Skill.
const learned = 0.25

// After is the memory after an answer about the entry.
func (m Memory) After(a ledger.Answer) Memory {
	recall := m.Recall(a.At)
	if m.Shown == 0 {
		m.Skill = 0.5
	}
	m.Shown++
	m.Streak++
	m.Last = a.At
	m.Return = false
	if a.Correct {
		proved := max(1-recall, 0.15)
		if a.Sure == ledger.Unsure {
			proved *= 0.5
		}
		if a.Took > slow {
			proved *= 0.7
		}
		m.Credit += proved
		m.Level = min(m.Level+upStep, 1)
		m.Skill += learned * (1 - m.Skill)
		return m
	}
	m.Streak = 0
	m.Credit /= 2
	m.Wrong++
	if a.Sure == ledger.Sure {
		m.Wrong++
		m.Return = true
	}
	m.Level = max(m.Level-downStep, 0)
	m.Skill -= learned * m.Skill
	return m
}
