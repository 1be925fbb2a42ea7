package spacing

import (
	"math/rand/v2"
	"slices"
	"time"

	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
)

// A Learner is what the answers of one person say, folded one after the other in the
// order of the ledger. It is not safe for concurrent use.
type Learner struct {
	course *Course
	memory []Memory // by place in the course
	met    int      // the first so many entries of the course have been brought in
	last   []int    // places of the newest strips, newest last, at most window
}

// window is over how many strips the mix of kinds is kept.
const window = 12

// NewLearner is a learner without answers, who begins with the first two entries of
// the course.
func NewLearner(c *Course) *Learner {
	return &Learner{course: c, memory: make([]Memory, len(c.topics)), met: min(2, len(c.topics))}
}

// Add takes in an answer. Only the naming of a strip counts; what is done first rests
// on the patient's state as well. Answers on entries the course does not know, and on
// strips shown a second time, are passed over.
func (l *Learner) Add(a ledger.Answer) {
	i, ok := l.course.index[a.Subject]
	if !ok || a.Question != ledger.Rhythm || a.Mode == ledger.Replay {
		return
	}
	m := l.memory[i].After(a)
	if other, beside := l.besideOnly(a); beside {
		m.Paired++
		if j, ok := l.course.index[other]; ok && j > i {
			l.memory[j].Paired++ // the new one of the pair counts both
			m.Paired--
		}
	}
	l.memory[i] = m
	if len(l.last) == window {
		l.last = append(l.last[:0], l.last[1:]...)
	}
	l.last = append(l.last, i)
	l.met = max(l.met, i+1)
}

// besideOnly reports the one other entry offered, true when there was just one.
func (l *Learner) besideOnly(a ledger.Answer) (other string, one bool) {
	n := 0
	for _, id := range a.Offered {
		if _, ok := l.course.index[id]; ok && id != a.Subject {
			other = id
			n++
		}
	}
	return other, n == 1
}

// Memory is what is known of one entry; false when the course lacks it.
func (l *Learner) Memory(id string) (Memory, bool) {
	i, ok := l.course.index[id]
	if !ok {
		return Memory{}, false
	}
	return l.memory[i], true
}

// Met lists the entries that have been brought in, in their order.
func (l *Learner) Met() []string { return l.course.Order()[:l.met] }

// A Stage is how an entry is met.
type Stage uint8

// Stages.
const (
	SideBySide Stage = iota // with the one look-alike that is known: three and three
	InSet                   // within its look-alikes
	AmongAll                // with something unrelated among the choices
)

// A Step is what to practise next.
type Step struct {
	Subject  string
	Choices  []string // the subject among them, in an order drawn
	Severity ecg.Severity
	Stage    Stage
	New      bool // the subject was not shown before
	Returns  bool // it was answered sure and wrong
}

const (
	sideBySide = 6    // strips of a new pair, three and three
	inSet      = 6    // strips within the look-alikes before all are mixed
	offered    = 4    // choices
	brought    = 0.70 // the mean of what is known of the last entries before another comes in
	lookedBack = 6    // how many of the last entries that mean is over
	floor      = 0.12 // the least need of what must not be missed: never retired
	resting    = 0.02 // of anything else
)

// Next chooses the next strip. The rules, in order:
//
//  1. An entry answered sure and wrong comes back before all else, after two others.
//  2. A new pair is seen through: six strips with these two alone, three and three,
//     every second strip, so that others come between.
//  3. When the entries brought in last are known well enough, the next of the course
//     comes in.
//  4. Else a set is drawn: an entry by need (what it lacks of being known, and what
//     must not be missed never below a floor), with its look-alikes that have been
//     brought in, later with something unrelated. Then the truth is drawn from the set,
//     by need within bounds, so that the choices do not give it away.
//
// Need is weighted so that about one strip in three is urgent or an arrest and at
// least three in ten need nothing done, over the last strips.
func (l *Learner) Next(now time.Time, rng *rand.Rand) Step {
	if i, ok := l.returning(); ok {
		set := l.set(i, rng)
		return l.step(i, set, rng)
	}
	if i, ok := l.pair(); ok {
		return l.pairStep(i, rng)
	}
	if l.met < len(l.course.topics) && l.ready(now) {
		l.met++
		if i, ok := l.pair(); ok {
			return l.pairStep(i, rng)
		}
	}
	centre := l.draw(l.all(), now, 0, rng)
	set := l.set(centre, rng)
	return l.step(l.draw(set, now, 0.25, rng), set, rng)
}

func (l *Learner) all() []int {
	out := make([]int, l.met)
	for i := range out {
		out[i] = i
	}
	return out
}

// recent reports whether an entry was among the last n strips.
func (l *Learner) recent(i, n int) bool {
	return slices.Contains(l.last[max(0, len(l.last)-n):], i)
}

func (l *Learner) returning() (int, bool) {
	for i, m := range l.memory[:l.met] {
		if m.Return && !l.recent(i, 2) {
			return i, true
		}
	}
	return 0, false
}

// pair is the newest entry, while it is met side by side and it is its turn.
func (l *Learner) pair() (int, bool) {
	i := l.met - 1
	if l.course.with[i] < 0 || l.memory[i].Paired >= sideBySide {
		return 0, false
	}
	n := len(l.last)
	if n >= 2 && l.inPair(l.last[n-1], i) && l.inPair(l.last[n-2], i) {
		return 0, false // two of the pair in a row: something else between
	}
	return i, true
}

func (l *Learner) inPair(j, newest int) bool { return j == newest || j == l.course.with[newest] }

func (l *Learner) pairStep(i int, rng *rand.Rand) Step {
	j := l.course.with[i]
	left := sideBySide - l.memory[i].Paired
	mine := max(0, sideBySide/2-l.memory[i].Shown)
	subject := j
	if rng.IntN(left) < mine {
		subject = i
	}
	s := l.step(subject, []int{i, j}, rng)
	s.Stage = SideBySide
	return s
}

// ready reports whether the entries brought in last are known well enough for
// another.
func (l *Learner) ready(now time.Time) bool {
	sum, n := 0.0, 0
	for i := max(0, l.met-lookedBack); i < l.met; i++ {
		if l.memory[i].Shown == 0 {
			return false
		}
		sum += l.memory[i].Known(now)
		n++
	}
	return sum/float64(n) >= brought
}

// need is how much an entry is in want of practice.
func (l *Learner) need(i int, now time.Time) float64 {
	least := resting
	if l.course.topics[i].Kind == Arrest {
		least = floor
	}
	return max(1-l.memory[i].Known(now), least) * l.mix(l.course.topics[i].Kind)
}

// mix leans the choice towards the kinds that are short among the last strips.
func (l *Learner) mix(k Kind) float64 {
	if len(l.last) < 4 {
		return 1
	}
	calm, pressing := 0.0, 0.0
	for _, i := range l.last {
		switch {
		case l.course.topics[i].Kind == Calm:
			calm++
		case l.course.topics[i].Kind.pressing():
			pressing++
		}
	}
	n := float64(len(l.last))
	switch {
	case k == Calm && calm/n < 0.33:
		return 6
	case k.pressing() && pressing/n < 0.34:
		return 4
	case k.pressing() && pressing/n > 0.42:
		return 0.4
	}
	return 1
}

// draw draws one of the places by need, evened out by adding the share even of the
// greatest need to each; not one of the last two strips where there is another.
func (l *Learner) draw(from []int, now time.Time, even float64, rng *rand.Rand) int {
	weights := make([]float64, len(from))
	greatest := 0.0
	for k, i := range from {
		weights[k] = l.need(i, now)
		greatest = max(greatest, weights[k])
	}
	sum := 0.0
	for k, i := range from {
		weights[k] += even * greatest
		if l.recent(i, 2) && len(from) > 3 || l.recent(i, 1) && len(from) > 2 {
			weights[k] *= 0.1
		}
		sum += weights[k]
	}
	at := rng.Float64() * sum
	for k, i := range from {
		if at -= weights[k]; at < 0 {
			return i
		}
	}
	return from[len(from)-1]
}

// set is an entry with its look-alikes that have been brought in, filled up with
// theirs; once it is past its set, one choice is any other.
func (l *Learner) set(centre int, rng *rand.Rand) []int {
	set := []int{centre}
	full := offered
	if l.stage(centre) == AmongAll {
		full--
	}
	add := func(i int) {
		if len(set) < full && i < l.met && !slices.Contains(set, i) {
			set = append(set, i)
		}
	}
	for at := 0; at < len(set) && len(set) < full; at++ {
		likes := l.course.topics[set[at]].LookAlikes
		for _, k := range rng.Perm(len(likes)) {
			if i, ok := l.course.index[likes[k]]; ok {
				add(i)
			}
		}
	}
	full = min(offered, l.met)
	for len(set) < full {
		add(rng.IntN(l.met))
	}
	return set
}

func (l *Learner) stage(i int) Stage {
	if l.memory[i].Shown < sideBySide/2+inSet {
		return InSet
	}
	return AmongAll
}

func (l *Learner) step(subject int, set []int, rng *rand.Rand) Step {
	m := l.memory[subject]
	s := Step{Subject: l.course.topics[subject].ID, Stage: l.stage(subject), New: m.Shown == 0, Returns: m.Return,
		Severity: severity(m.Level)}
	for _, i := range set {
		s.Choices = append(s.Choices, l.course.topics[i].ID)
	}
	rng.Shuffle(len(s.Choices), func(a, b int) { s.Choices[a], s.Choices[b] = s.Choices[b], s.Choices[a] })
	return s
}

// severity turns a level into the word of the strip's identity.
func severity(level float64) ecg.Severity {
	switch {
	case level < 1.0/3:
		return ecg.Plain
	case level < 2.0/3:
		return ecg.Middle
	}
	return ecg.Subtle
}
