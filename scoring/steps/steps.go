// Package steps marks the reading of a strip in the order of the trade: rate, regular
// or not, P, PR, QRS. It also decides on which strips the steps are asked (Guide).
//
// The truth comes from marks: the engine's own of a synthetic strip, or what was read
// back from a recording. What the marks cannot settle, because it lies within a drawn dot
// of a limit or because the published tables disagree, is right on either side.
//
// Start with See, then Seen.Mark.
package steps

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat"

	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/synth/norms"
)

// Order lists the steps in the order of the trade.
var Order = []ledger.Question{ledger.Rate, ledger.Regularity, ledger.PWaves, ledger.PR, ledger.QRS}

// Answers to the steps, as they are kept in the ledger; append only. A rate is kept as
// its figure, beats/min.
const (
	Untold = "cannot-tell" // nothing that can be counted or measured

	Regular    = "regular"
	RegularBut = "regular-but" // but for early or missing beats
	Irregular  = "irregular"

	OneEach = "one-each"
	MoreP   = "more-p"
	SomeP   = "some"
	NoP     = "none"

	ShortPR = "short"
	UsualPR = "usual"
	LongPR  = "long"
	Varies  = "varies"
	NoPR    = "none"

	Narrow = "narrow"
	Wide   = "wide"
	Both   = "both"
)

// A Mark is what one step is worth.
type Mark struct {
	Verdict ledger.Verdict
	Correct bool
	Right   []string // every right answer, the best first
	Words   string   // one sentence: what the marks say
}

// Seen is what marks say of a stretch of a strip.
type Seen struct {
	age         ecg.Age
	dot         float64 // s: what one drawn dot stands for
	rr, pr, qrs []float64
	slow, quick float64 // beats/min: the rate of the whole stretch and of its last six seconds, the lower first
	p, hidden   int     // P waves, and how many of them lie on a QRS or a T
	led         int     // beats with a P that leads to them
	ledSeen     int     // of which the P can be seen
	beats       int
	unreadable  bool
}

// sixSeconds is the stretch of the six-second method: count the QRS in it, times ten
// (common practice).
const sixSeconds = 6

// See takes the marks from one strip time to another, s, for a patient of an age, on a
// strip drawn with dot seconds to a dot. unreadable says that an artifact lies on the
// strip: then "cannot be told" is right beside what the heart really does.
func See(m ecg.Marks, from, to float64, age ecg.Age, dot float64, unreadable bool) Seen {
	s := Seen{age: age, dot: dot, unreadable: unreadable}
	var beats []ecg.Beat
	for _, b := range m.Beats {
		if b.QRS.Onset >= from && b.QRS.Onset < to {
			beats = append(beats, b)
		}
	}
	s.beats = len(beats)
	for i, b := range beats {
		if i > 0 {
			s.rr = append(s.rr, b.QRS.Onset-beats[i-1].QRS.Onset)
		}
		if d, ok := b.QRSWidth(); ok {
			s.qrs = append(s.qrs, d)
		}
		if d, ok := b.PR(); ok {
			s.pr = append(s.pr, d)
			s.led++
			if !covered(b.P, m.Beats) {
				s.ledSeen++
			}
		}
	}
	first, last := from, to
	if s.beats > 1 { // whole cycles
		first, last = beats[0].QRS.Onset, beats[s.beats-1].QRS.Onset
	}
	for _, p := range m.P {
		if p.Onset < first-0.3 || p.Onset >= last {
			continue
		}
		s.p++
		if covered(p, m.Beats) {
			s.hidden++
		}
	}
	if len(s.rr) > 0 {
		s.slow = 60 / stat.Mean(s.rr, nil)
		s.quick = s.slow
		if late := within(beats, to-sixSeconds); late > 0 {
			s.slow, s.quick = min(s.slow, late), max(s.slow, late)
		}
	}
	return s
}

// within is the rate of the beats from a time on, 0 for fewer than two.
func within(beats []ecg.Beat, from float64) float64 {
	i := slices.IndexFunc(beats, func(b ecg.Beat) bool { return b.QRS.Onset >= from })
	if i < 0 || i > len(beats)-2 {
		return 0
	}
	return 60 * float64(len(beats)-1-i) / (beats[len(beats)-1].QRS.Onset - beats[i].QRS.Onset)
}

// covered reports whether a P lies on a QRS or a T.
func covered(p ecg.Span, beats []ecg.Beat) bool {
	return slices.ContainsFunc(beats, func(b ecg.Beat) bool {
		end := max(b.QRS.Offset, b.T.Offset)
		return p.Peak >= b.QRS.Onset && p.Peak < end
	})
}

// Mark marks the answer to a step: a figure for the rate, else one of Choices. An answer
// to the rate that is no figure is refused.
func (s Seen) Mark(q ledger.Question, chosen string) (Mark, error) {
	var right []string
	var near, words string
	switch q {
	case ledger.Rate:
		return s.markRate(chosen)
	case ledger.Regularity:
		right, near, words = s.regularity()
	case ledger.PWaves:
		right, words = s.pWaves()
	case ledger.PR:
		right, words = s.interval()
	case ledger.QRS:
		right, near, words = s.width()
	default:
		return Mark{}, fmt.Errorf("marking a step: %q is none of %v", q, Order)
	}
	if !slices.Contains(Choices(q), chosen) {
		return Mark{}, fmt.Errorf("marking %s: %q is none of %v", q, chosen, Choices(q))
	}
	return s.marked(right, near, words, chosen), nil
}

func (s Seen) marked(right []string, near, words, chosen string) Mark {
	if s.unreadable && !slices.Contains(right, Untold) {
		right = append(right, Untold)
		words += " On this strip it can hardly be seen: \"cannot be told\" is right as well."
	}
	m := Mark{Verdict: ledger.Wrong, Right: right, Words: words}
	switch {
	case slices.Contains(right, chosen):
		m.Verdict, m.Correct = ledger.Right, true
	case near != "" && near == chosen:
		m.Verdict = ledger.Near
	}
	return m
}

// Tolerance of a rate: one QRS more or less in six seconds, or a tenth. Within a tenth of
// a limit of the age, its side is not judged.
const (
	rateWithin = 10.0 // beats/min
	rateShare  = 0.10
)

// ParseRate reads a typed rate, beats/min; 0 is Untold.
func ParseRate(text string) (string, error) {
	text = strings.TrimSpace(text)
	if text == Untold {
		return Untold, nil
	}
	n, err := strconv.Atoi(text)
	switch {
	case err != nil || n < 0 || n > 999:
		return "", fmt.Errorf("%q is no rate: a whole number of beats a minute is wanted, 0 where none can be counted", text)
	case n == 0:
		return Untold, nil
	}
	return strconv.Itoa(n), nil
}

func (s Seen) markRate(chosen string) (Mark, error) {
	chosen, err := ParseRate(chosen)
	if err != nil {
		return Mark{}, err
	}
	if s.beats < 2 {
		words := "No QRS can be counted."
		if s.beats == 1 {
			words = "One QRS alone: no rate can be counted."
		}
		m := s.marked([]string{Untold}, "", words, chosen)
		if said, _ := strconv.Atoi(chosen); s.beats == 1 && chosen != Untold && float64(said) <= rateWithin {
			m.Verdict, m.Correct = ledger.Right, true
		}
		return m, nil
	}
	usual := norms.HeartRate(s.age).Accept
	mean := 60 / stat.Mean(s.rr, nil)
	words := fmt.Sprintf("%.0f a minute: %s (usual at this age: %.0f to %.0f).", mean, side(mean, usual.Low, usual.High), usual.Low, usual.High)
	best := strconv.Itoa(int(math.Round(mean)))
	m := s.marked([]string{best}, "", words, chosen)
	if chosen == Untold || m.Correct {
		return m, nil
	}
	said, _ := strconv.ParseFloat(chosen, 64)
	switch off := max(s.slow-said, said-s.quick, 0); {
	case off > max(rateWithin, rateShare*mean):
	case wrongSide(said, mean, usual.Low) || wrongSide(said, mean, usual.High):
		m.Verdict = ledger.Near
		m.Words += " Yours is near, but on the other side of that limit."
	default:
		m.Verdict, m.Correct = ledger.Right, true
	}
	return m, nil
}

// wrongSide: the limit parts the two, and the truth is a tenth or more away from it.
func wrongSide(said, truth, limit float64) bool {
	return (said < limit) != (truth < limit) && math.Abs(truth-limit) > rateShare*limit
}

func side(x, low, high float64) string {
	switch {
	case x < low:
		return "slow"
	case x > high:
		return "fast"
	}
	return "usual"
}

// Spread of RR, as a share of its middle: up to the first it is regular, from the second
// on it is not (sinus rhythm 0.02 to 0.08, from memory); between them either is right. A
// beat is early or late that is off by more than odd.
const (
	regularTo     = 0.06
	irregularFrom = 0.10
	odd           = 0.12
	oddAtMost     = 0.40 // share of RR that may be odd in a rhythm regular but for these
)

func (s Seen) regularity() (right []string, near, words string) {
	if len(s.rr) < 2 {
		return []string{Untold}, "", "Too few QRS to tell."
	}
	mid := middle(s.rr)
	spread := stat.PopStdDev(s.rr, nil) / stat.Mean(s.rr, nil)
	off := 0
	var rest []float64
	for _, d := range s.rr {
		if math.Abs(d-mid) > odd*mid {
			off++
		} else {
			rest = append(rest, d)
		}
	}
	words = fmt.Sprintf("RR varies by %.0f %%: ", 100*spread)
	few := off > 0 && float64(off) <= oddAtMost*float64(len(s.rr)) && stat.PopStdDev(rest, nil) < regularTo*mid
	switch {
	case spread <= regularTo && off == 0:
		return []string{Regular}, "", words + "regular."
	case spread < irregularFrom && off == 0:
		return []string{Regular, Irregular}, RegularBut, words + "hardly irregular; either is right."
	case few && len(s.rr) >= 4:
		return []string{RegularBut}, Irregular, words + fmt.Sprintf("%d of %d beats come early or late, the others in step.", off, len(s.rr))
	case s.patterned():
		return []string{RegularBut, Irregular}, "", words + "it repeats a pattern."
	case spread < irregularFrom:
		return []string{Irregular, RegularBut, Regular}, "", words + "hardly irregular."
	}
	return []string{Irregular}, RegularBut, words + "irregular."
}

// patterned reports whether RR repeats after two to six beats.
func (s Seen) patterned() bool {
	for lag := 2; lag <= 6 && len(s.rr) >= 2*lag; lag++ {
		worst := 0.0
		for i := lag; i < len(s.rr); i++ {
			worst = max(worst, math.Abs(s.rr[i]-s.rr[i-lag])/s.rr[i])
		}
		if worst < odd {
			return true
		}
	}
	return false
}

func (s Seen) pWaves() (right []string, words string) {
	if s.beats == 0 && s.p == 0 {
		return []string{Untold, NoP}, "No waves that can be told."
	}
	relation := func(p, led int) string {
		cycles := max(s.beats-1, 1)
		switch {
		case p == 0:
			return NoP
		case s.beats < 2 || float64(p) > 1.15*float64(cycles) && p-cycles > 1:
			return MoreP
		case float64(led) >= 0.95*float64(s.beats) || led >= s.beats-1 && s.beats > 4 && led == p:
			return OneEach
		}
		return SomeP
	}
	// The waves that lie on others are hardly seen: with and without them is right, what
	// most of them are first.
	right = []string{relation(s.p, s.led), relation(s.p-s.hidden, s.ledSeen)}
	if 2*s.hidden > s.p {
		slices.Reverse(right)
		if s.led == 0 && s.p < s.beats && !slices.Contains(right, NoP) {
			right = append(right, NoP)
		}
	}
	if right[0] == right[1] {
		right = right[1:]
	}
	words = fmt.Sprintf("%d P to %d QRS, %d lead to one", s.p, s.beats, s.led)
	if s.hidden > 0 {
		words += fmt.Sprintf("; %d lie on a QRS or T", s.hidden)
	}
	return right, words + "."
}

func (s Seen) interval() (right []string, words string) {
	if len(s.pr) == 0 {
		if s.beats == 0 {
			return []string{Untold, NoPR}, "There is no PR without a QRS."
		}
		return []string{NoPR, Untold}, "No P leads to a QRS."
	}
	n := norms.PR(s.age)
	mid := middle(s.pr)
	words = fmt.Sprintf("PR %.0f ms (usual at this age: %.0f to %.0f).", 1000*mid, 1000*n.Accept.Low, 1000*n.Accept.High)
	spread := slices.Max(s.pr) - slices.Min(s.pr)
	if spread > 2*s.dot {
		words = fmt.Sprintf("PR %.0f to %.0f ms (usual at this age: %.0f to %.0f).", 1000*slices.Min(s.pr), 1000*slices.Max(s.pr), 1000*n.Accept.Low, 1000*n.Accept.High)
	}
	best := UsualPR
	if mid < n.Accept.Low {
		best = ShortPR
	} else if mid > n.Accept.High {
		best = LongPR
	}
	right = []string{best}
	add := func(is bool, answer string) {
		if is && !slices.Contains(right, answer) {
			right = append(right, answer)
		}
	}
	add(mid < n.Aim.Low+s.dot, ShortPR)
	add(mid > n.Aim.High-s.dot, LongPR)
	add(mid > n.Accept.Low-s.dot && mid < n.Accept.High+s.dot, UsualPR)
	switch {
	case spread > 3*s.dot:
		right = []string{Varies}
	case spread > 1.5*s.dot:
		add(true, Varies)
	}
	add(s.ledSeen == 0, NoPR)
	return right, words
}

func (s Seen) width() (right []string, near, words string) {
	if len(s.qrs) == 0 {
		return []string{Untold}, "", "There is no QRS."
	}
	limit := norms.WideQRS(s.age)
	mid, least, most := middle(s.qrs), slices.Min(s.qrs), slices.Max(s.qrs)
	words = fmt.Sprintf("QRS %.0f ms (wide at this age: from %.0f).", 1000*mid, 1000*limit.High)
	best := Narrow
	if mid >= limit.High {
		best = Wide
	}
	if least < limit.Low && most >= limit.High && most-least > s.dot {
		words = fmt.Sprintf("QRS %.0f to %.0f ms (wide at this age: from %.0f).", 1000*least, 1000*most, 1000*limit.High)
		return []string{Both}, best, words
	}
	right = []string{best}
	add := func(is bool, answer string) {
		if is && !slices.Contains(right, answer) {
			right = append(right, answer)
		}
	}
	add(mid > limit.Low-s.dot, Wide)
	add(mid < limit.High+s.dot, Narrow)
	add(least < limit.Low+s.dot && most > limit.High-s.dot && most-least > s.dot, Both)
	return right, "", words
}

// middle is the median of some values, at least one.
func middle(x []float64) float64 {
	return stat.Quantile(0.5, stat.Empirical, slices.Sorted(slices.Values(x)), nil)
}
