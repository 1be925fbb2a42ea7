package measure

import "math"

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

// bumps lists the waves of P's width in a stretch, upright ones and inverted ones, the
// taller where two of a kind are nearer than apart (s).
func bumps(v []float64, from, to, reach int, least, apart, rate float64) (up, down []bump) {
	return addBumps(nil, nil, v, from, to, reach, least, apart, rate)
}

// addBumps appends what bumps lists to up and down.
func addBumps(up, down []bump, v []float64, from, to, reach int, least, apart, rate float64) (ups, downs []bump) {
	var room [64]int
	firstUp, firstDown := len(up), len(down)
	turns, sign := swings(v, from, to, least, room[:0])
	for _, i := range turns {
		out, first := &up, firstUp
		if sign < 0 {
			out, first = &down, firstDown
		}
		b, ok := rises(v, i, max(from, i-reach), min(to, i+reach), sign, least)
		sign = -sign
		if !ok {
			continue
		}
		n := len(*out) - 1
		near := n >= first && float64(i-(*out)[n].peak) < apart*rate
		if near && math.Abs((*out)[n].height) >= math.Abs(b.height) {
			continue
		}
		b.trim(v)
		if w := float64(b.offset-b.onset) / rate; w < pShortest || w > pLongest {
			continue
		}
		if near {
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
	v = v[:to+1]
	low, high, i := v[from], v[from], from
	for high-low < least && i < to {
		i++
		if v[i] < low {
			low = v[i]
		} else if v[i] > high {
			high = v[i]
		}
	}
	first, at := 1.0, i
	if v[i] == low {
		first = -1
	}
	top := v[i]
	for up := first > 0; ; up = !up {
		if up {
			for i++; i < len(v) && top-v[i] < least; i++ {
				if v[i] > top {
					at, top = i, v[i]
				}
			}
		} else {
			for i++; i < len(v) && v[i]-top < least; i++ {
				if v[i] < top {
					at, top = i, v[i]
				}
			}
		}
		if i >= len(v) {
			return out, first
		}
		out = append(out, at)
		at, top = i, v[i]
	}
}
