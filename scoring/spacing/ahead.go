package spacing

import (
	"maps"
	"math/rand/v2"
	"slices"
	"time"

	"telltrace/scoring/ledger"
)

// stripTakes is how long a strip takes with its explanation, so that ten minutes hold
// thirty.
const stripTakes = 20 * time.Second

// Ahead lists what the next n strips would be about if each were named right: the plan of
// a sitting that begins now. It changes nothing in l.
func (l *Learner) Ahead(n int, now time.Time, rng *rand.Rand) []Step {
	c := *l
	c.memory, c.last, c.pairs = slices.Clone(l.memory), slices.Clone(l.last), maps.Clone(l.pairs)
	var out []Step
	for range n {
		s := c.Next(now, rng)
		c.Add(ledger.Answer{At: now, Mode: ledger.Practise, Question: ledger.Rhythm, Subject: s.Subject, Offered: s.Choices,
			Chosen: s.Subject, Correct: true, Sure: ledger.Sure, Took: stripTakes / 4})
		out = append(out, s)
		now = now.Add(stripTakes)
	}
	return out
}
