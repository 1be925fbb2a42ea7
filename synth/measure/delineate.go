package measure

import (
	"math"
)

// Boundaries are found on the average beat of each group, where noise has
// averaged out, and carried to its beats. An average is kept in time order around
// the alignment point, which is at index before.
type average struct {
	mv     []float64
	before int
	rate   float64
}

// Fractions that put the boundaries where cardiologists put them; set on the
// marks of LUDB (Kalyakulina et al., IEEE Access 2020;8:186181).
const (
	edgeOn    = 0.05  // share of the steepest slope at which a QRS begins
	edgeOff   = 0.05  // and ends
	qrsReach  = 0.16  // s from the alignment point within which it does
	qrsOfRR   = 0.45  // and no further than this share of RR
	edgeStep  = 0.006 // s, half of the span slopes for edges are taken over
	edgeQuiet = 0.008 // s that the slope must stay below the edge's
	turnAway  = 0.12  // of the QRS's size: further from the line a QRS may not be over
	peakAfter = 0.030 // s after its steep part within which a QRS has its peak
	turnStill = 0.040 // s that the turn of a broad wave may be still
	turnSteep = 0.12  // of the steepest slope: how fast it comes back at least
	turnBack  = 0.50  // of how far it was away: so far it comes back at least
	tGap      = 0.030 // s after a QRS in which no T peak is looked for

	// Bounds on T at RR 1 s, scaled by √RR as QT is: a QTc above 0.66 s is not told
	// from a P wave.
	tPeakEarliest = 0.22 // what stands earlier is part of the QRS or a P after it
	tPeakLatest   = 0.46
	tPeakLate     = 0.58  // of a T wider than a P wave is, and plain, after a QRS that is not wide
	tWide         = 0.075 // s at half its height
	tPlain        = 0.15  // of the QRS's size
	tLateAfter    = 0.12  // s
	qtLongest     = 0.66
	tFirst        = 0.70 // a crest of this share of the highest is T when it comes first
	tRise         = 2.1  // longest onset to peak, as a share of peak to offset
	tSwell        = 1.12 // T begins to swell before its corner: onset to peak, as a multiple of corner to peak
	tFlank        = 0.50 // longest peak to offset, as a share of the latest peak
	tNext         = 0.20 // of T's height: a crest that stands out so far after it is another wave
	tNextAt       = 0.06 // s after its peak at least
	tFallen       = 0.50 // share of its height below which a turn is the next wave's
)

// averaged is the mean of mv around the given beats (at least one); beats that the
// strip's ends cut off are left out where there are others.
func averaged(mv []float64, at, beats []int, before, after int, rate float64) average {
	out := average{make([]float64, before+after+1), before, rate}
	sum, n := out.mv, 0
	var some [4][]float64 // beats that are added together
	for _, b := range beats {
		if at[b] < before || at[b]+after >= len(mv) {
			continue
		}
		some[n%4] = mv[at[b]-before:][:len(sum)]
		if n++; n%4 == 0 {
			b, c, d := some[1][:len(sum)], some[2][:len(sum)], some[3][:len(sum)]
			for k, a := range some[0][:len(sum)] {
				sum[k] += a + b[k] + (c[k] + d[k])
			}
		}
	}
	for _, beat := range some[:n%4] {
		for k, v := range beat[:len(sum)] {
			sum[k] += v
		}
	}
	if n == 0 {
		for _, b := range beats {
			for k := range out.mv {
				out.mv[k] += mv[min(max(at[b]-before+k, 0), len(mv)-1)]
			}
		}
		n = len(beats)
	}
	for k := range out.mv {
		out.mv[k] /= float64(n)
	}
	return out
}

// middle is the median of mv around the given beats, up to end after them, which a
// wave that only some beats have does not bend; a itself where beats are many.
func middle(mv []float64, at, beats []int, a average, end int) []float64 {
	if len(beats) < leastAveraged || len(beats) > mostSorted {
		return a.mv
	}
	out := make([]float64, a.before+end+1)
	column := make([]float64, 0, len(beats))
	for k := range out {
		column = column[:0]
		for _, b := range beats {
			if i := at[b] - a.before + k; i >= 0 && i < len(mv) {
				column = append(column, mv[i])
			}
		}
		if len(column) > 0 {
			out[k] = quantileOf(column, 0.5)
		}
	}
	return out
}

// mostSorted is the number of beats above which their mean is good enough.
const mostSorted = 60

// qrs returns, for beats at a usual distance of rr seconds, onset, peak and offset as samples relative to the alignment point.
func (a average) qrs(rr float64) (onset, peak, offset int) {
	n := len(a.mv)
	s := make([]float64, n)
	slope(s, a.mv, max(1, int(edgeStep*a.rate+0.5)))
	reach := int(min(qrsReach, qrsOfRR*rr) * a.rate)
	lo, hi := max(0, a.before-reach), min(n-1, a.before+reach)
	// steepest slope near the middle of the burst
	core := int(0.07 * a.rate)
	top, first, last := 0.0, a.before, a.before
	for i := max(lo, a.before-core); i <= min(hi, a.before+core); i++ {
		top = max(top, math.Abs(s[i]))
	}
	for i := max(lo, a.before-core); i <= min(hi, a.before+core); i++ {
		if math.Abs(s[i]) >= 0.3*top {
			first = min(first, i)
			last = max(last, i)
		}
	}
	quiet := max(1, int(edgeQuiet*a.rate))
	onset, offset = lo, hi
	for e := 1.0; e <= 4 && onset == lo; e++ { // where QRS and T run together the line is never still
		onset = stillFrom(s, first, lo, quiet, e*edgeOn*top)
	}
	for e := 1.0; e <= 4 && offset == hi; e++ {
		offset = stillFrom(s, last, hi, quiet, e*edgeOff*top)
	}
	offset = a.slowEnd(s, onset, offset, hi, quiet, top)
	peak = onset
	for i := onset; i <= min(offset, last+int(peakAfter*a.rate)); i++ { // a T that it runs into may be taller
		if math.Abs(a.mv[i]-a.mv[onset]) > math.Abs(a.mv[peak]-a.mv[onset]) {
			peak = i
		}
	}
	return onset - a.before, peak - a.before, offset - a.before
}

// slowEnd goes on from where a QRS seems to end to where it does: a broad last wave,
// as of a late bundle, is still for a moment at its turn, far from the line, and then
// comes back to it faster than a T wave does.
func (a average) slowEnd(slopes []float64, onset, offset, hi, quiet int, top float64) int {
	size := span(a.mv[onset : offset+1])
	for {
		away := a.mv[offset] - a.mv[onset]
		if math.Abs(away) < turnAway*size {
			return offset
		}
		back := -1 // where it comes back
		for i := offset; i < min(hi, offset+int(turnStill*a.rate)); i++ {
			if slopes[i]*away < 0 && math.Abs(slopes[i]) > turnSteep*top {
				back = i
				break
			}
		}
		if back < 0 {
			return offset
		}
		end := hi
		for e := 1.0; e <= 4 && end == hi; e++ {
			end = stillFrom(slopes, back, hi, quiet, e*edgeOff*top)
		}
		if end <= offset || math.Abs(a.mv[end]-a.mv[onset]) > turnBack*math.Abs(away) {
			return offset
		}
		offset = end
	}
}

// stillFrom walks from sample from towards end and returns the first sample of the
// first stretch of quiet samples whose slope stays below edge; end when there is none.
func stillFrom(slopes []float64, from, end, quiet int, edge float64) int {
	dir := 1
	if end < from {
		dir = -1
	}
	run := 0
	for i := from; i != end; i += dir {
		if math.Abs(slopes[i]) >= edge {
			run = 0
			continue
		}
		if run++; run >= quiet {
			return i - dir*(run-1)
		}
	}
	return end
}

// tWave finds the T wave between the QRS's end and limit (samples relative to the
// alignment point), over the isoelectric line at 0, its peak between firstPeak and
// lastPeak.
func (a average) tWave(qrsOff, firstPeak, lastPeak, limit int, size float64) (onset, peak, offset int, ok bool) {
	from := a.before + qrsOff + int(tGap*a.rate)
	to := min(len(a.mv)-1, a.before+limit)
	if to-from < int(0.06*a.rate) {
		return 0, 0, 0, false
	}
	v := make([]float64, len(a.mv))
	smooth(v, a.mv, odd(0.040, a.rate))
	best := 0.0
	peak = -1
	crest := func(i int) float64 { // height of a crest above or depth of a trough below the line
		d := v[i]
		if d > 0 && v[i] >= v[i-1] && v[i] > v[i+1] || d < 0 && v[i] <= v[i-1] && v[i] < v[i+1] {
			return math.Abs(d)
		}
		return 0
	}
	last := min(to, a.before+lastPeak)
	for i := max(from+1, a.before+firstPeak); i < last; i++ {
		best = max(best, crest(i))
	}
	for i := max(from+1, a.before+firstPeak); i < last; i++ { // of two as high the first is T, the second may be P
		if c := crest(i); c > 0 && c >= tFirst*best {
			peak = i
			break
		}
	}
	if peak < 0 || best < 0.03*size {
		return 0, 0, 0, false
	}
	sign := 1.0
	if v[peak] < 0 {
		sign = -1
	}
	end := min(to, peak+int(tFlank*float64(lastPeak)))
	if sign > 0 { // a P may stand on its end
		up, _ := bumps(v, peak+int(0.03*a.rate), to, int(pReach*a.rate), tNext*v[peak], pApart, a.rate)
		for _, b := range up {
			if b.peak-peak > int(tNextAt*a.rate) && b.onset < end {
				low := peak
				for i := peak; i <= b.peak; i++ {
					if v[i] < v[low] {
						low = i
					}
				}
				end = min(end, low)
				break
			}
		}
	}
	offset = corner(v, peak, end, sign, 0)
	onset = corner(v, peak, max(peak-int(tRise*float64(offset-peak)), a.before+qrsOff), sign, 0)
	if offset-onset < int(0.04*a.rate) {
		return 0, 0, 0, false
	}
	onset = max(peak-int(tSwell*float64(peak-onset)), a.before+qrsOff)
	return onset - a.before, peak - a.before, offset - a.before, true
}

// halfWidth is the width at half its height, samples, of the wave over the line at 0 whose
// peak lies so many samples after the alignment point.
func (a average) halfWidth(peak int) float64 {
	p := a.before + peak
	half := a.mv[p] / 2
	from, to := p, p
	for from > 0 && a.mv[from-1]/half > 1 {
		from--
	}
	for to+1 < len(a.mv) && a.mv[to+1]/half > 1 {
		to++
	}
	return float64(to - from + 1)
}

// corner finds where the flank of a wave (sign 1 a crest, -1 a trough) over the
// level base that falls from peak towards end turns into that line: the
// point furthest below the straight line from the steepest part of the flank to the
// end of the search. The search ends early where a next wave begins.
func corner(v []float64, peak, end int, sign, base float64) int {
	dir := 1
	if end < peak {
		dir = -1
	}
	steep, steepAt, stop := 0.0, peak, end
	for i := peak; i != end; i += dir {
		d := sign * (v[i] - v[i+dir])
		if d > steep {
			steep, steepAt = d, i
		}
		if d < 0 && sign*(v[i]-base) < tFallen*sign*(v[peak]-base) {
			stop = i
			break
		}
	}
	best, at := 0.0, stop
	length := float64((stop - steepAt) * dir)
	for i := steepAt; i != stop; i += dir {
		f := float64((i-steepAt)*dir) / length
		chord := v[steepAt] + f*(v[stop]-v[steepAt])
		if below := sign * (chord - v[i]); below > best {
			best, at = below, i
		}
	}
	return at
}
