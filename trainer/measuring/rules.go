package measuring

import (
	"fmt"
	"math"

	"telltrace/synth/ecg"
	"telltrace/synth/measure"
)

// A quantity is what is measured on a strip.
type quantity uint8

const (
	rate quantity = iota // one RR interval and the rate it stands for
	pr
	qrs
	qt
	quantities
)

func (q quantity) String() string {
	switch q {
	case rate:
		return "Rate"
	case pr:
		return "PR"
	case qrs:
		return "QRS"
	default:
		return "QT"
	}
}

// task says what is to be done.
func (q quantity) task() string {
	switch q {
	case rate:
		return "Measure the rate: one leg on an R wave, the other on the next."
	case pr:
		return "Measure PR: from where P begins to where QRS begins."
	case qrs:
		return "Measure QRS: from where it begins to where it ends."
	default:
		return "Measure QT: from where QRS begins to where T ends."
	}
}

// tolerance is how far an interval may be off, s: half a small box at 25 mm/s. The
// legs move by half of that.
const tolerance = 0.020

// slack keeps a difference that is the tolerance within it in spite of rounding, s.
const slack = 1e-9

// correctedUpTo is the rate, beats/min, above which QTc is not given: the formulas
// are then far from the heart rates they were found at (common practice).
const correctedUpTo = 150

// A span is where the legs belong, s of strip time.
type span struct{ from, to float64 }

func (s span) seconds() float64 { return s.to - s.from }

// spans are all places on a strip where a quantity can be measured.
func (q quantity) spans(beats []ecg.Beat) []span {
	var out []span
	for i, b := range beats {
		switch q {
		case rate:
			if i > 0 {
				out = append(out, span{beats[i-1].QRS.Peak, b.QRS.Peak})
			}
		case pr:
			if d, ok := b.PR(); ok {
				out = append(out, span{b.P.Onset, b.P.Onset + d})
			}
		case qrs:
			if d, ok := b.QRSWidth(); ok {
				out = append(out, span{b.QRS.Onset, b.QRS.Onset + d})
			}
		case qt:
			if d, ok := b.QT(); ok {
				out = append(out, span{b.QRS.Onset, b.QRS.Onset + d})
			}
		}
	}
	return out
}

// nearest is the place the legs are nearest to.
func nearest(spans []span, legs span) span {
	best, away := span{}, math.Inf(1)
	for _, s := range spans {
		if d := math.Abs(s.from-legs.from) + math.Abs(s.to-legs.to); d < away {
			best, away = s, d
		}
	}
	return best
}

// figure writes a measurement as the ledger keeps it: a rate in beats/min, an interval in ms.
func (q quantity) figure(s span) string {
	if q == rate {
		return fmt.Sprintf("%.0f", 60/max(s.seconds(), 0.001))
	}
	return fmt.Sprintf("%.0f", 1000*s.seconds())
}

// A judgement is how a measurement was marked and what is said of it.
type judgement struct {
	right bool
	words string
}

// judge marks what was measured against the truth: within the tolerance and, for a
// QRS, on the right side of wide (s). A rate is right when its interval is.
func (q quantity) judge(measured, truth span, wide float64) judgement {
	have, want := measured.seconds(), truth.seconds()
	j := judgement{right: math.Abs(have-want) <= tolerance+slack}
	if q == rate {
		j.words = fmt.Sprintf("%.0f a minute (RR %.0f ms); yours: %.0f a minute (%.0f ms), %s.",
			60/want, 1000*want, 60/have, 1000*have, j.within())
		return j
	}
	j.words = fmt.Sprintf("%s %.0f ms; yours: %.0f ms, %s.", q, 1000*want, 1000*have, j.within())
	if q == qrs {
		side := "narrow"
		if want >= wide {
			side = "wide"
		}
		j.words += fmt.Sprintf(" It is %s: wide begins at %.0f ms at this age.", side, 1000*wide)
		if (have >= wide) != (want >= wide) {
			j.right = false
			j.words += " Yours falls on the other side, and that decides."
		}
	}
	return j
}

func (j judgement) within() string {
	if j.right {
		return fmt.Sprintf("within %.0f ms", 1000*tolerance)
	}
	return fmt.Sprintf("more than %.0f ms off", 1000*tolerance)
}

// corrected says QTc by two formulas with the rate, or why there is none. qt and rr
// are in s.
func corrected(qt, rr float64) string {
	bpm := 60 / rr
	if bpm > correctedUpTo {
		return fmt.Sprintf("At %.0f a minute QT is not corrected: above about %d no formula holds.", bpm, correctedUpTo)
	}
	return fmt.Sprintf("Corrected at %.0f a minute: %.0f ms (Bazett), %.0f ms (Fridericia).",
		bpm, 1000*measure.Bazett(qt, rr), 1000*measure.Fridericia(qt, rr))
}
