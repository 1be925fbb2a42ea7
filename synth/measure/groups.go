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
// fits its group best. group[i] is the group of beat i; group 0 is the commonest.
func grouped(mv []float64, at []int, rate float64) (group []int, shapes []shape) {
	before, after, shift := int(shapeBefore*rate), int(shapeAfter*rate), int(shapeShift*rate)
	step := max(1, int(rate/250)) // 250 Hz is enough to compare
	w := (before+after)/step + 1
	seg := make([]float64, w)
	group = make([]int, len(at))
	cut := func(i int) { segment(seg, mv, i-before, step) }
	for b := range at {
		best, bestR, bestLag := -1, 0.0, 0
		for g := range shapes {
			r, lag := 0.0, 0
			size := norm(shapes[g].mean)
			for l := -shift; l <= shift; l += step {
				cut(at[b] + l)
				n := norm(seg)
				if n == 0 || size == 0 || n > alikeSize*size || size > alikeSize*n {
					continue
				}
				if c := dot(seg, shapes[g].mean) / (n * size); c > r {
					r, lag = c, l
				}
			}
			if r > bestR {
				best, bestR, bestLag = g, r, lag
			}
		}
		if best < 0 || (bestR < alike && len(shapes) < mostShapes) {
			cut(at[b])
			group[b] = len(shapes)
			shapes = append(shapes, shape{slices.Clone(seg), []int{b}})
			continue
		}
		at[b] = min(max(at[b]+bestLag, 0), len(mv)-1)
		cut(at[b])
		s := &shapes[best]
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

// segment fills dst with every step-th sample of mv from sample from on, less
// their mean; the ends of mv are held.
func segment(dst, mv []float64, from, step int) {
	sum := 0.0
	for k := range dst {
		dst[k] = mv[min(max(from+k*step, 0), len(mv)-1)]
		sum += dst[k]
	}
	sum /= float64(len(dst))
	for k := range dst {
		dst[k] -= sum
	}
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

func norm(a []float64) float64 { return math.Sqrt(dot(a, a)) }

// likeness is how far a strip repeats: for each beat the best correlation of its
// stretch of 0.4 s with that of another beat, the median over the beats. Complexes
// of even two or three shapes repeat; fibrillation does not. 0 with fewer than 3
// beats.
func likeness(mv []float64, at []int, rate float64) float64 {
	if len(at) < 3 {
		return 0
	}
	before, step := int(0.12*rate), max(1, int(rate/125))
	w := int(0.40*rate)/step + 1
	segs := make([]float64, len(at)*w)
	row := func(b int) []float64 { return segs[b*w : (b+1)*w] }
	for b, i := range at {
		s := row(b)
		segment(s, mv, i-before, step)
		if n := norm(s); n > 0 {
			for k := range s {
				s[k] /= n
			}
		}
	}
	r := make([]float64, len(at))
	for b := range at {
		for c := max(0, b-likeReach); c < min(len(at), b+likeReach+1); c++ {
			if c == b {
				continue
			}
			// the same size too: what differs in size by a factor f repeats less
			r[b] = max(r[b], dot(row(b), row(c)))
		}
	}
	return median(r)
}

// likeReach is how many beats before and after one it is compared with.
const likeReach = 12
