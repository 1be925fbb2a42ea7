// Package ectopics marks the counting of early ventricular beats on a minute of strip:
// how many, of how many shapes, how many pairs, the longest run, whether one falls on a T
// wave, and what is done by the values at which an educator wants to be told.
//
// What is counted comes from the engine's marks, shapes from the samples at those marks.
// Start with Count, then Seen.Mark. The values stand in notify.yaml, which an educator may
// edit.
//
// Training only: the values are no order. Local policy and the orders for the patient come
// first; look at the patient before the strip.
package ectopics

import (
	_ "embed"
	"fmt"
	"math"
	"slices"
	"strconv"

	"telltrace/scenarios/strict"
	"telltrace/synth/ecg"
)

// Seconds is how long a strip for counting is, s.
const Seconds = 60

//go:embed notify.yaml
var builtIn []byte

// Values are those at which early ventricular beats are told.
type Values struct {
	Notify struct {
		Count  int `yaml:"count" want:"required; 1..200" doc:"early ventricular beats a minute"`
		Shapes int `yaml:"shapes" want:"required; 2..9" doc:"shapes they have"`
		Pairs  int `yaml:"pairs" want:"required; 1..99" doc:"two in a row, how often"`
	} `yaml:"notify" want:"required" doc:"tell the team, from any of these on"`
	Call struct {
		Run int  `yaml:"run" want:"required; 3..99" doc:"so many in a row"`
		OnT bool `yaml:"on-t" want:"required" doc:"one falls on the T wave before it"`
	} `yaml:"call" want:"required" doc:"stay and call now, from any of these on"`
}

// BuiltIn is the text of the values that come with telltrace, to be edited.
func BuiltIn() []byte { return slices.Clone(builtIn) }

// Default are the values that come with telltrace.
func Default() Values {
	v, err := Parse("notify.yaml", builtIn)
	if err != nil {
		panic(err) // the file is part of the program; a test reads it
	}
	return v
}

// Schema is the JSON Schema of a file of values.
func Schema() map[string]any { return strict.Schema("when early beats are told", Values{}, nil) }

// Words says the values in sentences.
func (v Values) Words() []string {
	onT := ""
	if v.Call.OnT {
		onT = ", or for one on the T wave of a usual beat"
	}
	return []string{
		fmt.Sprintf("The team is told of %d a minute or more, of %d shapes or more, of %d pairs or more.", v.Notify.Count, v.Notify.Shapes, v.Notify.Pairs),
		fmt.Sprintf("Somebody is called at once for a run of %d or more%s.", v.Call.Run, onT),
	}
}

// Parse reads values; file is its name for the faults, which are a strict.Faults: each with
// line and column, and all at once.
func Parse(file string, text []byte) (Values, error) {
	var v Values
	if _, faults := strict.Read(file, text, &v, nil); len(faults) > 0 {
		return v, faults
	}
	return v, nil
}

// Seen is what a minute of strip shows.
type Seen struct {
	Beats  int
	Early  []ecg.Span // the QRS of each early ventricular beat
	Shapes int        // they have
	Pairs  int        // two in a row, not more
	Run    int        // most in a row
	OnT    int        // begin on the T of a usual beat, a drawn dot or more before its end
	nearT  bool       // whether one begins so near to that end that the dot decides
	edge   int        // lie at an end of the strip, where they are easily passed over
}

// dot is what one drawn dot stands for at 25 mm/s, s.
const dot = 0.025

// Count counts the early ventricular beats of a strip by its marks, times from its first
// sample.
func Count(s ecg.Strip, m ecg.Marks) Seen {
	seen := Seen{Beats: len(m.Beats)}
	row := 0
	end := func() {
		if row == 2 {
			seen.Pairs++
		}
		seen.Run = max(seen.Run, row)
		row = 0
	}
	for i, b := range m.Beats {
		if b.Origin != ecg.OriginVentricular {
			end()
			continue
		}
		row++
		seen.Early = append(seen.Early, b.QRS)
		if b.QRS.Onset < 2*dot || b.QRS.Offset > s.Seconds()-2*dot {
			seen.edge++
		}
		if row > 1 || i == 0 || !m.Beats[i-1].T.Present() {
			continue
		}
		switch late := b.QRS.Onset - m.Beats[i-1].T.Offset; {
		case late < -dot:
			seen.OnT++
		case late < dot:
			seen.nearT = true
		}
	}
	end()
	seen.Shapes = shapes(s, seen.Early)
	return seen
}

// alike is the correlation from which two complexes count as one shape.
const alike = 0.90

// shapes sorts complexes by their course over all leads: each is laid on the first of each
// shape so far.
func shapes(s ecg.Strip, at []ecg.Span) int {
	const course = 0.12 // s: the QRS; what follows may lie under the next one
	var firsts [][]float64
	for _, q := range at {
		a, n := int(q.Onset*s.Rate), int(course*s.Rate)
		if len(s.MV) == 0 || a < 0 || a+n > len(s.MV[0]) {
			continue
		}
		var x []float64
		for _, lead := range s.MV {
			x = append(x, lead[a:a+n]...)
		}
		if !slices.ContainsFunc(firsts, func(y []float64) bool { return correlation(x, y) >= alike }) {
			firsts = append(firsts, x)
		}
	}
	return len(firsts)
}

// correlation is that of two rows of one length after Pearson.
func correlation(x, y []float64) float64 {
	var mx, my float64
	for i := range x {
		mx += x[i] / float64(len(x))
		my += y[i] / float64(len(y))
	}
	var xy, xx, yy float64
	for i := range x {
		a, b := x[i]-mx, y[i]-my
		xy, xx, yy = xy+a*b, xx+a*a, yy+b*b
	}
	if xx == 0 || yy == 0 {
		return 0
	}
	return xy / math.Sqrt(xx*yy)
}

// A Quantity is one thing that is told of the strip. Stored by name; append only.
type Quantity string

// Quantities.
const (
	Number   Quantity = "count"
	Shapes   Quantity = "shapes"
	Pairs    Quantity = "pairs"
	Run      Quantity = "run"
	OnT      Quantity = "on-t"
	Decision Quantity = "decision"
)

// Quantities lists them in the order they are asked.
var Quantities = []Quantity{Number, Shapes, Pairs, Run, OnT, Decision}

// Answers that are no figures. Stored; append only.
const (
	Yes    = "yes"
	No     = "no"
	Chart  = "chart"
	Notify = "notify"
	Call   = "call"
)

// Choices are the answers of a quantity; none for a figure, which is typed.
func Choices(q Quantity) []string {
	switch q {
	case OnT:
		return []string{No, Yes}
	case Decision:
		return []string{Chart, Notify, Call}
	}
	return nil
}

// Decide is what the values ask for, and which of them are reached, in words.
func (v Values) Decide(s Seen) (what string, why []string) {
	reached := func(is bool, format string, args ...any) {
		if is {
			why = append(why, fmt.Sprintf(format, args...))
		}
	}
	reached(s.Run >= v.Call.Run, "a run of %d (from %d on)", s.Run, v.Call.Run)
	reached(v.Call.OnT && s.OnT > 0, "on the T wave")
	if len(why) > 0 {
		return Call, why
	}
	reached(len(s.Early) >= v.Notify.Count, "%d a minute (from %d on)", len(s.Early), v.Notify.Count)
	reached(s.Shapes >= v.Notify.Shapes, "%d shapes (from %d on)", s.Shapes, v.Notify.Shapes)
	reached(s.Pairs >= v.Notify.Pairs, "%d pairs (from %d on)", s.Pairs, v.Notify.Pairs)
	if len(why) > 0 {
		return Notify, why
	}
	return Chart, nil
}

// Mark marks an answer; right are the right ones, the best first. Of many beats a tenth
// more or less is near enough, of few none, but for those at an end of the strip; whether
// one falls on a T is left open within a drawn dot; the decision is by what is really
// there, and where that is open, either is right. An answer that is none is refused.
func (s Seen) Mark(v Values, q Quantity, answer string) (right []string, correct bool, err error) {
	figure := func(is, off int) {
		said, wrong := strconv.Atoi(answer)
		if wrong != nil || said < 0 {
			err = fmt.Errorf("%s: %q is no count", q, answer)
			return
		}
		right, correct = []string{strconv.Itoa(is)}, said >= is-off && said <= is+off
	}
	n := len(s.Early)
	switch q {
	case Number:
		figure(n, max(n/10, s.edge))
	case Shapes:
		figure(s.Shapes, 0)
	case Pairs:
		figure(s.Pairs, max(s.Pairs/10, s.edge))
	case Run:
		figure(s.Run, 0)
	case OnT:
		switch {
		case s.open():
			right = []string{No, Yes}
		case s.OnT > 0:
			right = []string{Yes}
		default:
			right = []string{No}
		}
	case Decision:
		first, _ := v.Decide(s)
		right = []string{first}
		if s.open() {
			other := s
			other.OnT = 1
			if second, _ := v.Decide(other); second != first {
				right = append(right, second)
			}
		}
	default:
		err = fmt.Errorf("%q is none of %v", q, Quantities)
	}
	if among := Choices(q); err == nil && among != nil {
		if !slices.Contains(among, answer) {
			return nil, false, fmt.Errorf("%s: %q is none of %v", q, answer, among)
		}
		correct = slices.Contains(right, answer)
	}
	return right, correct, err
}

// open reports whether a drawn dot decides if one falls on a T.
func (s Seen) open() bool { return s.nearT && s.OnT == 0 }
