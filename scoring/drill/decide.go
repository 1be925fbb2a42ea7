package drill

import (
	"fmt"
	"slices"
	"time"

	"telltrace/scoring/ledger"
	"telltrace/scoring/stats"
	"telltrace/synth"
)

// A Sitting is one taking of a drill by one learner, as far as it went.
type Sitting struct {
	ID      string
	Number  int             // counted from 0
	Answers []ledger.Answer // in the order they were given
	Done    int             // strips with all their answers
	Last    time.Time       // of the last answer
	next    int             // answers to the strip in hand
}

// Finished reports whether every strip was answered.
func (s Sitting) Finished(d Drill) bool { return s.Done == d.Strips }

// InHand is the questions answered already of the strip after the last whole one: a sitting
// that broke off between two questions goes on with the second.
func (s Sitting) InHand() int { return s.next }

// Sittings are a learner's sittings of this drill, the oldest first, from the learner's
// answers in any order. Answers to the drill in another form, or with another engine, are
// not among them.
func (d Drill) Sittings(answers []ledger.Answer) []Sitting {
	part := d.Part()
	mine := slices.DeleteFunc(slices.Clone(answers), func(a ledger.Answer) bool { return a.Mode != ledger.Drill || a.Part != part })
	slices.SortFunc(mine, ledger.Compare)
	var out []Sitting
	strips := map[string]map[int]int{} // answers to each strip of a sitting
	for _, a := range mine {
		id, n, of, ok := ledger.SittingOf(a.Presentation)
		if !ok || of != d.Strips {
			continue
		}
		at := slices.IndexFunc(out, func(s Sitting) bool { return s.ID == id })
		if at < 0 {
			at = len(out)
			out = append(out, Sitting{ID: id, Number: at})
			strips[id] = map[int]int{}
		}
		s := &out[at]
		s.Answers = append(s.Answers, a)
		s.Last = a.At
		if isCore(a) {
			strips[id][n]++
		}
	}
	for i := range out {
		s := &out[i]
		for s.Done < d.Strips && strips[s.ID][s.Done+1] >= d.core() {
			s.Done++
		}
		s.next = strips[s.ID][s.Done+1]
	}
	return out
}

// May says whether the learner may sit the drill now, which sitting it would be, and, where
// one is broken off, that one. The reason is a sentence where it may not be.
func (d Drill) May(sittings []Sitting) (open *Sitting, number int, reason string) {
	if n := len(sittings); n > 0 && !sittings[n-1].Finished(d) {
		return &sittings[n-1], sittings[n-1].Number, ""
	}
	if len(sittings) > d.Retakes {
		return nil, 0, fmt.Sprintf("This drill was taken %s, as often as it may be. Your educator can allow more.", times(len(sittings)))
	}
	return nil, len(sittings), ""
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// A Result is what a finished sitting comes to.
type Result struct {
	Passed    bool
	Right     stats.Count            // answers
	Each      map[string]stats.Count // strips of an entry named right
	Dangerous int                    // critical answers
	TimedOut  int                    // questions without an answer
	Median    time.Duration          // of the answers given
	Why       []string               // what was wanted and what was reached, a line each rule
}

// Decide marks a sitting by the drill's rule. A question that ran out of time counts as one
// that was not right; what was not reached counts so too.
func (d Drill) Decide(s Sitting) Result {
	r := Result{Each: map[string]stats.Count{}}
	var took []time.Duration
	core := 0
	for _, a := range s.Answers {
		r.Right.Add(a.Correct)
		if isCore(a) {
			core++
		}
		if a.Question == ledger.Rhythm {
			c := r.Each[a.Subject]
			c.Add(a.Correct)
			r.Each[a.Subject] = c
		}
		if a.Verdict == ledger.Critical {
			r.Dangerous++
		}
		if a.Chosen == "" {
			r.TimedOut++
		} else {
			took = append(took, a.Took)
		}
	}
	r.Right.N += max(d.Strips*d.core()-core, 0)
	if len(took) > 0 {
		slices.Sort(took)
		r.Median = took[len(took)/2]
	}
	r.Passed = true
	hold := func(ok bool, format string, args ...any) {
		r.Passed = r.Passed && ok
		r.Why = append(r.Why, map[bool]string{true: "met: ", false: "not met: "}[ok]+fmt.Sprintf(format, args...))
	}
	hold(100*r.Right.Share() >= d.Pass.Right-1e-9, "%s answers right, %.0f %%; wanted %g %%", r.Right, 100*r.Right.Share(), d.Pass.Right)
	for _, id := range slices.Sorted(keys(d.Pass.Each)) {
		c, name := r.Each[id], id
		if l, ok := synth.Lesson(id); ok {
			name = l.Name
		}
		share := 0.0
		if c.N > 0 {
			share = 100 * c.Share()
		}
		hold(share >= d.Pass.Each[id]-1e-9, "%s: %s named right; wanted %g %%", name, c, d.Pass.Each[id])
	}
	hold(r.Dangerous <= d.Pass.Dangerous, "%d dangerous answers; allowed %d", r.Dangerous, d.Pass.Dangerous)
	return r
}
