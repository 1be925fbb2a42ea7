// Package items says how good a drill is as a test: how hard each item is, whether it tells
// good learners from others, what was chosen in its place, how consistent passing is, and who
// stands too near the mark to be judged by one sitting.
//
// Where everyone had the same strips an item is a strip; where each learner had others of the
// same plan it is a cell of the plan: an entry at one severity. Start with Build and
// Table.Analyse.
package items

import (
	"cmp"
	"math"
	"slices"

	"telltrace/scoring/drill"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
)

// An Item is one thing that everybody was asked.
type Item struct {
	Strip    string // identity of the strip; "" where the item is a cell of the plan
	Subject  string
	Severity ecg.Severity
	Question ledger.Question
}

// compare puts items in a fixed order.
func compare(a, b Item) int {
	return cmp.Or(cmp.Compare(a.Subject, b.Subject), cmp.Compare(a.Severity, b.Severity), cmp.Compare(a.Strip, b.Strip), cmp.Compare(a.Question, b.Question))
}

// A Given is what a learner gave on an item.
type Given struct {
	Score  float64  // 1 right, 0 not; a share where a cell had several strips; NaN when it was not asked
	Chosen []string // "" for no answer
}

// A Table is a class against the items of one drill: learners are rows.
type Table struct {
	Learners []string
	Items    []Item
	Given    [][]Given // by learner, then item
}

// Build makes the table of a drill from answers in any order: the first finished sitting of
// each learner. The first alone, as later ones are taken by those who failed.
func Build(d drill.Drill, answers []ledger.Answer) Table {
	byLearner := map[string][]ledger.Answer{}
	for _, a := range answers {
		byLearner[a.Learner] = append(byLearner[a.Learner], a)
	}
	var t Table
	sat := map[string][]ledger.Answer{}
	index := map[Item]int{}
	for learner, list := range byLearner {
		for _, s := range d.Sittings(list) {
			if s.Finished(d) {
				sat[learner] = s.Answers
				t.Learners = append(t.Learners, learner)
				break
			}
		}
		for _, a := range sat[learner] {
			index[itemOf(d, a)] = 0
		}
	}
	slices.Sort(t.Learners)
	for item := range index {
		t.Items = append(t.Items, item)
	}
	slices.SortFunc(t.Items, compare)
	for i, item := range t.Items {
		index[item] = i
	}
	for _, learner := range t.Learners {
		row := make([]Given, len(t.Items))
		n := make([]int, len(t.Items))
		for _, a := range sat[learner] {
			g := index[itemOf(d, a)]
			if a.Correct {
				row[g].Score++
			}
			row[g].Chosen = append(row[g].Chosen, a.Chosen)
			n[g]++
		}
		for i := range row {
			row[i].Score /= float64(n[i]) // NaN when it was not asked
		}
		t.Given = append(t.Given, row)
	}
	return t
}

func itemOf(d drill.Drill, a ledger.Answer) Item {
	item := Item{Subject: a.Subject, Question: a.Question, Severity: ecg.Plain}
	if id, err := ecg.ParseIdentity(a.Strip); err == nil && id.Severity != "" {
		item.Severity = id.Severity
	}
	if d.Same != drill.ForEach {
		item.Strip = a.Strip
	}
	return item
}

// complete are the rows of learners who were asked everything.
func (t Table) complete() (rows [][]float64, learners []string) {
	for l, row := range t.Given {
		out := make([]float64, len(row))
		whole := true
		for i, g := range row {
			out[i] = g.Score
			whole = whole && !math.IsNaN(g.Score)
		}
		if whole {
			rows, learners = append(rows, out), append(learners, t.Learners[l])
		}
	}
	return rows, learners
}
