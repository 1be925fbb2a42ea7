// Package charting is the exercise in charting strips and naming reversible causes. What is
// asked and its marks are of scenarios/chart, the page is of trainer/form.
package charting

import (
	"fmt"
	"math/rand/v2"

	"telltrace/scenarios/chart"
	"telltrace/scenarios/task"
	"telltrace/synth"
	"telltrace/trainer/form"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// Part is the exercise's name in the ledger.
const Part = "chart"

// New opens the exercise: a strip to chart, then a cause to name, and so on.
func New(env *screen.Env) *form.Model {
	seed := env.Seed()
	return form.New(env, form.Exercise{
		Title: "Charting", Part: Part, Pages: chart.Pages,
		Page: func(number int) (form.Page, error) {
			rng := rand.New(rand.NewPCG(seed, uint64(number)))
			if number%2 == 1 {
				return form.StripPage(env.Look, chart.Causes(rng))
			}
			d, err := chart.Draw(number, rng)
			if err != nil {
				return form.Page{}, err
			}
			return printed(env.Look, d)
		},
	})
}

// printed is a page with a strip as it was printed, at its own speed and gain.
func printed(l *look.Look, d chart.Drawn) (form.Page, error) {
	if l.Plain {
		p, err := form.StripPage(l, d.Task)
		if err != nil {
			return p, err
		}
		table := p.Draw
		p.Draw = func(cols, rows int, v []task.Value, marked bool) []string {
			lines := table(cols, rows, v, marked)
			lines[0] = fmt.Sprintf("%s  %.0f mm/s  %.0f mm/mV", d.Strip.Leads[0], d.Speed, d.Gain)
			return lines
		}
		return p, nil
	}
	strip, _, err := synth.Render(d.Strip, 12)
	if err != nil {
		return form.Page{}, err
	}
	return form.Page{Task: d.Task, Least: 7, Most: 13, Draw: func(cols, rows int, _ []task.Value, _ bool) []string {
		return form.Printed(l, strip, cols, rows, d.Speed, d.Gain)
	}}, nil
}
