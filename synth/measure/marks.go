package measure

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// A complex is what the beats of one shape have in common: waves in samples relative
// to the alignment point.
type complex struct {
	on, peak, off    int
	tOn, tPeak, tOff int
	hasT             bool
	tHeight          float64 // mV over the isoelectric line, negative for an inverted T
}

// A marker finds the waves of one lead whose beats are known.
type marker struct {
	desk    *desk
	rate    float64
	at      []int // alignment point of each beat
	group   []int // shape of each beat
	shapes  []shape
	complex []complex   // one for each shape
	flat    []float64   // the lead on its isoelectric line
	usual   []stretch   // average QRS-T of each shape; none where it is not known
	rest    []float64   // of a coarser one: flat less every beat's usual QRS-T
	hidden  []bool      // of a coarser one: where a QRS hides what else there may be
	valid   []bool      // where the recording was valid; nil everywhere
	always  float64     // mV, height of a further wave in every cycle, 0 for none
	ahead   []ecg.Span  // a wave before a wide beat that may be its P
	others  [][]float64 // the other leads
	fine    *marker     // the same at the rate of the lead, step times its own; nil for that one
	step    int
	walk    *follower  // made when it is first asked for
	beats   []ecg.Beat // the result
}

// leastAveraged is how many beats of a shape make their average known.
const leastAveraged = 3

// tCutShort is the share of a shape's beats on whose T waves the QRS of others may
// fall before these disturb their average.
const tCutShort = 0.18

// mark fills in beats, waves and intervals from an examined lead; others are the other
// leads of the strip.
func (r *Reading) mark(t tracing, others [][]float64) {
	if len(t.at) == 0 {
		return
	}
	r.RR = make([]float64, 0, len(t.at))
	for i := 1; i < len(t.at); i++ {
		r.RR = append(r.RR, float64(t.at[i]-t.at[i-1])/t.rate)
	}
	mean, cv := meanAndCV(r.RR)
	r.Rate, r.RRCV = 60/mean, cv

	m := marker{desk: t.desk, others: others, valid: t.valid, rate: t.rate, at: t.at, group: t.group, shapes: t.shapes,
		complex: make([]complex, len(t.shapes)), beats: make([]ecg.Beat, len(t.at))}
	m.flat = t.desk.row(len(t.mv))
	smooth(m.flat, t.mv, odd(0.008, t.rate))
	w := int((qrsReach + 0.04) * t.rate)
	for g, s := range m.shapes {
		a := averaged(m.flat, m.at, s.beats, w, w, t.rate)
		c := &m.complex[g]
		c.on, c.peak, c.off = a.qrs(m.usualRR(s.beats))
	}
	m.usualFirst()
	level(m.flat, t.rate, len(m.at), func(b int) int { return m.at[b] + m.complex[m.group[b]].on })
	m.usual = make([]stretch, len(m.shapes))
	for g := range m.shapes {
		m.markShape(g)
	}
	r.markP(&m)
	r.measureLevels(&m)
	for _, i := range t.spikes {
		r.Spikes = append(r.Spikes, float64(i)/t.rate)
	}
	r.heedSpikes(m.beats, float64(len(t.mv))/t.rate)
	r.LongestRR = longest(seenRR(r.RR, &m)) / median(r.RR)
	r.ahead, r.same, r.starts = m.ahead, m.coreAlike(), m.startsAlike()
	for _, s := range m.shapes {
		r.builds = append(r.builds, buildOf(t.mv, m.at, s.beats, m.rate, r.limits.Wide))
	}
	r.Groups = slices.Clone(m.group)
	for i, g := range m.group { // the wave beside it does not make it another beat
		if r.same[g] {
			r.Groups[i] = 0
		}
	}
	r.Marks.Beats = m.beats
	r.leadIn(math.Round(leadIn*t.rate) / t.rate)
	if own := m.ownRR(); !math.IsNaN(own) {
		mean = own
	}
	r.intervals(mean)
}

// leadIn is by how much earlier than their first edge here cardiologists let P and QRS begin,
// s; set on the marks of LUDB, where it is 5.5 and 4.5 ms in lead II, and 1 to 9 in the others.
const leadIn = 0.0025

// leadIn puts the beginnings of P and QRS so much earlier, s.
func (r *Reading) leadIn(by float64) {
	for i := range r.Marks.P {
		r.Marks.P[i].Onset = max(0, r.Marks.P[i].Onset-by)
	}
	for i := range r.Marks.Beats {
		b := &r.Marks.Beats[i]
		b.P.Onset, b.QRS.Onset = max(0, b.P.Onset-by), max(0, b.QRS.Onset-by)
	}
}

// seenRR lists the RR in which nothing of the recording is missing.
func seenRR(rr []float64, m *marker) (seen []float64) {
	for i, x := range rr {
		if m.whole(i) {
			seen = append(seen, x)
		}
	}
	return seen
}

// whole reports whether nothing is missing between beat i and the next.
func (m *marker) whole(i int) bool {
	if m.valid == nil {
		return true
	}
	if m.fine != nil {
		return m.fine.whole(i)
	}
	for k := m.at[i]; k < m.at[i+1]; k++ {
		if !m.valid[k] {
			return false
		}
	}
	return true
}

// markShape finds the T wave of a shape on its average, marks QRS and T of its
// beats, and keeps the average to be taken from what is left to look for P in.
func (m *marker) markShape(g int) {
	s, c, n := m.shapes[g], &m.complex[g], len(m.flat)
	rr := m.usualRR(s.beats)
	unit := math.Sqrt(rr) * m.rate
	late := unit
	if m.beforeWide(s.beats) { // QT goes with the RR before, not with one that an early beat cuts short
		late = max(unit, math.Sqrt(m.usualRRBefore(s.beats))*m.rate)
	}
	before, room := s.beats, m.tRoom(s.beats, rr)
	if own := m.beforeOwn(g); m.cutShort(s.beats, m.tRoom(own, rr)) {
		before, room = own, m.tRoom(own, rr)
	}
	room = max(c.off+1, room)
	a := averaged(m.flat, m.at, before, 2-c.on, room, m.rate)
	size := span(a.mv[a.before+c.on : a.before+c.off+1])
	c.tOn, c.tPeak, c.tOff, c.hasT = a.tWave(c.off, c.on+int(tPeakEarliest*unit), c.on+int(tPeakLatest*late), room, size)
	if !c.hasT && float64(c.off-c.on) < tLateAfter*m.rate { // told from a P wave by its width
		c.tOn, c.tPeak, c.tOff, c.hasT = a.tWave(c.off, c.on+int(tPeakLatest*late), c.on+int(tPeakLate*late), room, size)
		c.hasT = c.hasT && a.halfWidth(c.tPeak) >= tWide*m.rate && math.Abs(a.mv[a.before+c.tPeak]) >= tPlain*size
	}
	end := min(room, c.off+int(0.08*m.rate))
	if c.hasT {
		end = c.tOff
		c.tHeight = a.mv[a.before+c.tPeak]
	}
	if len(before) < len(s.beats) {
		a = averaged(m.flat, m.at, s.beats, 2-c.on, max(room, end), m.rate)
	}
	if len(s.beats) >= leastAveraged { // fewer are too few to know it
		m.usual[g] = stretch{c.on, middle(m.flat, m.at, s.beats, a, end)[a.before+c.on : a.before+end+1]}
	}
	for _, b := range s.beats {
		at := m.at[b]
		m.beats[b].QRS = m.seconds(float64(at), c.on, c.peak, c.off)
		if c.hasT && at+c.tOff < n {
			m.beats[b].T = m.seconds(float64(at), c.tOn, c.tPeak, c.tOff)
		}
	}
}

// cutShort reports whether wider QRS fall on the T waves of a shape, for which there
// is room samples otherwise.
func (m *marker) cutShort(beats []int, room int) bool {
	width := func(b int) float64 { c := m.complex[m.group[b]]; return float64(c.off - c.on) }
	n := 0
	for _, b := range beats {
		if b+1 < len(m.at) && width(b+1) > ectopicWidth*width(b) && m.at[b+1]+m.complex[m.group[b+1]].on-m.at[b] < room {
			n++
		}
	}
	return float64(n) > tCutShort*float64(len(beats))
}

// beforeOwn lists the beats of a shape that one of the same shape follows; all where
// these are few.
func (m *marker) beforeOwn(g int) []int {
	var out []int
	for _, b := range m.shapes[g].beats {
		if b+1 < len(m.at) && m.group[b+1] == g {
			out = append(out, b)
		}
	}
	if len(out) < leastAveraged {
		return m.shapes[g].beats
	}
	return out
}

// markP finds the waves of the atria: flutter waves, else P waves that stand at one
// place before the usual beats, else such that march on their own, else such that
// stand before the beats in one way or another.
func (r *Reading) markP(m *marker) {
	size := 0.0
	c := m.complex[0]
	for _, b := range m.shapes[0].beats {
		size = max(size, span(m.flat[max(0, m.at[b]+c.on):min(len(m.flat), m.at[b]+c.off+1)]))
	}
	fine := m
	m = fine.coarser()
	defer func() { fine.always, fine.ahead = m.always, m.ahead }()
	v, w := m.flat, m.rest
	r.PPerQRS, r.Relation = 0, NoP
	if r.sineLike(m) {
		return // what swings between such complexes is their T
	}
	r.AtrialRate = math.NaN()
	regular := !(m.usualCV() > irregularCV)
	if saw, ok := r.flutters(m, v, w); ok {
		if r.RRCV < mixedCV { // T midway between QRS is even as well
			if march, ok := m.marching(w, size, 0); ok && r.marches(m, march) {
				return
			}
		}
		r.AtrialRate, r.Relation, r.PPerQRS = saw.bpm, Flutter, saw.bpm/r.Rate
		return
	}
	waves := m.between(w, size)
	if p, ok := m.conductedP(v, size, regular); ok && !r.onlyT(m) {
		r.Marks.P = m.assignP(v, p)
		r.invertedP = p.height < 0
		if b, ok := m.everyCycle(v, p, size); ok && r.Rate < slowCycle*r.limits.Fast {
			waves = m.withAlways(waves, b)
			m.always = b.height
		}
		if r.RRCV > regularCV {
			m.follower().usual = m.usualPP()
			march, ok := m.marchingAs(p, v)
			if other, also := m.marching(w, size, max(march.score, marchSteady)); also && other.score > march.score {
				march, ok = other, true
			}
			if ok && march.score >= marchSteady && march.holds(r.Marks.P, m.rate) {
				r.addMarch(march, m.rate)
				waves = slices.DeleteFunc(waves, func(b bump) bool { return !m.leadsEarly(b.peak) })
			}
		}
		r.addWaves(m, v, waves, &p)
		r.relate(m)
		return
	}
	march, ok := m.marching(w, size, 0)
	if regular && ok && r.marches(m, march) {
		return
	}
	if r.onlyT(m) {
		return
	}
	ok = ok && r.RRCV > regularCV && march.score >= marchSteady && march.answered(m)
	more := ok && r.Rate*march.period < moreP*60*m.rate
	if !more && m.loose(w, waves) {
		r.addWaves(m, w, waves, nil)
		r.relate(m)
		return
	}
	if ok {
		march.align(w, m.rate)
		r.addMarch(march, m.rate)
		r.addWaves(m, w, nil, nil)
		r.relate(m)
		return
	}
	if after, ok := m.retrograde(v, size); ok {
		r.Relation, r.RP = Retrograde, after
	}
}

// onlyT reports whether the one wave in each cycle of a wide fast rhythm must be T, for there is
// no other: a wide QRS has a T that shows.
func (r *Reading) onlyT(m *marker) bool {
	c := m.complex[0]
	return !c.hasT && float64(c.off-c.on) >= r.limits.Wide*m.rate && r.Rate > max(vtFrom, r.limits.Fast)
}

// marches takes the waves of a march for P that keep their own time, apart from the QRS,
// where they do.
func (r *Reading) marches(m *marker, march march) bool {
	if !march.free(m) || march.answered(m) {
		return false
	}
	for _, b := range march.waves {
		r.Marks.P = append(r.Marks.P, b.span(m.rate))
	}
	r.PPerQRS = 60 / r.Rate * m.rate / march.period
	r.AtrialRate, r.Relation = 60*m.rate/march.period, Dissociated
	return true
}

// Beats of another shape: how much wider than the usual ones, and how much shorter
// the RR before than after.
const (
	ectopicWidth = 1.25
	earlyBeat    = 0.90
)

// early reports whether a beat comes sooner after the last than the next after it.
func (m *marker) early(b int) bool {
	gap := func(b int) float64 { return float64(m.at[b] - m.at[b-1]) }
	switch {
	case b == 0:
		return false
	case b+1 < len(m.at):
		return gap(b) < earlyBeat*gap(b+1)
	default:
		return b > 1 && gap(b) < earlyBeat*gap(b-1)
	}
}

// tRoom is how many samples after the alignment point a T wave of the beats may
// last: up to the next QRS at its usual distance, and no longer than a long QT.
func (m *marker) tRoom(beats []int, rr float64) int {
	room := qtLongest * math.Sqrt(rr) * m.rate
	gaps := make([]float64, 0, len(beats))
	for _, b := range beats {
		if b+1 < len(m.at) {
			gaps = append(gaps, float64(m.at[b+1]+m.complex[m.group[b+1]].on-m.at[b]))
		}
	}
	if len(gaps) > 0 {
		room = min(room, quantile(gaps, 0.3)-0.01*m.rate)
	}
	return int(room)
}

// seconds makes a span of samples after one, kept inside the strip.
func (m *marker) seconds(from float64, on, peak, off int) ecg.Span {
	at := func(i int) float64 { return min(max(from+float64(i), 0), float64(len(m.flat)-1)) / m.rate }
	return ecg.Span{Onset: at(on), Peak: at(peak), Offset: at(off)}
}

// intervals takes the medians over the beats.
func (r *Reading) intervals(meanRR float64) {
	n := len(r.Marks.Beats)
	pr, qrs, qt := make([]float64, 0, n), make([]float64, 0, n), make([]float64, 0, n)
	for i, b := range r.Marks.Beats {
		if v, ok := b.PR(); ok {
			pr = append(pr, v)
		}
		if r.Groups[i] != 0 {
			continue
		}
		if v, ok := b.QRSWidth(); ok {
			qrs = append(qrs, v)
		}
		if v, ok := b.QT(); ok {
			qt = append(qt, v)
		}
	}
	r.PR, r.QRS, r.QT = median(pr), median(qrs), median(qt)
	r.PRs = make([]float64, n)
	for i, b := range r.Marks.Beats {
		r.PRs[i] = math.NaN()
		if v, ok := b.PR(); ok {
			r.PRs[i] = v
		}
	}
	r.QTcB, r.QTcF = Bazett(r.QT, meanRR), Fridericia(r.QT, meanRR)
}
