package trainer

import (
	"math/rand/v2"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
)

// Practise is practice without end: each strip new, drawn as wished.
func Practise(env *screen.Env, w scenarios.Wish) screen.Screen {
	return practise.New(env, func() (practise.Round, error) {
		e, err := scenarios.Draw(w, rand.New(rand.NewPCG(env.Seed(), 0)))
		if err != nil {
			return practise.Round{}, err
		}
		return practise.Synthetic("Practice", ledger.Practise, e)
	})
}
