package measure

import (
	"math"

	"telltrace/synth/ecg"
)

// Limits of findings in the shape of conducted beats.
const (
	prGuard    = 0.012 // s over the limit from which PR is long: half a drawn dot
	slurred    = 0.026 // s of slow start from which a QRS may have a delta wave
	peakedT    = 0.60  // mV, a T in a limb lead above it is tall (read)
	invertedT  = -0.06 // mV
	raisedST   = 0.10  // mV, in a limb lead (universal definition, from memory)
	loweredST  = -0.08
	lowQRS     = 0.50 // mV, from peak to peak in every limb lead (general usage, from memory)
	terminal   = 0.40 // share of the QRS's end that tells which bundle is late
	lateEnough = 0.12 // of the QRS's size
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
	slow := r.Delta >= slurred && r.Delta > 0.28*r.QRS
	switch {
	case r.PR < limits.shortPR() && slow:
		add("pre-excitation", "PR %.2f s is short and QRS begins slowly", r.PR)
	case wide:
		switch {
		case r.lateI < -lateEnough || r.lateV1 > lateEnough:
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
		if l.ST > raisedST && l.ST > 0.06*l.PeakToPeak && !wide {
			add("st-elevation", "ST %.2f mV above the line", l.ST)
		}
		if l.ST < loweredST && -l.ST > 0.05*l.PeakToPeak && !wide {
			add("st-depression", "ST %.2f mV below the line", -l.ST)
		}
	}
	if r.QTcB > longQTc && !wide {
		add("long-qt", "QTc %.2f s (Bazett) is long", r.QTcB)
	}
	if toLeft && !wide && l.T < invertedT && !r.invertedP && math.Abs(l.ST) < 2*raisedST && !contains(ids, "st-depression") {
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
	limbs := 0
	r.widest = r.widestQRS(s)
	for i, lead := range s.Leads {
		if len(r.Marks.Beats) < 2 {
			return
		}
		switch lead {
		case ecg.I, ecg.II, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF:
			limbs++
			if size := r.usualSpan(s.MV[i], s.Rate); !(size <= r.limbQRS) {
				r.limbQRS = size
			}
		}
		switch lead {
		case ecg.I:
			r.pInI = r.sign(s.MV[i], s.Rate, func(b ecg.Beat) ecg.Span { return b.P })
			r.tInI = r.sign(s.MV[i], s.Rate, func(b ecg.Beat) ecg.Span { return b.T })
			r.lateI = r.endOfQRS(s.MV[i], s.Rate)
		case ecg.V1:
			r.lateV1 = r.endOfQRS(s.MV[i], s.Rate)
		}
	}
	if limbs < 2 {
		r.limbQRS = math.NaN()
	}
}

// usualSpan is the median range in mV of a lead within the usual QRS.
func (r *Reading) usualSpan(mv []float64, rate float64) float64 {
	var sizes []float64
	r.each(mv, rate, func(x []float64, _, _ int) { sizes = append(sizes, span(x)) })
	return median(sizes)
}

// endOfQRS is the mean of the last part of the usual QRS over its feet in a lead, as
// a share of its range.
func (r *Reading) endOfQRS(mv []float64, rate float64) float64 {
	var ends []float64
	r.each(mv, rate, func(x []float64, _, _ int) {
		n := len(x)
		k := n - max(2, int(terminal*float64(n)))
		sum := 0.0
		for _, v := range x[k:] {
			sum += v - (x[0]+x[n-1])/2
		}
		if size := span(x); size > 0 {
			ends = append(ends, sum/float64(n-k)/size)
		}
	})
	if len(ends) == 0 {
		return 0
	}
	return median(ends)
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
	var sizes, widths []float64
	for _, mv := range s.MV {
		if dead(mv) {
			continue
		}
		light := make([]float64, len(mv))
		smooth(light, clean(mv).mv, odd(0.008, s.Rate))
		a := averaged(light, at, beats, w, w, s.Rate)
		on, _, off := a.qrs(rr)
		sizes = append(sizes, span(a.mv[a.before+on:a.before+off+1]))
		widths = append(widths, float64(off-on)/s.Rate)
	}
	for i, size := range sizes {
		if size > largeShare*longest(sizes) && widths[i] < 1.8*r.QRS {
			widest = max(widest, widths[i])
		}
	}
	return widest
}

// largeShare is the share of the largest QRS of all leads from which a lead's QRS is
// wide enough to be measured.
const largeShare = 0.45
