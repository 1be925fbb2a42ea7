package steps

import (
	"slices"

	"telltrace/scoring/ledger"
	"telltrace/synth/lesson"
)

// The steps of a family fade.
const (
	FullStrips = 10 // on so many first strips of a family every step is asked
	FadeStrips = 20 // up to this one, those steps that were wrong of late
	Lately     = 5  // strips
	TooMany    = 2  // names wrong of the last five: every step is asked again
)

// A Guide says on which strips the steps are asked, folded from one learner's answers in
// the order of the ledger. The rule, for each family:
//
//   - on its first FullStrips strips, every step;
//   - up to FadeStrips, only the steps of which one was wrong the last Lately times;
//   - then none, unless TooMany of the last Lately names were wrong: then every step
//     again, until fewer are.
//
// What is asked about a strip goes by the families of all that is offered, so that the
// steps do not tell which it is. Artifacts ask for none of their own.
type Guide struct {
	families map[string]lesson.Family
	by       map[lesson.Family]*record
}

type record struct {
	strips int
	names  []bool // the last names, newest last
	steps  map[ledger.Question][]bool
}

// NewGuide is the guide of somebody who has answered nothing.
func NewGuide(lessons []lesson.Lesson) *Guide {
	g := &Guide{families: make(map[string]lesson.Family, len(lessons)), by: map[lesson.Family]*record{}}
	for _, l := range lessons {
		g.families[l.ID] = l.Family
	}
	return g
}

// Add takes in an answer. Strips shown a second time, and those of checks, drills and
// scenarios, are passed over.
func (g *Guide) Add(a ledger.Answer) {
	family, ok := g.families[a.Subject]
	if !ok || a.Mode != ledger.Practise && a.Mode != ledger.Fresh {
		return
	}
	r := g.by[family]
	if r == nil {
		r = &record{steps: map[ledger.Question][]bool{}}
		g.by[family] = r
	}
	switch {
	case a.Question == ledger.Rhythm:
		r.strips++
		r.names = newest(r.names, a.Correct)
	case slices.Contains(Order, a.Question):
		r.steps[a.Question] = newest(r.steps[a.Question], a.Correct)
	}
}

func newest(list []bool, is bool) []bool {
	list = append(list, is)
	return list[max(0, len(list)-Lately):]
}

// Ask lists the steps to ask on a strip for which these entries are offered, in order.
func (g *Guide) Ask(offered []string) []ledger.Question {
	var out []ledger.Question
	for _, q := range Order {
		if slices.ContainsFunc(offered, func(id string) bool { return g.wants(id, q) }) {
			out = append(out, q)
		}
	}
	return out
}

func (g *Guide) wants(id string, q ledger.Question) bool {
	family, ok := g.families[id]
	if !ok || family == lesson.Artifact {
		return false
	}
	r := g.by[family]
	switch {
	case r == nil || r.strips < FullStrips:
		return true
	case count(r.names, false) >= TooMany:
		return true
	case r.strips < FadeStrips:
		return count(r.steps[q], false) > 0
	}
	return false
}

func count(list []bool, of bool) int {
	n := 0
	for _, b := range list {
		if b == of {
			n++
		}
	}
	return n
}
