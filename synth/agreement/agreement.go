// Package agreement compares a detector's beats with reference annotations, beat by
// beat, in the way of ANSI/AAMI EC57 (as restated for WFDB's bxb; from memory): matched
// within 150 ms, ventricular flutter and fibrillation left out, and the figures of QRS
// and of ventricular ectopic beats for one record, gross and on average.
//
// EC57 also leaves out the first five minutes, for detectors that learn. Nothing is left
// out here: excerpts are shorter than that, and our detector does not learn.
package agreement

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// Window is how far a beat may lie from the reference, s.
const Window = 0.150

// A Class is a beat class of EC57.
type Class uint8

// Classes. None stands for no beat: a reference that was missed, or a detection where
// there is none.
const (
	N    Class = iota // normal, bundle branch block, escape beats from above
	S                 // supraventricular ectopic
	V                 // ventricular ectopic, R-on-T, ventricular escape
	F                 // fusion
	Q                 // paced, or not to be classed
	None              // no beat
	classes
)

// ClassOf is the class of a beat annotation's symbol, false for what is no beat.
func ClassOf(symbol string) (Class, bool) {
	switch symbol {
	case "N", "L", "R", "B", "e", "j", "n":
		return N, true
	case "A", "a", "J", "S":
		return S, true
	case "V", "E", "r":
		return V, true
	case "F":
		return F, true
	case "/", "f", "Q", "?":
		return Q, true
	}
	return None, false
}

// A Beat is one annotated beat.
type Beat struct {
	At    float64 // s
	Class Class
}

// A Span is a stretch of time, s.
type Span struct{ From, To float64 }

// Reference takes the beats from annotations, and the stretches of ventricular flutter
// or fibrillation, from "[" to "]" or to end (s), which are not compared.
func Reference(list []ecg.Annotation, rate, end float64) (beats []Beat, leaveOut []Span) {
	from := math.NaN()
	for _, a := range list {
		at := float64(a.Sample) / rate
		if c, ok := ClassOf(a.Symbol); ok {
			beats = append(beats, Beat{at, c})
		}
		switch {
		case a.Symbol == "[":
			from = at
		case a.Symbol == "]" && !math.IsNaN(from):
			leaveOut = append(leaveOut, Span{from, at})
			from = math.NaN()
		}
	}
	if !math.IsNaN(from) {
		leaveOut = append(leaveOut, Span{from, end})
	}
	return beats, leaveOut
}

// A Table counts beats by reference class (row) and found class (column).
type Table [classes][classes]int

// Plus is the sum of two tables.
func (t Table) Plus(u Table) Table {
	for i := range t {
		for j := range t[i] {
			t[i][j] += u[i][j]
		}
	}
	return t
}

// Compare pairs reference and found beats, both in time order, of a recording that lasts from
// one time to another, s. Each beat is used once; of two that lie within the window of a
// third, the nearer is its partner. Pairs are made before anything is left out: a pair of
// which one lies in a stretch that is left out is not counted, nor is a beat without a
// partner there. A beat without a partner that is nearer to an end of the recording than the
// window is not counted either: its partner may lie beyond.
func Compare(reference, found []Beat, leaveOut []Span, from, to float64) Table {
	ref, got := reference, found
	var t Table
	apart := func(i, j int) float64 { return math.Abs(ref[i].At - got[j].At) }
	out := func(b Beat) bool {
		return b.At < from || b.At > to || slices.ContainsFunc(leaveOut, func(s Span) bool { return b.At >= s.From && b.At <= s.To })
	}
	alone := func(b Beat) bool { return !out(b) && b.At >= from+Window && b.At <= to-Window }
	for i, j := 0, 0; i < len(ref) || j < len(got); {
		switch {
		case j == len(got), i < len(ref) && ref[i].At < got[j].At-Window,
			// The next reference is nearer, and nothing else is nearer to that.
			i+1 < len(ref) && j < len(got) && apart(i+1, j) < apart(i, j) && (j+1 == len(got) || apart(i+1, j) < apart(i+1, j+1)):
			if alone(ref[i]) {
				t[ref[i].Class][None]++
			}
			i++
		case i == len(ref), got[j].At < ref[i].At-Window,
			j+1 < len(got) && apart(i, j+1) < apart(i, j) && (i+1 == len(ref) || apart(i, j+1) < apart(i+1, j+1)):
			if alone(got[j]) {
				t[None][got[j].Class]++
			}
			j++
		default:
			if !out(ref[i]) && !out(got[j]) {
				t[ref[i].Class][got[j].Class]++
			}
			i++
			j++
		}
	}
	return t
}

// A Figure is how well something was found.
type Figure struct {
	TP, FN, FP  int
	Sensitivity float64 // TP/(TP+FN), NaN for none
	Predictive  float64 // positive predictivity, TP/(TP+FP), NaN for none
	FalseRate   float64 // false positive rate, FP over all that should not be found; NaN where that is not counted
}

func figure(tp, fn, fp int) Figure {
	return Figure{tp, fn, fp, float64(tp) / float64(tp+fn), float64(tp) / float64(tp+fp), math.NaN()}
}

// QRS is the figure of all beats, whatever their class.
func (t Table) QRS() Figure {
	tp, fn, fp := 0, 0, 0
	for i := range None {
		for j := range None {
			tp += t[i][j]
		}
		fn += t[i][None]
		fp += t[None][i]
	}
	return figure(tp, fn, fp)
}

// VEB is the figure of ventricular ectopic beats: a fusion beat or one that cannot be
// classed is no false alarm when it is called one.
func (t Table) VEB() Figure {
	fn := 0
	for j := range classes {
		if j != V {
			fn += t[V][j]
		}
	}
	f := figure(t[V][V], fn, t[N][V]+t[S][V]+t[None][V])
	others := 0 // normal and supraventricular beats, whatever they were called
	for j := range classes {
		others += t[N][j] + t[S][j]
	}
	f.FalseRate = float64(f.FP) / float64(others+t[None][V])
	return f
}

// Average is the mean of a figure over records, each with the same weight; records in
// which it is not defined are left out.
func Average(figures []Figure) (sensitivity, predictive float64) {
	mean := func(of func(Figure) float64) float64 {
		sum, n := 0.0, 0
		for _, f := range figures {
			if v := of(f); !math.IsNaN(v) {
				sum += v
				n++
			}
		}
		return sum / float64(n)
	}
	return mean(func(f Figure) float64 { return f.Sensitivity }), mean(func(f Figure) float64 { return f.Predictive })
}
