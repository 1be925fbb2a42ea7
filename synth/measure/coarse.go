package measure

import "math"

// Beats are found, shapes are compared and P waves are looked for at no more than the rate
// that is enough for them, on a running mean of the lead; QRS and T are measured at the rate
// of the lead, and places found at a lower rate lie between its samples.

// coarseRate is that rate, Hz, at least, where a lead has it.
const coarseRate = 180

// coarseStep is how many samples of a lead there are for each coarse one.
func coarseStep(rate float64) int { return max(1, int(rate/coarseRate)) }

// smoothCoarse is smooth at every step-th sample of x alone; dst holds one for each.
func smoothCoarse(dst, x []float64, w, step int) {
	if step == 1 {
		smooth(dst, x, w)
		return
	}
	h := w / 2
	mean := func(j int) (sum float64) {
		from, to := max(0, j*step-h), min(len(x), j*step+h+1)
		for _, v := range x[from:to] {
			sum += v
		}
		return sum / float64(to-from)
	}
	first, last := (h+step-1)/step, (len(x)-1-h)/step // where the whole span lies in x
	if last <= first {
		for j := range dst {
			dst[j] = mean(j)
		}
		return
	}
	for j := range first + 1 {
		dst[j] = mean(j)
	}
	for j := last + 1; j < len(dst); j++ {
		dst[j] = mean(j)
	}
	inverse := 1 / float64(w)
	out, in, to := x[first*step-h:], x[first*step+h+1:], dst[first+1:last+1]
	sum := dst[first] * float64(w)
	if q := len(to) / 2; step == 2 && q > 0 { // two stretches side by side, as in slideSum
		other := mean(first+q) * float64(w)
		a, b := to[:q], to[q:][:q]
		ia, oa, ib, ob := in[:2*q], out[:2*q], in[2*q:][:2*q], out[2*q:][:2*q]
		for j, k := 0, 0; j < len(a) && j < len(b) && k+1 < len(ia) && k+1 < len(oa) && k+1 < len(ib) && k+1 < len(ob); j, k = j+1, k+2 {
			sum += ia[k] - oa[k] + (ia[k+1] - oa[k+1])
			other += ib[k] - ob[k] + (ib[k+1] - ob[k+1])
			a[j], b[j] = sum*inverse, other*inverse
		}
		in, out, to, sum = in[4*q:], out[4*q:], to[2*q:], other
	}
	for j := range to {
		new, old := in[:step], out[:step]
		more := 0.0
		for i, v := range new {
			more += v - old[i]
		}
		in, out = in[step:], out[step:]
		sum += more
		to[j] = sum * inverse
	}
}

// A stretch is what the beats of one shape have in common, from so many samples after their
// alignment point on.
type stretch struct {
	from int
	mv   []float64
}

// hiddenAfter is how long after its end a QRS hides what else there may be, s.
const hiddenAfter = 0.02

// coarser is the marker of the same lead at a lower rate, with the running mean that P are
// looked for under.
func (m *marker) coarser() *marker {
	step := coarseStep(m.rate)
	c, n := *m, (len(m.flat)+step-1)/step
	c.fine, c.step, c.rate = m, step, m.rate/float64(step)
	near := func(i int) int { return int(math.Round(float64(i) / float64(step))) }
	if step > 1 {
		c.at = make([]int, len(m.at))
		for b, i := range m.at {
			c.at[b] = min(near(i), n-1)
		}
		c.complex = make([]complex, len(m.complex))
		for g, x := range m.complex {
			c.complex[g] = complex{near(x.on), near(x.peak), near(x.off), near(x.tOn), near(x.tPeak), near(x.tOff), x.hasT, x.tHeight}
		}
	}
	c.hidden = make([]bool, n)
	for b, at := range m.at {
		x := m.complex[m.group[b]]
		from, to := at+x.on, at+x.off+int(hiddenAfter*m.rate)
		for i := max(0, (from+step-1)/step); i < n && i*step <= to; i++ {
			c.hidden[i] = true
		}
	}
	w := odd(pSmooth, m.rate)
	c.flat, c.rest = m.desk.row(n), m.desk.row(n)
	smoothCoarse(c.flat, m.flat, w, step)
	copy(c.rest, c.flat)
	for g, u := range m.usual {
		if u.mv == nil {
			continue
		}
		phases := make([]stretch, 2*step+1) // of the alignment point between the samples
		for _, b := range m.shapes[g].beats {
			p := &phases[m.at[b]-c.at[b]*step+step]
			if p.mv == nil {
				*p = u.coarser(m.at[b]-c.at[b]*step, w, step)
			}
			from, to := c.at[b]+p.from, min(c.at[b]+p.from+len(p.mv), n)
			here := c.rest[max(0, from):to]
			for i, v := range p.mv[max(0, -from):][:len(here)] {
				here[i] -= v
			}
		}
	}
	return &c
}

// coarser is the stretch under a running mean over w samples, one for each step of them, where
// the alignment point is so many samples after a coarser one.
func (u stretch) coarser(phase, w, step int) stretch {
	before := u.from - 2*w
	room := make([]float64, len(u.mv)+4*w)
	copy(room[2*w:], u.mv)
	from := before + phase // of the first coarser sample that lies in room
	for from%step != 0 {
		from++
	}
	room = room[from-before-phase:]
	out := stretch{from / step, make([]float64, (len(room)+step-1)/step)}
	smoothCoarse(out.mv, room, w, step)
	return out
}
