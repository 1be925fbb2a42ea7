package measure

import (
	"math"
	"slices"
)

// All filters here are centred (zero phase), so that a wave stays where it was:
// running means and differences over sums, at a constant cost per sample.

// odd is the odd number of samples nearest to the given time, at least 1.
func odd(seconds, rate float64) int {
	n := int(seconds*rate) | 1
	return max(n, 1)
}

// smooth writes the centred running mean over w samples (odd) of x into dst, which
// must not be x. At the ends the mean is over the samples there are.
func smooth(dst, x []float64, w int) {
	n, h := len(x), w/2
	if h == 0 {
		copy(dst, x)
		return
	}
	if n < w {
		short(dst, x, h)
		return
	}
	sum := 0.0
	for _, v := range x[:h] {
		sum += v
	}
	for i := range h + 1 { // the span grows
		sum += x[i+h]
		dst[i] = sum / float64(i+h+1)
	}
	sum = slideSum(dst[h+1:n-h], x, w, sum)
	for i := n - h; i < n; i++ { // and shrinks again
		sum -= x[i-h-1]
		dst[i] = sum / float64(n-i+h)
	}
}

// slideSum writes to dst the means of w samples of x from 1, 2, ... on; sum is that of the
// first w of x, what it returns that of the last w. An addition waits for the one before it,
// so four stretches are summed side by side.
func slideSum(dst, x []float64, w int, sum float64) float64 {
	inverse := 1 / float64(w)
	q := len(dst) / 4
	if q >= w {
		total := func(x []float64) (sum float64) {
			for _, v := range x {
				sum += v
			}
			return sum
		}
		a, b, c, d := sum, total(x[q:q+w]), total(x[2*q:2*q+w]), total(x[3*q:3*q+w])
		da, db, dc, dd := dst[:q], dst[q:][:q], dst[2*q:][:q], dst[3*q:][:q]
		in, out := x[w:], x[:len(x)-w]
		ia, ib, ic, id := in[:q], in[q:][:q], in[2*q:][:q], in[3*q:][:q]
		oa, ob, oc, od := out[:q], out[q:][:q], out[2*q:][:q], out[3*q:][:q]
		for i := range q {
			a += ia[i] - oa[i]
			b += ib[i] - ob[i]
			c += ic[i] - oc[i]
			d += id[i] - od[i]
			da[i], db[i], dc[i], dd[i] = a*inverse, b*inverse, c*inverse, d*inverse
		}
		dst, x, sum = dst[4*q:], x[4*q:], d
	}
	in, out := x[w:], x[:len(x)-w]
	for i, v := range in[:len(dst)] {
		sum += v - out[i]
		dst[i] = sum * inverse
	}
	return sum
}

// short is smooth where no span fits into x.
func short(dst, x []float64, h int) {
	for i := range x {
		sum, from, to := 0.0, max(0, i-h), min(len(x), i+h+1)
		for _, v := range x[from:to] {
			sum += v
		}
		dst[i] = sum / float64(to-from)
	}
}

// slope writes the difference over 2h samples into dst: a derivative times 2h.
func slope(dst, x []float64, h int) { rise(dst, x, 2*h) }

// rise writes the difference over so many samples into dst, half of them, rounded up, after
// its own.
func rise(dst, x []float64, over int) {
	n, h := len(x), over/2
	later := over - h
	for i := range min(h, n) {
		dst[i] = x[min(i+later, n-1)] - x[0]
	}
	if n > over {
		to, after := dst[h:n-later], x[over:]
		before := x[:len(to)]
		for i, v := range after[:len(to)] {
			to[i] = v - before[i]
		}
	}
	for i := max(n-later, h); i < n; i++ {
		dst[i] = x[n-1] - x[i-h]
	}
}

// cleaned is one lead made fit for filters: gaps bridged by straight lines.
type cleaned struct {
	mv    []float64 // mV, finite; the lead itself where all of it is valid: not to be written to
	valid []bool    // false where the recording was invalid; nil when all is valid
	share float64   // of valid samples, 0 to 1
}

// invalidAbove is an amplitude in mV that no electrode gives (offsets of up to
// 300 mV are allowed for, IEC 60601-2-27, from memory).
const invalidAbove = 1000

func clean(mv []float64) cleaned {
	if allValid(mv) {
		return cleaned{mv: mv, share: min(1, float64(len(mv)))}
	}
	c := cleaned{mv: slices.Clone(mv), valid: make([]bool, len(mv))}
	good, last := 0, -1
	for i, v := range mv {
		if math.Abs(v) <= invalidAbove {
			c.valid[i] = true
			bridge(c.mv, last, i)
			good, last = good+1, i
		}
	}
	bridge(c.mv, last, len(mv))
	c.share = float64(good) / float64(len(mv))
	return c
}

// allValid reports whether no value is NaN or more than electrodes give. Values whose squares
// taken together are no more than the square of that are not looked at one by one.
func allValid(mv []float64) bool {
	for len(mv) >= 8 {
		x := mv[:8:8]
		a, b := x[0]*x[0]+x[1]*x[1], x[2]*x[2]+x[3]*x[3]
		c, d := x[4]*x[4]+x[5]*x[5], x[6]*x[6]+x[7]*x[7]
		if !(a+b+(c+d) <= invalidAbove*invalidAbove) && !finite(x) {
			return false
		}
		mv = mv[8:]
	}
	return finite(mv)
}

// bridge fills the samples strictly between two valid ones; a or b outside the
// slice holds the other one's level, both outside give zeros.
func bridge(x []float64, a, b int) {
	if b-a <= 1 {
		return
	}
	var from, to float64
	switch {
	case a < 0 && b >= len(x):
	case a < 0:
		from, to = x[b], x[b]
	case b >= len(x):
		from, to = x[a], x[a]
	default:
		from, to = x[a], x[b]
	}
	for i := a + 1; i < min(b, len(x)); i++ {
		x[i] = from + (to-from)*float64(i-a)/float64(b-a)
	}
}

// quantile of unsorted values (linear between order statistics), NaN when there
// are none. It works on a copy.
func quantile(values []float64, q float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	if len(values) <= 64 {
		var room [64]float64
		return quantileOf(room[:copy(room[:], values)], q)
	}
	return quantileOf(slices.Clone(values), q)
}

// enoughValues is how many values of a long strip tell a share of them as well as all.
const enoughValues = 2000

// quantileOf is quantile in place: it overwrites the values.
func quantileOf(s []float64, q float64) float64 {
	p := q * float64(len(s)-1)
	i := int(p)
	at, next := ranked(s, i)
	if i+1 >= len(s) {
		return at
	}
	return at + (p-float64(i))*(next-at)
}

// ranked returns the value that would stand at k in order, and the one after it, +Inf where
// there is none. It counts how many values fall into each part of their range, and goes on
// with those of the part that holds k; it overwrites the values.
func ranked(s []float64, k int) (at, next float64) {
	next = math.Inf(1)
	for len(s) > fewValues {
		low, high := extremes(s)
		var count [rankParts]int
		parts := min(len(s), rankParts)
		scale, last := float64(parts)/(high-low), uint(parts-1)
		part := func(v float64) int { return int(min(uint((v-low)*scale), last)) }
		for _, v := range s {
			count[part(v)]++
		}
		before, here := 0, 0
		for before+count[here] <= k {
			before += count[here]
			here++
		}
		if before+count[here] == k+1 { // the next one lies further up
			for _, v := range s {
				if part(v) > here {
					next = min(next, v)
				}
			}
		}
		kept := s[:0]
		for _, v := range s {
			if part(v) == here {
				kept = append(kept, v)
			}
		}
		if len(kept) == len(s) { // all are the same, or not numbers
			slices.Sort(s)
			break
		}
		s, k = kept, k-before
	}
	sortFew(s)
	if k+1 < len(s) {
		next = s[k+1]
	}
	return s[k], next
}

// rankParts are the most parts of the range of values that are counted; few values have fewer.
const rankParts = 256

// fewValues are sorted faster than counted.
const fewValues = 24

// sortFew sorts by insertion.
func sortFew(s []float64) {
	for i := 1; i < len(s); i++ {
		v, j := s[i], i
		for ; j > 0 && s[j-1] > v; j-- {
			s[j] = s[j-1]
		}
		s[j] = v
	}
}

func median(values []float64) float64 { return quantile(values, 0.5) }

// mean and coefficient of variation (standard deviation with n-1 over the mean).
func meanAndCV(x []float64) (mean, cv float64) {
	if len(x) == 0 {
		return math.NaN(), math.NaN()
	}
	for _, v := range x {
		mean += v
	}
	mean /= float64(len(x))
	if len(x) < 2 {
		return mean, math.NaN()
	}
	ss := 0.0
	for _, v := range x {
		ss += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(ss/float64(len(x)-1)) / mean
}

// level takes the line through its level just before each complex from a lead.
func level(mv []float64, rate float64, beats int, onset func(beat int) int) {
	n := len(mv)
	w := max(1, int(0.016*rate))
	knot := func(i int) (x int, y float64) {
		x = min(max(onset(i)-w/2, 0), n-1)
		from, to := max(0, x-w/2), min(n, x+w/2+1)
		for _, v := range mv[from:to] {
			y += v
		}
		return x, y / float64(to-from)
	}
	type point struct {
		x int
		y float64
	}
	knots := make([]point, 0, beats+2)
	for b := range beats {
		x, y := knot(b)
		if b == 0 {
			knots = append(knots, point{-1, y})
		}
		if x > knots[len(knots)-1].x {
			knots = append(knots, point{x, y})
		}
	}
	knots = append(knots, point{n - 1, knots[len(knots)-1].y})
	for k, to := range knots[1:] {
		if from := knots[k]; to.x > from.x {
			lessLine(mv[from.x+1:to.x+1], from.y, (to.y-from.y)/float64(to.x-from.x))
		}
	}
}

// lessLine takes a line from x that rises by so much from each sample to the next, from its level
// one sample before them.
func lessLine(x []float64, level, rise float64) {
	two, three, four := 2*rise, 3*rise, 4*rise
	for len(x) >= 4 {
		x[0] -= level + rise
		x[1] -= level + two
		x[2] -= level + three
		level += four
		x[3] -= level
		x = x[4:]
	}
	for i := range x {
		level += rise
		x[i] -= level
	}
}

// span is the range of the values.
func span(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	low, high := extremes(x)
	return high - low
}

// most is the greatest of the values without their sign.
func most(x []float64) float64 {
	low, high := extremes(x)
	return max(high, -low)
}

// extremes are the lowest and the highest of the values, of which there is one at least and
// no NaN. Their bits are compared as whole numbers, which the processor does without a guess:
// those of numbers of one sign are in the order of their sizes (IEEE 754-2008, 5.10), and the
// sign is the highest.
func extremes(x []float64) (low, high float64) {
	first := math.Float64bits(x[0])
	most, deepest := int64(first), first
	for _, v := range x {
		bits := math.Float64bits(v)
		most, deepest = max(most, int64(bits)), max(deepest, bits)
	}
	if most >= 0 && int64(deepest) < 0 {
		return math.Float64frombits(deepest), math.Float64frombits(uint64(most))
	}
	least := first // all are of one sign: the one of the smallest size
	for _, v := range x {
		least = min(least, math.Float64bits(v))
	}
	if most >= 0 {
		return math.Float64frombits(least), math.Float64frombits(uint64(most))
	}
	return math.Float64frombits(deepest), math.Float64frombits(least)
}
