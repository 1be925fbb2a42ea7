// Package norms holds published normal values by age: heart rate, breathing,
// blood pressure, ECG intervals and axis. Every row carries its source and how
// well that source is known here. Start with Bands for the age bands, HeartRate
// for vital signs (vitals.go) and PR for ECG intervals (intervals.go).
//
// Values follow the exact age. A published band stands at its middle on a scale of
// log(1 + age in days), a published exact age at itself, and between two of them
// the values are interpolated linearly on that scale; before the first and after
// the last they stay as they are. Conventions that step at an age (Hypotension,
// WideQRS, the adult heart rate) step here too, and say so.
//
// For synthetic strips used in training; not for the care of patients.
package norms

import (
	"math"
	"slices"
	"strings"

	"telltrace/synth/ecg"
)

// A Spread is a published range with its middle: 2nd, 50th and 98th percentile
// unless its Source says otherwise. Where the source gives no middle, Median is
// halfway between Low and High.
type Spread struct {
	Low, Median, High float64
	Source            string
}

// Contains reports whether x lies in the spread, limits included.
func (s Spread) Contains(x float64) bool { return s.Low <= x && x <= s.High }

// A Norm is what several published tables say together. A generator aims inside
// Aim, where all of them agree; a test accepts Accept, where any of them does.
type Norm struct {
	Aim, Accept Spread
}

// How a figure is known, as it stands at the end of each source.
const (
	seen      = " (read)"
	seenTwice = " (read second-hand)"
	memory    = " (from memory)"
	derived   = " (derived)"
)

// none stands for a middle that the source does not give.
var none = math.NaN()

// A row is one line of a published table: a band from one age up to another, or
// an exact age when both are the same. Ages in days.
type row struct {
	from, to       float64
	low, mid, high float64
	source         string
}

// stands is where the row stands: the middle of its band on the age scale, as
// squared compares it.
func (r *row) stands() float64 { return (1 + r.from) * (1 + r.to) }

// squared is an age as stands compares it. Half its logarithm is the age scale, so an
// order needs no logarithm.
func squared(age ecg.Age) float64 { return (1 + age.Days()) * (1 + age.Days()) }

// share is how far x is from one place to a later one, 0 when they are the same.
func share(x, from, to float64) float64 {
	if from == to {
		return 0
	}
	return math.Log(x/from) / math.Log(to/from)
}

func mix(a, b, share float64) float64 { return a + share*(b-a) }

// A table is the rows of one publication, in order of age. Its last row may be
// an adult range of another source, which the row then names.
type table []row

// at interpolates the table. next is the source of the row after that of the
// spread's Source, "" when it has no part or is the same.
func (t table) at(age ecg.Age) (s Spread, next string) {
	x := squared(age)
	i := 0
	for i < len(t) && t[i].stands() <= x {
		i++
	}
	a, b := &t[max(i-1, 0)], &t[min(i, len(t)-1)]
	w := share(x, a.stands(), b.stands())
	if w > 0 && b.source != a.source {
		next = b.source
	}
	return Spread{mix(a.low, b.low, w), mix(a.centre(), b.centre(), w), mix(a.high, b.high, w), a.source}, next
}

// centre is the published middle, or halfway where there is none.
func (r *row) centre() float64 {
	if math.IsNaN(r.mid) {
		return (r.low + r.high) / 2
	}
	return r.mid
}

// givesMiddle reports whether the publication gives medians or means at all.
func (t table) givesMiddle() bool { return !math.IsNaN(t[0].mid) }

// combine reads all tables at an age. The middle is the mean of the published
// middles, moved inside Aim; tables without a middle have no say in it.
func combine(age ecg.Age, tables ...table) Norm {
	aim := Spread{Low: math.Inf(-1), High: math.Inf(1)}
	accept := Spread{Low: math.Inf(1), High: math.Inf(-1)}
	sources := make([]string, 0, 8)
	sum, n := 0.0, 0.0
	for _, t := range tables {
		s, next := t.at(age)
		aim.Low, aim.High = max(aim.Low, s.Low), min(aim.High, s.High)
		accept.Low, accept.High = min(accept.Low, s.Low), max(accept.High, s.High)
		if t.givesMiddle() {
			sum, n = sum+s.Median, n+1
		}
		sources = appendNew(sources, s.Source)
		if next != "" {
			sources = appendNew(sources, next)
		}
	}
	middle := (aim.Low + aim.High) / 2
	if n > 0 {
		middle = min(max(sum/n, aim.Low), aim.High)
	}
	aim.Median, accept.Median = middle, middle
	if len(sources) == 1 {
		aim.Source, accept.Source = sources[0], sources[0]
		return Norm{aim, accept}
	}
	all := strings.Join(sources, "; ")
	aim.Source, accept.Source = "common to "+all, "any of "+all
	return Norm{aim, accept}
}

func appendNew(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

// Calendar units in days, for writing tables.
const (
	week  = 7.0
	month = ecg.DaysPerMonth
	year  = ecg.DaysPerYear
)

// adultFrom is where the adult rows stand: adult values hold from 16 y on.
const adultFrom = 16 * year
