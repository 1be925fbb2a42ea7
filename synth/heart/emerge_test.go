package heart

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// What textbooks list as features comes out of the model by itself: nothing here is
// written down in it.

// wenckebachHeart is a heart of a steady sinus rate whose node tires.
func wenckebachHeart(rate, refractory, decrement float64) Params {
	p := at(rate, 0.16)
	rr := 60 / rate
	p.Node = Node{Delay: 0.16, Decrement: decrement * rr, Tau: 0.22 * rr, Refractory: refractory * rr}
	p.Ventricles.QTc = 0.36
	return p
}

// Wenckebach cycles: the first PR is the shortest, PR grows by steps that shrink, and the
// pause is two PP less the sum of the steps (Friedman 1975, J Electrocardiol 8:307, read:
// all features together in 56 % of 4:3 cycles, in hardly any longer than 5:4).
func TestWenckebachCycles(t *testing.T) {
	t.Parallel()
	for _, rate := range []float64{60, 75, 110} {
		for _, decrement := range []float64{0.26, 0.29, 0.32} {
			pp := 60 / rate
			v := of(beat(t, wenckebachHeart(rate, 0.62, decrement), 1, 120), OfVentricles)[5:]
			var cycle []float64 // PR of the cycle under way
			cycles := 0
			for i := 1; i < len(v); i++ {
				pr := v[i].At - v[i].P
				if v[i].RR < 1.25*pp {
					cycle = append(cycle, pr)
					continue
				}
				if cycles++; cycles > 1 && len(cycle) >= 3 {
					name := fmt.Sprintf("rate %g, decrement %g: PR %.3f", rate, decrement, cycle)
					grown := 0.0
					for k := 1; k < len(cycle); k++ {
						step := cycle[k] - cycle[k-1]
						grown += step
						assert.Positive(t, step, name)
						if k == 2 { // of longer cycles the last step may grow again
							assert.Less(t, step, cycle[k-1]-cycle[k-2], "%s: the steps shrink", name)
						}
					}
					assert.Less(t, v[i].RR, 2*pp, "%s: the pause", name)
					assert.InDelta(t, 2*pp-grown, v[i].RR, 1e-4, "%s: the pause is two PP less what PR has grown", name)
					assert.Less(t, pr, cycle[1], "%s: PR after the pause is the shortest", name)
				}
				cycle = append(cycle[:0], pr)
			}
			assert.Greater(t, cycles, 10, "rate %g, decrement %g: cycles", rate, decrement)
		}
	}
}

// The ventricles' answer to fibrillating atria: RR varies with a coefficient of 0.15 to
// 0.35 (Tateno and Glass 2001, Med Biol Eng Comput 39:664, value from memory), and
// successive RR are nearly uncorrelated (Hennig 2006, arXiv cond-mat/0605295, read).
func TestFibrillatingAtria(t *testing.T) {
	t.Parallel()
	for seed := uint64(1); seed <= 20; seed++ {
		p := steady()
		p.Sinus.Rate, p.Quiver = 0, 7
		p.Node = Node{Delay: 0.14, Decrement: 0.10, Tau: 0.12, Refractory: 0.18, Conceal: 0.95}
		var rr []float64
		for _, v := range of(beat(t, p, seed, 600), OfVentricles)[1:] {
			rr = append(rr, v.RR)
		}
		mean, square, next := 0.0, 0.0, 0.0
		for _, v := range rr {
			mean += v / float64(len(rr))
		}
		for i, v := range rr {
			square += (v - mean) * (v - mean)
			if i > 0 {
				next += (v - mean) * (rr[i-1] - mean)
			}
		}
		cv := math.Sqrt(square/float64(len(rr))) / mean
		assert.True(t, cv > 0.15 && cv < 0.35, "seed %d: coefficient of variation %.3f", seed, cv)
		assert.Less(t, math.Abs(next/square), 0.2, "seed %d: correlation of successive RR", seed)
	}
}

// Flutter at 300 a minute: which wave comes through follows from the node alone.
func TestFlutterByTheNodeAlone(t *testing.T) {
	t.Parallel()
	const cycle = 0.2
	flutter := func(node Node) (ratios map[int]int) {
		p := steady()
		p.Sinus.Rate, p.Atria, p.Ventricles.QTc = 0, 0.12, 0.36
		p.Foci = []Focus{{Site: Atrium, Cycle: cycle}}
		p.Node = node
		ratios = map[int]int{}
		for _, v := range of(beat(t, p, 1, 120), OfVentricles)[5:] {
			ratios[int(math.Round(v.RR/cycle))]++
		}
		return ratios
	}
	for n := 2; n <= 4; n++ {
		ratios := flutter(Node{Delay: 0.13, Refractory: (float64(n)-0.5)*cycle - 0.13})
		assert.Len(t, ratios, 1, "%d:1, got %v", n, ratios)
		assert.Positive(t, ratios[n], "%d:1, got %v", n, ratios)
	}
	ratios := flutter(Node{Delay: 0.13, Refractory: 1.5*cycle - 0.13, Decrement: 0.12, Tau: 0.10})
	assert.Greater(t, len(ratios), 1, "a node that tires conducts now this wave and now that: %v", ratios)
}

// An atrial ectopic resets the sinus node: coupling and pause are less than two cycles
// (gpnotebook.co.uk, compensatory pause, read).
func TestLessThanCompensatoryPause(t *testing.T) {
	t.Parallel()
	for _, share := range []float64{0.60, 0.68, 0.75} {
		p := steady()
		p.Foci = []Focus{{Site: Atrium, Coupling: share * 0.8, Gap: [2]int{6, 6}, Run: [2]int{1, 1}}}
		atria := of(beat(t, p, 1, 200), OfAtria)
		found := 0
		for i := 1; i+1 < len(atria); i++ {
			if atria[i].Origin != ecg.OriginAtrial {
				continue
			}
			found++
			around := atria[i+1].At - atria[i-1].At
			assert.Less(t, around, 0.97*2*0.8, "coupling %g of the cycle", share)
			assert.Greater(t, atria[i+1].At-atria[i].At, 0.8, "and yet a pause")
		}
		assert.Greater(t, found, 10)
	}
}

// An escape pacemaker warms up: the first interval is the longest, the next ones shorten
// to its own cycle (standard texts, from memory).
func TestEscapeWarmsUp(t *testing.T) {
	t.Parallel()
	p := steady()
	p.Node.Blocked = true
	p.Foci = []Focus{{Site: Ventricle, Cycle: 1.5, Escape: true, WarmUp: 0.4}}
	v := of(beat(t, p, 1, 60), OfVentricles)
	for i := 2; i < 8; i++ {
		assert.Less(t, v[i].RR, v[i-1].RR, "interval %d", i)
	}
	assert.Greater(t, v[1].RR, 1.2*1.5)
	assert.InDelta(t, 1.5, v[len(v)-1].RR, 0.01)
}

// A beat that ends a short interval after a long one is conducted with right bundle
// branch block; after a short one the same interval is conducted narrow (Gouaux and
// Ashman 1947, Am Heart J 34:366, from memory).
func TestAberrationAfterLongShort(t *testing.T) {
	t.Parallel()
	early := func(rate float64) (blocked, narrow int) {
		p := at(rate, 0.14)
		p.Bundles.Tired, p.Ventricles.QTc = 0.70, 0.34
		p.Node = Node{Delay: 0.14, Refractory: 0.20}
		p.Foci = []Focus{{Site: Atrium, Coupling: 0.45, Gap: [2]int{6, 6}, Run: [2]int{1, 1}}}
		for _, v := range of(beat(t, p, 1, 200), OfVentricles) {
			if v.Origin != ecg.OriginAtrial {
				continue
			}
			switch v.Bundle {
			case RightBundle:
				blocked++
			case NoBundle:
				narrow++
			}
		}
		return blocked, narrow
	}
	blocked, narrow := early(70)
	assert.Greater(t, blocked, 10, "after a long interval")
	assert.Zero(t, narrow)
	blocked, narrow = early(100)
	assert.Zero(t, blocked, "after a short one")
	assert.Greater(t, narrow, 10)
}

// QT follows a new rate with a lag: hardly at the first beat, most of the way after some
// ten seconds, all of it within about a minute (Pueyo 2003, from memory).
func TestQTLags(t *testing.T) {
	t.Parallel()
	slow, fast := at(60, 0.14), at(120, 0.14)
	h, err := New(slow, -60, rand.New(rand.NewPCG(1, 0)))
	require.NoError(t, err)
	require.NoError(t, h.Change(0, fast))
	from, to := 0.41, 0.41*math.Sqrt(0.5)
	way := func(qt float64) float64 { return (from - qt) / (from - to) }
	fastBeats := 0
	for {
		a := h.Next(90)
		if a == nil {
			break
		}
		if a.Chamber != OfVentricles || a.At < 1 {
			continue
		}
		switch fastBeats++; {
		case fastBeats == 1:
			assert.Less(t, way(a.QT), 0.15, "the first beats")
		case a.At > 10 && a.At < 11:
			assert.InDelta(t, 0.72, way(a.QT), 0.15, "after ten seconds")
		case a.At > 60:
			assert.Greater(t, way(a.QT), 0.98, "after a minute")
		}
	}
	assert.Greater(t, fastBeats, 100)
}
