package readiness

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/scoring/spacing"
	"telltrace/scoring/stats"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// A Status is where a learner stands.
type Status uint8

// Statuses.
const (
	NotYet Status = iota
	Ready
	Lapsed // was ready; to be checked again
)

// String is the status in words.
func (s Status) String() string {
	switch s {
	case Ready:
		return "ready"
	case Lapsed:
		return "to be checked again"
	}
	return "not yet"
}

// A Decision is what the finished blocks say.
type Decision struct {
	Status  Status
	Since   time.Time // when it became ready; zero for NotYet
	Due     time.Time // when readiness lapses unless checked again; zero for NotYet
	Blocks  int       // finished blocks
	Tally   Tally     // of the newest blocks, those the decision rests on
	Lacking []string  // what is still wanted, a line each; empty when ready
}

// A Tally is what some blocks come to.
type Tally struct {
	Blocks      int
	Arrest      stats.Count            // arrest strips recognised as an arrest
	Each        map[string]stats.Count // the same for every arrest rhythm
	Harmless    stats.Count            // strips that need nothing done, called an arrest
	Critical    int
	Median      time.Duration // to call an arrest that was recognised
	calledAfter []time.Duration
}

// A block is one sitting, finished.
type block struct {
	end   time.Time
	marks []mark
}

// mark is one check strip as it was answered.
type mark struct {
	subject          string
	arrest, harmless bool
	called           bool // an arrest was recognised, or a harmless strip called one
	critical         bool
	took             time.Duration
}

// Decide says where a learner stands at a moment, from the answers to check strips, in
// any order. A block counts when all its strips are answered; at the end of each block
// the rules are put to the newest blocks, as many as the pass rule asks for. Days are
// those of loc.
func Decide(r Rules, answers []ledger.Answer, lessons []lesson.Lesson, now time.Time, loc *time.Location) Decision {
	blocks := finished(answers, lessons)
	d := Decision{Blocks: len(blocks)}
	_, d.Lacking = r.weigh(nil, lessons, loc)
	checks := 0 // re-checks since it became ready
	var counted time.Time
	for i, b := range blocks {
		if d.Status == Ready && r.lapses(d.Due, b.end) {
			d.Status = Lapsed
		}
		tally, lacking := r.weigh(blocks[:i+1], lessons, loc)
		d.Tally, d.Lacking = tally, lacking
		switch {
		case len(lacking) > 0:
			d.Status, d.Since, d.Due = NotYet, time.Time{}, time.Time{}
			continue
		case d.Status == Ready && b.end.Before(r.early(counted, checks)):
			continue // too soon after the last to prove that it has lasted
		case d.Status == Ready:
			checks++
		default:
			d.Since, checks = b.end, 0
		}
		d.Status, counted = Ready, b.end
		d.Due = b.end.AddDate(0, 0, r.recheck(checks))
	}
	if d.Status == Ready && r.lapses(d.Due, now) {
		d.Status = Lapsed
		d.Lacking = []string{"another block passed: it has been long since the last"}
	}
	return d
}

// lapses reports whether readiness that is due for a check has run out.
func (r Rules) lapses(due, now time.Time) bool { return len(r.RecheckDays) > 0 && now.After(due) }

// recheck is within how many days of the last the next check is due.
func (r Rules) recheck(checks int) int {
	if len(r.RecheckDays) == 0 {
		return 0
	}
	return r.RecheckDays[min(checks, len(r.RecheckDays)-1)]
}

// early is until when a block does not count as a check again: two thirds of the time.
func (r Rules) early(counted time.Time, checks int) time.Time {
	return counted.AddDate(0, 0, r.recheck(checks)*2/3)
}

// weigh puts the rules to the newest blocks: the fewest that meet them, or, where none
// do, all that are needed for their numbers.
func (r Rules) weigh(blocks []block, lessons []lesson.Lesson, loc *time.Location) (Tally, []string) {
	var days []string
	if n := countDays(blocks, loc); n < r.Days.Least {
		days = append(days, fmt.Sprintf("blocks on %d different days (so far %d)", r.Days.Least, n))
	}
	if len(blocks) == 0 || day(blocks[len(blocks)-1].end, loc)-day(blocks[0].end, loc) < r.Days.Span {
		days = append(days, fmt.Sprintf("a block at least %d days after the first", r.Days.Span))
	}
	var best Tally
	var bestLacking []string
	for n := 0; n <= len(blocks); n++ {
		tally := tallyOf(blocks[len(blocks)-n:])
		lacking := r.lacking(tally, lessons)
		if n == 0 || len(bestLacking) > 0 && (short(best, r) || len(lacking) == 0) {
			best, bestLacking = tally, lacking
		}
	}
	return best, append(days, bestLacking...)
}

// short reports whether a tally has fewer strips than the longest way to pass asks.
func short(t Tally, r Rules) bool {
	most := 0
	for _, p := range r.Arrest.Pass {
		most = max(most, p.Strips)
	}
	return t.Arrest.N < most || t.Harmless.N < r.Harmless.Strips
}

// lacking lists what a run of blocks does not meet, apart from the days.
func (r Rules) lacking(t Tally, lessons []lesson.Lesson) []string {
	var out []string
	misses := t.Arrest.N - t.Arrest.K
	if !slices.ContainsFunc(r.Arrest.Pass, func(p Pass) bool { return t.Arrest.N >= p.Strips && misses <= p.Misses }) {
		out = append(out, fmt.Sprintf("arrests recognised: %s (wanted: %s)", t.Arrest, r.ways()))
	}
	for _, l := range lessons {
		if n := t.Each[l.ID].N; IsArrest(l) && n < r.Arrest.Each {
			out = append(out, fmt.Sprintf("%d strips of %s (so far %d)", r.Arrest.Each, l.Name, n))
		}
	}
	if t.Harmless.N < r.Harmless.Strips {
		out = append(out, fmt.Sprintf("%d strips of artifact or harmless rhythms (so far %d)", r.Harmless.Strips, t.Harmless.N))
	}
	if t.Harmless.K > r.Harmless.CalledArrest {
		out = append(out, fmt.Sprintf("at most %d harmless strips called an arrest (%s)", r.Harmless.CalledArrest, t.Harmless))
	}
	if t.Critical > r.Critical {
		out = append(out, fmt.Sprintf("at most %d critical errors (%d)", r.Critical, t.Critical))
	}
	if most := time.Duration(r.Arrest.MedianSeconds * float64(time.Second)); t.Median > most {
		out = append(out, fmt.Sprintf("half of the arrests called within %g s (now %.1f s)", r.Arrest.MedianSeconds, t.Median.Seconds()))
	}
	return out
}

// ways is the pass rule in words.
func (r Rules) ways() string {
	text := ""
	for i, p := range r.Arrest.Pass {
		if i > 0 {
			text += " or "
		}
		if p.Misses == 0 {
			text += fmt.Sprintf("%d with none missed", p.Strips)
		} else {
			text += fmt.Sprintf("%d with at most %d missed", p.Strips, p.Misses)
		}
	}
	return text
}

// Words is the rule as it is shown before a block, a line each.
func (r Rules) Words() []string {
	return []string{
		fmt.Sprintf("A block has %d strips; nothing is told until it ends, and it counts only when it is finished.", r.Block.Arrest+r.Block.Harmless),
		fmt.Sprintf("Blocks on at least %d days, one of them at least %d days after the first.", r.Days.Least, r.Days.Span),
		fmt.Sprintf("Of the newest arrest strips: %s; at least %d of each arrest rhythm.", r.ways(), r.Arrest.Each),
		fmt.Sprintf("At least %d strips that need nothing done, at most %d of them called an arrest.", r.Harmless.Strips, r.Harmless.CalledArrest),
		fmt.Sprintf("Critical errors: at most %d. Half of the arrests called within %g s.", r.Critical, r.Arrest.MedianSeconds),
	}
}

// tallyOf sums blocks up.
func tallyOf(blocks []block) Tally {
	t := Tally{Blocks: len(blocks), Each: map[string]stats.Count{}}
	for _, b := range blocks {
		for _, m := range b.marks {
			switch {
			case m.arrest:
				t.Arrest.Add(m.called)
				c := t.Each[m.subject]
				c.Add(m.called)
				t.Each[m.subject] = c
				if m.called {
					t.calledAfter = append(t.calledAfter, m.took)
				}
			case m.harmless:
				t.Harmless.Add(m.called)
			}
			if m.critical {
				t.Critical++
			}
		}
	}
	if n := len(t.calledAfter); n > 0 {
		slices.Sort(t.calledAfter)
		t.Median = (t.calledAfter[(n-1)/2] + t.calledAfter[n/2]) / 2
	}
	return t
}

func countDays(blocks []block, loc *time.Location) int {
	days := map[int]bool{}
	for _, b := range blocks {
		days[day(b.end, loc)] = true
	}
	return len(days)
}

// finished collects the blocks of which every strip was answered, oldest first.
func finished(answers []ledger.Answer, lessons []lesson.Lesson) []block {
	kinds := spacing.Kinds(lessons)
	type open struct {
		block
		of   int
		seen map[int]bool
	}
	byName := map[string]*open{}
	for _, a := range answers {
		name, n, of, ok := ledger.SittingOf(a.Presentation)
		if a.Mode != ledger.Check || !ok {
			continue
		}
		o := byName[name]
		if o == nil {
			o = &open{of: of, seen: map[int]bool{}}
			byName[name] = o
		}
		if a.Question != ledger.Rhythm {
			// What is done first is no strip of its own, but can be a critical error.
			o.marks = append(o.marks, mark{critical: a.Verdict == ledger.Critical})
			continue
		}
		if o.seen[n] {
			continue // one strip counts once
		}
		o.seen[n] = true
		if a.At.After(o.end) {
			o.end = a.At
		}
		o.marks = append(o.marks, markOf(a, kinds))
	}
	var out []block
	for _, o := range byName {
		if len(o.seen) == o.of {
			out = append(out, o.block)
		}
	}
	slices.SortFunc(out, func(a, b block) int { return cmp.Compare(a.end.UnixMilli(), b.end.UnixMilli()) })
	return out
}

// markOf: an arrest is recognised by any name that leads to the same first action; a
// harmless strip is called an arrest by a name that is one in its usual state.
func markOf(a ledger.Answer, kinds map[string]spacing.Kind) mark {
	kind, known := kinds[a.Subject]
	m := mark{subject: a.Subject, arrest: ShowsArrest(kind, a), critical: a.Verdict == ledger.Critical, took: a.Took}
	m.harmless = known && kind == spacing.Calm
	m.called = CalledArrest(a, m.arrest, kinds)
	return m
}

// ShowsArrest reports whether the strip of an answer, about an entry of a kind, showed an
// arrest.
func ShowsArrest(kind spacing.Kind, a ledger.Answer) bool {
	return kind == spacing.Arrest && (a.State == ecg.NoSignsOfLife || a.State == ecg.NotSure || a.State == "")
}

// CalledArrest reports whether an answer called its strip an arrest; arrest says whether
// it was one.
func CalledArrest(a ledger.Answer, arrest bool, kinds map[string]spacing.Kind) bool {
	if arrest {
		return a.Chosen != scoring.NotSure && (a.Verdict == ledger.Right || a.Verdict == ledger.Near)
	}
	return kinds[a.Chosen] == spacing.Arrest
}
