// Package electrodes is the exercise in putting electrodes on and finding what is wrong with
// them: a trunk in characters, and the leads as the clips sit. The tasks are of
// scenarios/placing, the page is of trainer/form.
package electrodes

import (
	"math/rand/v2"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"telltrace/scenarios/placing"
	"telltrace/scenarios/task"
	"telltrace/trainer/form"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// Part is the exercise's name in the ledger.
const Part = "electrodes"

// New opens the exercise.
func New(env *screen.Env) *form.Model {
	seed := env.Seed()
	return form.New(env, form.Exercise{
		Title: "Electrodes", Part: Part, Pages: placing.Kinds,
		Page: func(number int) (form.Page, error) {
			d, err := placing.Draw(number, code(env), rand.New(rand.NewPCG(seed, uint64(number))))
			if err != nil {
				return form.Page{}, err
			}
			p := picture{look: env.Look, Drawn: d}
			return form.Page{Task: d.Task, Draw: p.draw, Least: torsoRows, Most: 3 * torsoRows}, nil
		},
		Keys: []form.Key{{
			Binding: key.NewBinding(key.WithKeys("o"), key.WithHelp("o", "other colour code")),
			Do:      func() tea.Cmd { return other(env) },
		}},
	})
}

func code(env *screen.Env) placing.Code {
	if env.Settings.IEC {
		return placing.IEC
	}
	return placing.AAMI
}

// other takes the other code from now on; it is kept like any setting.
func other(env *screen.Env) tea.Cmd {
	c := env.Settings
	c.IEC = !c.IEC
	restyle := screen.Say(screen.Restyle{Settings: c})
	if env.Save == nil {
		return restyle
	}
	save := env.Save
	return tea.Sequence(restyle, func() tea.Msg {
		_ = save(c) // the settings screen says whether keeping works; here it holds until one leaves
		return nil
	})
}

type picture struct {
	look *look.Look
	placing.Drawn
}

// draw draws the trunk beside the leads; the leads alone while the clips are hidden.
func (p picture) draw(cols, rows int, values []task.Value, marked bool) []string {
	strip, marks, err := p.Trace(values)
	if err != nil {
		return []string{"This trace cannot be made: " + err.Error()}
	}
	hidden := p.Hidden && !marked
	if p.look.Plain {
		return append(p.words(values, hidden), placing.Describe(strip, marks)...)
	}
	if hidden {
		return form.Traces(p.look, strip, cols, rows)
	}
	left := torso(p.look, p.Drawn, p.Placed(values))
	right := form.Traces(p.look, strip, cols-torsoCols, rows)
	lines := make([]string, rows)
	for i := range lines {
		t := ""
		if i < len(left) {
			t = left[i]
		}
		lines[i] = t + strings.Repeat(" ", max(torsoCols-ansi.StringWidth(t), 0))
		if i < len(right) {
			lines[i] += right[i]
		}
	}
	return lines
}

// words say where the clips sit.
func (p picture) words(values []task.Value, hidden bool) []string {
	if hidden {
		return nil
	}
	var parts []string
	at := p.Placed(values)
	for _, e := range p.Cable {
		parts = append(parts, p.Code.Clip(e)+": "+at[e].Words())
	}
	return []string{"The clips sit so. " + strings.Join(parts, "; ") + "."}
}
