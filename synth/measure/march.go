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
	ppStep      = 1.04  // from one period tried to the next
	ppNear      = 0.08  // of the period, how far those tried may lie from one that fits the usual P
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
	for _, curves := range [2]bool{false, true} {
		seenIn := v
		if curves {
			seenIn = bend(v, m.rate)
		}
		least := m.leastWave(seenIn, m.hidden, size)
		var up, down []bump
		open(m.hidden, func(from, to int) {
			if from == 0 { // the T of a beat before the strip
				return
			}
			firstUp, firstDown := len(up), len(down)
			up, down = addBumps(up, down, seenIn, from, to, reach, least, pApart, m.rate)
			if curves { // their feet are those of the wave itself
				here := func(seen []bump, sign float64) {
					for i, b := range seen {
						seen[i] = around(v, b.peak, from, to, reach, sign)
						seen[i].height = b.height
					}
				}
				here(up[firstUp:], 1)
				here(down[firstDown:], -1)
			}
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
	for i := 0; i < len(hidden); {
		if hidden[i] {
			i++
			continue
		}
		from := i
		for i < len(hidden) && !hidden[i] {
			i++
		}
		f(from, i-1)
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
