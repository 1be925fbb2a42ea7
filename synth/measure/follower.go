package measure

import (
	"math"
	"slices"
)

// A follower walks through P-like waves in equal steps.
type follower struct {
	rate   float64
	miss   []float64 // what it counts that no wave stands at each sample
	seen   []bump
	at     []float64 // the peak of each wave, samples
	weight []float64 // of each wave, 1 for a usual height
	all    float64   // sum of the weights
	score  []float64 // of the best walk that ends at each wave
	top    []float64 // the best score up to each wave
	from   []int     // the wave before it on that walk, -1 for its first
	usual  float64   // from one usual P to the next, samples; 0 where that is not known
}

// follower is the one for the places of a strip: a wave is not missed where a QRS hides it, and
// hardly where a T wave may have taken it away with it.
func (m *marker) follower() *follower {
	if m.walk != nil {
		return m.walk
	}
	f := &follower{miss: m.desk.row(len(m.hidden)), rate: m.rate}
	m.walk = f
	for i := range f.miss {
		f.miss[i] = 1
	}
	for b, at := range m.at {
		if c := m.complex[m.group[b]]; c.hasT {
			for i := max(0, at+c.off); i < min(len(f.miss), at+c.tOff); i++ {
				f.miss[i] = missedOnT
			}
		}
	}
	reach := int(hiddenReach * f.rate)
	clearTo := 0
	for i, h := range m.hidden {
		if h {
			from := max(clearTo, i-reach)
			clearTo = min(len(f.miss), i+reach+1)
			clear(f.miss[from:clearTo])
		}
	}
	return f
}

// best is the march with the highest score among the waves seen, or other where none has a
// higher one; other may be a score without waves.
func (f *follower) best(seen []bump, other march) (found march) {
	if found = other; len(seen) < marchLeast {
		return found
	}
	heights := make([]float64, len(seen))
	for i, b := range seen {
		heights[i] = math.Abs(b.height)
	}
	usual := quantile(heights, 0.75)
	f.seen, f.weight, f.all = seen, make([]float64, len(seen)), 0
	f.score, f.top, f.from = make([]float64, len(seen)), make([]float64, len(seen)), make([]int, len(seen))
	f.at = make([]float64, len(seen))
	for i, b := range seen {
		f.at[i] = float64(b.peak)
	}
	for i, h := range heights {
		f.weight[i] = min(1, h*h/(usual*usual))
		f.all += f.weight[i]
	}
	for pp := ppShortest * f.rate; pp <= ppLongest*f.rate; pp *= ppStep {
		if f.usual > 0 && math.Abs(f.usual/pp-math.Round(f.usual/pp)) > ppNear*f.usual/pp {
			continue // the usual P are not whole steps apart
		}
		if w := f.follow(pp, found.score); w.score > found.score {
			found = w
		}
	}
	return found
}

// follow finds the best walk at about a period, every wave setting the time for the
// next. The score is the share of visible steps where a wave stood, times the share of
// the waves that were used; 0 when that is too little to believe, or no more than another
// walk has.
func (f *follower) follow(about, other float64) march {
	var waves []bump
	stray := min(ppStray*about, ppStrayMost*f.rate)
	last, each, furthest := 0, 1/about, (stepsMost+0.5)*about
	// both shares must be as high as the score; so much a walk then has less what it missed
	least := 0.999 * max(marchUsed, other) * f.all * (2 - 1/max(marchFound, other))
	left := f.all
	for j, to := range f.at {
		best, from := 0.0, -1
		for i := j - 1; i >= 0 && f.top[i] > best; i-- { // no score before is more than the top
			gap := to - f.at[i]
			if gap >= furthest {
				break
			}
			if f.score[i] <= best {
				continue
			}
			steps := float64(int(gap*each + 0.5))
			if off := gap - steps*about; steps == 0 || off*off > stray*stray*steps {
				continue
			}
			if v := f.score[i] - f.missed(f.at[i], to, steps, f.score[i]-best); v > best {
				best, from = v, i
			}
		}
		f.score[j], f.from[j] = best+f.weight[j], from
		left -= f.weight[j]
		if f.score[j]+left < least { // not even with all that is left
			f.score[j] = 0
		}
		if f.score[j] > f.score[last] {
			last = j
		}
		if f.top[j] = f.score[last]; f.top[j]+left < least {
			return march{}
		}
	}
	hit, missed, steps := 0.0, 0.0, 0.0
	for j := last; j >= 0; j = f.from[j] {
		waves = append(waves, f.seen[j])
		hit += f.weight[j]
		if i := f.from[j]; i >= 0 {
			n := float64(int((f.at[j]-f.at[i])*each + 0.5))
			steps += n
			missed += f.missed(f.at[i], f.at[j], n, math.Inf(1))
		}
	}
	slices.Reverse(waves)
	if len(waves) < marchLeast {
		return march{}
	}
	first, end := waves[0].peak, waves[len(waves)-1].peak
	period := float64(end-first) / steps
	for at := float64(first) - period; at > 0; at -= period {
		missed += f.miss[int(at)]
	}
	for at := float64(end) + period; at < float64(len(f.miss)); at += period {
		missed += f.miss[int(at)]
	}
	found, used := hit/(hit+missed), hit/f.all
	if found < marchFound || used < marchUsed || float64(len(waves)) < marchSeen*(steps+1) {
		return march{}
	}
	return march{waves, period, found * used}
}

// missed counts the visible places between two samples, so many steps apart, where
// nothing stands, as far as enough.
func (f *follower) missed(from, to, steps, enough float64) (n float64) {
	step := (to - from) / steps
	for at := from + step; at < to-step/2 && n < enough; at += step {
		n += f.miss[int(at)]
	}
	return n
}
