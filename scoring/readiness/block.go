package readiness

import (
	"math/rand/v2"

	"telltrace/scoring/ledger"
	"telltrace/scoring/spacing"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// An Item is one strip of a block to be drawn.
type Item struct {
	Subject  string // catalogue id
	Severity ecg.Severity
}

// Blueprint draws the strips of a block: arrest rhythms and harmless entries in turn,
// so that every one comes as often as the next, severities by the rules, all in an
// order drawn. done says how many strips of each entry the learner has had in checks:
// those with fewer come first.
func (r Rules) Blueprint(lessons []lesson.Lesson, done map[string]int, rng *rand.Rand) []Item {
	var arrest, harmless []string
	for _, l := range lessons {
		switch {
		case IsArrest(l):
			arrest = append(arrest, l.ID)
		case spacing.KindOf(l) == spacing.Calm:
			harmless = append(harmless, l.ID)
		}
	}
	items := append(r.spread(arrest, r.Block.Arrest, done, rng), r.spread(harmless, r.Block.Harmless, done, rng)...)
	rng.Shuffle(len(items), func(i, j int) { items[i], items[j] = items[j], items[i] })
	return items
}

// IsArrest reports whether an entry is an arrest rhythm.
func IsArrest(l lesson.Lesson) bool {
	return spacing.KindOf(l) == spacing.Arrest
}

// spread takes n of the entries, each as often as the next, the least done first.
func (r Rules) spread(ids []string, n int, done map[string]int, rng *rand.Rand) []Item {
	if len(ids) == 0 {
		return nil
	}
	times := make([]int, len(ids))
	for i, id := range ids {
		times[i] = done[id]
	}
	out := make([]Item, 0, n)
	severities := r.severities(n)
	rng.Shuffle(n, func(i, j int) { severities[i], severities[j] = severities[j], severities[i] })
	for k := range n {
		least := -1
		for _, i := range rng.Perm(len(ids)) {
			if least < 0 || times[i] < times[least] {
				least = i
			}
		}
		times[least]++
		out = append(out, Item{ids[least], severities[k]})
	}
	return out
}

// Done counts the check strips a learner has had of each entry.
func Done(answers []ledger.Answer) map[string]int {
	done := map[string]int{}
	for _, a := range answers {
		if a.Mode == ledger.Check && a.Question == ledger.Rhythm {
			done[a.Subject]++
		}
	}
	return done
}

// LastBlock is the answers of the block finished last, in the order of its strips, false
// when none is finished.
func LastBlock(answers []ledger.Answer) ([]ledger.Answer, bool) {
	byBlock := map[string]map[int]ledger.Answer{}
	var last map[int]ledger.Answer
	for _, a := range answers { // oldest first, so the block finished last is found last
		name, n, of, ok := ledger.SittingOf(a.Presentation)
		if !ok || a.Mode != ledger.Check || a.Question != ledger.Rhythm {
			continue
		}
		if byBlock[name] == nil {
			byBlock[name] = map[int]ledger.Answer{}
		}
		byBlock[name][n] = a
		if len(byBlock[name]) == of {
			last = byBlock[name]
		}
	}
	out := make([]ledger.Answer, 0, len(last))
	for n := range len(last) {
		out = append(out, last[n+1])
	}
	return out, last != nil
}
