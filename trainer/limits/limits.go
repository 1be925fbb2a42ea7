// Package limits is the exercise in setting alarm limits: the trend of a patient, two limits,
// and then what they would have done in the day that followed. The patients and the marks are of
// scenarios/limits, the page is of trainer/form.
package limits

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"
	"github.com/guptarohit/asciigraph"

	"telltrace/scenarios/limits"
	"telltrace/scenarios/task"
	"telltrace/trainer/form"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// Part is the exercise's name in the ledger.
const Part = "limits"

// New opens the exercise: one patient of each kind, the usual one first.
func New(env *screen.Env) *form.Model {
	seed := env.Seed()
	return form.New(env, form.Exercise{
		Title: "Alarm limits", Part: Part, Pages: int(limits.Kinds),
		Page: func(number int) (form.Page, error) {
			d := limits.New(limits.Kind(number), rand.New(rand.NewPCG(seed, uint64(number))))
			return form.Page{Task: d.Task, Least: 11, Most: 24, Draw: func(cols, rows int, v []task.Value, marked bool) []string {
				t := trend{minutes: d.Day.Minutes[:d.From], low: int(v[limits.LowField]), high: int(v[limits.HighField])}
				if marked {
					t.minutes, t.events, t.first = d.Day.Minutes[d.From:], d.Day.Events, d.From
				}
				if env.Look.Plain {
					return t.words(rows)
				}
				return t.draw(env.Look, cols, rows)
			}}, nil
		},
	})
}

// A trend is a stretch of a day with the limits.
type trend struct {
	minutes   []limits.Minute
	first     int // the minute of the day that the stretch begins with
	events    []limits.Event
	low, high int
}

// letters stand under the graph for what the patient did; those that come first are shown
// where a column has several.
var letters = []struct {
	letter byte
	is     func(limits.Minute) bool
}{
	{'m', func(m limits.Minute) bool { return m.Movement }},
	{'y', func(m limits.Minute) bool { return m.Doing == limits.Crying }},
	{'c', func(m limits.Minute) bool { return m.Doing == limits.Cared }},
	{'r', func(m limits.Minute) bool { return m.Doing == limits.Resting }},
	{'s', func(m limits.Minute) bool { return true }},
}

const (
	axisCols  = 8 // of the graph's axis
	underRows = 3 // below the graph

	lowest, highest = 0.45, 1.8 // times the middle rate: what is counted beyond is drawn there
)

// draw draws the counted rate and the limits as lines of their own.
func (t trend) draw(l *look.Look, cols, rows int) []string {
	width := max(min(cols-axisCols, 120, len(t.minutes)), 10)
	rates, low, high := make([]float64, width), make([]float64, width), make([]float64, width)
	doings, marks := make([]byte, width), make([]byte, width)
	middle := t.median()
	least, most := math.Inf(1), math.Inf(-1)
	for c := range width {
		from, to := c*len(t.minutes)/width, (c+1)*len(t.minutes)/width
		part := t.minutes[from:to]
		rates[c] = part[0].Counted
		for _, m := range part { // what stands out must be seen
			if math.Abs(m.Counted-middle) > math.Abs(rates[c]-middle) {
				rates[c] = m.Counted
			}
		}
		rates[c] = min(max(rates[c], lowest*middle), highest*middle)
		least, most = min(least, rates[c]), max(most, rates[c])
		low[c], high[c] = float64(t.low), float64(t.high)
		doings[c], marks[c] = letterOf(part), ' '
		for _, e := range t.events {
			if e.From < t.first+to && e.To > t.first+from {
				marks[c] = '^'
			}
		}
	}
	height := max(rows-underRows-1, 2)
	least, most = rounded(min(least, middle*0.7), max(most, middle*1.3), height)
	var series [][]float64
	var signs []asciigraph.CharSet
	for _, limit := range [][]float64{low, high} { // one that lies outside the graph is only written
		if limit[0] >= least && limit[0] <= most {
			series, signs = append(series, limit), append(signs, asciigraph.CreateCharSet("="))
		}
	}
	series, signs = append(series, rates), append(signs, asciigraph.DefaultCharSet) // above the limits
	graph := strings.Split(asciigraph.PlotMany(series, asciigraph.Height(height), asciigraph.Precision(0),
		asciigraph.SeriesChars(signs...), asciigraph.LowerBound(least), asciigraph.UpperBound(most)), "\n")
	pad := strings.Repeat(" ", max(strings.IndexAny(graph[0], "┤┼"), 0)+1)
	for i := range graph {
		graph[i] = ansi.Truncate(graph[i], cols, "")
	}
	out := append(graph, pad+string(doings))
	if t.events != nil {
		out = append(out, pad+strings.TrimRight(string(marks), " "))
	}
	key := fmt.Sprintf("%d h; = limits %d, %d; s sleep r rest c care y crying m movement", len(t.minutes)/60, t.low, t.high)
	if t.events != nil {
		key += " ^ event"
	}
	return append(out, l.Faint.Render(ansi.Truncate(key, cols, "…")))
}

// rounded widens bounds so that each of so many rows is a whole number of fives: every row then
// stands for the number beside it.
func rounded(least, most float64, rows int) (from, to float64) {
	for step := 5.0; ; step += 5 {
		from = step * math.Floor(least/step)
		if to = from + step*float64(rows); to >= most {
			return from, to
		}
	}
}

func letterOf(part []limits.Minute) byte {
	for _, k := range letters {
		if slices.ContainsFunc(part, k.is) {
			return k.letter
		}
	}
	return ' '
}

func (t trend) median() float64 {
	all := make([]float64, len(t.minutes))
	for i, m := range t.minutes {
		all[i] = m.Counted
	}
	slices.Sort(all)
	return all[len(all)/2]
}

// words is the trend as a table, by hour or, for a day, by three: for each doing the middle
// rate, and the extremes.
func (t trend) words(rows int) []string {
	const header = "hours   asleep  rest  care  crying  lowest  highest"
	step := 60
	if len(t.minutes) > 12*60 {
		step = 180
	}
	lines := []string{header}
	for at := 0; at < len(t.minutes); at += step {
		part := t.minutes[at:min(at+step, len(t.minutes))]
		least, most := part[0].Counted, part[0].Counted
		for _, m := range part {
			least, most = min(least, m.Counted), max(most, m.Counted)
		}
		lines = append(lines, fmt.Sprintf("%2d-%-2d   %6s %5s %5s %7s %7.0f %8.0f", at/60, (at+step)/60,
			middle(part, limits.Asleep), middle(part, limits.Resting), middle(part, limits.Cared), middle(part, limits.Crying), least, most))
	}
	return lines[:min(len(lines), rows)]
}

func middle(part []limits.Minute, d limits.Doing) string {
	var all []float64
	for _, m := range part {
		if m.Doing == d && !m.Movement {
			all = append(all, m.Counted)
		}
	}
	if len(all) == 0 {
		return "-"
	}
	slices.Sort(all)
	return fmt.Sprintf("%.0f", all[len(all)/2])
}
