package measure

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// Limits of P waves that keep their own time.
const (
	ppShortest  = 0.26 // s, P to P: 230/min
	ppLongest   = 1.60
	ppStep      = 1.03  // from one period tried to the next
	ppStray     = 0.10  // of the period that a step may be longer or shorter
	ppStrayMost = 0.060 // s
	stepsMost   = 6     // periods from one P seen to the next, the others hidden in QRS
	hiddenReach = 0.040 // s on each side of a P that must be visible for it to be missed

	missedOnT     = 0.30  // what a P that is missed on a T counts: always at one place it is taken for T
	marchFound    = 0.80  // share of the visible steps where a P must stand
	marchUsed     = 0.65  // share of all P-like waves, by height, that must be in step
	marchSeen     = 0.45  // share of all steps, the hidden ones too, where a P must stand
	marchAlike    = 0.90  // correlation of the waves with their average
	marchLeast    = 4     // waves
	marchSteady   = 0.75  // score from which the waves are P where RR is irregular
	answeredShare = 0.50  // of the period: spread of the time from P to the QRS that answers it
	topOfT        = 0.030 // s from a T's peak within which a wave is T
	moreP         = 0.90  // of RR: a shorter period means more P than QRS
	alignShift    = 0.016 // s that a wave may be moved to fit the others
	freeLeast     = 6     // waves of a march that keeps its own time: fewer may be chance
	marchFree     = 0.50  // score times the freedom from QRS at least
	pApart        = 0.20  // s between two atrial waves at least; of nearer ones the taller counts
	pReach        = 0.09  // s from a P's peak within which its feet are looked for
)

// A march is a train of P waves that keep time: those seen, and the period in samples.
// What QRS hide is in the period, not among the waves.
type march struct {
	waves  []bump
	period float64
	score  float64 // 0 to 1
}

// marching looks for P waves that keep time. v is the lead with the QRS-T of every
// beat taken away, as in the search for dissociation by Slocum et al. (1985, from
// memory). Where no steady march is found among its waves, it looks among their
// curves, which tell a P beside a T that is left, for one with a score above the given one;
// ok is false where there is none either.
func (m *marker) marching(v []float64, size, above float64) (found march, ok bool) {
	f := m.follower()
	reach := int(pReach * m.rate)
	for _, seenIn := range [2][]float64{v, bend(v, m.rate)} {
		least := m.leastWave(seenIn, m.hidden, size)
		var up, down []bump
		open(m.hidden, func(from, to int) {
			if from == 0 { // the T of a beat before the strip
				return
			}
			here := func(seen []bump, sign float64) []bump {
				for i, b := range seen {
					seen[i] = around(v, b.peak, from, to, reach, sign)
					seen[i].height = b.height
				}
				return seen
			}
			tops, lows := bumps(seenIn, from, to, reach, least, pApart, m.rate)
			up, down = append(up, here(tops, 1)...), append(down, here(lows, -1)...)
		})
		for _, seen := range [2][]bump{up, down} {
			found = f.best(seen, found)
		}
		if found.waves != nil {
			fitted := march{waves: slices.Clone(found.waves)} // noise moves a peak
			fitted.align(v, m.rate)
			if sameness(seenIn, fitted.waves, m.rate) >= marchAlike {
				return found, true
			}
		}
		found = march{score: above}
	}
	return march{}, false
}

// marchingAs looks for P waves that keep steady time among those that curve as the usual P
// does, on whatever they stand.
func (m *marker) marchingAs(p pWave, v []float64) (found march, ok bool) {
	var seen []bump
	for _, b := range p.like(v, m.rate) {
		if b.peak > m.at[0] && b.peak < len(v) && !m.hidden[b.peak] && !m.topOfT(b.peak) {
			seen = append(seen, b)
		}
	}
	f := m.follower()
	found = f.best(seen, march{score: marchSteady})
	return found, found.waves != nil
}

// topOfT reports whether a sample is at the top of a T wave.
func (m *marker) topOfT(i int) bool {
	for b, at := range m.at {
		if c := m.complex[m.group[b]]; c.hasT && math.Abs(float64(i-at-c.tPeak)) < topOfT*m.rate {
			return true
		}
	}
	return false
}

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
}

// follower makes one for the places of a strip: a wave is not missed where a QRS hides it, and
// hardly where a T wave may have taken it away with it.
func (m *marker) follower() follower {
	f := follower{miss: m.desk.row(len(m.hidden)), rate: m.rate}
	for i, t := range m.onT() {
		f.miss[i] = 1
		if t {
			f.miss[i] = missedOnT
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
		if w := f.follow(pp, found.score); w.score > found.score {
			found = w
		}
	}
	return found
}

// around is the wave of one sign with its peak at sample i, its feet within reach.
func around(v []float64, i, from, to, reach int, sign float64) bump {
	low, high := max(from, i-reach), min(to, i+reach)
	b, ok := rises(v, i, low, high, sign, 0)
	if ok && b.height != 0 {
		b.trim(v)
	}
	return b
}

// rises finds the feet of the wave of one sign with its peak at sample i, no further than
// low and high; ok is false where it stands out by less than least.
func rises(v []float64, i, low, high int, sign, least float64) (b bump, ok bool) {
	left, right := i, i
	before, after := v[i], v[i]
	for k := i - 1; k >= low; k-- {
		if sign*v[k] < sign*before {
			left, before = k, v[k]
		}
	}
	if sign*(v[i]-before) < least {
		return bump{}, false
	}
	for k := i + 1; k <= high; k++ {
		if sign*v[k] < sign*after {
			right, after = k, v[k]
		}
	}
	b = bump{left, i, right, v[i] - sign*max(sign*before, sign*after)}
	return b, sign*b.height >= least
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

// onT tells where the T waves are that the average took away.
func (m *marker) onT() []bool {
	out := make([]bool, len(m.flat))
	for b, at := range m.at {
		if c := m.complex[m.group[b]]; c.hasT {
			for i := max(0, at+c.off); i < min(len(out), at+c.tOff); i++ {
				out[i] = true
			}
		}
	}
	return out
}

// free reports whether the waves keep their own time: their times after QRS, those
// hidden among them, are spread over the cycle, the more the less perfect the march.
func (w march) free(m *marker) bool {
	var c, s, n float64
	k := 0
	for i := 1; i < len(w.waves); i++ {
		from, gap := float64(w.waves[i-1].peak), float64(w.waves[i].peak-w.waves[i-1].peak)
		steps := math.Round(gap / w.period)
		for j := range int(steps) {
			at := from + gap*float64(j)/steps
			for k+1 < len(m.at) && float64(m.at[k+1]) <= at {
				k++
			}
			cycle := w.period
			if k+1 < len(m.at) {
				cycle = min(cycle, float64(m.at[k+1]-m.at[k]))
			}
			sin, cos := math.Sincos(2 * math.Pi * (at - float64(m.at[k])) / cycle)
			c, s, n = c+cos, s+sin, n+1
		}
	}
	return len(w.waves) >= freeLeast && w.score*(1-(c*c+s*s)/(n*n)) >= marchFree
}

// holds reports whether nearly all of the P waves given are among the march's.
func (w march) holds(p []ecg.Span, rate float64) bool {
	n := 0
	for _, s := range p {
		for _, b := range w.waves {
			if math.Abs(float64(b.peak)/rate-s.Peak) < pShift {
				n++
				break
			}
		}
	}
	return float64(n) >= marchFound*float64(len(p))
}

// answered reports whether the usual beats keep to the waves before them, as they must
// where P keep time and QRS do not.
func (w march) answered(m *marker) bool {
	var gaps []float64
	k := 0
	for b, at := range m.at {
		on := at + m.complex[m.group[b]].on
		for k+1 < len(w.waves) && w.waves[k+1].peak < on {
			k++
		}
		if gap := float64(on - w.waves[k].peak); m.group[b] == 0 && gap > 0 && gap < w.period {
			gaps = append(gaps, gap)
		}
	}
	return len(gaps) > 2 && quantile(gaps, 0.9)-quantile(gaps, 0.1) < answeredShare*w.period
}

// align moves the waves to where they curve as their average does, and gives each the
// average's onset and offset, so that one disturbed foot does not change a PR.
func (w march) align(v []float64, rate float64) {
	h, shift := int((pReach+pMargin)*rate), int(alignShift*rate)
	d := bend(v, rate)
	mean, curve, seg := make([]float64, 2*h+1), make([]float64, 2*h+1), make([]float64, 2*h+1)
	for range 2 {
		clear(mean)
		clear(curve)
		for _, b := range w.waves {
			segment(seg, v, b.peak-h, 1)
			for k, x := range seg {
				mean[k] += x / float64(len(w.waves))
			}
			segment(seg, d, b.peak-h, 1)
			for k, x := range seg {
				curve[k] += x
			}
		}
		for i := range w.waves {
			best, lag := math.Inf(-1), 0
			for l := -shift; l <= shift; l++ {
				segment(seg, d, w.waves[i].peak+l-h, 1)
				if x := dot(seg, curve); x > best {
					best, lag = x, l
				}
			}
			w.waves[i].peak += lag
		}
	}
	sign := 1.0
	if w.waves[0].height < 0 {
		sign = -1
	}
	b := around(mean, h, 0, 2*h, int(pReach*rate), sign)
	for i, x := range w.waves {
		w.waves[i].onset, w.waves[i].offset = x.peak+b.onset-h, x.peak+b.offset-h
	}
}

// addMarch adds the waves of a march that are not among the P waves yet.
func (r *Reading) addMarch(w march, rate float64) {
	have := r.Marks.P
	for _, b := range w.waves {
		if p := b.span(rate); !slices.ContainsFunc(have, func(h ecg.Span) bool { return p.Onset < h.Offset && p.Offset > h.Onset }) {
			r.Marks.P = append(r.Marks.P, p)
		}
	}
	r.Marks.P = inOrder(r.Marks.P)
}

// open calls f with the first and last sample of every stretch that is not hidden.
func open(hidden []bool, f func(from, to int)) {
	for i := 0; i < len(hidden); i++ {
		if hidden[i] {
			continue
		}
		end := i
		for end+1 < len(hidden) && !hidden[end+1] {
			end++
		}
		f(i, end)
		i = end
	}
}

// sameness is the median correlation of the waves with their own average.
func sameness(v []float64, march []bump, rate float64) float64 {
	h := int(0.06 * rate)
	segs := make([][]float64, len(march))
	mean := make([]float64, 2*h+1)
	for i, b := range march {
		segs[i] = make([]float64, len(mean))
		segment(segs[i], v, b.peak-h, 1)
		for k, x := range segs[i] {
			mean[k] += x
		}
	}
	r := make([]float64, len(march))
	for i, s := range segs {
		if n := norm(s) * norm(mean); n > 0 {
			r[i] = dot(s, mean) / n
		}
	}
	return median(r)
}

// bumps lists the waves of P's width in a stretch, upright ones and inverted ones, the
// taller where two of a kind are nearer than apart (s).
func bumps(v []float64, from, to, reach int, least, apart, rate float64) (up, down []bump) {
	var room [64]int
	turns, sign := swings(v, from, to, least, room[:0])
	for _, i := range turns {
		out := &up
		if sign < 0 {
			out = &down
		}
		b, ok := rises(v, i, max(from, i-reach), min(to, i+reach), sign, least)
		sign = -sign
		if !ok {
			continue
		}
		b.trim(v)
		if w := float64(b.offset-b.onset) / rate; w < pShortest || w > pLongest {
			continue
		}
		if n := len(*out) - 1; n >= 0 && float64(i-(*out)[n].peak) < apart*rate {
			if math.Abs((*out)[n].height) >= math.Abs(b.height) {
				continue
			}
			*out = (*out)[:n]
		}
		*out = append(*out, b)
	}
	return up, down
}

// swings appends to out where the line turns back by at least so much, crests and troughs
// by turns; sign is 1 where the first is a crest.
func swings(v []float64, from, to int, least float64, out []int) (turns []int, sign float64) {
	if to <= from {
		return out, 1
	}
	low, high, i := v[from], v[from], from
	for high-low < least && i < to {
		i++
		low, high = min(low, v[i]), max(high, v[i])
	}
	first, at := 1.0, i
	if v[i] == low {
		first = -1
	}
	sign = first
	for top := sign * v[i]; i < to; {
		i++
		if x := sign * v[i]; x > top {
			at, top = i, x
		} else if top-x >= least {
			out = append(out, at)
			sign, at, top = -sign, i, -x
		}
	}
	return out, first
}
