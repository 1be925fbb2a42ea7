// Package class is what an educator watches while a class sits a drill: who is on which
// strip, who has finished and how, and what is confused so far. It reads the ledger that the
// class writes into, anew every few seconds.
package class

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"telltrace/scoring"
	"telltrace/scoring/drill"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/sheet"
)

// A day of a class, and how often it is looked at again.
const (
	today = 12 * time.Hour
	every = time.Second
)

// New opens the sheet of the class of env; drills are those whose rules are known, beside the
// ones that come with telltrace.
func New(env *screen.Env, drills ...drill.Drill) *sheet.Model {
	builtIn, _ := drill.Library()
	drills = append(drills, builtIn...)
	title := "Class"
	if env.Class != "" {
		title += " " + clean(env.Class)
	}
	return sheet.New(env, sheet.Text{
		Title: title,
		Of: func() ledger.Query {
			return ledger.Query{Class: env.Class, Mode: ledger.Drill, Since: env.Now().Add(-today)}
		},
		Every: every,
		Write: func(answers []ledger.Answer, cols int) []string { return write(env, drills, answers, cols) },
	})
}

// clean takes out what a terminal would act on.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r >= 0x80 && r < 0xa0 || r >= 0x200b && r <= 0x200f || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return -1
		}
		return r
	}, ansi.Strip(s))
}

// A seat is one learner at one drill.
type seat struct {
	learner, part string
	sitting       string // the newest
	n, of         int    // the strip answered last, of so many
	right, asked  int
	last          time.Time
	answers       []ledger.Answer
}

func write(env *screen.Env, drills []drill.Drill, answers []ledger.Answer, cols int) []string {
	if len(answers) == 0 {
		return append(sheet.Wrap("Nobody has answered a strip of a drill in the last twelve hours. Learners sit a drill with telltrace drill NAME --class NAME --learner THEIR-NAME on this ledger, or hand in what they have and it is collected.", cols), "",
			look.Caution)
	}
	seats := map[string]*seat{}
	for _, a := range answers {
		sitting, n, of, ok := ledger.SittingOf(a.Presentation)
		if !ok {
			continue
		}
		key := a.Learner + "\x00" + a.Part
		s := seats[key]
		if s == nil || s.sitting != sitting { // a retake begins anew
			s = &seat{learner: a.Learner, part: a.Part, sitting: sitting, of: of}
			seats[key] = s
		}
		s.n, s.last = max(s.n, n), a.At
		s.asked++
		if a.Correct {
			s.right++
		}
		s.answers = append(s.answers, a)
	}
	list := slices.SortedFunc(maps.Values(seats), func(a, b *seat) int {
		return cmp.Or(cmp.Compare(a.part, b.part), cmp.Compare(a.learner, b.learner))
	})
	finished := 0
	var rows []string
	for _, s := range list {
		stands, done := s.stands(drills)
		if done {
			finished++
		}
		rows = append(rows, fmt.Sprintf("%-14s  %-16s  %3d of %-3d  %3d of %-3d  %6s  %s", short(clean(s.learner), 14), short(drill.NameOf(s.part), 16),
			s.n, s.of, s.right, s.asked, ago(env.Now().Sub(s.last)), stands))
	}
	lines := []string{
		env.Look.Title.Render(fmt.Sprintf("%d at work, %d finished", len(list)-finished, finished)), "",
		env.Look.Faint.Render(fmt.Sprintf("%-14s  %-16s  %-10s  %-10s  %6s  %s", "learner", "drill", "strip", "right", "last", "")),
	}
	lines = append(lines, rows...)
	if pairs := confused(answers); len(pairs) > 0 {
		lines = append(lines, "", env.Look.Title.Render("Confused so far"))
		lines = append(lines, pairs...)
	}
	return append(append(lines, ""), sheet.Wrap(look.Caution, cols)...)
}

// stands says how a seat stands, and whether the sitting is finished.
func (s seat) stands(drills []drill.Drill) (string, bool) {
	for _, d := range drills {
		if d.Part() != s.part {
			continue
		}
		sittings := d.Sittings(s.answers)
		if len(sittings) == 0 || !sittings[0].Finished(d) {
			return "at work", false
		}
		if d.Decide(sittings[0]).Passed {
			return "passed", true
		}
		return "not passed", true
	}
	if s.n == s.of {
		return "finished", true
	}
	return "at work", false
}

// confused are the pairs that were taken for one another oftenest, at most eight.
func confused(answers []ledger.Answer) []string {
	type pair struct{ shown, said string }
	count, shown := map[pair]int{}, map[string]int{}
	for _, a := range answers {
		if a.Question != ledger.Rhythm {
			continue
		}
		shown[a.Subject]++
		if !a.Correct && a.Chosen != "" && a.Chosen != scoring.NotSure {
			count[pair{a.Subject, a.Chosen}]++
		}
	}
	pairs := slices.SortedFunc(maps.Keys(count), func(a, b pair) int {
		return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(a.shown, b.shown), cmp.Compare(a.said, b.said))
	})
	var out []string
	for _, p := range pairs[:min(len(pairs), 8)] {
		out = append(out, fmt.Sprintf("%s taken for %s: %d of %d", name(p.shown), name(p.said), count[p], shown[p.shown]))
	}
	return out
}

func name(id string) string {
	if l, ok := synth.Lesson(id); ok {
		return l.Name
	}
	return id
}

func short(s string, cells int) string { return ansi.Truncate(s, cells, "…") }

// ago is a time since, in the largest unit that fits.
func ago(d time.Duration) string {
	switch {
	case d < time.Minute:
		return fmt.Sprintf("%d s", max(int(d.Seconds()), 0))
	case d < time.Hour:
		return fmt.Sprintf("%d min", int(d.Minutes()))
	}
	return fmt.Sprintf("%d h", int(d.Hours()))
}
