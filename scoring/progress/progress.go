// Package progress sums up what one learner's answers say: what is recognised, what is
// taken for what, how soon, what was forgotten between days. It is folded from the
// answers in the order of the ledger, so it is the same wherever they are.
//
// Start with Of. Readiness is not decided here but on check strips (scoring/readiness);
// what comes next is chosen by scoring/spacing.
package progress

import (
	"cmp"
	"iter"
	"slices"
	"time"

	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/scoring/readiness"
	"telltrace/scoring/spacing"
	"telltrace/scoring/stats"
	"telltrace/synth/lesson"
)

// A Progress is the sum of a learner's answers to "what does it show?". Strips shown a
// second time are left out: they are known.
type Progress struct {
	Entries    map[string]*Entry
	Families   map[lesson.Family]stats.Count
	Confusions map[Pair]stats.Count // the second chosen for the first, of the times it was offered
	Arrest     stats.Detection      // "is this an arrest?"
	Needs      stats.Detection      // "does this need anything done?"
	Recent     []bool               // of the newest arrest strips: recognised? At most recentKept
	Days       []Day                // days with answers, oldest first
	Forgetting [Gaps]stats.Count    // right answers by days since the entry was last shown

	families map[string]lesson.Family
	kinds    map[string]spacing.Kind
	loc      *time.Location
}

// recentKept is how many of the newest arrest strips a forecast rests on.
const recentKept = 60

// An Entry is what is known of one catalogue entry.
type Entry struct {
	Named stats.Count // right answers
	Took  Times       // of right answers
	Last  time.Time
}

// A Pair is what a strip showed and what was chosen, catalogue ids.
type Pair struct{ Shown, Chosen string }

// A Day is one calendar day's work.
type Day struct {
	Date  time.Time // midnight at the learner's place
	Named stats.Count
	Took  Times // of right answers
}

// Gaps are the classes of Forgetting.
const Gaps = 4

// GapWords names the classes of Forgetting.
func GapWords(class int) string {
	return [Gaps]string{"a day", "two or three days", "four days to a week", "more than a week"}[class]
}

// gapClass is the class of a gap in days, false for none.
func gapClass(days int) (int, bool) {
	switch {
	case days < 1:
		return 0, false
	case days == 1:
		return 0, true
	case days <= 3:
		return 1, true
	case days <= 7:
		return 2, true
	}
	return 3, true
}

// Of folds answers, oldest first. Days are those of loc.
func Of(answers iter.Seq2[ledger.Answer, error], lessons []lesson.Lesson, loc *time.Location) (*Progress, error) {
	p := New(lessons, loc)
	for a, err := range answers {
		if err != nil {
			return nil, err
		}
		p.Add(a)
	}
	return p, nil
}

// New is the progress of somebody who has answered nothing.
func New(lessons []lesson.Lesson, loc *time.Location) *Progress {
	p := &Progress{Entries: map[string]*Entry{}, Families: map[lesson.Family]stats.Count{}, Confusions: map[Pair]stats.Count{},
		families: make(map[string]lesson.Family, len(lessons)), kinds: spacing.Kinds(lessons), loc: loc}
	for _, l := range lessons {
		p.families[l.ID] = l.Family
	}
	return p
}

// Add takes in an answer. Entries the catalogue does not know count for the day alone.
func (p *Progress) Add(a ledger.Answer) {
	if a.Question != ledger.Rhythm || a.Mode == ledger.Replay {
		return
	}
	day := p.day(a.At)
	day.Named.Add(a.Correct)
	if a.Correct {
		day.Took.Add(a.Took)
	}
	family, ok := p.families[a.Subject]
	if !ok {
		return
	}
	p.addEntry(a)
	named := p.Families[family]
	named.Add(a.Correct)
	p.Families[family] = named
	p.addConfusions(a)
	p.detect(a)
}

// ByFamily adds up what a ledger keeps as sums: right names by family, of the entries the
// catalogue knows. It equals Families of the same answers, at once however many they are.
func ByFamily(sums []ledger.Sum, lessons []lesson.Lesson) map[lesson.Family]stats.Count {
	families := make(map[string]lesson.Family, len(lessons))
	for _, l := range lessons {
		families[l.ID] = l.Family
	}
	out := map[lesson.Family]stats.Count{}
	for _, s := range sums {
		if family, ok := families[s.Subject]; ok && s.Named.N > 0 {
			c := out[family]
			c.K += s.Named.Right
			c.N += s.Named.N
			out[family] = c
		}
	}
	return out
}

func (p *Progress) addEntry(a ledger.Answer) {
	e := p.Entries[a.Subject]
	if e == nil {
		e = &Entry{}
		p.Entries[a.Subject] = e
	} else if class, ok := gapClass(p.number(a.At) - p.number(e.Last)); ok {
		p.Forgetting[class].Add(a.Correct)
	}
	e.Named.Add(a.Correct)
	if a.Correct {
		e.Took.Add(a.Took)
	}
	e.Last = a.At
}

func (p *Progress) addConfusions(a ledger.Answer) {
	for _, id := range a.Offered {
		if id == a.Subject || slices.Contains(a.Right, id) {
			continue
		}
		pair := Pair{a.Subject, id}
		c := p.Confusions[pair]
		c.Add(id == a.Chosen)
		p.Confusions[pair] = c
	}
}

// detect counts the answer as a yes or no to "is this an arrest?" and "does this need
// anything done?". A name says yes when it is one in its usual state.
func (p *Progress) detect(a ledger.Answer) {
	kind := p.kinds[a.Subject]
	arrest := readiness.ShowsArrest(kind, a)
	called := readiness.CalledArrest(a, arrest, p.kinds)
	p.Arrest.Add(arrest, called)
	if arrest {
		p.Recent = keepNewest(p.Recent, called)
	}
	says := a.Chosen == scoring.NotSure // checking and calling is something done
	if chosen, ok := p.kinds[a.Chosen]; ok {
		says = chosen != spacing.Calm
	}
	p.Needs.Add(kind != spacing.Calm, says)
}

func keepNewest(list []bool, is bool) []bool {
	if len(list) == recentKept {
		list = append(list[:0], list[1:]...)
	}
	return append(list, is)
}

// day is the day of a moment; answers come in order, but a clock may have been set
// back.
func (p *Progress) day(at time.Time) *Day {
	y, m, d := at.In(p.loc).Date()
	date := time.Date(y, m, d, 0, 0, 0, 0, p.loc)
	i, found := slices.BinarySearchFunc(p.Days, date, func(d Day, t time.Time) int { return d.Date.Compare(t) })
	if !found {
		p.Days = slices.Insert(p.Days, i, Day{Date: date})
	}
	return &p.Days[i]
}

// number counts calendar days.
func (p *Progress) number(at time.Time) int {
	y, m, d := at.In(p.loc).Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// A Confusion is a pair with how often the one was taken for the other.
type Confusion struct {
	Pair
	Of stats.Count
}

// Confused lists the pairs taken for one another at least twice, those first of which
// the data leave least doubt: by the lower end of the Wilson interval.
func (p *Progress) Confused() []Confusion {
	var out []Confusion
	for pair, c := range p.Confusions {
		if c.K >= 2 {
			out = append(out, Confusion{pair, c})
		}
	}
	low := func(c Confusion) float64 { l, _ := c.Of.Wilson(stats.Z95); return l }
	slices.SortFunc(out, func(a, b Confusion) int {
		return cmp.Or(cmp.Compare(low(b), low(a)), cmp.Compare(a.Shown, b.Shown), cmp.Compare(a.Chosen, b.Chosen))
	})
	return out
}

// Forecast is the chance that a check taken now would recognise the arrests well
// enough, from the newest arrest strips of practice, with an 80 % interval for what is
// not known of the learner. ok is false before twenty of them. Practice is steered to
// what is hard, so the forecast errs on the low side.
func (p *Progress) Forecast(r readiness.Rules) (chance, low, high float64, ok bool) {
	if len(p.Recent) < 20 {
		return 0, 0, 1, false
	}
	var c stats.Count
	for _, hit := range p.Recent {
		c.Add(hit)
	}
	return r.Forecast(c)
}
