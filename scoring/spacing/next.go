package spacing

import (
	"math"
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
	right  float64  // recent share of right answers over all entries
	paired bool     // the last strip was shown side by side
	pairs  map[[2]int]contrast
}

// A contrast is what is known of telling two entries apart.
type contrast struct {
	offered  int     // strips about one with the other among the choices
	proved   float64 // right answers among these; a confusion halves them
	confused float64 // how often one was taken for the other, older ones less
}

func pairOf(i, j int) [2]int { return [2]int{min(i, j), max(i, j)} }

// window is over how many strips the mix of kinds is kept.
const window = 12

// NewLearner is a learner without answers, who begins with the first two entries of
// the course.
func NewLearner(c *Course) *Learner {
	return &Learner{course: c, memory: make([]Memory, len(c.topics)), met: min(2, len(c.topics)), right: target,
		pairs: map[[2]int]contrast{}}
}

// Add takes in an answer. Only the naming of a strip counts; what is done first rests
// on the patient's state as well. Answers on entries the course does not know, and on
// strips shown a second time, are passed over.
func (l *Learner) Add(a ledger.Answer) {
	i, ok := l.course.index[a.Subject]
	if !ok || a.Question != ledger.Rhythm || a.Mode == ledger.Replay {
		return
	}
	l.memory[i] = l.memory[i].After(a)
	others := 0
	against := a.Offered
	if len(against) == 0 { // a name that was written: all there is to go by
		against = []string{a.Chosen}
	}
	for _, id := range against {
		j, ok := l.course.index[id]
		if !ok || j == i {
			continue
		}
		if len(a.Offered) > 0 {
			others++
		}
		p := l.pairs[pairOf(i, j)]
		p.offered++
		if id == a.Chosen && !a.Correct {
			p.confused++
			p.proved /= 2
		} else if a.Correct {
			p.confused *= fades
			p.proved++
		}
		l.pairs[pairOf(i, j)] = p
	}
	l.beside(a, i, others)
	if a.Correct {
		l.right += learned / 2 * (1 - l.right)
	} else {
		l.right -= learned / 2 * l.right
	}
	if len(l.last) == window {
		l.last = append(l.last[:0], l.last[1:]...)
	}
	l.last = append(l.last, i)
	l.met = max(l.met, i+1)
}

// beside counts a strip shown with one other choice for the newer of the two.
func (l *Learner) beside(a ledger.Answer, i, others int) {
	l.paired = others == 1
	if !l.paired {
		return
	}
	newer := i
	for _, id := range a.Offered {
		if j, ok := l.course.index[id]; ok {
			newer = max(newer, j)
		}
	}
	l.memory[newer].Paired++
	if newer == i {
		l.memory[newer].PairedAs++
	}
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
	brought    = 0.75 // recent share of right answers from which another entry comes in
	sitting    = 8 * time.Hour
	worth      = 0.25 // how exposed each arrest may be when a check is worth taking
	rested     = 0.1  // of the need of what was right twice in this sitting: spaced, not massed
	secured    = 0.65 // how exposed the arrests may be when other entries come in
	urge       = 2.0  // how much more is wanted of a pair that is not proved apart
	proofs     = 24   // right answers that prove an arrest apart from a look-alike
	half       = 0.5  // how exposed the arrests may be when other pressing strips count as much
	waiting    = 9    // pairs of two pressing entries that may wait for their turn
	openPairs  = 5    // pairs met side by side at a time
	apart      = 2    // strips between two of a pair
	fades      = 0.6  // what a right answer leaves of an earlier confusion
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
		return l.step(i, l.set(i, rng), rng)
	}
	if l.met < len(l.course.topics) && l.ready() {
		l.met++
	}
	if i, ok := l.pair(); ok {
		return l.pairStep(i, rng)
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

// pair is the entry met side by side whose turn it is: the first of which neither half
// was among the last strips.
func (l *Learner) pair() (int, bool) {
	if l.paired && l.met > 2 {
		return 0, false
	}
	for i := range l.met {
		j := l.course.with[i]
		if l.alarming(i) && l.crowded(0.25) || l.pressing(i, j) && l.crowded(0.40) {
			continue // let something calm come between
		}
		if l.open(i) && !l.recent(i, apart) && !l.recent(j, apart) {
			return i, true
		}
	}
	return 0, false
}

// alarming reports whether both halves of the pair of an entry are pressing, pressing
// whether one of two entries is; there may be no second, -1.
func (l *Learner) alarming(i int) bool {
	j := l.course.with[i]
	return j >= 0 && l.pressing(i, -1) && l.pressing(j, -1)
}

func (l *Learner) pressing(i, j int) bool {
	return l.course.topics[i].Kind.pressing() || j >= 0 && l.course.topics[j].Kind.pressing()
}

// crowded reports whether more than a share of the last strips were pressing.
func (l *Learner) crowded(share float64) bool {
	n := 0
	for _, i := range l.last {
		if l.pressing(i, -1) {
			n++
		}
	}
	return float64(n) > share*float64(len(l.last))
}

// open reports whether an entry is still being met side by side.
func (l *Learner) open(i int) bool {
	return l.course.with[i] >= 0 && l.memory[i].Paired < sideBySide
}

func (l *Learner) pairStep(i int, rng *rand.Rand) Step {
	j := l.course.with[i]
	left := sideBySide - l.memory[i].Paired
	mine := sideBySide/2 - l.memory[i].PairedAs
	subject := j
	if mine > 0 && (mine == left || rng.Float64()*float64(left) < float64(mine)) {
		subject = i
	}
	s := l.step(subject, []int{i, j}, rng)
	s.Stage = SideBySide
	return s
}

// ready reports whether another entry may come in: few are being met side by side (pairs
// of two pressing ones wait for their turn and keep nothing else out), most
// answers are right, and what has nothing to do with an arrest waits until the arrests
// are half proved.
func (l *Learner) ready() bool {
	n, alarms := 0, 0
	for i := range l.met {
		switch {
		case l.open(i) && l.alarming(i):
			alarms++
		case l.open(i):
			n++
		}
	}
	return n < openPairs && alarms < waiting && l.right >= brought && (l.nearArrest(l.met) || l.exposed() <= secured)
}

// nearArrest reports whether an entry is an arrest or taken for one.
func (l *Learner) nearArrest(i int) bool {
	for j, t := range l.course.topics {
		if t.Kind == Arrest && (j == i || l.course.likes[i][j]) {
			return true
		}
	}
	return false
}

// Worth reports whether a check is worth taking: every arrest has been brought in, and
// has been told apart so often from what it is taken for that a check would hardly be
// missed by practice alone. A check taken before tells little, and passing one by luck
// tells something false.
func (l *Learner) Worth() bool {
	for i, t := range l.course.topics {
		if t.Kind == Arrest && (i >= l.met || l.dangerous(i) > worth || l.memory[i].Level < subtleFrom) {
			return false
		}
	}
	return true
}

// exposed is the mean of dangerous over the arrests brought in.
func (l *Learner) exposed() float64 {
	sum, n := 0.0, 0
	for i := range l.met {
		if l.course.topics[i].Kind == Arrest {
			sum += l.dangerous(i)
			n++
		}
	}
	return sum / float64(max(n, 1))
}

// need is how much an entry is in want of practice: by how little it is known, and,
// the more it matters, by how plain the strips still are on which it is known. An
// arrest, and what is taken for one, is in want until the two have been told apart often
// enough.
func (l *Learner) need(i int, now time.Time) float64 {
	m, kind := l.memory[i], l.course.topics[i].Kind
	d := l.dangerous(i)
	least, subtle := max(resting, d), 0.3
	if kind == Arrest {
		least, subtle = max(floor, d), 0.6
	}
	known := m.Known(now) * (1 - subtle + subtle*m.Level)
	need := max(1-known, least) * (1 + urge*d)
	if m.Streak > 0 && now.Sub(m.Last) < sitting {
		need *= rested
	}
	return need
}

// dangerous is how far an arrest is from being proved apart from its look-alikes brought
// in that are none, or another entry from the arrests it is taken for, 0 to 1.
func (l *Learner) dangerous(i int) float64 {
	sum, n := 0.0, 0
	for j := range l.met {
		if l.course.likes[i][j] && l.dangerousPair(i, j) {
			sum += l.unproved(i, j)
			n++
		}
	}
	return sum / float64(max(n, 1))
}

func (l *Learner) dangerousPair(i, j int) bool {
	return (l.course.topics[i].Kind == Arrest) != (l.course.topics[j].Kind == Arrest)
}

// unproved is how far two entries, one of them an arrest, are from being proved apart,
// 0 to 1; 0 for any others.
func (l *Learner) unproved(i, j int) float64 {
	if !l.dangerousPair(i, j) {
		return 0
	}
	return max(0, 1-l.pairs[pairOf(i, j)].proved/proofs)
}

// mix leans the choice towards the kinds that are short among the last strips.
func (l *Learner) mix(k Kind) float64 {
	if len(l.last) < window/2 {
		return 1
	}
	calm, urgent, arrest := 0.0, 0.0, 0.0
	each := 1 / float64(len(l.last))
	for _, i := range l.last {
		switch l.course.topics[i].Kind {
		case Calm:
			calm += each
		case Urgent:
			urgent += each
		case Arrest:
			arrest += each
		}
	}
	switch {
	case k == Calm && calm < 0.30, k == Arrest && arrest < 0.26*l.exposed()+0.08, k == Urgent && urgent+arrest < 0.25 && l.exposed() < half:
		return 6
	case k.pressing() && urgent+arrest > 0.32:
		return 0.003
	case k == Urgent && l.exposed() >= half:
		return 0.2
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
		weights[k] = (weights[k] + even*greatest) * l.mix(l.course.topics[i].Kind)
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

// set is an entry with look-alikes that have been brought in, those it was confused with
// first, then those it was least often set against; once it is past its set, one choice
// is any other.
func (l *Learner) set(centre int, rng *rand.Rand) []int {
	n := min(offered, l.met)
	rank := func(i, j int) float64 {
		p := l.pairs[pairOf(i, j)]
		return math.Floor(2*p.confused) + 1/float64(1+p.offered) + 3*l.unproved(i, j)
	}
	return l.course.fill(l.course.alike(centre, n, l.met, rank, rng), n, l.met, rng)
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

// subtleFrom is the level from which strips are subtle.
const subtleFrom = 2.0 / 3

// severity turns a level into the word of the strip's identity.
func severity(level float64) ecg.Severity {
	switch {
	case level < 1.0/3:
		return ecg.Plain
	case level < subtleFrom:
		return ecg.Middle
	}
	return ecg.Subtle
}
