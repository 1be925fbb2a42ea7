package measure

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// A Relation says how P waves and QRS go together.
type Relation string

// Relations of P to QRS.
const (
	NoP         Relation = "none"        // no P can be seen
	Conducted   Relation = "conducted"   // every P is followed by its QRS
	SomeBlocked Relation = "blocked"     // some P waves are followed by no QRS
	Dissociated Relation = "dissociated" // P and QRS each keep their own time
	Retrograde  Relation = "retrograde"  // an inverted P follows the QRS
	Flutter     Relation = "flutter"     // waves without rest between QRS
)

// Limits of the relation of P to QRS.
const (
	earlyRR      = 0.86 // of the usual RR: a beat that comes sooner is early
	earlyPP      = 0.80 // of the usual PP: a P that comes sooner is early
	unrelated    = 0.10 // s, spread of PR from which P and QRS are unrelated
	evenPP       = 0.12 // variation of PP below which P waves keep time
	mostBlocked  = 0.75 // share of RR with a blocked P from which they are the rule
	costRR       = 1.25 // of the RR without: an RR with a blocked P is longer
	recovers     = 0.25 // s after an early QRS within which a P is followed by none in a sound heart either
	evenRRBeside = 0.07 // variation of RR below which QRS keep time beside unrelated P
)

// relate says how the P waves found go with the beats.
func (r *Reading) relate(m *marker) {
	r.Marks.Beats = m.beats
	r.believeBlocked(m)
	r.PPerQRS = float64(len(r.Marks.P)) / float64(len(m.beats))
	if len(r.Marks.P) == 0 {
		return
	}
	r.Relation = Conducted
	var pp []float64
	for i := 1; i < len(r.Marks.P); i++ {
		pp = append(pp, r.Marks.P[i].Onset-r.Marks.P[i-1].Onset)
	}
	if len(pp) > 0 {
		r.AtrialRate = 60 / median(pp)
	}
	low, high := math.Inf(1), math.Inf(-1)
	var pr []float64
	for i, b := range m.beats {
		if v, ok := b.PR(); ok && m.group[i] == 0 {
			low, high = min(low, v), max(high, v)
			pr = append(pr, v)
		}
	}
	if len(pr) > 1 {
		r.PRSpread = high - low
	}
	_, ppCV := meanAndCV(pp)
	if len(pr) >= marchLeast && quantile(pr, 0.9)-quantile(pr, 0.1) > unrelated && r.RRCV < evenRRBeside && ppCV < evenPP {
		r.Relation = Dissociated
		for i := range m.beats {
			m.beats[i].P = ecg.Span{}
		}
		r.PPerQRS = 60 / r.Rate / median(pp)
		return
	}
	r.countBlocked(m, median(pp))
}

// believeBlocked drops waves that belong to no beat and did not cost one: where most
// RR have none of them, an RR that has one must be longer than the others.
func (r *Reading) believeBlocked(m *marker) {
	extra := make([][]int, len(r.RR)) // of each RR, the P without a beat
	owned := r.owned(m)
	k := 0
	for i := range r.RR {
		from, to := m.beats[i].QRS.Onset, m.beats[i+1].QRS.Onset
		for k < len(r.Marks.P) && r.Marks.P[k].Onset < from {
			k++
		}
		for j := k; j < len(r.Marks.P) && r.Marks.P[j].Onset < to; j++ {
			if !owned[r.Marks.P[j].Onset] {
				extra[i] = append(extra[i], j)
			}
		}
	}
	var without []float64
	with := 0
	for i, e := range extra {
		if len(e) == 0 {
			without = append(without, r.RR[i])
		} else {
			with++
		}
	}
	drop := map[int]bool{}
	for i, e := range extra {
		if !m.whole(i) { // a beat may have been lost there
			for _, j := range e {
				drop[j] = true
			}
		}
	}
	if len(drop) == 0 && (with == 0 || float64(with) >= mostBlocked*float64(len(r.RR))) {
		return
	}
	usual := median(without)
	for i, e := range extra {
		if len(e) > 0 && r.RR[i] < costRR*usual {
			for _, j := range e {
				drop[j] = true
			}
		}
	}
	kept := r.Marks.P[:0]
	for j, p := range r.Marks.P {
		if !drop[j] {
			kept = append(kept, p)
		}
	}
	r.Marks.P = kept
}

// owned holds the onsets of the P waves that belong to beats, or stand before wide
// beats that they may have caused.
func (r *Reading) owned(m *marker) map[float64]bool {
	owned := make(map[float64]bool, len(r.Marks.P))
	for _, b := range r.Marks.Beats {
		if b.P.Present() {
			owned[b.P.Onset] = true
		}
	}
	for _, p := range m.ahead {
		if p.Present() {
			owned[p.Onset] = true
		}
	}
	return owned
}

// countBlocked counts the P waves that belong to no beat and could have been
// answered. pp is the usual PP in s.
func (r *Reading) countBlocked(m *marker, pp float64) {
	owned := r.owned(m)
	end := m.beats[len(m.beats)-1].QRS.Onset // later ones may still be answered
	early := earlyBeats(r.RR)
	row, last := 0, 0 // last: the beat before a P
	for i, p := range r.Marks.P {
		if owned[p.Onset] {
			row = 0
			continue
		}
		if p.Onset > end {
			continue
		}
		for last+1 < len(m.beats) && m.beats[last+1].QRS.Onset < p.Onset {
			last++
		}
		if gap := p.Onset - m.beats[last].QRS.Onset; early[last] && gap > 0 && gap < recovers {
			continue // no beat could follow so soon after an early one
		}
		row++
		r.Blocked++
		r.MostBlocked = max(r.MostBlocked, row)
		if i > 0 && p.Onset-r.Marks.P[i-1].Onset < earlyPP*pp {
			r.EarlyP++
		}
	}
	if r.Blocked > 0 {
		r.Relation = SomeBlocked
	}
}

// earlyBeats marks the beats that come sooner than the rhythm around them.
func earlyBeats(rr []float64) []bool {
	out := make([]bool, len(rr)+1)
	for i := range rr {
		var around [9]float64
		n := 0
		for k := max(0, i-4); k <= min(len(rr)-1, i+4); k++ {
			if k != i {
				around[n] = rr[k]
				n++
			}
		}
		out[i+1] = n >= 2 && rr[i] < earlyRR*slices.Max(around[:n]) && rr[i] < earlyRR*median(around[:n])
	}
	return out
}

func longest(x []float64) float64 {
	m := math.NaN()
	for _, v := range x {
		if !(v <= m) {
			m = v
		}
	}
	return m
}
