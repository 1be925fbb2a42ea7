// Package report writes what a class or a learner has come to, to be read, printed, filed
// or given to another program. Answers are read once, in a stream; what is kept of each
// learner is small. New, Report.Add for every answer, then Report.Sections; the formats
// (text, HTML, PDF, CSV, JSON) write the same sections, xAPI the sittings.
//
// Training only: a report is no licence to practise. Local policy and the educator decide.
package report

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"telltrace/scoring/drill"
	"telltrace/scoring/items"
	"telltrace/scoring/ledger"
	"telltrace/scoring/progress"
	"telltrace/scoring/readiness"
	"telltrace/scoring/report/pdf"
	"telltrace/scoring/stats"
	"telltrace/synth/lesson"
)

// Settings are what a report is made by.
type Settings struct {
	Class, Learner string // as asked for; "" for all
	Made           time.Time
	Location       *time.Location
	Lessons        []lesson.Lesson
	Rules          readiness.Rules
	Drills         []drill.Drill // whose rules are known
	Caution        string
}

// A Report is one under way.
type Report struct {
	set      Settings
	names    map[string]int // lessons by id
	drills   map[string]drill.Drill
	answers  int
	learners map[string]*learner
	cohorts  map[string]*cohort
	confused map[progress.Pair]int
	firsts   map[string][]ledger.Answer // of each drill whose rules are known, the first finished sittings
	results  []Sitting
}

type learner struct {
	name    string
	n       int
	last    time.Time
	entries []stats.Count // by lesson
	took    progress.Times
	checks  []ledger.Answer
	open    map[string][]ledger.Answer // sittings not finished
	sat     map[string]bool            // drills whose first sitting is kept
	results []int                      // of this learner
	loose   map[string]int             // in results, those of drills whose rules are not known
}

type cohort struct {
	first    time.Time
	named    stats.Count
	took     progress.Times
	learners map[string]bool
}

// A Sitting is a finished drill.
type Sitting struct {
	ID, Learner string
	Drill       string // its title
	Name, Class string
	Began, End  time.Time
	Right       stats.Count
	Known       bool // the rules of the drill are known here, and Passed says something
	Passed      bool
	Dangerous   int
	Why         []string
	Rules       []string
}

// New begins a report.
func New(s Settings) *Report {
	r := &Report{set: s, names: map[string]int{}, drills: map[string]drill.Drill{}, learners: map[string]*learner{},
		cohorts: map[string]*cohort{}, confused: map[progress.Pair]int{}, firsts: map[string][]ledger.Answer{}}
	for i, l := range s.Lessons {
		r.names[l.ID] = i
	}
	for _, d := range s.Drills {
		r.drills[d.Part()] = d
	}
	return r
}

// Add takes in an answer. Those of one learner come in the order of the ledger.
func (r *Report) Add(a ledger.Answer) {
	r.answers++
	l := r.learners[a.Learner]
	if l == nil {
		l = &learner{name: a.Learner, entries: make([]stats.Count, len(r.set.Lessons)), open: map[string][]ledger.Answer{}, loose: map[string]int{}, sat: map[string]bool{}}
		r.learners[a.Learner] = l
	}
	l.n++
	l.last = a.At
	c := r.cohorts[a.Class]
	if c == nil {
		c = &cohort{first: a.At, learners: map[string]bool{}}
		r.cohorts[a.Class] = c
	}
	if a.At.Before(c.first) {
		c.first = a.At
	}
	c.learners[a.Learner] = true
	if at, known := r.names[a.Subject]; known && a.Question == ledger.Rhythm && a.Mode != ledger.Replay {
		l.entries[at].Add(a.Correct)
		c.named.Add(a.Correct)
		if a.Correct {
			l.took.Add(a.Took)
			c.took.Add(a.Took)
		} else if _, known := r.names[a.Chosen]; known {
			r.confused[progress.Pair{Shown: a.Subject, Chosen: a.Chosen}]++
		}
	}
	switch a.Mode {
	case ledger.Check:
		l.checks = append(l.checks, a)
	case ledger.Drill:
		r.sit(l, a)
	}
}

// sit holds the answers of a sitting until it is finished, then what it came to.
func (r *Report) sit(l *learner, a ledger.Answer) {
	id, n, of, ok := ledger.SittingOf(a.Presentation)
	if !ok {
		return
	}
	if l.open[id] == nil {
		for other := range l.loose { // nothing follows there any more
			delete(l.open, other)
		}
	}
	l.open[id] = append(l.open[id], a)
	if n < of {
		return
	}
	all := l.open[id]
	s := Sitting{ID: id, Learner: l.name, Drill: drill.NameOf(a.Part), Name: drill.NameOf(a.Part), Class: a.Class, Began: all[0].At, End: a.At}
	if d, known := r.drills[a.Part]; known {
		sat := d.Sittings(all)
		if len(sat) == 0 || !sat[0].Finished(d) {
			return
		}
		result := d.Decide(sat[0])
		s.Drill, s.Known, s.Passed, s.Right, s.Dangerous = d.Title, true, result.Passed, result.Right, result.Dangerous
		s.Why, s.Rules = result.Why, d.Words()
	} else {
		for _, one := range all {
			s.Right.Add(one.Correct)
			if one.Verdict == ledger.Critical {
				s.Dangerous++
			}
		}
		// Without the rules nobody knows how many questions the last strip has.
		if i, there := l.loose[id]; there {
			r.results[i] = s
			return
		}
		l.loose[id] = len(r.results)
		l.results = append(l.results, len(r.results))
		r.results = append(r.results, s)
		return
	}
	delete(l.open, id)
	if !l.sat[a.Part] {
		l.sat[a.Part] = true
		for _, one := range all {
			one.Offered, one.Looked = nil, nil // what no figure needs
			r.firsts[a.Part] = append(r.firsts[a.Part], one)
		}
	}
	l.results = append(l.results, len(r.results))
	r.results = append(r.results, s)
}

// A Section is a part of a report: sentences, then a table.
type Section struct {
	Title string     `json:"title"`
	Lines []string   `json:"lines"`
	Head  []string   `json:"columns"`
	Rows  [][]string `json:"rows"`
	After []string   `json:"after,omitempty"` // sentences below the table
	Bars  []float64  `json:"-"`               // shares to draw beside the rows, 0 to 1; empty for none
	Apart bool       `json:"-"`               // on a page of its own
}

// nameLength is how much of a name is shown, letters.
const nameLength = 60

func harmless(name string) string {
	return cmp.Or(pdf.Harmless(name, nameLength), "(no name)")
}

// Title is that of the report.
func (r *Report) Title() string {
	switch {
	case r.set.Learner != "":
		return "Report on " + harmless(r.set.Learner)
	case r.set.Class != "":
		return "Report on the class " + harmless(r.set.Class)
	}
	return "Report on all learners"
}

// Sections are the contents of the report. The order is: readiness, practice, what must
// not be missed, confusions, times by cohort, items, an orientation record for each learner.
func (r *Report) Sections() []Section {
	people := slices.SortedFunc(maps.Values(r.learners), func(a, b *learner) int { return cmp.Compare(a.name, b.name) })
	out := []Section{{Title: "Summary", Lines: []string{
		fmt.Sprintf("%d answers of %d learners; made %s.", r.answers, len(people), r.day(r.set.Made)), r.set.Caution}}}
	decisions := make([]readiness.Decision, len(people))
	ready := Section{Title: "Readiness", Head: []string{"learner", "where", "since", "due", "named right", "median time", "last answer"}, Lines: r.set.Rules.Words()}
	practise := Section{Title: "Who needs which practice", Head: []string{"learner", "practise", "wanted for readiness"}}
	for i, l := range people {
		d := readiness.Decide(r.set.Rules, l.checks, r.set.Lessons, r.set.Made, r.set.Location)
		decisions[i] = d
		ready.Rows = append(ready.Rows, []string{harmless(l.name), d.Status.String(), r.day(d.Since), r.day(d.Due), l.named().String(), seconds(l.took), r.day(l.last)})
		ready.Bars = append(ready.Bars, l.named().Share())
		wanted := join(d.Lacking)
		if d.Blocks == 0 {
			wanted = "a first readiness check"
		}
		practise.Rows = append(practise.Rows, []string{harmless(l.name), r.weak(l), wanted})
	}
	out = append(out, ready, practise, r.mustNotMiss(people), r.confusions(), r.trend())
	out = append(out, r.itemSections()...)
	for i, l := range people {
		if s, ok := r.record(l, decisions[i]); ok {
			out = append(out, s)
		}
	}
	return out
}

func (l *learner) named() (c stats.Count) {
	for _, e := range l.entries {
		c = c.Plus(e)
	}
	return c
}

// Practice is advised for entries seen often enough, of which too few were named.
const (
	weakSeen  = 3
	weakShare = 0.7
	weakMost  = 4
)

// weak lists the entries a learner names worst.
func (r *Report) weak(l *learner) string {
	var at []int
	for i, c := range l.entries {
		if c.N >= weakSeen && c.Share() < weakShare {
			at = append(at, i)
		}
	}
	slices.SortStableFunc(at, func(a, b int) int { return cmp.Compare(l.entries[a].Share(), l.entries[b].Share()) })
	var words []string
	for _, i := range at[:min(len(at), weakMost)] {
		words = append(words, fmt.Sprintf("%s (%s)", r.set.Lessons[i].Name, l.entries[i]))
	}
	return join(words)
}

func (r *Report) mustNotMiss(people []*learner) Section {
	s := Section{Title: "What must not be missed", Head: []string{"rhythm", "named right", "share", "95 % interval", "learners who named one wrong"}}
	for i, lesson := range r.set.Lessons {
		if !readiness.IsArrest(lesson) {
			continue
		}
		var c stats.Count
		wrong := 0
		for _, l := range people {
			c = c.Plus(l.entries[i])
			if l.entries[i].K < l.entries[i].N {
				wrong++
			}
		}
		low, high := c.Wilson(stats.Z95)
		s.Rows = append(s.Rows, []string{lesson.Name, c.String(), percent(c.Share()), percent(low) + " to " + percent(high), fmt.Sprint(wrong)})
		s.Bars = append(s.Bars, c.Share())
	}
	return s
}

// matrixMost is how many entries the confusion matrix has, those most often confused.
const matrixMost = 12

// confusions is a matrix: rows are what was shown, columns what was chosen.
func (r *Report) confusions() Section {
	weight := map[string]int{}
	for p, n := range r.confused {
		weight[p.Shown] += n
		weight[p.Chosen] += n
	}
	ids := slices.SortedFunc(maps.Keys(weight), func(a, b string) int { return cmp.Or(cmp.Compare(weight[b], weight[a]), cmp.Compare(a, b)) })
	ids = ids[:min(len(ids), matrixMost)]
	s := Section{Title: "What was taken for what", Head: []string{"shown", "named right"},
		Lines: []string{"A row is what the strip showed, a column the number under which it was named. The entries most often confused."}}
	if len(ids) == 0 {
		s.Lines = []string{"Nothing was taken for anything else."}
	}
	for i := range ids {
		s.Head = append(s.Head, fmt.Sprint(i+1))
	}
	for i, shown := range ids {
		var right stats.Count
		for _, l := range r.learners {
			right = right.Plus(l.entries[r.names[shown]])
		}
		row := []string{fmt.Sprintf("%d %s", i+1, r.set.Lessons[r.names[shown]].Name), right.String()}
		for _, chosen := range ids {
			cell := ""
			if n := r.confused[progress.Pair{Shown: shown, Chosen: chosen}]; n > 0 {
				cell = fmt.Sprint(n)
			}
			row = append(row, cell)
		}
		s.Rows = append(s.Rows, row)
	}
	return s
}

func (r *Report) trend() Section {
	s := Section{Title: "Cohorts, in the order of their first answer", Head: []string{"class", "first answer", "learners", "named right", "share", "95 % interval", "median time"}}
	names := slices.SortedFunc(maps.Keys(r.cohorts), func(a, b string) int {
		return cmp.Or(r.cohorts[a].first.Compare(r.cohorts[b].first), cmp.Compare(a, b))
	})
	for _, name := range names {
		c := r.cohorts[name]
		low, high := c.named.Wilson(stats.Z95)
		shown := "alone"
		if name != "" {
			shown = harmless(name)
		}
		s.Rows = append(s.Rows, []string{shown, r.day(c.first), fmt.Sprint(len(c.learners)), c.named.String(), percent(c.named.Share()), percent(low) + " to " + percent(high), seconds(c.took)})
		s.Bars = append(s.Bars, c.named.Share())
	}
	return s
}

func (r *Report) itemSections() (out []Section) {
	for _, part := range slices.Sorted(maps.Keys(r.firsts)) {
		d := r.drills[part]
		out = append(out, itemSection(d, items.Build(d, r.firsts[part])))
	}
	return out
}

// record is the orientation record of a learner; false where there is nothing to file.
func (r *Report) record(l *learner, d readiness.Decision) (Section, bool) {
	s := Section{Title: "Orientation record: " + harmless(l.name), Apart: true, Head: []string{"what", "when", "right", "dangerous", "result"}}
	rules := map[string]bool{}
	for _, at := range l.results {
		one := r.results[at]
		result := "rules not known here"
		if one.Known {
			result = map[bool]string{true: "passed", false: "not passed: " + join(one.Why)}[one.Passed]
		}
		s.Rows = append(s.Rows, []string{harmless(one.Drill), r.day(one.End), one.Right.String(), fmt.Sprint(one.Dangerous), result})
		if one.Known && !rules[one.Name] {
			rules[one.Name] = true
			s.Lines = append(s.Lines, "Rules of "+one.Drill+": "+join(one.Rules))
		}
	}
	if d.Blocks > 0 {
		s.Rows = append(s.Rows, []string{fmt.Sprintf("readiness check, %d blocks", d.Blocks), r.day(l.checks[len(l.checks)-1].At), d.Tally.Arrest.String() + " arrests", fmt.Sprint(d.Tally.Critical), d.Status.String()})
		s.Lines = append(s.Lines, "Rules of the readiness check: "+join(r.set.Rules.Words()))
	}
	const room = ", date: ______________________________"
	s.After = []string{"Learner" + room, "Educator" + room, r.set.Caution}
	return s, len(s.Rows) > 0
}

func (r *Report) day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.In(r.set.Location).Format(time.DateOnly)
}

func percent(x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}

func seconds(t progress.Times) string {
	if t.N == 0 {
		return ""
	}
	return fmt.Sprintf("%.1f s", t.Median().Seconds())
}
