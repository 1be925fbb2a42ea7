package heart

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// single is one ventricular focus that fires alone, coupling seconds after every
// sixth beat from above.
func single(coupling float64) []Focus {
	return []Focus{{Site: Ventricle, Coupling: coupling, Gap: [2]int{6, 6}, Run: [2]int{1, 1}}}
}

// pauses returns, for every ectopic that has neighbours, the coupling, the pause
// after it and the PR time of the next beat.
func pauses(all []Activation) (couplings, after, pr []float64) {
	v := of(all, OfVentricles)
	for i := 1; i+1 < len(v); i++ {
		if v[i].Origin == ecg.OriginVentricular {
			couplings = append(couplings, v[i].RR)
			after = append(after, v[i+1].RR)
			pr = append(pr, v[i+1].At-v[i+1].P)
		}
	}
	return couplings, after, pr
}

// The pause after a ventricular ectopic is full: coupling + pause = two sinus cycles
// (gpnotebook.co.uk, compensatory pause, read). Nothing in the model says so; the
// ectopic leaves the node refractory for the next P.
func TestFullCompensatoryPause(t *testing.T) {
	for _, rate := range []float64{60, 75, 100, 140} {
		for _, share := range []float64{0.55, 0.62, 0.70} {
			cycle := 60 / rate
			p := at(rate, min(0.16, 0.25*cycle))
			p.Ventricles.QTc = 0.38
			p.Foci = single(share * cycle)
			couplings, after, _ := pauses(beat(t, p, 1, 120))
			require.NotEmpty(t, couplings, "rate %g coupling %g: the focus never fired", rate, share)
			for i := range couplings {
				assert.InDelta(t, share*cycle, couplings[i], 1e-9)
				assert.InDelta(t, 2*cycle, couplings[i]+after[i], 0.03*2*cycle, "rate %g, coupling %g of the cycle", rate, share)
			}
		}
	}
}

// The exceptions (rjmatthewsmd.com figure 94-35c, read): an ectopic between two
// beats of a slow sinus rhythm takes nothing away, and only the next PR is longer;
// one that is conducted to the atria resets the sinus node and pauses less.
func TestPauseExceptions(t *testing.T) {
	t.Run("interpolated", func(t *testing.T) {
		p := at(45, 0.16)
		p.Node = Node{Refractory: 0.30, Decrement: 0.20, Tau: 0.30}.AtRate(0.16, 45)
		p.Foci = single(0.50)
		couplings, after, pr := pauses(beat(t, p, 1, 120))
		require.NotEmpty(t, couplings)
		for i := range couplings {
			assert.InDelta(t, 60.0/45, couplings[i]+after[i], 0.12, "one cycle, not two")
			assert.Greater(t, pr[i], 0.17, "concealed conduction lengthens the next PR")
		}
	})
	t.Run("retrograde", func(t *testing.T) {
		p := at(60, 0.16)
		p.Node.Retrograde = 0.10
		p.Foci = single(0.45)
		all := beat(t, p, 1, 120)
		couplings, after, _ := pauses(all)
		require.NotEmpty(t, couplings)
		for i := range couplings {
			assert.Less(t, couplings[i]+after[i], 0.95*2.0, "less than two cycles")
			assert.Greater(t, couplings[i]+after[i], 1.05, "but more than one")
		}
		inverted := 0
		for _, a := range of(all, OfAtria) {
			if a.Retrograde {
				inverted++
			}
		}
		assert.InDelta(t, len(couplings), inverted, 1, "each ectopic reaches the atria")
	})
}

// Third degree: P and QRS independent, atrial rate above the ventricular one
// (Kusumoto 2018 bradycardia guideline, from memory). P marches through.
func TestThirdDegreeBlock(t *testing.T) {
	p := steady()
	p.Node.Blocked = true
	p.Foci = []Focus{{Site: Junction, Cycle: 1.31, Escape: true}}
	all := beat(t, p, 1, 300)
	atria, ventricles := of(all, OfAtria), of(all, OfVentricles)
	assert.Equal(t, map[ecg.Origin]int{ecg.OriginSinus: len(atria)}, origins(atria))
	assert.Equal(t, map[ecg.Origin]int{ecg.OriginJunctional: len(ventricles)}, origins(ventricles))
	for i := 1; i < len(atria); i++ {
		assert.InDelta(t, 0.8, atria[i].At-atria[i-1].At, 1e-9, "P keeps its own time")
	}
	for i, v := range ventricles {
		assert.True(t, math.IsNaN(v.P), "no P is conducted")
		if i > 0 {
			assert.InDelta(t, 1.31, v.RR, 1e-9, "QRS keeps its own time")
		}
	}
	assertIndependent(t, atria, ventricles, 0.8)
}

// assertIndependent: over many beats P falls everywhere in the ventricular cycle.
func assertIndependent(t *testing.T, atria, ventricles []Activation, cycle float64) {
	t.Helper()
	var phases []float64
	for _, v := range ventricles {
		for i := len(atria) - 1; i >= 0; i-- {
			if atria[i].At <= v.At {
				phases = append(phases, (v.At-atria[i].At)/cycle)
				break
			}
		}
	}
	slices.Sort(phases)
	gap := phases[0] + 1 - phases[len(phases)-1]
	for i := 1; i < len(phases); i++ {
		gap = math.Max(gap, phases[i]-phases[i-1])
	}
	assert.Less(t, gap, 0.15, "largest part of the cycle in which P never falls")
}

// Ventricular tachycardia: AV dissociation; where the sinus beat comes through
// between two ventricular ones it is a capture, where both meet a fusion beat
// (standard criteria of ventricular tachycardia, from memory).
func TestVentricularTachycardiaDissociatedWithCaptureAndFusion(t *testing.T) {
	p := steady()
	const cycle = 0.4931 // 122/min: slow enough for the sinus to come through now and then
	p.Node = Node{Refractory: 0.25, Delay: 0.13}
	p.Foci = []Focus{{Site: Ventricle, Cycle: cycle}}
	all := beat(t, p, 3, 600)
	atria, ventricles := of(all, OfAtria), of(all, OfVentricles)
	for i := 1; i < len(atria); i++ {
		require.InDelta(t, 0.8, atria[i].At-atria[i-1].At, 1e-9, "P marches through")
	}
	n := origins(ventricles)
	assert.Positive(t, n[ecg.OriginSinus], "captures")
	assert.Positive(t, n[ecg.OriginFusion], "fusion beats")
	assert.Greater(t, n[ecg.OriginVentricular], 5*(n[ecg.OriginSinus]+n[ecg.OriginFusion]), "both are rare")
	for i, v := range ventricles {
		switch v.Origin {
		case ecg.OriginSinus:
			assert.Less(t, v.RR, cycle, "a capture comes early")
			assert.False(t, math.IsNaN(v.P), "and has a P")
			assert.Zero(t, v.Fusion)
		case ecg.OriginFusion:
			assert.True(t, v.Fusion > 0 && v.Fusion < 1, "a fusion beat is a share of both, got %g", v.Fusion)
			assert.Equal(t, 0, v.Focus)
			assert.False(t, math.IsNaN(v.P))
			assert.InDelta(t, cycle, v.RR, fusionWindow+1e-9, "beat %d comes about when the ventricular one was due", i)
		default:
			assert.True(t, math.IsNaN(v.P))
		}
	}
	ventricles = slices.DeleteFunc(ventricles, func(v Activation) bool { return v.Origin == ecg.OriginSinus })
	assertIndependent(t, atria, ventricles, 0.8)
}

// A faster ventricular tachycardia keeps the node refractory: no capture.
func TestFastVentricularTachycardiaLetsNothingThrough(t *testing.T) {
	p := steady()
	p.Foci = []Focus{{Site: Ventricle, Cycle: 0.34}}
	ventricles := of(beat(t, p, 3, 300), OfVentricles)[2:] // the first may meet a conducted beat
	assert.Equal(t, map[ecg.Origin]int{ecg.OriginVentricular: len(ventricles)}, origins(ventricles))
}

// Re-entry by the junction: RR fixed, P absent or abnormal, abrupt onset and end
// (AHA PALS 2020 tachycardia algorithm, read).
func TestSupraventricularTachycardia(t *testing.T) {
	p := at(130, 0.10)
	p.Foci = []Focus{{Site: Junction, Cycle: 0.25, ToAtria: 0.09}}
	all := beat(t, p, 1, 60)
	ventricles := of(all, OfVentricles)
	started := slices.IndexFunc(ventricles, func(v Activation) bool { return v.Origin == ecg.OriginJunctional })
	for _, v := range ventricles[started+1:] {
		require.Equal(t, ecg.OriginJunctional, v.Origin)
		require.InDelta(t, 0.25, v.RR, 1e-9)
	}
	for _, a := range of(all, OfAtria) {
		if a.At < ventricles[started+1].At {
			continue
		}
		require.True(t, a.Retrograde, "the sinus node is reset by every beat from below")
		i := slices.IndexFunc(ventricles, func(v Activation) bool { return math.Abs(v.At+0.09-a.At) < 1e-9 })
		require.GreaterOrEqual(t, i, 0, "P at %.3f s follows a QRS by 0.09 s", a.At)
	}
}

func TestParoxysmStartsAndStopsAbruptly(t *testing.T) {
	p := at(90, 0.14)
	p.Foci = []Focus{{Site: Junction, Coupling: 0.40, Cycle: 0.30, Gap: [2]int{8, 8}, Run: [2]int{20, 20}, ToAtria: 0.09}}
	ventricles := of(beat(t, p, 1, 120), OfVentricles)
	ends := 0
	for i := 1; i < len(ventricles); i++ {
		was, is := ventricles[i-1].Origin, ventricles[i].Origin
		switch {
		case was == ecg.OriginSinus && is == ecg.OriginJunctional:
			assert.InDelta(t, 0.40, ventricles[i].RR, 1e-9, "from one beat to the next")
		case was == ecg.OriginJunctional && is == ecg.OriginJunctional:
			assert.InDelta(t, 0.30, ventricles[i].RR, 1e-9)
		case was == ecg.OriginJunctional && is == ecg.OriginSinus:
			ends++
			assert.Greater(t, ventricles[i].RR, 60.0/90, "a pause while the sinus node starts again")
			assert.Less(t, ventricles[i].RR, 60.0/90+0.4)
		}
	}
	assert.Greater(t, ends, 3)
}

// An escape focus shows only when nothing faster does.
func TestEscape(t *testing.T) {
	for _, tt := range []struct {
		name     string
		sinus    float64
		escapes  bool
		conducts bool
	}{
		{"sinus faster", 75, false, true},
		{"sinus slower", 35, true, true},
		{"sinus silent", 0, true, false},
	} {
		p := steady()
		p.Sinus.Rate = tt.sinus
		p.Foci = []Focus{{Site: Junction, Cycle: 1.3, Escape: true}}
		ventricles := of(beat(t, p, 1, 600), OfVentricles)[1:]
		n := origins(ventricles)
		assert.Equal(t, tt.escapes, n[ecg.OriginJunctional] > 0, "%s: %v", tt.name, n)
		if tt.name != "sinus slower" {
			assert.Equal(t, tt.conducts, n[ecg.OriginSinus] > 0, "%s: %v", tt.name, n)
		}
		for _, v := range ventricles {
			assert.LessOrEqual(t, v.RR, 1.3+1e-9, "%s: never longer than the escape interval", tt.name)
			if v.Origin == ecg.OriginJunctional {
				assert.InDelta(t, 1.3, v.RR, 1e-9, tt.name)
			}
		}
	}
}

// AtRate gives the PR time it was asked for.
func TestNodeAtRate(t *testing.T) {
	for _, rate := range []float64{40, 75, 130, 200} {
		for _, share := range []float64{0.12, 0.2, 0.3} {
			pr := share * 60 / rate
			p := at(rate, pr)
			p.Atria = 0.2 * 60 / rate
			for _, v := range of(beat(t, p, 1, 60), OfVentricles)[2:] {
				require.InDelta(t, pr, v.At-v.P, 0.001, fmt.Sprintf("rate %g", rate))
			}
		}
	}
}

// RR shortens in inspiration, PR stays (Singh 2011, chapter on respiratory
// arrhythmia, read).
func TestBreathMovesTheSinusNode(t *testing.T) {
	p := steady()
	p.Sinus.RSA = 0.12
	p.Breaths = 12
	all := beat(t, p, 1, 300)
	var in, out, pr []float64
	atria := of(all, OfAtria)
	h := &Heart{p: p}
	h.breath = phaseOf(t, p)
	for i := 1; i < len(atria); i++ {
		middle := (atria[i].At + atria[i-1].At) / 2
		switch s := math.Sin(h.Breath(middle)); {
		case s > 0.7:
			in = append(in, atria[i].At-atria[i-1].At)
		case s < -0.7:
			out = append(out, atria[i].At-atria[i-1].At)
		}
	}
	for _, v := range of(all, OfVentricles)[2:] {
		pr = append(pr, v.At-v.P)
	}
	assert.Less(t, slices.Max(in), slices.Min(out), "the shortest in inspiration, the longest in expiration")
	assert.Less(t, slices.Max(pr)-slices.Min(pr), 0.010)
}
