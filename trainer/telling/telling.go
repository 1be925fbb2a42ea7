// Package telling finds what tells two strips apart as they are drawn: the first thing
// in the order of reading that differs by at least three dots, and where on each of
// them it is. It looks at marks and samples, never at names, so that what it points
// at can be seen.
package telling

import (
	"fmt"
	"math"
	"slices"

	"telltrace/synth/ecg"
	"telltrace/trainer/paper"
)

// LeastDots is how much must be seen of a difference.
const LeastDots = 3

// A Side is one of two strips: one lead of it, and its marks. Times of the marks are
// strip times, s.
type Side struct {
	Marks ecg.Marks
	MV    []float64
	Rate  float64 // samples per second
	At    float64 // strip time of the first sample, s
}

// A Difference is what tells two strips apart.
type Difference struct {
	What string // as the trade says it: "QRS width"
	Dots float64
	On   [2]paper.Bracket // where it is on each
}

// A finding is one thing on one side: its size and its place. none is set where the
// strip does not have it.
type finding struct {
	size float64 // s or mV
	at   paper.Bracket
	none bool
}

// A feature is one thing to compare.
type feature struct {
	what string
	dots func(paper.View) float64 // per unit of size; nil where only having it counts
	find func(Side) finding
	// lack says how many dots it makes that one side has it and the other not, 0 where
	// that tells nothing by itself.
	lack func(paper.View, finding) float64
}

func along(v paper.View) float64 { return v.DotsPerSecond() }
func up(v paper.View) float64    { return v.DotsPerMV() }

func tall(v paper.View, f finding) float64 { return math.Abs(f.size) * v.DotsPerMV() }

// features are in the order of reading: are there beats, are they regular, P, PR, QRS,
// QT, shapes, and last what is only a matter of height or rate.
var features = []feature{
	{"QRS", nil, qrsHeight, tall},
	{"P that no QRS follows", nil, Side.looseP, tall},
	{"P before QRS", nil, Side.boundP, tall},
	{"QRS width", along, func(s Side) finding { return longest(s, "QRS", ecg.Beat.QRSWidth, qrsOnset) }, nil},
	{"PR change", along, prChange, nil},
	{"PR", along, func(s Side) finding { return middle(s, "PR", ecg.Beat.PR, pOnset) }, nil},
	{"RR change", along, Side.rrChange, nil},
	{"early beats", along, Side.betweenEarly, nil},
	{"shapes of early beats", up, Side.earlyChange, nil},
	{"spike in the pause", up, Side.spikeInPause, nil},
	{"QT", along, func(s Side) finding { return middle(s, "QT", ecg.Beat.QT, qrsOnset) }, nil},
	{"T", up, func(s Side) finding { return s.height("T", func(b ecg.Beat) ecg.Span { return b.T }) }, nil},
	{"ST", up, st, nil},
	{"P height", up, func(s Side) finding { return s.height("P", func(b ecg.Beat) ecg.Span { return b.P }) }, nil},
	{"P change", up, Side.pChange, nil},
	{"QRS height", up, qrsHeight, nil},
	{"RR", along, func(s Side) finding { return s.rr(len(s.Marks.Beats) / 2) }, nil},
	{"between the beats", up, between, nil},
	{"height of the waves", up, whole, nil},
}

func qrsOnset(b ecg.Beat) float64 { return b.QRS.Onset }
func pOnset(b ecg.Beat) float64   { return b.P.Onset }

// Apart finds what tells b from a at the scale of a view; false when nothing that is
// looked for differs by three dots.
func Apart(v paper.View, a, b Side) (Difference, bool) {
	for _, f := range features {
		d := Difference{What: f.what}
		have, other := f.find(a), f.find(b)
		switch {
		case have.none && other.none, f.dots == nil && have.none == other.none:
			continue
		case have.none || other.none:
			if f.lack == nil {
				continue
			}
			has := have
			if have.none {
				has = other
			}
			d.Dots = f.lack(v, has)
		default:
			d.Dots = math.Abs(have.size-other.size) * f.dots(v)
		}
		d.On = [2]paper.Bracket{have.at, other.at}
		if d.Dots >= LeastDots {
			return d, true
		}
	}
	return Difference{}, false
}

// mv is the sample at a strip time; NaN outside.
func (s Side) mv(at float64) float64 {
	if i := int(math.Round((at - s.At) * s.Rate)); i >= 0 && i < len(s.MV) {
		return s.MV[i]
	}
	return math.NaN()
}

// span is the lowest and the highest sample of a stretch; NaN where there is none.
func (s Side) span(from, to float64) (lo, hi float64) {
	a := min(max(int((from-s.At)*s.Rate), 0), len(s.MV))
	b := min(max(int((to-s.At)*s.Rate)+1, a), len(s.MV))
	lo, hi = math.NaN(), math.NaN()
	for _, x := range s.MV[a:b] {
		if !math.IsNaN(x) && !(x >= lo) {
			lo = x
		}
		if !math.IsNaN(x) && !(x <= hi) {
			hi = x
		}
	}
	return lo, hi
}

func (s Side) seconds() float64 { return float64(len(s.MV)) / s.Rate }

// stretch is a place in the middle of the strip where nothing of a kind is.
func (s Side) stretch(seconds float64, text string) paper.Bracket {
	from := s.At + max(s.seconds()-seconds, 0)/2
	return paper.Bracket{From: from, To: from + min(seconds, s.seconds()), Text: text}
}

// length is a finding of a stretch of time, named with its length.
func length(name string, from, seconds float64) finding {
	return finding{size: seconds, at: paper.Bracket{From: from, To: from + seconds, Text: fmt.Sprintf("%s %.0f ms", name, 1000*seconds)}}
}

// lengths are an interval on all beats that have it, shortest first.
func lengths(s Side, name string, of func(ecg.Beat) (float64, bool), onset func(ecg.Beat) float64) []finding {
	var out []finding
	for _, b := range s.Marks.Beats {
		if d, ok := of(b); ok {
			out = append(out, length(name, onset(b), d))
		}
	}
	slices.SortFunc(out, func(a, b finding) int { return compare(a.size, b.size) })
	return out
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	default:
		return 0
	}
}

func middle(s Side, name string, of func(ecg.Beat) (float64, bool), onset func(ecg.Beat) float64) finding {
	all := lengths(s, name, of, onset)
	if len(all) == 0 {
		return finding{none: true}
	}
	return all[len(all)/2]
}

func longest(s Side, name string, of func(ecg.Beat) (float64, bool), onset func(ecg.Beat) float64) finding {
	all := lengths(s, name, of, onset)
	if len(all) == 0 {
		return finding{none: true}
	}
	return all[len(all)-1]
}

// prChange is the longest PR, as much as it is longer than the shortest.
func prChange(s Side) finding {
	all := lengths(s, "PR", ecg.Beat.PR, pOnset)
	if len(all) < 2 {
		return finding{none: true}
	}
	f := all[len(all)-1]
	f.at.Text = fmt.Sprintf("PR %.0f to %.0f ms", 1000*all[0].size, 1000*f.size)
	f.size -= all[0].size
	return f
}

// rr is one of the intervals between beats by its length: 0 the shortest, -1 the
// longest.
func (s Side) rr(which int) finding {
	var all []finding
	for i, b := range s.Marks.Beats {
		if i > 0 {
			from := s.Marks.Beats[i-1].QRS.Onset
			all = append(all, length("RR", from, b.QRS.Onset-from))
		}
	}
	if len(all) == 0 {
		return finding{none: true}
	}
	slices.SortFunc(all, func(a, b finding) int { return compare(a.size, b.size) })
	return all[(which+len(all))%len(all)]
}

// rrChange is the longest RR, as much as it is longer than the shortest.
func (s Side) rrChange() finding {
	f, least := s.rr(-1), s.rr(0)
	if f.none {
		return f
	}
	f.at.Text = fmt.Sprintf("RR %.0f to %.0f ms", 1000*least.size, 1000*f.size)
	f.size -= least.size
	return f
}

// early is the share of the usual RR below which a beat is early.
const early = 0.85

// earlyBeats are those.
func (s Side) earlyBeats() []ecg.Beat {
	usual := s.rr(len(s.Marks.Beats) / 2).size
	var out []ecg.Beat
	for i, b := range s.Marks.Beats {
		if i > 0 && b.QRS.Onset-s.Marks.Beats[i-1].QRS.Onset < early*usual {
			out = append(out, b)
		}
	}
	return out
}

// betweenEarly is the longest stretch from one early beat to the next.
func (s Side) betweenEarly() finding {
	most := finding{none: true}
	beats := s.earlyBeats()
	for i := 1; i < len(beats); i++ {
		f := length("", beats[i-1].QRS.Onset, beats[i].QRS.Onset-beats[i-1].QRS.Onset)
		f.at.Text = fmt.Sprintf("%.1f s to the next early beat", f.size)
		if most.none || f.size > most.size {
			most = f
		}
	}
	return most
}

// wave is a P wave as a finding.
func (s Side) wave(p ecg.Span) finding {
	lo, hi := s.span(p.Onset, p.Offset)
	return finding{size: hi - lo, none: math.IsNaN(hi - lo), at: paper.Bracket{From: p.Onset, To: p.Offset, Text: "P"}}
}

// looseP is a P wave that belongs to no beat, of those before the last QRS: one after it may
// have its QRS where the strip is cut. Where there is none, the place is a stretch without one.
func (s Side) looseP() finding {
	var loose []ecg.Span
	last := math.Inf(1)
	if n := len(s.Marks.Beats); n > 0 {
		last = s.Marks.Beats[n-1].QRS.Onset
	}
	for _, p := range s.Marks.P {
		if p.Present() && p.Onset < last && !slices.ContainsFunc(s.Marks.Beats, func(b ecg.Beat) bool { return b.P.Onset == p.Onset }) {
			loose = append(loose, p)
		}
	}
	if len(loose) == 0 {
		f := finding{none: true, at: s.stretch(0.4, "every P has its QRS")}
		if i := slices.IndexFunc(s.Marks.Beats, func(b ecg.Beat) bool { return b.P.Present() }); i >= 0 {
			f.at.From, f.at.To = s.Marks.Beats[i].P.Onset, s.Marks.Beats[i].QRS.Offset
		} else {
			f.at.Text = "no P"
		}
		return f
	}
	return s.wave(loose[len(loose)/2])
}

// boundP is the P wave of a beat, if at least every second beat has one. Where that
// is not so, the place is before a beat without.
func (s Side) boundP() finding {
	var with, without []ecg.Beat
	for _, b := range s.Marks.Beats {
		if b.P.Present() {
			with = append(with, b)
		} else {
			without = append(without, b)
		}
	}
	switch {
	case len(with) > 0 && len(with) >= len(without):
		return s.wave(with[len(with)/2].P)
	case len(without) > 0:
		q := without[len(without)/2].QRS.Onset
		return finding{none: true, at: paper.Bracket{From: q - 0.2, To: q, Text: "no P before it"}}
	default:
		return finding{none: true, at: s.stretch(0.4, "no P before a QRS")}
	}
}
