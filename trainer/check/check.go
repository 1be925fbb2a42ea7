// Package check is the sheet before and after a block of check strips: the rule, where
// the learner stands by it, and the strips of the last block that were missed. The block
// itself runs on the practise screen, in silence: nothing is told until it ends.
package check

import (
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"strings"

	"telltrace/scenarios"
	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/scoring/readiness"
	"telltrace/synth"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
	"telltrace/trainer/sheet"
)

// New opens the sheet.
func New(env *screen.Env) *sheet.Model {
	rules := env.Rules
	var answers []ledger.Answer
	return sheet.New(env, sheet.Text{
		Title: "Check",
		Write: func(all []ledger.Answer, cols int) []string {
			answers = all
			return write(env, rules, all, cols)
		},
		Doors: []sheet.Door{{Key: "b", Help: "begin a block", Open: func() screen.Screen {
			return practise.New(env, Block(env, rules, answers))
		}}},
	})
}

// Block is the plan of one block: drawn at once from the blueprint, entries that the
// learner has had less often in checks first.
func Block(env *screen.Env, rules readiness.Rules, answers []ledger.Answer) practise.Plan {
	rng := rand.New(rand.NewPCG(env.Seed(), 0))
	items := rules.Blueprint(synth.Lessons(), readiness.Done(answers), rng)
	block, next := env.NewID(), 0
	return func() (practise.Round, error) {
		if next == len(items) {
			return practise.Round{}, io.EOF
		}
		item := items[next]
		next++
		choices, ok := practise.Course().Choices(item.Subject, rng)
		if !ok {
			return practise.Round{}, errors.New("the catalogue has no " + item.Subject)
		}
		e, err := scenarios.Compose(item.Subject, choices, item.Severity, nil, rng)
		if err != nil {
			return practise.Round{}, err
		}
		taught, _ := synth.Lesson(item.Subject)
		e.Strip.State = taught.States[0] // an arrest in its usual state, or well
		e.Actions = nil
		r, err := practise.Synthetic(fmt.Sprintf("Check, strip %d of %d", next, len(items)), ledger.Check, e)
		r.Silent, r.Presentation = true, ledger.Showing(block, next, len(items))
		return r, err
	}
}

// write writes the sheet.
func write(env *screen.Env, rules readiness.Rules, answers []ledger.Answer, cols int) []string {
	var lines []string
	say := func(text string) { lines = append(lines, sheet.Wrap(text, cols)...) }
	list := func(items []string) {
		for _, item := range items {
			for i, line := range sheet.Wrap(item, cols-4) {
				lines = append(lines, map[bool]string{true: "  - ", false: "    "}[i == 0]+line)
			}
		}
	}
	d := readiness.Decide(rules, answers, synth.Lessons(), env.Now(), env.Location)
	head := fmt.Sprintf("By check strips: %s.", d.Status)
	if d.Status == readiness.Ready {
		head = fmt.Sprintf("By check strips: ready since %s, to be checked again by %s.",
			d.Since.In(env.Location).Format("2 Jan 2006"), d.Due.In(env.Location).Format("2 Jan 2006"))
	}
	lines = append(lines, env.Look.Title.Render(head))
	say(fmt.Sprintf("Blocks finished: %d. Of the newest %d: arrests recognised %s, harmless strips called an arrest %s, critical errors %d.",
		d.Blocks, d.Tally.Blocks, d.Tally.Arrest, d.Tally.Harmless, d.Tally.Critical))
	if len(d.Lacking) > 0 {
		lines = append(lines, "", "Still wanted:")
		list(d.Lacking)
	}
	if missed := lastMissed(answers); len(missed) > 0 {
		lines = append(lines, "", "Missed in your last block (they wait among your missed answers):")
		list(missed)
	}
	lines = append(lines, "", "The rule:")
	list(rules.Words())
	lines = append(lines, "")
	say("Ready here is no licence to practise: local policy and your educator decide.")
	return lines
}

// lastMissed says what was missed in the block finished last.
func lastMissed(answers []ledger.Answer) []string {
	block, _ := readiness.LastBlock(answers)
	var out []string
	for _, a := range block {
		if a.Correct {
			continue
		}
		said := "no answer"
		if l, ok := synth.Lesson(a.Chosen); ok {
			said = l.Name
		} else if a.Chosen == scoring.NotSure {
			said = "not sure"
		}
		shown := a.Subject
		if l, ok := synth.Lesson(a.Subject); ok {
			shown = strings.ToUpper(l.Name[:1]) + l.Name[1:]
		}
		line := shown + ": you said " + said + "."
		if !slices.Contains(out, line) {
			out = append(out, line)
		}
	}
	return out
}
