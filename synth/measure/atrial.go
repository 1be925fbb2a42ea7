package measure

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// Limits of P waves, in seconds unless said otherwise.
const (
	pSmooth          = 0.024 // running mean a P wave is looked for under
	pShortest        = 0.024 // onset to offset
	pLongest         = 0.200
	prLongest        = 0.40
	pSize            = 0.015 // smallest height as a share of the QRS's
	pShift           = 0.030 // how far a conducted P may lie from its usual place
	pMargin          = 0.030 // compared with it on each side
	pAlike           = 0.75  // correlation with the usual P from which a P is one
	pRepeat          = 0.65  // share of beats that must have the usual P for it to be believed
	pRepeatIrregular = 0.80  // the same where RR is irregular, as in atrial fibrillation
	irregularCV      = 0.15
	marchFound       = 0.80 // share of the visible steps of a march where a P must stand
	marchUsed        = 0.65 // share of all P-like waves that must be in step
	marchAlike       = 0.85 // correlation of the waves of a march with their average
	ppShortest       = 0.26 // P to P: 230/min
	ppLongest        = 1.60
)

// A bump is a wave in a stretch: samples of onset, peak, offset, and its height
// over the higher of its two feet (negative for a trough).
type bump struct {
	onset, peak, offset int
	height              float64
}

// tallest finds the most prominent bump of v in [from, to], each foot the lowest
// point within reach on its side.
func tallest(v []float64, from, to, reach int) (bump, bool) {
	var best bump
	for i := from + 1; i < to; i++ {
		for _, sign := range [2]float64{1, -1} {
			if sign*(v[i]-v[i-1]) <= 0 || sign*(v[i+1]-v[i]) > 0 {
				continue
			}
			left, right := i, i
			for k := i; k >= max(from, i-reach); k-- {
				if sign*v[k] < sign*v[left] {
					left = k
				}
			}
			for k := i; k <= min(to, i+reach); k++ {
				if sign*v[k] < sign*v[right] {
					right = k
				}
			}
			h := sign*v[i] - max(sign*v[left], sign*v[right])
			weight := h
			if sign < 0 {
				weight *= 0.6 // between a T and a P there is always a trough
			}
			if weight > best.weight() {
				best = bump{left, i, right, sign * h}
			}
		}
	}
	if best.height == 0 {
		return best, false
	}
	best.trim(v)
	return best, true
}

func (b bump) weight() float64 {
	if b.height < 0 {
		return -0.6 * b.height
	}
	return b.height
}

// trim moves the feet in to where the bump leaves the line around it.
func (b *bump) trim(v []float64) {
	sign := 1.0
	if b.height < 0 {
		sign = -1
	}
	base := v[b.peak] - b.height
	b.onset, b.offset = corner(v, b.peak, b.onset, sign, base), corner(v, b.peak, b.offset, sign, base)
}

// A pWave is the usual P wave before the usual beats, samples relative to their
// alignment point.
type pWave struct {
	bump
	from  int       // where shape begins, relative to the alignment point
	shape []float64 // the P's samples and a margin around it, mean removed
}

// usualP looks for a P wave that is the same before most beats of a group. quietFrom
// is where, before the beat, the last T has ended (samples relative to the
// alignment point).
func usualP(v []float64, at, beats []int, qrsOn, quietFrom int, size, repeat, rate float64) (pWave, bool) {
	before := min(-qrsOn+int(prLongest*rate), -quietFrom)
	if before < -qrsOn+int(0.05*rate) {
		return pWave{}, false
	}
	a := averaged(v, at, beats, before, max(0, qrsOn), rate)
	last := len(a.mv) - 1
	if qrsOn < 0 {
		last = before + qrsOn
	}
	b, ok := tallest(a.mv, 0, last, int(0.12*rate))
	width := float64(b.offset-b.onset) / rate
	if !ok || math.Abs(b.height) < pSize*size || width < pShortest || width > pLongest {
		return pWave{}, false
	}
	margin := int(pMargin * rate)
	from, to := max(0, b.onset-margin), min(last, b.offset+margin)
	p := pWave{bump: b, from: from - before, shape: make([]float64, to-from+1)}
	segment(p.shape, a.mv, from, 1)
	p.onset, p.peak, p.offset = b.onset-before, b.peak-before, b.offset-before
	seen := 0
	for _, i := range beats {
		if _, ok := p.find(v, at[i], rate); ok {
			seen++
		}
	}
	return p, float64(seen) >= repeat*float64(len(beats))
}

// find looks for the usual P before the beat at sample at, and returns how far it
// is from its usual place.
func (p pWave) find(v []float64, at int, rate float64) (lag int, ok bool) {
	reach := int(pShift * rate)
	seg := make([]float64, len(p.shape))
	size := norm(p.shape)
	best := 0.0
	for l := -reach; l <= reach; l++ {
		if at+p.from+l < 0 {
			continue
		}
		segment(seg, v, at+p.from+l, 1)
		n := norm(seg)
		if n < 0.5*size || n > 2*size {
			continue
		}
		if r := dot(seg, p.shape) / (n * size); r > best {
			best, lag = r, l
		}
	}
	return lag, best > pAlike
}

// marching looks for P waves that keep their own time. v is the lead with the
// QRS-T of every beat taken away, hidden tells where nothing can be seen. The
// result is in time order, empty when no steady march is found.
func marching(v []float64, hidden []bool, size, rate float64) (march []bump, period float64) {
	var seen []bump
	reach := int(0.09 * rate)
	for i := 0; i+1 < len(v); {
		if hidden[i] {
			i++
			continue
		}
		end := i
		for end+1 < len(v) && !hidden[end+1] {
			end++
		}
		seen = append(seen, bumps(v, i, end, reach, pSize*size, rate)...)
		i = end + 1
	}
	if len(seen) < 4 {
		return nil, 0
	}
	best := 0.0
	for period := ppShortest * rate; period <= ppLongest*rate; period += 0.004 * rate {
		if m, score := follow(seen, hidden, period, rate, len(v)); score > best {
			best, march = score, m
		}
	}
	if best == 0 || sameness(v, march, rate) < marchAlike {
		return nil, 0
	}
	gaps := make([]float64, 0, len(march))
	for i := 1; i < len(march); i++ {
		gaps = append(gaps, float64(march[i].peak-march[i-1].peak))
	}
	return march, median(gaps)
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

// bumps lists the upright waves of P's width in a stretch.
func bumps(v []float64, from, to, reach int, least, rate float64) []bump {
	var out []bump
	for i := from + 1; i < to; i++ {
		if v[i]-v[i-1] <= 0 || v[i+1]-v[i] > 0 {
			continue
		}
		left, right := i, i
		for k := i; k >= max(from, i-reach); k-- {
			if v[k] < v[left] {
				left = k
			}
		}
		for k := i; k <= min(to, i+reach); k++ {
			if v[k] < v[right] {
				right = k
			}
		}
		b := bump{left, i, right, v[i] - max(v[left], v[right])}
		if b.height < least {
			continue
		}
		b.trim(v)
		w := float64(b.offset-b.onset) / rate
		if w < pShortest || w > pLongest {
			continue
		}
		if k := len(out) - 1; k >= 0 && i-out[k].peak < int(0.2*rate) {
			if out[k].height >= b.height {
				continue
			}
			out = out[:k]
		}
		out = append(out, b)
	}
	return out
}

// follow walks through the bumps at a period, from each possible start, letting
// every P found set the time for the next. The score is the share of visible steps
// where a P stood, less what is left over; 0 when that is too little to believe.
func follow(seen []bump, hidden []bool, period, rate float64, n int) (march []bump, score float64) {
	tolerance := min(0.10*period, 0.06*rate)
	for s := range min(3, len(seen)) {
		var m []bump
		hit, missed := 0, 0
		k := s
		for at := float64(seen[s].peak); at < float64(n); at += period {
			for k < len(seen) && float64(seen[k].peak) < at-tolerance {
				k++
			}
			if k < len(seen) && math.Abs(float64(seen[k].peak)-at) <= tolerance {
				m = append(m, seen[k])
				hit++
				at = float64(seen[k].peak)
				continue
			}
			if !covered(hidden, int(at), int(tolerance)) {
				missed++
			}
		}
		steps := float64(hit + missed)
		found := float64(hit) / steps
		used := float64(hit) / float64(len(seen))
		if hit >= 4 && found >= marchFound && used >= marchUsed && found*used > score {
			march, score = m, found*used
		}
	}
	return march, score
}

func covered(hidden []bool, at, reach int) bool {
	for i := max(0, at-reach); i <= min(len(hidden)-1, at+reach); i++ {
		if hidden[i] {
			return true
		}
	}
	return false
}

// spanOf turns a bump into seconds.
func (b bump) span(rate float64) ecg.Span {
	return ecg.Span{Onset: float64(b.onset) / rate, Peak: float64(b.peak) / rate, Offset: float64(b.offset) / rate}
}

// inOrder sorts P waves and drops those that overlap an earlier one.
func inOrder(p []ecg.Span) []ecg.Span {
	slices.SortFunc(p, func(a, b ecg.Span) int {
		switch {
		case a.Onset < b.Onset:
			return -1
		case a.Onset > b.Onset:
			return 1
		}
		return 0
	})
	out := p[:0]
	for _, s := range p {
		if len(out) == 0 || s.Onset >= out[len(out)-1].Offset {
			out = append(out, s)
		}
	}
	return out
}
