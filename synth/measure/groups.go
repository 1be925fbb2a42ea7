package measure

import (
	"cmp"
	"math"
	"slices"
)

// A shape is the average of beats that look alike, on the lead with mains removed.
type shape struct {
	mean  []float64 // mV around the alignment point, its own mean removed
	beats []int     // which beats
}

// Times and limits of comparing shapes.
const (
	shapeBefore = 0.10 // s of the beat before its middle that is compared
	shapeAfter  = 0.14 // and after
	shapeShift  = 0.05 // s the two may be moved against each other
	alike       = 0.88 // correlation from which two beats are of one shape
	alikeSize   = 1.8  // and of amplitudes no further apart than this factor
	mostShapes  = 10
)

// grouped sorts beats by shape and moves every beat's alignment point to where it
// fits its group best, between the samples of mv, of which there is one for each step of at.
// group[i] is the group of beat i; group 0 is the commonest.
func grouped(mv []float64, at []int, step int, rate float64) (group []int, shapes []shape) {
	before, after, shift := int(shapeBefore*rate), int(shapeAfter*rate), int(shapeShift*rate)
	w := before + after + 1
	stretch, seg := make([]float64, w+2*shift), make([]float64, w)
	group = make([]int, len(at))
	for b := range at {
		here := at[b] / step
		lift(stretch, mv, here-before-shift, 1)
		best, bestR, bestAt, bestPast := -1, 0.0, 0, 0.0
		for g := range shapes {
			if r, k, past := fit(stretch, shapes[g].mean, alikeSize); r > bestR {
				best, bestR, bestAt, bestPast = g, r, k, past
			}
		}
		if best < 0 || (bestR < alike && len(shapes) < mostShapes) {
			copy(seg, stretch[shift:])
			centre(seg)
			group[b] = len(shapes)
			shapes = append(shapes, shape{slices.Clone(seg), []int{b}})
			continue
		}
		s := &shapes[best]
		at[b] = here*step + int(math.Round(float64(step)*(float64(bestAt-shift)+bestPast)))
		at[b] = min(max(at[b], 0), (len(mv)-1)*step)
		copy(seg, stretch[bestAt:])
		centre(seg)
		s.beats = append(s.beats, b)
		weight := 1 / float64(len(s.beats))
		for k, v := range seg {
			s.mean[k] += (v - s.mean[k]) * weight
		}
		group[b] = best
	}
	slices.SortStableFunc(shapes, func(a, b shape) int { return cmp.Compare(len(b.beats), len(a.beats)) })
	for g, s := range shapes {
		for _, b := range s.beats {
			group[b] = g
		}
	}
	return group, shapes
}

// fit slides a shape, whose mean is 0, along a stretch and returns how well the two
// correlate at best, from which sample of the stretch on, and how far past that sample the top
// lies of a parabola through the fits there and on both sides. Where one is larger than
// the other by more than the factor apart they are not compared; r is 0 where none is.
// The places are tried coarsely, from the middle while it gets better and then all of them
// unless the fit is sure, and those beside the best one by one while it gets better.
func fit(stretch, shape []float64, apart float64) (r float64, at int, past float64) {
	return slide(stretch, shape, apart, true)
}

// slide is fit, or, not centred, the same with no mean taken away from the stretch.
func slide(stretch, shape []float64, apart float64, centred bool) (r float64, at int, past float64) {
	w := len(shape)
	part := 0.0 // of the squares that is its mean's
	if centred {
		part = 1 / float64(w)
	}
	size := dot(shape, shape)
	if size == 0 || len(stretch) < w {
		return 0, 0, 0
	}
	least, most := size/(apart*apart), size*(apart*apart)
	sum, squares := 0.0, 0.0
	for _, v := range stretch[:w] {
		sum, squares = sum+v, squares+v*v
	}
	var room [64]float64
	sizes := append(room[:0], squares-sum*sum*part) // of each place
	for k, v := range stretch[:len(stretch)-w] {
		in := stretch[k+w]
		sum, squares = sum+in-v, squares+in*in-v*v
		sizes = append(sizes, squares-sum*sum*part)
	}
	var dots [64]float64 // of each place, 0 where it is not known yet
	product := func(k int) float64 {
		if k >= len(dots) {
			return dot(shape, stretch[k:])
		}
		if dots[k] == 0 {
			dots[k] = dot(shape, stretch[k:])
		}
		return dots[k]
	}
	try := func(k int) {
		if n := sizes[k]; n > 0 && n >= least && n <= most {
			if c := product(k) / math.Sqrt(n*size); c > r {
				r, at = c, k
			}
		}
	}
	middle := (len(sizes) - 1) / 2
	climb := func(stride int) { // from the middle on, while it gets better
		for k, least := middle+stride, r; k >= 0 && k < len(sizes); k += stride {
			if try(k); r == least {
				break
			}
			least = r
		}
	}
	try(middle)
	climb(-fitStride)
	climb(fitStride)
	if r < fitSure {
		for k := middle % fitStride; k < len(sizes); k += fitStride {
			try(k)
		}
	}
	near := at
	if r == 0 {
		near = middle
	}
	for _, side := range [2]int{-1, 1} { // and on from there while it gets better
		for k, last := near+side, r; k >= 0 && k < len(sizes) && k != near+side*fitStride; k += side {
			if try(k); r == last {
				break
			}
			last = r
		}
	}
	if r > 0 && at > 0 && at+1 < len(sizes) {
		a, b, c := product(at-1), product(at), product(at+1)
		if d := a - 2*b + c; d < 0 {
			past = min(max((a-c)/(2*d), -pastMost), pastMost)
		}
	}
	return r, at, past
}

// pastMost is less than half a sample, so that the nearest one stays that.
const pastMost = 0.49

// fitStride is how many samples apart a shape is tried first: far less than the waves
// compared are wide.
const fitStride = 3

// fitSure is the correlation from which a shape has found its place.
const fitSure = 0.95

// lift fills dst with every step-th sample of mv from sample from on; the ends of mv
// are held.
func lift(dst, mv []float64, from, step int) {
	if step == 1 && from >= 0 && from+len(dst) <= len(mv) {
		copy(dst, mv[from:])
		return
	}
	if from >= 0 && from+(len(dst)-1)*step < len(mv) {
		for k, i := 0, from; k < len(dst); k, i = k+1, i+step {
			dst[k] = mv[i]
		}
		return
	}
	for k := range dst {
		dst[k] = mv[min(max(from+k*step, 0), len(mv)-1)]
	}
}

// centre takes their mean from the values.
func centre(x []float64) {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	sum /= float64(len(x))
	for k := range x {
		x[k] -= sum
	}
}

// segment is lift, the mean taken away.
func segment(dst, mv []float64, from, step int) {
	lift(dst, mv, from, step)
	centre(dst)
}

// segmentAt is segment of every sample, from a place between two of them on.
func segmentAt(dst, mv []float64, from float64) {
	first := int(math.Floor(from))
	part := from - float64(first)
	last := mv[min(max(first, 0), len(mv)-1)]
	for k := range dst {
		next := mv[min(max(first+k+1, 0), len(mv)-1)]
		dst[k] = last + part*(next-last)
		last = next
	}
	centre(dst)
}

// dot is the sum of products of a with as many values of b.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s, t, u, v float64 // four sums, which the processor keeps apart
	for len(a) >= 4 && len(b) >= 4 {
		s += a[0] * b[0]
		t += a[1] * b[1]
		u += a[2] * b[2]
		v += a[3] * b[3]
		a, b = a[4:], b[4:]
	}
	for i, x := range a {
		s += x * b[i]
	}
	return s + t + (u + v)
}

func norm(a []float64) float64 { return math.Sqrt(dot(a, a)) }

// likeness is how far a strip repeats: for each beat the best correlation of its
// stretch of 0.4 s with that of another beat, the median over the beats. Complexes
// of even two or three shapes repeat; fibrillation does not. 0 with fewer than 3
// beats. mv has one sample for each step of at.
func likeness(mv []float64, at []int, each int, rate float64, d *desk) float64 {
	if len(at) < 3 {
		return 0
	}
	before, step := int(0.12*rate), max(1, int(rate/90))
	w := int(0.40*rate)/step + 1
	segs := d.row(len(at) * w)
	row := func(b int) []float64 { return segs[b*w : (b+1)*w] }
	for b, i := range at {
		s := row(b)
		segment(s, mv, i/each-before, step)
		if n := norm(s); n > 0 {
			inverse := 1 / n
			for k := range s {
				s[k] *= inverse
			}
		}
	}
	r := make([]float64, len(at))
	for b := range at {
		for c := b + 1; c < min(len(at), b+likeReach+1); c++ {
			if r[b] > plainlyAlike && r[c] > plainlyAlike {
				continue
			}
			d := dot(row(b), row(c))
			r[b], r[c] = max(r[b], d), max(r[c], d)
		}
	}
	return median(r)
}

// plainlyAlike is a correlation above all limits of likeness: a better one says no more.
const plainlyAlike = 0.995

// likeReach is how many beats before and after one it is compared with.
const likeReach = 12
