package measure

import (
	"math"
	"slices"
)

// A pShape collects P waves of one shape.
type pShape struct {
	mean []float64
	n    int
}

// sortP assigns the wave whose peak is at peak, in samples of w, to one of the shapes, or a new one.
func sortP(shapes []pShape, w []float64, peak, rate float64) ([]pShape, int) {
	h := int(shapePHalf * rate)
	var room [64]float64
	seg := append(room[:0], make([]float64, 2*h+1)...)
	segmentAt(seg, w, peak-float64(h))
	size := norm(seg)
	best, bestR := -1, shapeP
	for i, s := range shapes {
		n := norm(s.mean)
		if n == 0 || size > shapePSize*n || n > shapePSize*size {
			continue
		}
		if r := dot(seg, s.mean) / (n * size); r > bestR {
			best, bestR = i, r
		}
	}
	if best < 0 {
		return append(shapes, pShape{slices.Clone(seg), 1}), len(shapes)
	}
	s := &shapes[best]
	s.n++
	for k, v := range seg {
		s.mean[k] += (v - s.mean[k]) / float64(s.n)
	}
	return shapes, best
}

// countShapes counts the shapes of the P waves that belong to beats. A shape counts
// when it comes twice, or once beside a usual one.
func (r *Reading) countShapes(m *marker, w []float64) {
	var shapes []pShape
	r.pShape = make([]int, len(m.beats))
	for i, b := range m.beats {
		r.pShape[i] = -1
		if b.P.Present() {
			shapes, r.pShape[i] = sortP(shapes, w, b.P.Peak*m.rate, m.rate)
		}
	}
	r.PShapes = 0
	for _, s := range shapes {
		if s.n > 1 || len(shapes) == 2 {
			r.PShapes++
		}
	}
	r.PShapes = max(r.PShapes, min(len(shapes), 1))
}

// usualShape is the mean of the P waves that beats already have, h samples on each
// side of the peak.
func (m *marker) usualShape(w []float64, h int) []float64 {
	mean, seg := make([]float64, 2*h+1), make([]float64, 2*h+1)
	for _, b := range m.beats {
		if b.P.Present() {
			segmentAt(seg, w, b.P.Peak*m.rate-float64(h))
			for k, v := range seg {
				mean[k] += v
			}
		}
	}
	return mean
}

// shiftingPR is by how much PR, s, varies at least where P comes from several places: each has its
// own way to the QRS (common practice; the limit is ours, on made strips and recordings).
const shiftingPR = 0.015

// changingPR reports whether PR varies by as much.
func (r *Reading) changingPR() bool {
	pr := make([]float64, 0, len(r.PRs))
	for _, v := range r.PRs {
		if !math.IsNaN(v) {
			pr = append(pr, v)
		}
	}
	return quantile(pr, 0.9)-quantile(pr, 0.1) >= shiftingPR
}

// nameShifting names rhythms whose P keep changing shape.
func (r *Reading) nameShifting(limits Limits) {
	r.Name = "wandering-atrial-pacemaker"
	if r.Rate > min(vtFrom, limits.Fast) && r.Rate > limits.Fast*0.9 {
		r.Name = "multifocal-atrial-tachycardia"
	}
	r.reason("P waves of %d shapes: %s", r.PShapes, r.Name)
}

// otherShapes is the share of P waves that are not of the commonest shape.
func (r *Reading) otherShapes() float64 {
	counts := map[int]int{}
	n, most := 0, 0
	for _, s := range r.pShape {
		if s >= 0 {
			counts[s]++
			n++
			most = max(most, counts[s])
		}
	}
	if n == 0 {
		return 0
	}
	return 1 - float64(most)/float64(n)
}
