package heart

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// phaseOf is the phase of the breath that seed 1 gives.
func phaseOf(t *testing.T, p Params) float64 {
	t.Helper()
	h, err := New(p, 0, rand.New(rand.NewPCG(1, 0)))
	require.NoError(t, err)
	return h.breath
}

// anyHeart is a random heart that can be: any rate, any mix of foci.
func anyHeart(rng *rand.Rand) Params {
	span := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	rate := span(30, 220)
	rr := 60 / rate
	p := Params{
		Breaths:    span(8, 60),
		Sinus:      Sinus{Rate: rate, RSA: span(0, 0.2), Tide: span(0, 0.1), Jitter: span(0, 0.05)},
		Atria:      max(0.05, min(0.3*rr, 0.35)),
		Node:       Node{Delay: span(0.05, 0.3*rr), Decrement: span(0, 0.2), Tau: span(0.05, 0.4), Refractory: span(0.1, 0.6*rr), Blocked: rng.IntN(5) == 0},
		Ventricles: Ventricles{QTc: span(0.3, 0.5)},
		Pump:       Pump{RestRate: span(60, 150), Strength: 1, Systolic: 110, Diastolic: 65, Transit: 0.2},
	}
	if rng.IntN(3) == 0 {
		p.Node.Retrograde = span(0.05, 0.2)
	}
	for range rng.IntN(3) {
		f := Focus{Site: Site(rng.IntN(3)), Cycle: span(0.2, 2), Jitter: span(0, 0.1)}
		switch rng.IntN(3) {
		case 0:
			f.Escape = true
		case 1:
			low := 1 + rng.IntN(5)
			f.Coupling, f.Gap, f.Run = span(0.2, 0.8), [2]int{low, low + 3}, [2]int{1, 4}
		}
		if f.Site == Junction && rng.IntN(2) == 0 {
			f.ToAtria = span(0.04, 0.15)
		}
		p.Foci = append(p.Foci, f)
	}
	switch rng.IntN(6) { // and now and then something rarer
	case 0:
		p.Path = Path{Delay: span(0.03, 0.1), Refractory: span(0.15, 0.4)}
	case 1:
		p.Pacer = Pacer{Rate: span(40, 150), Atrium: rng.IntN(2) == 0, Chamber: true, AV: 0.15, Deaf: rng.IntN(3) == 0,
			Loss: [2]int{2, 5}, Lost: [2]int{1, 2}}
	case 2:
		p.Quiver, p.Sinus.Rate = span(5, 9), 0
	case 3:
		p.His, p.Bundles = His{Gap: [2]int{2, 5}, Drop: [2]int{1, 2}}, Bundles{Tired: 0.6}
		p.Sinus.Gap, p.Sinus.Pause = [2]int{5, 20}, 2.5
	}
	return p
}

// What no heart may break, whatever its parameters.
func TestInvariants(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 0))
	for n := range 200 {
		p := anyHeart(rng)
		require.NoError(t, p.Validate())
		last, lastAtrial, lastVentricular := math.Inf(-1), math.Inf(-1), math.Inf(-1)
		lastRR := math.Inf(1)
		seen, conducted := map[float64]bool{}, map[float64]bool{}
		for _, a := range beat(t, p, uint64(n), 60) {
			require.GreaterOrEqual(t, a.At, last, "heart %d: in time order", n)
			last = a.At
			switch a.Chamber {
			case Spike:
				continue
			case OfAtria:
				require.GreaterOrEqual(t, a.At-lastAtrial, p.Atria-1e-9, "heart %d: atria refractory", n)
				lastAtrial = a.At
				seen[a.At] = true
				continue
			case OfVentricles:
			}
			settled := a.QT * a.QT / (p.Ventricles.QTc * p.Ventricles.QTc) // the RR that QT stands for
			refractory := ventricularERP * p.Ventricles.QTc * math.Sqrt(math.Min(settled, lastRR))
			require.GreaterOrEqual(t, a.RR, refractory-1e-9, "heart %d: ventricles refractory", n)
			lastRR = a.RR
			if !math.IsInf(lastVentricular, -1) {
				require.InDelta(t, a.At-lastVentricular, a.RR, 1e-9, "heart %d: RR", n)
			}
			lastVentricular = a.At
			require.GreaterOrEqual(t, a.Stroke, 0.0)
			require.Less(t, a.Stroke, 2.5)
			if math.IsNaN(a.P) || a.Origin == ecg.OriginPaced {
				continue // a paced beat names the P that filled it
			}
			require.True(t, a.Fusion >= 0 && a.Fusion <= 1, "heart %d: shares of a fusion beat, %g", n, a.Fusion)
			require.False(t, p.Node.Blocked && p.Path.Delay == 0, "heart %d: nothing passes a blocked node", n)
			require.True(t, seen[a.P] || a.Origin == ecg.OriginFusion && a.P > a.At, "heart %d: conducted from a P that was", n)
			require.False(t, conducted[a.P], "heart %d: a P is conducted once", n)
			conducted[a.P] = true
			if a.Origin != ecg.OriginFusion && !a.ViaPath {
				require.GreaterOrEqual(t, a.At-a.P, p.Node.Delay-1e-9, "heart %d: PR", n)
			}
		}
	}
}

// What comes out does not depend on how the time is divided into calls.
func TestNextInAnySteps(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 0))
	for n := range 60 {
		p := anyHeart(rng)
		whole := lines(beat(t, p, uint64(n), 30))
		h, err := New(p, 0, rand.New(rand.NewPCG(uint64(n), 0)))
		require.NoError(t, err)
		var parts []Activation
		for now := 0.0; now < 30; {
			now = math.Min(now+0.4*rng.Float64()*rng.Float64(), 30)
			for {
				a := h.Next(now)
				if a == nil {
					break
				}
				require.Less(t, a.At, now)
				parts = append(parts, *a)
			}
		}
		require.Equal(t, whole, lines(parts), "heart %d", n)
	}
}

func TestSameSeedSameHeart(t *testing.T) {
	p := anyHeart(rand.New(rand.NewPCG(13, 0)))
	assert.Equal(t, lines(beat(t, p, 5, 30)), lines(beat(t, p, 5, 30)))
	assert.NotEqual(t, lines(beat(t, p, 5, 30)), lines(beat(t, p, 6, 30)))
}

// Over an hour no event is left behind: a handful are waiting at any time.
func TestEventsDoNotPileUp(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 0))
	for n := range 12 {
		p := anyHeart(rng)
		h, err := New(p, 0, rand.New(rand.NewPCG(uint64(n), 0)))
		require.NoError(t, err)
		events, waiting := 0, 0
		for {
			if h.Next(3600) == nil {
				break
			}
			events, waiting = max(events, len(h.events)), max(waiting, len(h.out))
		}
		assert.LessOrEqual(t, events, 12, "heart %d", n)
		assert.LessOrEqual(t, waiting, 8, "heart %d", n)
	}
}

func TestSilentAndFibrillatingHearts(t *testing.T) {
	silent := steady()
	silent.Sinus.Rate = 0
	assert.Empty(t, beat(t, silent, 1, 600))

	quivering := steady()
	quivering.Ventricles.Fibrillating = true
	quivering.Foci = []Focus{{Site: Ventricle, Cycle: 0.5}}
	all := beat(t, quivering, 1, 60)
	assert.NotEmpty(t, of(all, OfAtria), "the atria may go on")
	assert.Empty(t, of(all, OfVentricles), "no activation starts or enters")
}

// QT follows the square root of RR (Bazett 1920) once it has settled, and lags a
// sudden change: an early beat shortens it by little.
func TestQT(t *testing.T) {
	for _, rate := range []float64{50, 75, 120, 180} {
		p := at(rate, 0.08)
		p.Atria = 0.2 * 60 / rate
		p.Node.Blocked = false
		v := of(beat(t, p, 1, 120), OfVentricles)
		assert.InDelta(t, 0.41*math.Sqrt(60/rate), v[len(v)-1].QT, 0.001, "rate %g", rate)
	}
	p := steady()
	p.Foci = single(0.45)
	for _, v := range of(beat(t, p, 1, 60), OfVentricles) {
		assert.InDelta(t, 0.41*math.Sqrt(0.8), v.QT, 0.03)
	}
}

func TestSiteWords(t *testing.T) {
	assert.Equal(t, []string{"atrium", "junction", "ventricle", "unknown site"},
		[]string{Atrium.String(), Junction.String(), Ventricle.String(), Site(9).String()})
}
