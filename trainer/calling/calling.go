// Package calling is the exercise in calling for help. The cases and the marks are of
// scenarios/call, the page is of trainer/form.
package calling

import (
	"math/rand/v2"

	"telltrace/scenarios/call"
	"telltrace/trainer/form"
	"telltrace/trainer/screen"
)

// Part is the exercise's name in the ledger.
const Part = "call"

// New opens the exercise.
func New(env *screen.Env) *form.Model {
	seed := env.Seed()
	return form.New(env, form.Exercise{
		Title: "Calling for help", Part: Part, Pages: call.Pages,
		Page: func(number int) (form.Page, error) {
			t, err := call.Draw(number, rand.New(rand.NewPCG(seed, uint64(number))))
			if err != nil {
				return form.Page{}, err
			}
			return form.StripPage(env.Look, t)
		},
	})
}
