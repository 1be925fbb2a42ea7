package synth_test

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

const (
	pShift = 0.35 // of that by which they are moved against each other
	pSeen  = 0.5  // of the usual height that a P must have to be seen
)

// bump is how far the middle of what lies around a frame stands out of its two sides, in
// a lead.
func (c *tracing) bump(sums []float64, at int) float64 {
	mid, a, b := c.frames(0.3*c.pHalf), c.frames(0.75*c.pHalf), c.frames(c.pHalf)
	if at-b < 0 || at+b+1 >= len(sums) {
		return 0
	}
	mean := func(from, to int) float64 { return (sums[to+1] - sums[from]) / float64(to+1-from) }
	return mean(at-mid, at+mid) - (mean(at-b, at-a)+mean(at+a, at+b))/2
}

// turns is to which side the P stand out in each lead, taken together.
func (c *tracing) turns(sums [][]float64) []float64 {
	out := make([]float64, len(sums))
	for l, s := range sums {
		for _, about := range c.look.p {
			out[l] += c.bump(s, c.frames(about))
		}
		out[l] = math.Copysign(1, out[l])
	}
	return out
}

// pPiece is the tracing around a P wave, each lead without the straight line between its
// two ends.
func (c *tracing) pPiece(dst []float64, sums [][]float64, at int) bool {
	half, w := c.frames(c.pHalf), max(1, c.frames(0.005))
	if at-half-w < 0 || at+half+w+1 >= len(sums[0]) {
		return false
	}
	n := half + 1 // every second frame
	for l, s := range sums {
		mean := func(i int) float64 { return (s[i+w+1] - s[i-w]) / float64(2*w+1) }
		a, b := mean(at-half), mean(at+half)
		for i := range n {
			dst[l*n+i] = mean(at-half+2*i) - a - (b-a)*float64(i)/float64(n-1)
		}
	}
	return true
}

// findP finds each P about where it is looked for, between the QRS, and sorts them by
// shape. A P that lies in a QRS cannot be seen.
func (c *tracing) findP() {
	sums := make([][]float64, len(c.rows))
	apart := c.dissociated()
	for l, x := range c.rows {
		if apart {
			x = c.withoutBeats(l)
		}
		sums[l] = make([]float64, len(x)+1)
		for i, v := range x {
			sums[l][i+1] = sums[l][i] + v
		}
	}
	c.pAt, c.pGroup = make([]int, len(c.look.p)), make([]int, len(c.look.p))
	c.pClear, c.pMixed = c.clearOfBeats()
	turns, free := c.turns(sums), make([][2]int, len(c.look.p))
	seg := make([]float64, (c.frames(c.pHalf)+1)*len(c.rows))
	for k, about := range c.look.p {
		free[k] = c.between(about, apart)
		c.pGroup[k], c.pAt[k] = -1, c.nearest(sums, turns, c.frames(about), free[k])
		if c.pAt[k] >= 0 && !c.pPiece(seg, sums, c.pAt[k]) {
			c.pAt[k] = -1
		}
	}
	var leaders [][]float64
	for _, telling := range []bool{true, false} { // first those that show their own shape
		for k, at := range c.pAt {
			if at >= 0 && c.tells(k) == telling {
				leaders = c.join(seg, sums, leaders, k, free[k])
			}
		}
	}
	c.settleP(seg, sums, free, len(leaders))
	for g := range c.pShapes {
		c.measureP(&c.pShapes[g])
	}
}

// between are the frames among which a P is looked for: not into a QRS, unless that has
// been taken away.
func (c *tracing) between(about float64, apart bool) [2]int {
	from, to, half := c.frames(about-reach), c.frames(about+reach), c.frames(c.pHalf)
	if apart {
		half /= 3
	}
	for b, at := range c.at {
		s := c.shapes[c.group[b]].span
		if c.frames(about) < at {
			to = min(to, at+c.frames(s.Onset)-half)
		} else {
			from = max(from, at+c.frames(s.Offset)+half)
		}
	}
	return [2]int{from, to}
}

// settleP puts each P to the mean of the shape it is most like, and drops those that do
// not stand out as that does.
func (c *tracing) settleP(seg []float64, sums [][]float64, free [][2]int, shapes int) {
	means := make([][]float64, shapes)
	for g := range means {
		means[g] = make([]float64, len(seg))
		n := 0
		for k, at := range c.pAt {
			if at >= 0 && c.pGroup[k] == g && c.pPiece(seg, sums, at) {
				n++
				for i, v := range seg {
					means[g][i] += v
				}
			}
		}
		for i := range means[g] {
			means[g][i] /= float64(max(n, 1))
		}
	}
	c.pShapes = make([]shape, shapes)
	for k, at := range c.pAt {
		if at < 0 {
			continue
		}
		g := c.pGroup[k]
		if other, there := c.closest(seg, sums, means, at, free[k]); other >= 0 {
			g, at = other, there
		}
		c.pPiece(seg, sums, at)
		if share := dot(seg, means[g]) / dot(means[g], means[g]); !(share >= pSeen) || !c.tall(means[g]) {
			c.pAt[k], c.pGroup[k] = -1, -1
			continue
		}
		c.pAt[k], c.pGroup[k] = at, g
		c.pShapes[g].members = append(c.pShapes[g].members, k)
		if c.tells(k) {
			c.pShapes[g].clear++
		}
	}
}

// join puts a P to the leader it is most like, or makes it one.
func (c *tracing) join(seg []float64, sums [][]float64, leaders [][]float64, k int, free [2]int) [][]float64 {
	if c.pGroup[k], c.pAt[k] = c.closest(seg, sums, leaders, c.pAt[k], free); c.pGroup[k] >= 0 {
		return leaders
	}
	c.pPiece(seg, sums, c.pAt[k])
	c.pGroup[k] = len(leaders)
	return append(leaders, slices.Clone(seg))
}

// tells reports whether a P shows its own shape.
func (c *tracing) tells(k int) bool { return c.pMixed || c.pClear[k] }

// dissociated reports whether P and QRS go their own ways: whether P falls everywhere
// between two QRS. Then the mean beat holds no P, and can be taken away from under them.
func (c *tracing) dissociated() bool {
	of := 0
	for _, k := range c.look.of {
		if k >= 0 {
			of++
		}
	}
	if 5*of > len(c.at) {
		return false
	}
	var tenths [10]bool
	for _, p := range c.look.p {
		for b := 1; b < len(c.at); b++ {
			from, to := float64(c.at[b-1])/c.rate, float64(c.at[b])/c.rate
			if p >= from && p < to {
				tenths[int(10*(p-from)/(to-from))] = true
			}
		}
	}
	n := 0
	for _, seen := range tenths {
		if seen {
			n++
		}
	}
	return n >= 9
}

// clearOfBeats tells of each P whether it lies outside all QRS and T, and whether most
// do not: then none is told apart.
func (c *tracing) clearOfBeats() (out []bool, mixed bool) {
	out = make([]bool, len(c.look.p))
	n := 0
	for k, p := range c.look.p {
		out[k] = true
		for b, at := range c.at {
			here, s := float64(at)/c.rate, &c.shapes[c.group[b]]
			end := here + s.t.Offset
			if !s.t.Present() {
				end = math.Max(here+s.span.Offset, c.look.t[b]+2*clearOfT)
			}
			if p+near+c.pHalf > here+s.span.Onset && p-near-c.pHalf/2 < end && p > here || math.Abs(p-here) < c.pHalf {
				out[k] = false
			}
		}
		if out[k] {
			n++
		}
	}
	return out, 2*n < len(out)
}

// nearest is where a bump stands out most, the less it counts the farther it lies from
// where it is looked for; -1 without room.
func (c *tracing) nearest(sums [][]float64, turns []float64, about int, free [2]int) int {
	best, most := -1, 0.0
	for i := free[0]; i <= free[1]; i++ {
		h := 0.0
		for l, s := range sums {
			d := turns[l] * c.bump(s, i)
			if d > 0 {
				h += d * d
			}
		}
		d := float64(i-about) / c.rate / (reach / 4)
		if h *= math.Exp(-d * d); h > most {
			best, most = i, h
		}
	}
	return best
}

// tall reports whether a mean P stands out by leastWave in any lead.
func (c *tracing) tall(mean []float64) bool {
	n := len(mean) / len(c.rows)
	for l := range c.rows {
		if x := mean[l*n : (l+1)*n]; height(x) >= leastWave {
			return true
		}
	}
	return false
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// closest is which of the leaders a P is most like, and where it fits it best within
// the frames that are free; -1 when it is like none.
func (c *tracing) closest(seg []float64, sums [][]float64, leaders [][]float64, at int, free [2]int) (group, best int) {
	group, best = -1, at
	top := sameP
	shift := c.frames(pShift * c.pHalf)
	for s := -shift; s <= shift; s += 2 {
		if at+s < free[0] || at+s > free[1] || !c.pPiece(seg, sums, at+s) {
			continue
		}
		for g, leader := range leaders {
			if like := likeness(seg, leader); like > top {
				top, group, best = like, g, at+s
			}
		}
	}
	return group, best
}

// measureP finds onset and offset in the mean of a shape of P.
func (c *tracing) measureP(s *shape) {
	members := slices.DeleteFunc(slices.Clone(s.members), func(k int) bool { return !c.tells(k) })
	if len(members) == 0 {
		members = s.members
	}
	if len(members) == 0 {
		return
	}
	var at, upto []int
	next := c.frames(0.16)
	for _, k := range members {
		at = append(at, c.pAt[k])
		room := c.frames(0.2)
		for b, q := range c.at { // up to the QRS
			if on := q + c.frames(c.shapes[c.group[b]].span.Onset) - c.pAt[k]; on > 0 {
				room = min(room, on)
			}
		}
		upto = append(upto, room)
		next = min(next, room)
	}
	s.before = c.frames(0.16)
	s.mean = c.average(at, upto, s.before, c.frames(0.16))
	if c.pMixed {
		from, to := s.before-c.frames(1.2*c.pHalf), s.before+min(next, c.frames(1.2*c.pHalf))
		for _, x := range s.mean { // on the slope of a T
			a, b := x[from], x[to]
			for i := range x {
				x[i] -= a + (b-a)*float64(i-from)/float64(to-from)
			}
		}
	}
	h := max(1, c.frames(0.006))
	v, quiet := speed(s.mean, h, c.rate), c.quiet(len(at), h)
	near := c.frames(0.75 * c.pHalf) // so that no T is taken for its flank
	up, down := highest(v, s.before-near, s.before), highest(v, s.before, s.before+min(next-h, near))
	run := c.frames(isoTime)
	back := s.before - c.frames(1.5*c.pHalf)
	if at := c.spikeBefore(members, c.pAt, 2*c.pHalf); !math.IsNaN(at) {
		back = s.index(at+spikeHalf, c.rate)
		up = max(up, back+1)
	}
	on, off := edge(v, up, back, -1, quiet, run, false), edge(v, down, s.before+min(next, c.frames(1.5*c.pHalf)), 1, quiet, run, false)
	seconds := func(i int) float64 { return float64(i-s.before) / c.rate }
	s.span = ecg.Span{Onset: seconds(on), Peak: 0, Offset: seconds(off)}
}

// pr is the time from the onset of its P to the onset of each QRS, NaN where either is
// not seen.
func (c *tracing) pr(b int) float64 {
	k := c.look.of[b]
	if k < 0 || c.pAt[k] < 0 {
		return math.NaN()
	}
	p, q := c.pShapes[c.pGroup[k]], c.shapes[c.group[b]]
	if on, ok := c.cleanOnset(); ok && (c.pMixed || 2*p.clear < len(p.members)) {
		p.span.Onset = on
	}
	return float64(c.at[b]-c.pAt[k])/c.rate + q.span.Onset - p.span.Onset
}

// cleanOnset is where the shortest of the common P shapes begins, s from its middle: one
// that lies on a T seems longer. False when none is common.
func (c *tracing) cleanOnset() (seconds float64, ok bool) {
	shortest := math.Inf(1)
	for _, p := range c.pShapes {
		if w := p.span.Offset - p.span.Onset; p.clear >= 3 && 10*p.clear >= len(c.pAt) && w < shortest {
			shortest, seconds, ok = w, p.span.Onset, true
		}
	}
	return seconds, ok
}
