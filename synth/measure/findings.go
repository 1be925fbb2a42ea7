package measure

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// Limits of findings in the shape of conducted beats.
const (
	prGuard       = 0.012 // s over the limit from which PR is long: half a drawn dot
	slurred       = 0.026 // s of slow start from which a QRS may have a delta wave
	peakedT       = 0.60  // mV, a T in a limb lead above it is tall (read)
	invertedT     = -0.06 // mV
	raisedST      = 0.10  // mV, in a limb lead (universal definition, from memory)
	loweredST     = -0.08
	lowQRS        = 0.50 // mV, from peak to peak in every limb lead (general usage, from memory)
	terminal      = 0.40 // share of the QRS's end that tells which bundle is late
	lateEnough    = 0.12 // of the QRS's size
	coreConducted = 0.85 // of wide: the steep part of a wide conducted QRS
	lateInV1      = 0.35 // a QRS that ends so high in V1 is one of right bundle branch block
	wideV1        = 0.80 // of wide, when it is also this wide in a lead
	lateBeside    = 0.12 // the same where the QRS is wide in another lead only
)

// longPR is the age's upper limit of PR in s: 0.20 adult; about 0.18 in school age
// and 0.15-0.16 in infancy (Rijnbeek 2001, from a second-hand copy), told from the
// rate limit where the caller gives none.
func (l Limits) longPR() float64 {
	switch {
	case l.LongPR > 0:
		return l.LongPR
	case l.Fast <= 105:
		return 0.20
	case l.Fast <= 145:
		return 0.18
	default:
		return 0.155
	}
}

// shortPR is the lower limit: 0.12 s adult, 0.09 s child (Surawicz 2009).
func (l Limits) shortPR() float64 {
	switch {
	case l.ShortPR > 0:
		return l.ShortPR
	case l.Fast <= 105:
		return 0.12
	case l.Fast <= 145:
		return 0.10
	default:
		return 0.085
	}
}

// findings lists what is unusual in conducted beats, the more urgent first.
func (r *Reading) findings(limits Limits, wide bool) (ids []string) {
	add := func(id, format string, args ...any) {
		ids = append(ids, id)
		r.reason(format, args...)
	}
	l := r.Levels
	toLeft := r.Lead != ecg.AVR && r.Lead != ecg.V1 && r.Lead != ecg.III && r.Lead != ecg.AVL
	own := wide && r.core >= coreConducted*limits.Wide
	wide = own || r.lateV1 > lateInV1 && r.widest >= wideV1*limits.Wide || r.widest > wideBeside*limits.Wide && max(math.Abs(r.lateI), math.Abs(r.lateV1)) > lateBeside
	raised := l.ST > raisedST && l.ST > 0.06*l.PeakToPeak && !own
	lowered := l.ST < loweredST && -l.ST > 0.05*l.PeakToPeak && !own
	slow := r.Delta >= slurred && r.Delta > 0.28*r.QRS
	switch {
	case r.PR < limits.shortPR() && slow:
		add("pre-excitation", "PR %.2f s is short and QRS begins slowly", r.PR)
	case wide && !(raised || lowered): // a sloping ST looks wide in other leads
		switch {
		case r.lateI < -lateEnough && !(r.lateV1 < -lateEnough) || r.lateV1 > lateEnough:
			add("right-bundle-branch-block", "QRS wide after P, its end points to the right")
		case r.lateI > lateEnough || r.lateV1 < -lateEnough:
			add("left-bundle-branch-block", "QRS wide after P, its end points to the left")
		default:
			r.against("which bundle branch is slow, lead I or V1 would tell")
		}
	}
	if r.PR > limits.longPR()+prGuard {
		add("first-degree-av-block", "PR %.2f s is long, every P is conducted", r.PR)
	}
	if l.T > peakedT && l.T > 0.55*l.R {
		add("peaked-t-waves", "T %.2f mV is tall", l.T)
	} else {
		if raised {
			add("st-elevation", "ST %.2f mV above the line", l.ST)
		}
		if lowered {
			add("st-depression", "ST %.2f mV below the line", -l.ST)
		}
	}
	if r.QTcB > longQTc && !wide {
		add("long-qt", "QTc %.2f s (Bazett) is long", r.QTcB)
	}
	if toLeft && !own && l.T < invertedT && !r.invertedP && math.Abs(l.ST) < 2*raisedST && !contains(ids, "st-depression") {
		add("inverted-t-waves", "T is inverted in %s", r.Lead)
	}
	switch {
	case r.limbQRS < wetQRS:
		add("low-amplitude", "QRS %.2f mV from peak to peak at most: look at gain and electrodes", r.limbQRS)
		r.against("fluid round the heart makes QRS small too: compare with the last strip")
	case r.limbQRS < lowQRS:
		add("low-voltage", "QRS below %.1f mV from peak to peak in every limb lead", lowQRS)
		r.against("a wet electrode or a low gain looks the same: look at gain and electrodes")
	}
	return ids
}

func contains(ids []string, id string) bool {
	for _, x := range ids {
		if x == id {
			return true
		}
	}
	return false
}

// otherLeads reads from the other leads what one lead cannot tell: the size of QRS
// in the limb leads, which way P points in lead I, and the end of QRS in I and V1.
func (r *Reading) otherLeads(s ecg.Strip) {
	r.limbQRS, r.pInI, r.tInI, r.lateI, r.lateV1 = math.NaN(), 0, 0, 0, 0
	r.widest = r.widestQRS(s)
	if len(r.Marks.Beats) < 2 {
		return
	}
	isLimb := func(l ecg.Lead) bool {
		return slices.Contains([]ecg.Lead{ecg.I, ecg.II, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF}, l)
	}
	limbs := 0
	for _, lead := range s.Leads {
		if isLimb(lead) {
			limbs++
		}
	}
	for i, lead := range s.Leads {
		if limbs >= 2 && isLimb(lead) {
			if size := r.usualSpan(s.MV[i], s.Rate); !(size <= r.limbQRS) {
				r.limbQRS = size
			}
		}
		if lead == ecg.I {
			r.pInI = r.sign(s.MV[i], s.Rate, func(b ecg.Beat) ecg.Span { return b.P })
			r.tInI = r.sign(s.MV[i], s.Rate, func(b ecg.Beat) ecg.Span { return b.T })
		}
	}
}

// usualSpan is the median range in mV of a lead within the usual QRS.
func (r *Reading) usualSpan(mv []float64, rate float64) float64 {
	var sizes []float64
	r.each(mv, rate, func(x []float64, _, _ int) { sizes = append(sizes, span(x)) })
	return median(sizes)
}

// each calls f with the usual QRS's samples of a lead.
func (r *Reading) each(mv []float64, rate float64, f func(x []float64, from, to int)) {
	for i, b := range r.Marks.Beats {
		from, to := int(b.QRS.Onset*rate), int(b.QRS.Offset*rate)+1
		if r.Groups[i] != 0 || from < 0 || to > len(mv) || to-from < 4 || !finite(mv[from:to]) {
			continue
		}
		f(mv[from:to], from, to)
	}
}

func finite(x []float64) bool {
	for _, v := range x {
		if !(math.Abs(v) <= invalidAbove) {
			return false
		}
	}
	return true
}

// sign is 1 where a wave of the beats points up in a lead, -1 where it points down, 0
// where it does not show.
func (r *Reading) sign(mv []float64, rate float64, wave func(ecg.Beat) ecg.Span) int {
	var up []float64
	for _, b := range r.Marks.Beats {
		w := wave(b)
		from, to := int(w.Onset*rate), int(w.Offset*rate)+1
		if !w.Present() || from < 0 || to > len(mv) || !finite(mv[from:to]) {
			continue
		}
		x := mv[from:to]
		n := len(x)
		third := x[n/3 : n-n/3]
		mean, _ := meanAndCV(third)
		up = append(up, mean-(x[0]+x[n-1])/2)
	}
	switch m := median(up); {
	case m > 0.02:
		return 1
	case m < -0.02:
		return -1
	}
	return 0
}

// widestQRS is the width in s of the usual QRS in the lead that shows it widest, of
// those where it is not small; 0 with one lead.
func (r *Reading) widestQRS(s ecg.Strip) (widest float64) {
	if len(s.MV) < 2 {
		return 0
	}
	var at, beats []int
	for i, b := range r.Marks.Beats {
		at = append(at, int(b.QRS.Peak*s.Rate))
		if r.Groups[i] == 0 {
			beats = append(beats, i)
		}
	}
	w := int((qrsReach + 0.04) * s.Rate)
	rr := median(r.RR)
	var sizes []float64
	var starts, ends []int
	means := make([]average, len(s.MV))
	for i, mv := range s.MV {
		if dead(mv) {
			continue
		}
		light := make([]float64, len(mv))
		x := clean(mv).mv
		smooth(light, findHum(x, s.Rate).without(x, s.Rate), odd(0.008, s.Rate))
		means[i] = averaged(light, at, beats, w, w, s.Rate)
		on, off := means[i].steep(rr)
		sizes = append(sizes, span(means[i].mv[w+on:w+off+1]))
		starts, ends = append(starts, on), append(ends, off)
	}
	from, to := 0, 0
	for i, size := range sizes {
		width := float64(ends[i]-starts[i]) / s.Rate
		if size > largeShare*longest(sizes) && width < widestShare*r.QRS {
			widest = max(widest, width)
			if to == 0 || ends[i] > to {
				to = ends[i]
			}
			from = min(from, starts[i])
		}
	}
	for i, lead := range s.Leads {
		if means[i].mv == nil || to-from < 4 {
			continue
		}
		x := means[i].mv[w+from : w+to+1]
		end, _ := meanAndCV(x[len(x)-int(terminal*float64(len(x))):])
		late := (end - x[0]) / max(span(x), 1e-9)
		switch lead {
		case ecg.I:
			r.lateI = late
		case ecg.V1:
			r.lateV1 = late
		}
	}
	return widest
}

// steep is where a QRS is steep from and to, samples relative to the alignment point:
// an ST segment that slopes does not count.
func (a average) steep(rr float64) (from, to int) {
	if math.IsNaN(rr) {
		rr = 1
	}
	h := max(1, int(edgeStep*a.rate))
	slope := func(i int) float64 { return math.Abs(a.mv[i+h] - a.mv[i-h]) }
	reach := int(min(steepReach, steepOfRR*rr) * a.rate)
	low, high := max(h, a.before-reach), min(len(a.mv)-1-h, a.before+reach)
	slopes := make([]float64, len(a.mv))
	at := a.before
	for i := low; i <= high; i++ {
		slopes[i] = slope(i)
		if slopes[i] > slopes[at] {
			at = i
		}
	}
	quiet, edge := max(1, int(min(steepQuiet, steepStill*rr)*a.rate)), steepShare*slopes[at]
	return stillFrom(slopes, at, low, quiet, edge) - a.before, stillFrom(slopes, at, high, quiet, edge) - a.before
}

const (
	steepQuiet = 0.020 // s of stillness that end it, and no more than
	steepStill = 0.028 // of RR
	steepShare = 0.15  // of the steepest slope
	steepReach = 0.13  // s around the alignment point, and no more than
	steepOfRR  = 0.20  // of RR
)

// largeShare is the share of the largest QRS of all leads from which a lead's QRS is
// wide enough to be measured.
const largeShare = 0.30

// widestShare is how much wider than in the lead that is read a QRS may be in another.
const widestShare = 2.3
