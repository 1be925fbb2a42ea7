package measure

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// Limits of beats of ventricular shape.
const (
	sameCore      = 0.92  // correlation of the QRS alone from which two shapes are one beat
	sameSize      = 1.35  // and of sizes no further apart
	coreShift     = 0.03  // s they may be moved against each other
	sameRest      = 0.30  // mV from peak to peak that may be left over: a tall P
	sameRestShare = 0.45  // and as a share of the QRS's height
	startFor      = 0.040 // s: the beginning of a QRS, and
	startShift    = 0.012 // s that its onset may be wrong by
	startAlike    = 0.16  // of the usual beginning: so little another one differs
	stepsIn       = 1.40  // of the others' RR: that before beats that step in
	fastRun       = 1.15  // of the rate of the beats beside it: a run from here on is fast
	aheadEarly    = 0.86  // of the usual PP: a P that comes sooner before a wide beat caused it
	aheadShare    = 0.60  // share of the wide beats that must have one
)

// ectopics marks the beats of ventricular origin among beats of another: of another
// shape, wider than the usual ones or wide for the age, and without P. It sets the
// beats' origins.
func (r *Reading) ectopics(limits Limits) []bool {
	out := make([]bool, len(r.Marks.Beats))
	shapes := map[int]bool{}
	conducted := r.conductedShapes()
	for i := range out {
		b := &r.Marks.Beats[i]
		width, _ := b.QRSWidth()
		g := r.Groups[i]
		switch {
		case g != 0 && !r.same[g] && !conducted[g] && !b.P.Present() && r.builds[g].core >= coreLeast &&
			(width > ectopicWidth*r.QRS || width >= limits.Wide && width > 1.1*r.QRS || r.builds[g].farBeyond(r.builds[0])):
			b.Origin = ecg.OriginVentricular
			out[i] = true
			shapes[g] = true
		case b.P.Present():
			b.Origin = ecg.OriginSinus
		}
	}
	r.EctopicShapes = len(shapes)
	return out
}

// conductedShapes holds the shapes most of whose beats have a P of their own: one
// whose P is not seen comes from where the others do.
func (r *Reading) conductedShapes() map[int]bool {
	with, all := map[int]int{}, map[int]int{}
	for i, b := range r.Marks.Beats {
		all[r.Groups[i]]++
		if b.P.Present() {
			with[r.Groups[i]]++
		}
	}
	out := map[int]bool{}
	for g, n := range all {
		out[g] = n >= leastAveraged && 3*with[g] >= 2*n
	}
	return out
}

// coreAlike tells which shapes have the usual QRS: within its extent they are alike,
// and what is left when it is taken away is no larger than a P wave.
func (m *marker) coreAlike() []bool {
	out := make([]bool, len(m.shapes))
	out[0] = true
	if len(m.shapes) == 1 {
		return out
	}
	reach := int((qrsReach + shapeShift) * m.rate)
	mean := func(g int) []float64 {
		return averaged(m.flat, m.at, m.shapes[g].beats, reach, reach, m.rate).mv
	}
	c := m.complex[0]
	usual := mean(0)
	from, to := max(0, reach+c.on), min(len(usual), reach+c.off+1)
	core := leaned(usual[from:to])
	size, height := norm(core), span(usual[from:to])
	step := max(1, int(0.004*m.rate))
	for g := 1; g < len(m.shapes); g++ {
		odd, d := mean(g), m.complex[g]
		for l := -int(coreShift * m.rate); l <= int(coreShift*m.rate); l += step {
			if from+l < 0 || to+l > len(odd) {
				continue
			}
			seg := leaned(odd[from+l : to+l])
			n := norm(seg)
			if n == 0 || size == 0 || n > sameSize*size || size > sameSize*n || dot(seg, core) < sameCore*n*size {
				continue
			}
			low, high := math.Inf(1), math.Inf(-1)
			for i := max(0, reach+min(d.on, c.on+l), l); i <= min(len(odd)-1, reach+max(d.off, c.off+l), len(usual)-1+l); i++ {
				v := odd[i] - usual[i-l]
				low, high = min(low, v), max(high, v)
			}
			if high-low < min(sameRest, sameRestShare*height) {
				out[g] = true
				break
			}
		}
	}
	return out
}

// startsAlike tells which shapes begin as the usual QRS does, whatever comes after, as where
// only one bundle branch is late.
func (m *marker) startsAlike() []bool {
	out := make([]bool, len(m.shapes))
	if len(m.shapes) == 1 {
		return out
	}
	n, shift := max(3, int(startFor*m.rate)), int(startShift*m.rate)
	reach := int((qrsReach+shapeShift)*m.rate) + n + shift
	mean := func(g int) []float64 {
		return averaged(m.flat, m.at, m.shapes[g].beats, reach, reach, m.rate).mv
	}
	start := func(mean []float64, g, by int) []float64 {
		from := min(max(0, reach+m.complex[g].on+by), len(mean)-n)
		return mean[from : from+n]
	}
	usual := slices.Clone(start(mean(0), 0, 0))
	size := 0.0
	for i := n - 1; i >= 0; i-- {
		usual[i] -= usual[0]
		size += usual[i] * usual[i]
	}
	for g := 1; g < len(m.shapes); g++ {
		odd := mean(g)
		for by := -shift; by <= shift && !out[g]; by++ {
			x, differs := start(odd, g, by), 0.0
			for i, v := range x {
				differs += (v - x[0] - usual[i]) * (v - x[0] - usual[i])
			}
			out[g] = differs < startAlike*startAlike*size
		}
	}
	return out
}

// leaned returns x less the straight line between its ends.
func leaned(x []float64) []float64 {
	out := make([]float64, len(x))
	tilt := (x[len(x)-1] - x[0]) / float64(max(1, len(x)-1))
	for k, v := range x {
		out[k] = v - x[0] - tilt*float64(k)
	}
	return out
}

// nameEctopics names rhythms in which some beats are of ventricular shape.
func (r *Reading) nameEctopics(limits Limits, ectopic []bool, run, count int) {
	pairs, changes := 0, 0
	now := 0
	for i, e := range ectopic {
		if i > 0 && e != ectopic[i-1] {
			changes++
		}
		if e {
			now++
			continue
		}
		if now == 2 {
			pairs++
		}
		now = 0
	}
	r.Couplets = pairs
	if now == 2 {
		r.Couplets++
	}
	inRun := r.runRate(ectopic)
	turns := r.twist(func(i int) bool { return ectopic[i] || r.Groups[i] != 0 })
	switch {
	case r.late(ectopic) && (r.MostBlocked >= 2 || r.PPerQRS > 1.3):
		r.Name = "high-grade-av-block"
		r.reason("P waves without QRS, and late wide beats that step in: %s", r.Name)
	case run >= 4 && inRun > vtFrom && turns > twisted && r.EctopicShapes >= 2:
		r.Name = "polymorphic-ventricular-tachycardia"
		if !(r.QTcB <= torsadesQTc) {
			r.Name = "torsades-de-pointes"
		}
		r.reason("%d wide beats in a row whose axis turns, QTc of the others %.2f s: %s", run, r.QTcB, r.Name)
	case run >= 3 && inRun <= max(limits.Fast, min(fastRun*r.ownRate(ectopic), limits.veryFast())):
		r.Name = "accelerated-idioventricular-rhythm"
		r.reason("%d wide beats in a row about as fast as the others, %.0f a minute: %s", run, inRun, r.Name)
	case run >= 3:
		r.Name = "ventricular-run"
		r.reason("%d beats of another shape in a row, without P: %s", run, r.Name)
	case r.stepIn(ectopic):
		r.Name = "high-grade-av-block"
		r.reason("the wide beats are not early: they step in after pauses: %s", r.Name)
		r.against("a sinus node that pauses looks the same where P cannot be seen: a lead with clearer P would settle it")
	case r.aberrant(ectopic):
		r.Name = "aberrantly-conducted-atrial-beats"
		r.reason("early wide beats, each after an early P: %s", r.Name)
		r.against("a ventricular beat after a P by chance looks the same: doubt counts as ventricular")
		for i, e := range ectopic {
			if e {
				r.Marks.Beats[i].Origin = ecg.OriginAtrial
			}
		}
	case run == 1 && count >= 3 && float64(changes) >= 0.8*float64(len(ectopic)-1):
		r.Name = "ventricular-bigeminy"
		r.reason("every second beat early, of another shape, without P: %s", r.Name)
	case run == 1 && count >= 2 && everyThird(ectopic):
		r.Name = "ventricular-trigeminy"
		r.reason("every third beat early, of another shape, without P: %s", r.Name)
	case run == 2:
		r.Name = "ventricular-couplets"
		r.reason("beats of another shape without P, %d times two in a row: %s", r.Couplets, r.Name)
	case r.EctopicShapes >= 2:
		r.Name = "multiform-ventricular-beats"
		r.reason("early beats of %d other shapes without P: %s", r.EctopicShapes, r.Name)
	default:
		r.Name = "premature-ventricular-beats"
		r.reason("%d early beats of another shape without P: %s", count, r.Name)
	}
	if r.EctopicShapes >= 2 && r.Name != "multiform-ventricular-beats" && run <= 2 {
		r.also("multiform-ventricular-beats")
	}
}

// late reports whether the marked beats come late: escape beats, not early ones.
func (r *Reading) late(ectopic []bool) bool {
	var before []float64
	for i, e := range ectopic {
		if e && i > 0 {
			before = append(before, r.RR[i-1])
		}
	}
	pp := 60 / r.AtrialRate
	return len(before) > 0 && quantile(before, 0.25) > escapeLate*pp
}

// stepIn reports whether the marked beats, the first of each run, come so much later than the
// others that they are escape beats, whatever P there may be.
func (r *Reading) stepIn(ectopic []bool) bool {
	var first, own, others []float64
	for i := 1; i < len(ectopic); i++ {
		switch rr := r.RR[i-1]; {
		case ectopic[i] && !ectopic[i-1]:
			first = append(first, rr)
		case !ectopic[i] && !ectopic[i-1]:
			own = append(own, rr)
		default:
			others = append(others, rr)
		}
	}
	if len(own) < 2 {
		own = append(own, others...)
	}
	return len(first) > 1 && quantile(first, 0.25) > stepsIn*median(own)
}

// torsadesQTc is the QTc of the usual beats in s from which a turning run is called
// torsades (usually above 0.50, from memory; the T before a run is often cut short).
const torsadesQTc = 0.46

// escapeLate is the RR before an escape beat at least, as a share of PP.
const escapeLate = 1.25

// everyThird reports whether the marked beats come every third.
func everyThird(is []bool) bool {
	last, n, all := -1, 0, 0
	for i, b := range is {
		if !b {
			continue
		}
		if last >= 0 {
			all++
			if i-last == 3 {
				n++
			}
		}
		last = i
	}
	return all > 0 && float64(n) >= 0.75*float64(all)
}

// runRate is the rate within runs of marked beats, ownRate that of the others; NaN
// without.
func (r *Reading) runRate(is []bool) float64 {
	return r.rateWhere(func(i int) bool { return is[i] && is[i+1] })
}

func (r *Reading) ownRate(is []bool) float64 {
	own := r.rateWhere(func(i int) bool { return !is[i] && !is[i+1] })
	if math.IsNaN(own) {
		return 0
	}
	return own
}

func (r *Reading) rateWhere(ok func(i int) bool) float64 {
	var rr []float64
	for i, x := range r.RR {
		if ok(i) {
			rr = append(rr, x)
		}
	}
	return 60 / median(rr)
}

// dropChance drops the waves ahead of ectopic beats that stand on the T of a usual beat before
// them: unless the beats are aberrant, and begin as the usual ones, they are what is left of that T.
func (r *Reading) dropChance(ectopic []bool) {
	if r.Relation == Dissociated || r.aberrant(ectopic) {
		return
	}
	chance := map[float64]bool{}
	for i, e := range ectopic {
		if !e || i == 0 || ectopic[i-1] || r.starts[r.Groups[i]] || len(r.ahead) == 0 {
			continue
		}
		if t := r.Marks.Beats[i-1].T; t.Present() && r.ahead[i].Present() && r.ahead[i].Onset < t.Offset {
			chance[r.ahead[i].Peak] = true
		}
	}
	if len(chance) == 0 {
		return
	}
	r.Marks.P = slices.DeleteFunc(r.Marks.P, func(p ecg.Span) bool { return chance[p.Peak] })
	r.PPerQRS = float64(len(r.Marks.P)) / float64(len(r.Marks.Beats))
}

// aberrant reports whether the wide beats follow early P waves, and begin as the usual ones,
// which are narrow.
func (r *Reading) aberrant(ectopic []bool) bool {
	if r.QRS >= r.limits.Wide {
		return false
	}
	var pp []float64
	for i := 1; i < len(r.Marks.Beats); i++ {
		a, b := r.Marks.Beats[i-1], r.Marks.Beats[i]
		if a.P.Present() && b.P.Present() {
			pp = append(pp, b.P.Peak-a.P.Peak)
		}
	}
	if len(pp) == 0 || len(r.ahead) == 0 {
		return false
	}
	usual := median(pp)
	n, all := 0, 0
	for i, e := range ectopic {
		if !e || i == 0 {
			continue
		}
		all++
		if p, last := r.ahead[i], r.Marks.Beats[i-1].P; r.starts[r.Groups[i]] && p.Present() && last.Present() && p.Peak-last.Peak < aheadEarly*usual {
			n++
		}
	}
	return all > 0 && float64(n) >= aheadShare*float64(all)
}
