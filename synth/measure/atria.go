package measure

import (
	"math"
	"slices"
	"sort"

	"telltrace/synth/ecg"
)

// Limits of atrial waves that stand anywhere between complexes.
const (
	waveNoise     = 2.5   // of the quiet quarter's range: a lower wave is noise
	waveSize      = 0.012 // mV at least, where the signal is in mV
	onT           = 0.18  // share of the T under it that a wave on a T must have
	onTAlone      = 0.30  // the same of one that no beat follows
	otherP        = 0.55  // share of the usual P's height that a P of another place must have
	besideP       = 0.12  // s from one wave to the next at least
	halvesApart   = 0.03  // s from the end of an inverted T to the wave that is its other half
	ownLatest     = 0.45  // s from a P's peak to the QRS it belongs to at most
	ownShare      = 0.72  // and as a share of RR
	looseOwn      = 0.75  // share of beats that must have a wave before them
	looseMost     = 1.7   // waves for each beat: more are those of fibrillation
	looseQuiet    = 0.45  // of the wave's height: the range of the rest of the gap at most
	looseRoom     = 0.060 // s of gap beside the wave from which it is judged
	cycleTallest  = 1.4   // of the usual P's height: a taller one is not P
	cycleApart    = 0.04  // s from T to it at least
	midway        = 0.03  // of the usual PP: so far from its middle a wave is midway
	midwayP       = 0.20  // of the usual P's height: what stands out of T midway
	cycleP        = 0.30  // of the usual P's height: a further wave in every cycle is as high
	leadsAgree    = 2     // other leads at least that tell a P from a notch of T
	cycleDeep     = 0.50  // the same of an inverted one
	cycleDeepSize = 0.05  // and of the QRS's size
	cycleWidest   = 0.13  // s
	slowCycle     = 0.80  // of the age's fast limit: slower rhythms may have blocked P in every cycle
	shapeP        = 0.80  // correlation from which two P are of one shape
	shapePSize    = 1.6   // and no further apart in height than this factor
	shapePHalf    = 0.055 // s on each side of the peak that are compared
	retroFrom     = 0.010 // s after QRS from which a retrograde P may stand
	retroTo       = 0.140
	retroHeight   = 0.05 // of the QRS's size
)

// between lists the waves of P's width, of either sign, that stand out of the noise
// of the lead with every QRS-T taken away.
func (m *marker) between(w []float64, size float64) []bump {
	hidden := m.unsure()
	least := m.leastWave(w, hidden, size)
	reach := int(pReach * m.rate)
	up, down := make([]bump, 0, len(m.at)), make([]bump, 0, len(m.at))
	open(hidden, func(from, to int) {
		up, down = addBumps(up, down, w, from, to, reach, least, pApart, m.rate)
	})
	out := slices.DeleteFunc(append(up, down...), func(b bump) bool { return math.Abs(b.height) < onT*m.tUnder(b.peak) || m.otherHalf(b) })
	slices.SortFunc(out, func(a, b bump) int { return a.peak - b.peak })
	kept := out[:0]
	for _, b := range out { // beside a P there is a trough on either side: the taller one is the wave
		k := len(kept) - 1
		if k >= 0 && b.peak-kept[k].peak < int(besideP*m.rate) {
			if b.weight() <= kept[k].weight() {
				continue
			}
			kept = kept[:k]
		}
		kept = append(kept, b)
	}
	return kept
}

// withAlways adds to waves the one of every cycle, in place of what is beside it.
func (m *marker) withAlways(waves []bump, always bump) (out []bump) {
	for i, at := range m.at[:len(m.at)-1] {
		if m.group[i] == 0 {
			out = append(out, bump{at + always.onset, at + always.peak, at + always.offset, always.height})
		}
	}
	for n, k, i := len(out), 0, 0; i < len(waves); i++ {
		for k < n && float64(out[k].peak-waves[i].peak) <= -besideP*m.rate {
			k++
		}
		if k == n || float64(out[k].peak-waves[i].peak) >= besideP*m.rate {
			out = append(out, waves[i])
		}
	}
	slices.SortFunc(out, func(a, b bump) int { return a.peak - b.peak })
	return out
}

// leastWave is the height in mV from which a wave of w stands out of the noise where
// nothing is hidden; size is the height of QRS.
func (m *marker) leastWave(w []float64, hidden []bool, size float64) float64 {
	step := max(1, int(0.06*m.rate))
	stride := step * (1 + len(w)/(step*enoughValues/4))
	ranges := make([]float64, 0, len(w)/stride+len(m.at)+1)
	open(hidden, func(from, to int) {
		for i := from; i+step <= to; i += stride {
			ranges = append(ranges, span(w[i:i+step]))
		}
	})
	if len(ranges) == 0 {
		return math.Inf(1)
	}
	return max(pSize*size, waveSize, waveNoise*quantile(ranges, 0.25))
}

// unsure is hidden and, besides, where a beat whose average is not known has its T.
func (m *marker) unsure() []bool {
	out := m.hidden
	for b, at := range m.at {
		if len(m.shapes[m.group[b]].beats) >= leastAveraged {
			continue
		}
		if &out[0] == &m.hidden[0] {
			out = slices.Clone(out)
		}
		c := m.complex[m.group[b]]
		end := c.off + int(0.30*m.rate)
		if c.hasT {
			end = c.tOff
		}
		if b+1 < len(m.at) {
			end = min(end, m.at[b+1]-at)
		}
		for i := max(0, at+c.on); i <= min(len(out)-1, at+end); i++ {
			out[i] = true
		}
	}
	return out
}

// tUnder is the height in mV of the T wave that sample i stands on, 0 for none.
func (m *marker) tUnder(i int) float64 {
	longest := 0
	for _, c := range m.complex {
		longest = max(longest, c.tOff)
	}
	b, _ := slices.BinarySearch(m.at, i-longest)
	for ; b < len(m.at) && m.at[b] < i; b++ {
		if c := m.complex[m.group[b]]; c.hasT && i > m.at[b]+c.off && i < m.at[b]+c.tOff {
			return math.Abs(c.tHeight)
		}
	}
	return 0
}

// otherHalf reports whether a wave begins where an inverted T ends: an upright one is the other
// half of that T, a low inverted one its tail.
func (m *marker) otherHalf(b bump) bool {
	k := sort.SearchInts(m.at, b.peak) - 1
	if k < 0 {
		return false
	}
	c, from := m.complex[m.group[k]], m.at[k]
	return c.hasT && c.tHeight < 0 && b.height > onT*c.tHeight && b.peak > from+c.tPeak && float64(b.onset-from-c.tOff) < halvesApart*m.rate
}

// everyCycle looks for a further wave at one place in every cycle of a slow
// regular rhythm, beside the usual P: a blocked P that always comes at the same time.
// It returns where it stands after the alignment point.
func (m *marker) everyCycle(v []float64, p pWave, size float64) (bump, bool) {
	main := m.shapes[0].beats
	if len(main) < 4 || m.usualCV() > regularCV {
		return bump{}, false
	}
	c := m.complex[0]
	rr := m.usualRR(main) * m.rate
	from, to := c.off+int(0.012*m.rate), int(rr)+p.onset-int(0.03*m.rate)
	if to-from < int(0.15*m.rate) {
		return bump{}, false
	}
	a := averaged(v, m.at, main, 2-c.on, to+1, m.rate)
	if b, ok := m.onOwnT(p, a.mv[a.before+from:], from, rr); ok {
		return b, true
	}
	if c.hasT && c.tHeight < 0 { // beside an inverted T a crest is its other half
		return bump{}, false
	}
	least := max(midwayP*math.Abs(p.height), waveSize)
	best := bump{}
	up, _ := bumps(a.mv, a.before+from, a.before+to, int(pReach*m.rate), least, cycleApart, m.rate)
	for _, b := range up {
		if c.hasT && math.Abs(float64(b.peak-a.before-c.tPeak)) < pDistinct*m.rate {
			continue
		}
		// where it stands between the usual P, 0 to 1: what is not midway must stand out
		share := float64(b.peak-a.before-p.peak) / rr
		if math.Abs(share-0.5) > midway && (share > 0.5 || b.height < max(cycleP*math.Abs(p.height), pSize*size)) {
			continue
		}
		if math.Abs(share-0.5) <= midway && len(m.others) >= leadsAgree && !m.agree(p, b.peak-a.before-p.peak) {
			continue
		}
		if b.height > best.height && b.height < cycleTallest*math.Abs(p.height) {
			best = b
		}
	}
	if c.hasT && best.height == 0 { // an inverted one shows between QRS and T
		least = max(cycleDeep*math.Abs(p.height), cycleDeepSize*size, waveSize)
		_, down := bumps(a.mv, a.before+from, a.before+min(c.tPeak, to), int(pReach*m.rate), least, cycleApart, m.rate)
		for _, b := range down {
			if b.height < best.height && -b.height < cycleTallest*math.Abs(p.height) && float64(b.offset-b.onset) < cycleWidest*m.rate {
				best = b
			}
		}
	}
	best.onset, best.peak, best.offset = best.onset-a.before, best.peak-a.before, best.offset-a.before
	return best, best.height != 0
}

// onOwnT looks for a wave that curves as the usual P on the T before it, up to midway
// between the P, and in the other leads as P does there: a notch of T is of another
// shape in every lead. v is the average beat from so many samples after the alignment
// point.
func (m *marker) onOwnT(p pWave, v []float64, from int, rr float64) (best bump, ok bool) {
	if len(m.others) < leadsAgree {
		return bump{}, false
	}
	c := m.complex[0]
	d := bend(v, m.rate)
	for _, b := range p.like(v, m.rate) {
		at := b.peak + from
		if b.peak < 0 || float64(at-p.peak) > (0.5+midway)*rr || b.weight() <= best.weight() {
			continue
		}
		if c.hasT && math.Abs(float64(at-c.tPeak)) < pDistinct*m.rate && !afterHump(d, b.peak, m.rate) {
			continue
		}
		if m.agree(p, at-p.peak) {
			best, ok = bump{b.onset + from, at, b.offset + from, b.height}, true
		}
	}
	return best, ok
}

// agree reports whether what stands so many samples after the usual P curves as it
// does in the other leads taken together.
func (m *marker) agree(p pWave, later int) bool {
	var both, first, second float64
	f := m.fine
	p.onset, p.offset, later = p.onset*m.step, p.offset*m.step, later*m.step
	w := p.offset - p.onset
	for _, mv := range m.others {
		a := averaged(mv, f.at, m.shapes[0].beats, -p.onset+w, p.offset+later+w, f.rate)
		smooth(a.mv, slices.Clone(a.mv), odd(pSmooth, f.rate))
		d := bend(a.mv, f.rate)
		x := d[a.before+p.onset : a.before+p.offset+1]
		y := d[a.before+p.onset+later : a.before+p.offset+later+1]
		both, first, second = both+dot(x, y), first+dot(x, x), second+dot(y, y)
	}
	return both > likeGain*first && both < likeMost*first && both > likeAlike*math.Sqrt(first*second)
}

// addWaves completes the P waves. usual is the P before the usual beats, when there
// is one; waves are all that stand between the complexes.
func (r *Reading) addWaves(m *marker, w []float64, waves []bump, usual *pWave) {
	taken := r.Marks.P
	near := func(b bump) bool {
		at := float64(b.peak) / m.rate
		k := sort.Search(len(taken), func(k int) bool { return at < taken[k].Offset+0.03 })
		return k < len(taken) && at > taken[k].Onset-0.03
	}
	h := int(shapePHalf * m.rate)
	var shape, seg []float64
	if usual != nil {
		shape, seg = m.usualShape(w, h), make([]float64, 2*h+1)
	}
	for _, b := range waves {
		if near(b) || b.peak < m.at[0] || b.peak > m.at[len(m.at)-1] {
			continue // at the ends T waves cannot be told from P
		}
		if b.height != m.always && !m.leads(b.peak) && math.Abs(b.height) < onTAlone*m.tUnder(b.peak) {
			continue
		}
		if usual != nil {
			segment(seg, w, b.peak-h, 1)
			same := dot(seg, shape) > pAlike*norm(seg)*norm(shape) && math.Abs(b.height) > otherP*math.Abs(usual.height)
			if b.height == m.always && m.always != 0 {
				same = true
			}
			if !same && (math.Abs(b.height) < otherP*math.Abs(usual.height) || !m.leads(b.peak)) {
				continue
			}
		}
		r.Marks.P = append(r.Marks.P, b.span(m.rate))
	}
	r.Marks.P = inOrder(r.Marks.P)
	m.own(r.Marks.P)
	r.countShapes(m, w)
}

// leads reports whether the next beat after sample i has no P yet and is near enough
// to have been conducted from there.
func (m *marker) leads(i int) bool {
	k := m.next(i)
	if k == len(m.at) {
		return false
	}
	gap := float64(m.at[k]+m.complex[m.group[k]].on-i) / m.rate
	return !m.beats[k].P.Present() && gap > pBeforeQRS && gap < ownLatest
}

// leadsEarly reports whether that beat is early besides.
func (m *marker) leadsEarly(i int) bool { return m.leads(i) && m.early(m.next(i)) }

// next is the first beat whose QRS begins after sample i, the number of beats without.
func (m *marker) next(i int) int {
	for k, at := range m.at {
		if at+m.complex[m.group[k]].on > i {
			return k
		}
	}
	return len(m.at)
}

// own gives every beat that has no P yet the last wave before it that is near enough
// to have been conducted; to a wide beat of another shape only as ahead of it.
func (m *marker) own(waves []ecg.Span) {
	usual := m.complex[0].off - m.complex[0].on
	m.ahead = make([]ecg.Span, len(m.beats))
	for i := range m.beats {
		b := &m.beats[i]
		if b.P.Present() {
			continue
		}
		c := m.complex[m.group[i]]
		wide := m.group[i] != 0 && float64(c.off-c.on) > ectopicWidth*float64(usual)
		from, rr := 0.0, math.Inf(1)
		if i > 0 {
			from, rr = m.beats[i-1].QRS.Offset, b.QRS.Onset-m.beats[i-1].QRS.Onset
		}
		for _, p := range waves {
			gap := b.QRS.Onset - p.Peak
			if p.Peak > from && gap > pBeforeQRS && gap < min(ownLatest, ownShare*rr) {
				if wide { // it may be chance
					m.ahead[i] = p
				} else {
					b.P = p
				}
			}
		}
	}
}

// loose accepts waves before the beats as P waves although neither their place nor
// their shape is one: nearly every beat has one, and the rest of the gap is still.
func (m *marker) loose(w []float64, waves []bump) bool {
	with, judged := 0, 0
	var unrest []float64
	for i := 1; i < len(m.at); i++ {
		on := m.at[i] + m.complex[m.group[i]].on
		last := m.complex[m.group[i-1]]
		from := m.at[i-1] + last.off + int(0.08*m.rate)
		if last.hasT {
			from = m.at[i-1] + last.tOff
		}
		judged++
		var own *bump
		for k := range waves {
			gap := float64(on-waves[k].peak) / m.rate
			if waves[k].peak > m.at[i-1]+last.off && gap > pBeforeQRS && gap < ownLatest {
				own = &waves[k]
			}
		}
		if own == nil {
			continue
		}
		with++
		if own.onset-from > int(looseRoom*m.rate) {
			unrest = append(unrest, span(w[from:own.onset+1])/math.Abs(own.height))
		}
	}
	if judged < 3 || float64(with) < looseOwn*float64(judged) {
		return false
	}
	if float64(len(waves)) > looseMost*float64(judged) {
		return false
	}
	return len(unrest) < 2 || median(unrest) < looseQuiet
}

// retrograde looks for an inverted P at one place after the usual QRS.
func (m *marker) retrograde(v []float64, size float64) (after float64, ok bool) {
	c := m.complex[0]
	from, to := c.off+int(retroFrom*m.rate), c.off+int(retroTo*m.rate)
	if c.hasT {
		to = min(to, c.tPeak)
	}
	if to-from < int(0.05*m.rate) {
		return 0, false
	}
	a := averaged(v, m.at, m.shapes[0].beats, 2-c.on, to+1, m.rate)
	_, down := bumps(a.mv, a.before+from, a.before+to, int(0.06*m.rate), retroHeight*size, pApart, m.rate)
	if len(down) == 0 {
		return 0, false
	}
	return float64(down[0].peak-a.before-c.on) / m.rate, true
}
