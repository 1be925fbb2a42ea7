package measure

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// Limits of P waves; s unless said otherwise.
const (
	pSmooth    = 0.020 // running mean a P wave is looked for under
	pShortest  = 0.024 // onset to offset
	pLongest   = 0.200
	pBeforeQRS = 0.025 // peak to QRS onset at least
	prShortest = 0.060
	prLongest  = 0.400
	pShift     = 0.030 // how far a conducted P may lie from its usual place
	pMargin    = 0.030 // compared with the usual P on each side of it
	pDistinct  = 0.040 // a P's peak is at least this far from that of the last T

	pSize            = 0.015 // least height as a share of the QRS's
	pAlike           = 0.75  // correlation with the usual P from which a wave is one
	pRepeat          = 0.65  // share of beats that must have the usual P to believe in it
	pRepeatIrregular = 0.80  // the same where RR is irregular, as in atrial fibrillation
	irregularCV      = 0.15  // RRCV from which it is
)

// A pWave is the usual P wave before the usual beats, samples relative to their
// alignment point.
type pWave struct {
	bump
	onT   bool      // it stands on the T before it and shows by its curve alone
	from  int       // where shape begins, relative to the alignment point
	shape []float64 // the P's samples and a margin around it, mean removed
	curve []float64 // the bend of shape, but for its ends
	usual []place   // of the beats it was looked for with
}

// A place is how far the usual P of a beat is from where it usually stands, in samples and
// parts of one.
type place struct {
	lag   float64
	found bool
}

// usualP looks for a P wave that is the same before most beats of a group. quietFrom
// is where, before the beat, the last T has ended (samples relative to the
// alignment point).
func usualP(v []float64, at, beats []int, qrsOn, quietFrom int, size, repeat, rate float64) (pWave, bool) {
	before := min(int(prLongest*rate)-qrsOn, -quietFrom)
	if before < -qrsOn+int(0.05*rate) {
		return pWave{}, false
	}
	a := averaged(v, at, beats, before, 0, rate)
	last := before + qrsOn
	b, ok := tallest(a.mv, 0, last, int(0.12*rate))
	width := float64(b.offset-b.onset) / rate
	if !ok || math.Abs(b.height) < pSize*size || width < pShortest || width > pLongest ||
		b.peak-before > qrsOn-int(pBeforeQRS*rate) || b.onset-before > qrsOn-int(prShortest*rate) {
		return pWave{}, false
	}
	p := pWave{bump: b}
	return p, p.repeats(a, v, at, beats, last, repeat)
}

// usualOnT looks as usualP does for a P wave on the T whose top is at sample topOfT.
func usualOnT(v []float64, at, beats []int, qrsOn, topOfT int, size, repeat, rate float64) (pWave, bool) {
	before := -topOfT + int(humpNear*rate)
	last := before + qrsOn
	if before < 0 || before+topOfT+int(humpApart*rate) >= last || last > int(prLongest*rate)+int(humpNear*rate) {
		return pWave{}, false
	}
	a := averaged(v, at, beats, before, 0, rate)
	d := bend(a.mv, rate)
	least := max(pSize*size, onTBend*slices.Max(d[max(0, before+topOfT-int(humpApart*rate)):before+topOfT+int(humpApart*rate)]))
	best := bump{}
	up, _ := bumps(d, 0, last-int((pBeforeQRS+bendReach)*rate), int(pReach*rate), least, humpApart, rate)
	for _, b := range up {
		if b.height > best.height && b.peak > before+topOfT+int(humpApart*rate) && afterHump(d, b.peak, rate) && a.mv[b.peak] > onTOver*b.height && b.onset < last-int(prShortest*rate) {
			best = b
		}
	}
	if best.height == 0 {
		return pWave{}, false
	}
	p := pWave{bump: best, onT: true}
	return p, p.repeats(a, v, at, beats, last, repeat)
}

// repeats takes the P's shape from the average beat a, whose QRS begins at sample
// last, and reports whether most of the beats have it.
func (p *pWave) repeats(a average, v []float64, at, beats []int, last int, repeat float64) bool {
	margin := int(pMargin * a.rate)
	from, to := max(0, p.onset-margin), min(last, p.offset+margin)
	p.from, p.shape = from-a.before, make([]float64, to-from+1)
	segment(p.shape, a.mv, from, 1)
	if h := max(1, int(bendReach*a.rate)); len(p.shape) >= 4*h {
		p.curve = bend(p.shape, a.rate)[h : len(p.shape)-h]
	}
	p.onset, p.peak, p.offset = p.onset-a.before, p.peak-a.before, p.offset-a.before
	seen := 0
	p.usual = make([]place, len(beats))
	for k, i := range beats {
		lag, ok := p.find(v, at[i], a.rate)
		p.usual[k] = place{lag, ok}
		if ok {
			seen++
		}
	}
	return float64(seen) >= repeat*float64(len(beats))
}

// find looks for the usual P before the beat at sample at, and returns how far it
// is from its usual place.
func (p pWave) find(v []float64, at int, rate float64) (lag float64, ok bool) {
	reach := int(pShift * rate)
	from := max(0, at+p.from-reach)
	to := at + p.from + reach + len(p.shape)
	if from+len(p.shape) > to {
		return 0, false
	}
	stretch := v[min(from, len(v)):min(to, len(v))]
	if to > len(v) { // held
		stretch = make([]float64, to-from)
		lift(stretch, v, from, 1)
	}
	best, k, past := fit(stretch, p.shape, 2)
	if !(best > pAlike) {
		return 0, false
	}
	lag, curves := p.settle(v, at, from+k-at-p.from, rate)
	if curves {
		return lag, true
	}
	return float64(from+k-at-p.from) + past, !p.onT
}

// settle moves a P found at a lag to where it curves as the usual one, which a T under
// it does not shift; curves is false where it does not curve so.
func (p pWave) settle(v []float64, at, lag int, rate float64) (to float64, curves bool) {
	h, shift := max(1, int(bendReach*rate)), int(alignShift*rate)
	from := at + p.from + lag - shift
	if p.curve == nil || from < 0 || from+len(p.shape)+2*shift > len(v) {
		return 0, false
	}
	var room [512]float64
	d := room[:0]
	for i := from + h; i+h < from+len(p.shape)+2*shift; i++ {
		d = append(d, v[i]-(v[i-h]+v[i+h])/2)
	}
	if r, l, past := slide(d, p.curve, math.Inf(1), false); r > likeAlike {
		return float64(lag+l-shift) + past, true
	}
	return 0, false
}

// span turns a bump into seconds.
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
