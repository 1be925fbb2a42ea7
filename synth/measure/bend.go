package measure

import "math"

// Limits of P waves that stand on other waves.
const (
	bendReach = 0.022 // s on each side over which the curve of a P shows
	likeGain  = 0.50  // of the usual P's curve: that of another one, from
	likeMost  = 1.80  // to
	likeAlike = 0.75  // correlation with it
	likeNear  = 0.20  // of its curve: where there is less, the next two places have no such wave either
	humpBend  = 0.15  // of a wave's curve: that of T's own top before it
	onTBend   = 0.30  // of the curve of T's top: that of an unknown P on its flank
	onTOver   = 0.50  // of its own curve: so high over the line it stands, as the end of an inverted T does not
	humpApart = 0.040 // s between the two at least
	humpNear  = 0.150 // and at most
)

// bend is how far each sample of v stands out of the line between those on both sides
// of it. A P stands out on a T too, which is wider.
func bend(v []float64, rate float64) []float64 {
	h := max(1, int(bendReach*rate))
	out := make([]float64, len(v))
	for i := h; i+h < len(v); i++ {
		out[i] = v[i] - (v[i-h]+v[i+h])/2
	}
	return out
}

// like lists the waves of v that curve as the usual P does, whatever they stand on.
func (p pWave) like(v []float64, rate float64) (found []bump) {
	h := max(1, int(bendReach*rate))
	if len(p.shape) < 4*h || len(v) < len(p.shape) {
		return nil
	}
	shape := bend(p.shape, rate)[h : len(p.shape)-h]
	size := dot(shape, shape)
	if size == 0 {
		return nil
	}
	d := bend(v, rate)
	last := 0.0
	stride := max(1, int(0.004*rate))
	top := 0 // of the usual P's curve
	for k, c := range shape {
		if math.Abs(c) > math.Abs(shape[top]) {
			top = k
		}
	}
	for i := 0; i+len(shape) <= len(d); i += stride {
		s := d[i : i+len(shape)]
		if s[top]*shape[top] < 0 { // it curves the other way
			continue
		}
		x := dot(s, shape)
		gain := x / size
		if gain < likeNear {
			i += 2 * stride
			continue
		}
		if gain < likeGain || gain > likeMost {
			continue
		}
		alike := x / math.Sqrt(size*dot(s, s))
		if alike < likeAlike {
			continue
		}
		at := i - h - p.from // of the beat it would belong to
		b := bump{at + p.onset, at + p.peak, at + p.offset, gain * p.height}
		if k := len(found) - 1; k >= 0 && b.peak-found[k].peak < int(pApart*rate) {
			if gain*alike <= last {
				continue
			}
			found = found[:k]
		}
		found, last = append(found, b), gain*alike
	}
	return found
}

// afterHump reports whether a T has a top of its own shortly before a wave at sample
// peak of the bend d, so that the wave is not that top.
func afterHump(d []float64, peak int, rate float64) bool {
	least := humpBend * d[min(max(peak, 0), len(d)-1)]
	first := max(1, int(bendReach*rate)) // before it no bend is known
	for i := max(first+1, peak-int(humpNear*rate)); i < peak-int(humpApart*rate); i++ {
		if d[i] > least && d[i] >= d[i-1] && d[i] > d[i+1] {
			return true
		}
	}
	return false
}
