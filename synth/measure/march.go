package measure

import "math"

// Limits of a march of P waves that keep their own time.
const (
	ppShortest  = 0.26 // s, P to P: 230/min
	ppLongest   = 1.60
	marchSlower = 130  // beats/min above which no march is looked for
	marchFound  = 0.80 // share of the visible steps where a P must stand
	marchUsed   = 0.65 // share of all P-like waves that must be in step
	marchAlike  = 0.85 // correlation of the waves with their average
	marchLeast  = 4    // waves
	pApart      = 0.20 // s between two atrial waves at least; of nearer ones the taller counts
	pReach      = 0.09 // s from a P's peak within which its feet are looked for
)

// marching looks for P waves that keep their own time. v is the lead with the
// QRS-T of every beat taken away, hidden tells where nothing can be seen. The
// result is in time order with the period in samples, empty when no steady march is
// found.
func marching(v []float64, hidden []bool, size, rate float64) (march []bump, period float64) {
	seen := upright(v, hidden, pSize*size, rate)
	if len(seen) < marchLeast {
		return nil, 0
	}
	best := 0.0
	for pp := ppShortest * rate; pp <= ppLongest*rate; pp += 0.004 * rate {
		if m, score := follow(seen, hidden, pp, rate, len(v)); score > best {
			best, march, period = score, m, pp
		}
	}
	if best == 0 || sameness(v, march, rate) < marchAlike {
		return nil, 0
	}
	// the steps walked are whole periods
	length, steps := float64(march[len(march)-1].peak-march[0].peak), 0.0
	for i := 1; i < len(march); i++ {
		steps += math.Round(float64(march[i].peak-march[i-1].peak) / period)
	}
	return march, length / steps
}

// upright lists the upright waves of P's width wherever something can be seen.
func upright(v []float64, hidden []bool, least, rate float64) (seen []bump) {
	open(hidden, func(from, to int) {
		seen = append(seen, bumps(v, from, to, int(pReach*rate), least, 1, pApart, rate)...)
	})
	return seen
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

// bumps lists the waves of P's width in a stretch, upright ones for sign 1, inverted
// ones for sign -1, the taller where two are nearer than apart (s).
func bumps(v []float64, from, to, reach int, least, sign, apart, rate float64) []bump {
	var out []bump
	for i := from + 1; i < to; i++ {
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
		b := bump{left, i, right, v[i] - sign*max(sign*v[left], sign*v[right])}
		if sign*b.height < least {
			continue
		}
		b.trim(v)
		w := float64(b.offset-b.onset) / rate
		if w < pShortest || w > pLongest {
			continue
		}
		if k := len(out) - 1; k >= 0 && float64(i-out[k].peak) < apart*rate {
			if math.Abs(out[k].height) >= math.Abs(b.height) {
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
		if hit >= marchLeast && found >= marchFound && used >= marchUsed && found*used > score {
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
