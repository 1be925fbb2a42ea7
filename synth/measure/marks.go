package measure

import (
	"math"

	"telltrace/synth/ecg"
)

// mark fills in beats, waves and intervals from an examined lead.
func (r *Reading) mark(t tracing) {
	n, rate := len(t.mv), t.rate
	at, group, shapes := t.at, t.group, t.shapes
	if len(at) == 0 {
		return
	}
	r.Groups = group
	light := make([]float64, n)
	smooth(light, t.mv, odd(0.008, rate))

	// QRS of every group on its average.
	type edges struct{ on, peak, off int }
	qrs := make([]edges, len(shapes))
	w := int((qrsReach + 0.04) * rate)
	for g, s := range shapes {
		a := averaged(light, at, s.beats, w, w, rate)
		qrs[g].on, qrs[g].peak, qrs[g].off = a.qrs()
	}
	// The usual beats are the narrow ones where they are not rare: in bigeminy or a
	// run the wide ones may be as many or more.
	usual := 0
	for g, s := range shapes {
		if 3*len(s.beats) >= len(shapes[0].beats) && len(s.beats) > 1 && 5*(qrs[usual].off-qrs[usual].on) > 6*(qrs[g].off-qrs[g].on) {
			usual = g
		}
	}
	if usual != 0 {
		shapes[0], shapes[usual] = shapes[usual], shapes[0]
		qrs[0], qrs[usual] = qrs[usual], qrs[0]
		for b, g := range group {
			switch g {
			case 0:
				group[b] = usual
			case usual:
				group[b] = 0
			}
		}
	}
	// The isoelectric line runs through the points just before the complexes.
	flat := level(light, at, rate, func(i int) int { return at[i] + qrs[group[i]].on })

	r.RR = make([]float64, 0, len(at))
	for i := 1; i < len(at); i++ {
		r.RR = append(r.RR, float64(at[i]-at[i-1])/rate)
	}
	meanRR, cv := meanAndCV(r.RR)
	r.Rate, r.RRCV = 60/meanRR, cv

	// T of every group on its average, with room up to the next complex.
	beats := make([]ecg.Beat, len(at))
	tEnd := make([]int, len(shapes)) // relative to the alignment point
	tPeak := make([]int, len(shapes))
	var rest []float64 // the lead less every beat's average QRS-T
	rest = append(rest, flat...)
	hidden := make([]bool, n)
	for g, s := range shapes {
		room := max(qrs[g].off+1, tRoom(at, s.beats, func(i int) int { return qrs[group[i]].on }, rate))
		a := averaged(flat, at, s.beats, -qrs[g].on+2, room, rate)
		size := span(a.mv[a.before+qrs[g].on : a.before+qrs[g].off+1])
		unit := math.Sqrt(groupRR(at, s.beats, rate)) * rate
		on, peak, off, ok := a.tWave(qrs[g].off, qrs[g].on+int(tPeakEarliest*unit), qrs[g].on+int(tPeakLatest*unit), room, 0, size)
		tEnd[g], tPeak[g] = qrs[g].off+int(0.08*rate), math.MinInt
		if ok {
			tEnd[g], tPeak[g] = off, peak
		}
		for _, b := range s.beats {
			beats[b].QRS = seconds(at[b]+qrs[g].on, at[b]+qrs[g].peak, at[b]+qrs[g].off, n, rate)
			if ok && at[b]+off < n {
				beats[b].T = seconds(at[b]+on, at[b]+peak, at[b]+off, n, rate)
			}
			subtract(rest, at[b], a, qrs[g].on, tEnd[g], len(s.beats))
			for i := max(0, at[b]+qrs[g].on); i <= min(n-1, at[b]+qrs[g].off+int(0.02*rate)); i++ {
				hidden[i] = true
			}
		}
	}
	r.findP(beats, at, group, shapes, qrsOn(len(shapes), func(g int) int { return qrs[g].on }), tEnd, tPeak, flat, rest, hidden, rate)
	r.Marks.Beats = beats
	r.intervals(meanRR)
}

func qrsOn(n int, f func(int) int) []int {
	out := make([]int, n)
	for g := range out {
		out[g] = f(g)
	}
	return out
}

// findP finds P waves: first the ones that stand at the same place before the usual
// beats, else ones that march on their own.
func (r *Reading) findP(beats []ecg.Beat, at, group []int, shapes []shape, on, tEnd, tPeak []int, flat, rest []float64, hidden []bool, rate float64) {
	n := len(flat)
	v := make([]float64, n)
	smooth(v, flat, odd(pSmooth, rate))
	main := shapes[0].beats
	usual := int(60 / r.Rate * rate)
	if math.IsNaN(r.Rate) {
		usual = n
	}
	size := 0.0
	for _, b := range main {
		s := beats[b].QRS
		size += span(flat[max(0, int(s.Onset*rate)):min(n, int(s.Offset*rate)+1)])
	}
	size /= float64(len(main))
	quiet := tEnd[0] - usual
	if tPeak[0] > 0 { // P may stand on the end of T
		quiet = tPeak[0] + int(0.02*rate) - usual
	}
	regular := !(r.RRCV > irregularCV)
	repeat := pRepeat
	if !regular {
		repeat = pRepeatIrregular
	}
	p, ok := usualP(v, at, main, on[0], quiet, size, repeat, rate)
	if ok && math.Abs(float64(tPeak[0]-usual-p.peak)) < 0.04*rate {
		ok = false // that is the T wave
	}
	if ok {
		for b := range at {
			if group[b] != 0 && float64(len(shapes[group[b]].beats)) < 0.2*float64(len(main)) && beats[b].QRS.Offset-beats[b].QRS.Onset > 1.3*(beats[main[0]].QRS.Offset-beats[main[0]].QRS.Onset) {
				continue
			}
			lag, found := p.find(v, at[b], rate)
			if !found {
				continue
			}
			s := seconds(at[b]+p.onset+lag, at[b]+p.peak+lag, at[b]+p.offset+lag, n, rate)
			if s.Onset < 0 || s.Offset > beats[b].QRS.Onset+0.01 {
				continue
			}
			beats[b].P = s
			r.Marks.P = append(r.Marks.P, s)
		}
		r.PPerQRS = float64(len(r.Marks.P)) / float64(len(beats))
		endTBeforeP(beats)
		r.Marks.P = inOrder(r.Marks.P)
		return
	}
	r.PPerQRS = 0
	if !regular {
		return // what marches between irregular beats is more often fibrillation of the atria
	}
	smooth(v, rest, odd(pSmooth, rate))
	march, period := marching(v, hidden, size, rate)
	for _, b := range march {
		r.Marks.P = append(r.Marks.P, b.span(rate))
	}
	if len(march) > 0 && !math.IsNaN(r.Rate) {
		r.PPerQRS = 60 / r.Rate * rate / period
	}
}

// endTBeforeP cuts T waves that reach into the next beat's P.
func endTBeforeP(beats []ecg.Beat) {
	for i := 1; i < len(beats); i++ {
		if t, p := &beats[i-1].T, beats[i].P; t.Present() && p.Present() && t.Offset > p.Onset {
			t.Offset = max(p.Onset, t.Peak)
		}
	}
}

// intervals takes the medians and names the origins.
func (r *Reading) intervals(meanRR float64) {
	var pr, qrs, qt []float64
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
	r.QTcB, r.QTcF = Bazett(r.QT, meanRR), Fridericia(r.QT, meanRR)
}

// level subtracts the line through the lead's level just before each complex.
func level(mv []float64, at []int, rate float64, onset func(beat int) int) []float64 {
	n := len(mv)
	out := make([]float64, n)
	w := max(1, int(0.016*rate))
	knot := func(i int) (x int, y float64) {
		x = min(max(onset(i)-w/2, 0), n-1)
		from, to := max(0, x-w/2), min(n, x+w/2+1)
		for _, v := range mv[from:to] {
			y += v
		}
		return x, y / float64(to-from)
	}
	x0, y0 := knot(0)
	for i := 0; i <= x0; i++ {
		out[i] = mv[i] - y0
	}
	for b := 1; b < len(at); b++ {
		x1, y1 := knot(b)
		for i := x0 + 1; i <= x1; i++ {
			out[i] = mv[i] - y0 - (y1-y0)*float64(i-x0)/float64(x1-x0)
		}
		if x1 > x0 {
			x0, y0 = x1, y1
		}
	}
	for i := x0 + 1; i < n; i++ {
		out[i] = mv[i] - y0
	}
	return out
}

// tRoom is how far after the alignment point a T wave of the group may last: up to
// the next complex at its usual distance, and no longer than a long QT.
func tRoom(at, beats []int, nextOn func(beat int) int, rate float64) int {
	var gaps []float64
	for _, b := range beats {
		if b+1 < len(at) {
			gaps = append(gaps, float64(at[b+1]+nextOn(b+1)-at[b]))
		}
	}
	longest := 0.75 * rate
	if len(gaps) == 0 {
		return int(longest)
	}
	gap := quantile(gaps, 0.3)
	longest = min(longest, qtLongest*math.Sqrt(groupRR(at, beats, rate))*rate)
	return max(1, int(min(longest, gap-0.01*rate)))
}

// groupRR is the usual RR after the beats of a group, s; 1 s when there is none.
func groupRR(at, beats []int, rate float64) float64 {
	var rr []float64
	for _, b := range beats {
		if b+1 < len(at) {
			rr = append(rr, float64(at[b+1]-at[b])/rate)
		}
	}
	if len(rr) == 0 {
		return 1
	}
	return median(rr)
}

// subtract takes a group's average QRS-T from one of its beats; of a group of few
// beats too little is known to do so.
func subtract(rest []float64, at int, a average, from, to, count int) {
	if count < 3 {
		return
	}
	for i := from; i <= to; i++ {
		k := a.before + i
		if k >= 0 && k < len(a.mv) && at+i >= 0 && at+i < len(rest) {
			rest[at+i] -= a.mv[k]
		}
	}
}

// span is the range of the values.
func span(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	low, high := x[0], x[0]
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	return high - low
}

// seconds makes a span of samples, kept inside a strip of n.
func seconds(on, peak, off, n int, rate float64) ecg.Span {
	at := func(i int) float64 { return float64(min(max(i, 0), n-1)) / rate }
	return ecg.Span{Onset: at(on), Peak: at(peak), Offset: at(off)}
}
