package drill

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/scoring/spacing"
	"telltrace/synth"
	"telltrace/synth/ecg"
)

// course knows what is taken for what, for the choices.
var course = sync.OnceValue(func() *spacing.Course { return spacing.NewCourse(synth.Lessons()) })

// Draw draws the strips of a sitting: as many of each entry as its weight says, at least one,
// severities by the plan, in an order drawn. number counts the learner's sittings from 0, so
// that a retake has other strips; sitting names this one and decides the strips where each
// learner has others. The same call gives the same strips.
func (d Drill) Draw(sitting string, number int) ([]scenarios.Exercise, error) {
	seed := d.seed(number)
	if d.Same == ForEach {
		sum := sha256.Sum256([]byte(d.Part() + "|" + sitting))
		seed = binary.BigEndian.Uint64(sum[:8])
	}
	rng := rand.New(rand.NewPCG(seed, 0))
	subjects, severities := d.spread(), d.severities()
	for _, list := range []func(i, j int){
		func(i, j int) { subjects[i], subjects[j] = subjects[j], subjects[i] },
		func(i, j int) { severities[i], severities[j] = severities[j], severities[i] },
	} {
		rng.Shuffle(d.Strips, list)
	}
	out := make([]scenarios.Exercise, d.Strips)
	for i, id := range subjects {
		choices, ok := course().Choices(id, rng)
		if !ok {
			return nil, fmt.Errorf("drill %s: the catalogue has no %s", d.Name, id)
		}
		ages := d.agesOf(id)
		if len(ages) == 0 {
			return nil, fmt.Errorf("drill %s: %s occurs at none of its ages", d.Name, id)
		}
		e, err := scenarios.Compose(id, choices, severities[i], &ages[rng.IntN(len(ages))], rng)
		if err != nil {
			return nil, fmt.Errorf("drill %s: %w", d.Name, err)
		}
		if !slices.Contains(d.Ask, string(ledger.FirstAction)) {
			e.Actions = nil
		}
		out[i] = e
	}
	return out, nil
}

// spread is the entries, each as often as its weight says: whole shares first, at least one,
// then the largest remainders.
func (d Drill) spread() []string {
	total := 0
	for _, w := range d.Show {
		total += w
	}
	type share struct {
		id   string
		n    int
		rest float64
	}
	var shares []share
	left := d.Strips
	for _, id := range d.shown() {
		due := float64(d.Strips*d.Show[id]) / float64(total)
		s := share{id, max(1, int(due)), 0}
		s.rest = due - float64(s.n)
		left -= s.n
		shares = append(shares, s)
	}
	for ; left > 0; left-- { // to who lacks most
		at := 0
		for i, s := range shares {
			if s.rest > shares[at].rest {
				at = i
			}
		}
		shares[at].n, shares[at].rest = shares[at].n+1, shares[at].rest-1
	}
	for ; left < 0; left++ { // from who has most beyond the share, and more than one
		at := -1
		for i, s := range shares {
			if s.n > 1 && (at < 0 || s.rest < shares[at].rest) {
				at = i
			}
		}
		shares[at].n, shares[at].rest = shares[at].n-1, shares[at].rest+1
	}
	var out []string
	for _, s := range shares {
		for range s.n {
			out = append(out, s.id)
		}
	}
	return out
}

// severities are those of the strips by the plan, rounded at each step so that they add up.
func (d Drill) severities() (out []ecg.Severity) {
	upTo := 0
	for _, s := range []struct {
		what    ecg.Severity
		percent int
	}{{ecg.Plain, d.Severity.Plain}, {ecg.Middle, d.Severity.Middle}, {ecg.Subtle, d.Severity.Subtle}} {
		upTo += s.percent
		for len(out) < (upTo*d.Strips+50)/100 {
			out = append(out, s.what)
		}
	}
	return out
}
