// Package drill is where a learner sits a timed drill: the sheet of all drills, the sheet of
// one with its rule, and what came of it. The strips themselves run on the practise screen,
// with the time that is left; what was answered is in the ledger, so a sitting that broke
// off goes on where it was.
package drill

import (
	"fmt"
	"io"
	"strings"
	"time"

	"telltrace/scenarios"
	"telltrace/scoring"
	"telltrace/scoring/drill"
	"telltrace/scoring/ledger"
	"telltrace/scoring/steps"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/look"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
	"telltrace/trainer/sheet"
)

// NewList opens the sheet of the drills that come with telltrace.
func NewList(env *screen.Env) *sheet.Model {
	drills, _ := drill.Library()
	text := sheet.Text{Title: "Drills", Write: func(answers []ledger.Answer, cols int) (lines []string) {
		for i, d := range drills {
			lines = append(lines, fmt.Sprintf("%d  %s   %s", i+1, env.Look.Title.Render(d.Title), standing(d, answers)))
			for _, l := range sheet.Wrap(d.About, cols-3) {
				lines = append(lines, "   "+l)
			}
			lines = append(lines, "")
		}
		return append(lines, sheet.Wrap("An educator writes drills in files: telltrace drill FILE runs one.", cols)...)
	}}
	for i, d := range drills {
		text.Doors = append(text.Doors, sheet.Door{Key: fmt.Sprint(i + 1), Help: strings.ToLower(d.Title),
			Open: func() screen.Screen { return New(env, d) }})
	}
	return sheet.New(env, text)
}

// standing says in a word how a drill stands.
func standing(d drill.Drill, answers []ledger.Answer) string {
	sittings := d.Sittings(answers)
	word := ""
	for _, s := range sittings {
		switch {
		case !s.Finished(d):
			word = fmt.Sprintf("broken off at strip %d of %d", s.Done+1, d.Strips)
		case d.Decide(s).Passed:
			return "passed"
		default:
			word = "not passed yet"
		}
	}
	return word
}

// New opens the sheet of one drill.
func New(env *screen.Env, d drill.Drill) *sheet.Model {
	var answers []ledger.Answer
	sittings := func() []drill.Sitting { return d.Sittings(answers) }
	return sheet.New(env, sheet.Text{
		Title: d.Title,
		Write: func(all []ledger.Answer, cols int) []string {
			answers = all
			return write(env, d, sittings(), cols)
		},
		Doors: []sheet.Door{
			{Key: "b", Help: "begin, or go on", Open: func() screen.Screen { return practise.New(env, Plan(env, d, sittings())) },
				When: func() bool { _, _, reason := d.May(sittings()); return reason == "" }},
			{Key: "v", Help: "view the strips again", Open: func() screen.Screen { return practise.New(env, Review(d, last(d, sittings()))) },
				When: func() bool { return last(d, sittings()) != nil }},
		},
	})
}

// last is the sitting finished last, nil when there is none.
func last(d drill.Drill, sittings []drill.Sitting) *drill.Sitting {
	for i := len(sittings) - 1; i >= 0; i-- {
		if sittings[i].Finished(d) {
			return &sittings[i]
		}
	}
	return nil
}

// Plan is the strips of a sitting: a new one, or the rest of one that broke off. Time that
// has gone by since the last answer counts for the strip that was in hand, unless the drill
// allows pauses, the reasons were on screen, or the next strip had not begun.
func Plan(env *screen.Env, d drill.Drill, sittings []drill.Sitting) practise.Plan {
	open, number, _ := d.May(sittings)
	sitting, next, named := env.NewID(), 0, false
	var spent time.Duration
	if open != nil {
		sitting, next, named = open.ID, open.Done, open.InHand() > 0
		lastAnswer := open.Answers[len(open.Answers)-1]
		if named || !d.Pause && d.Tell != drill.TellStrip && lastAnswer.Chosen != "" {
			spent = env.Now().Sub(open.Last)
		}
		if named {
			spent += lastAnswer.Took
		}
	}
	list, err := d.Draw(sitting, number)
	return func() (practise.Round, error) {
		if err != nil {
			return practise.Round{}, err
		}
		if next == len(list) {
			return practise.Round{}, io.EOF
		}
		next++
		r, err := practise.Synthetic(fmt.Sprintf("%s, strip %d of %d", d.Title, next, d.Strips), ledger.Drill, list[next-1])
		r.Part, r.Presentation = d.Part(), ledger.Showing(sitting, next, d.Strips)
		r.Limit = env.Settings.Allowed(env.Learner, d.Limit())
		r.Silent, r.Waits = d.Tell != drill.TellStrip, d.Pause
		r.Spent, r.Named = max(spent, 0), named
		if d.Measures() && !named {
			r.Steps = steps.Order
		}
		spent, named = 0, false
		return r, err
	}
}

// Review shows the strips of a sitting again, with what was answered and why.
func Review(d drill.Drill, s *drill.Sitting) practise.Plan {
	n := 0
	return func() (practise.Round, error) {
		for n < d.Strips {
			n++
			var given []ledger.Answer
			for _, a := range s.Answers {
				if _, at, _, _ := ledger.SittingOf(a.Presentation); at == n {
					given = append(given, a)
				}
			}
			if len(given) == 0 {
				continue
			}
			id, err := ecg.ParseIdentity(given[0].Strip)
			if err != nil {
				return practise.Round{}, err
			}
			e := again(id, given)
			r, err := practise.Synthetic(fmt.Sprintf("%s, strip %d of %d again", d.Title, n, d.Strips), ledger.Drill, e)
			r.Answered = given
			return r, err
		}
		return practise.Round{}, io.EOF
	}
}

// write writes the sheet of a drill.
func write(env *screen.Env, d drill.Drill, sittings []drill.Sitting, cols int) []string {
	var lines []string
	say := func(indent int, text string) {
		for _, l := range sheet.Wrap(text, cols-indent) {
			lines = append(lines, strings.Repeat(" ", indent)+l)
		}
	}
	if d.About != "" {
		say(0, d.About)
		lines = append(lines, "")
	}
	_, _, reason := d.May(sittings)
	for i := len(sittings) - 1; i >= 0; i-- { // the newest first
		s := sittings[i]
		when := s.Last.In(env.Location).Format("2 Jan 2006, 15:04")
		if !s.Finished(d) {
			say(0, fmt.Sprintf("Sitting %d broke off at strip %d of %d, %s. It goes on there; the time of that strip has run on.",
				s.Number+1, s.Done+1, d.Strips, when))
			lines = append(lines, "")
			continue
		}
		r := d.Decide(s)
		word := map[bool]string{true: "passed", false: "not passed"}[r.Passed]
		lines = append(lines, env.Look.Title.Render(fmt.Sprintf("Sitting %d, %s: %s.", s.Number+1, when, word)))
		for _, w := range r.Why {
			say(2, w)
		}
		if r.TimedOut > 0 {
			say(2, fmt.Sprintf("Questions whose time ran out: %d.", r.TimedOut))
		}
		if r.Median > 0 {
			say(2, fmt.Sprintf("Half of the answers took at most %.0f s.", r.Median.Seconds()))
		}
		if missed := missedOf(s); len(missed) > 0 {
			say(2, "Missed (they wait among your missed answers):")
			for _, m := range missed {
				say(4, m)
			}
		}
		lines = append(lines, "")
	}
	if reason != "" {
		say(0, reason)
		lines = append(lines, "")
	}
	lines = append(lines, "The drill:")
	for _, w := range d.Words() {
		say(2, w)
	}
	lines = append(lines, "")
	say(0, "Passed here is no licence to practise: local policy and your educator decide. "+look.Caution)
	return lines
}

// missedOf says what was not right in a sitting, strip by strip.
func missedOf(s drill.Sitting) []string {
	var out []string
	for _, a := range s.Answers {
		if a.Correct {
			continue
		}
		_, n, _, _ := ledger.SittingOf(a.Presentation)
		shown := a.Subject
		if l, ok := synth.Lesson(a.Subject); ok {
			shown = l.Name
		}
		said := "no answer"
		switch l, ok := synth.Lesson(a.Chosen); {
		case ok:
			said = "you said " + l.Name
		case a.Chosen == scoring.NotSure:
			said = "you said: " + look.NotSure
		case a.Question == ledger.FirstAction && a.Chosen != "":
			said = "first action: " + lesson.Action(a.Chosen).Words()
		case a.Chosen != "":
			said = string(a.Question) + ": you said " + steps.Words(a.Question, a.Chosen)
		}
		out = append(out, fmt.Sprintf("strip %d, %s: %s", n, shown, said))
	}
	return out
}

// again is the exercise of a strip with what was offered.
func again(id ecg.Identity, given []ledger.Answer) scenarios.Exercise {
	var names []string
	var actions []lesson.Action
	for _, a := range given {
		for _, o := range a.Offered {
			switch {
			case a.Question == ledger.Rhythm && o != scoring.NotSure:
				names = append(names, o)
			case a.Question == ledger.FirstAction:
				actions = append(actions, lesson.Action(o))
			}
		}
	}
	return scenarios.For(id, names, actions)
}
