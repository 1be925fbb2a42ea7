package synth_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/norms"
)

// What the catalogue's own entries show by themselves, over longer than a strip; the
// heart alone is held to the same in synth/heart.

// truthOf plays the truth of an identity.
func truthOf(t *testing.T, rhythmID string, age ecg.Age, seed uint64, seconds float64) ecg.Marks {
	t.Helper()
	id := ecg.Synthetic(rhythmID, age, seed)
	id.Leads, id.Rate = []ecg.Lead{ecg.II}, 100
	_, m := render(t, id, seconds)
	return m
}

// intervals between the onsets of QRS, s.
func intervals(m ecg.Marks) (rr []float64) {
	for i := 1; i < len(m.Beats); i++ {
		rr = append(rr, m.Beats[i].QRS.Onset-m.Beats[i-1].QRS.Onset)
	}
	return rr
}

// usualPP is the median interval of P waves, s.
func usualPP(m ecg.Marks) float64 {
	var pp []float64
	for i := 1; i < len(m.P); i++ {
		pp = append(pp, m.P[i].Onset-m.P[i-1].Onset)
	}
	return median(pp)
}

// Second-degree block of the first type, at every age: PR grows over each cycle, in most
// by a second step smaller than the first, and the pause is shorter than two PP
// (Friedman 1975, J Electrocardiol 8:307, read).
func TestWenckebachInTheCatalogue(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		shrunk, cycles := 0, 0
		for seed := uint64(1); seed <= 20; seed++ {
			m := truthOf(t, "second-degree-av-block-type-1", b.Middle, seed, 30)
			pp, rr := usualPP(m), intervals(m)
			var cycle []float64
			whole := false // the cycle has been seen from its start
			for i, beat := range m.Beats {
				pr, ok := beat.PR()
				if !ok {
					continue
				}
				if i > 0 && rr[i-1] > 1.25*pp {
					assert.Less(t, rr[i-1], 2*pp, "%s, seed %d: pause", b.Name, seed)
					if whole && len(cycle) >= 3 {
						cycles++
						assert.True(t, slices.IsSorted(cycle), "%s, seed %d: PR %.3f", b.Name, seed, cycle)
						if cycle[2]-cycle[1] < cycle[1]-cycle[0] {
							shrunk++
						}
					}
					cycle, whole = nil, true
				}
				cycle = append(cycle, pr)
			}
		}
		assert.Greater(t, cycles, 50, b.Name)
		assert.Greater(t, float64(shrunk), 0.8*float64(cycles), "%s: steps that shrink", b.Name)
	}
}

// Fibrillating atria at every age: RR varies by 0.15 to 0.35 (Tateno and Glass 2001, value
// from memory) and successive RR are nearly uncorrelated (Hennig 2006, read).
func TestFibrillatingAtriaInTheCatalogue(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		for seed := uint64(1); seed <= 5; seed++ {
			rr := intervals(truthOf(t, "atrial-fibrillation", b.Middle, seed, 300))
			m, next := mean(rr), 0.0
			for i := 1; i < len(rr); i++ {
				next += (rr[i] - m) * (rr[i-1] - m) / float64(len(rr))
			}
			cv := spread(rr) / m
			assert.True(t, cv > 0.15 && cv < 0.35, "%s, seed %d: coefficient of variation %.3f", b.Name, seed, cv)
			assert.Less(t, math.Abs(next)/(spread(rr)*spread(rr)), 0.25, "%s, seed %d: correlation of successive RR", b.Name, seed)
		}
	}
}

// The pause after a single ectopic: of the ventricles full, coupling and pause are two
// cycles; of the atria less (gpnotebook.co.uk, compensatory pause, read).
func TestPausesInTheCatalogue(t *testing.T) {
	t.Parallel()
	around := func(rhythmID string, age ecg.Age, early func(ecg.Beat) bool) (cycles []float64) {
		for seed := uint64(1); seed <= 10; seed++ {
			m := truthOf(t, rhythmID, age, seed, 40)
			usual := median(intervals(m))
			for i := 1; i+1 < len(m.Beats); i++ {
				if early(m.Beats[i]) {
					cycles = append(cycles, (m.Beats[i+1].QRS.Onset-m.Beats[i-1].QRS.Onset)/usual)
				}
			}
		}
		return cycles
	}
	for _, b := range norms.Bands() {
		ventricular := around("premature-ventricular-beats", b.Middle, func(b ecg.Beat) bool { return b.Origin == ecg.OriginVentricular })
		atrial := around("premature-atrial-beats", b.Middle, func(b ecg.Beat) bool { return b.Origin == ecg.OriginAtrial })
		require.Greater(t, len(ventricular), 20, b.Name)
		require.Greater(t, len(atrial), 20, b.Name)
		assert.InDelta(t, 2, median(ventricular), 0.06, "%s: cycles around a ventricular ectopic", b.Name)
		assert.Less(t, median(atrial), 1.9, "%s: cycles around an atrial one", b.Name)
		assert.Greater(t, median(atrial), 1.4, b.Name)
	}
}

// In complete block and in ventricular tachycardia P marches through, undisturbed by the
// QRS, and falls everywhere between them (Kusumoto 2018; standard criteria of
// ventricular tachycardia; both from memory).
func TestDissociationInTheCatalogue(t *testing.T) {
	t.Parallel()
	for _, rhythmID := range []string{"third-degree-av-block", "monomorphic-ventricular-tachycardia"} {
		for _, b := range norms.Bands() {
			m := truthOf(t, rhythmID, b.Middle, 3, 120)
			pp := usualPP(m)
			require.Greater(t, len(m.P), 60, "%s at %s", rhythmID, b.Name)
			for i := 1; i < len(m.P); i++ {
				require.InDelta(t, 1, (m.P[i].Onset-m.P[i-1].Onset)/pp, 0.25, "%s at %s: P at %.2f s", rhythmID, b.Name, m.P[i].Onset)
			}
			var fifths [5]int
			for _, p := range m.P {
				for i := 1; i < len(m.Beats); i++ {
					from, to := m.Beats[i-1].QRS.Onset, m.Beats[i].QRS.Onset
					if p.Onset >= from && p.Onset < to {
						fifths[int(5*(p.Onset-from)/(to-from))]++
					}
				}
			}
			assert.Positive(t, slices.Min(fifths[:]), "%s at %s: P by fifths of RR %v", rhythmID, b.Name, fifths)
		}
	}
}

// Fusion beats where an accelerated ventricular rhythm and the sinus node meet (common
// practice), and captures.
func TestFusionInTheCatalogue(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		n := map[ecg.Origin]int{}
		for seed := uint64(1); seed <= 10; seed++ {
			for _, beat := range truthOf(t, "accelerated-idioventricular-rhythm", b.Middle, seed, 60).Beats {
				n[beat.Origin]++
			}
		}
		assert.Positive(t, n[ecg.OriginFusion], b.Name)
		assert.Positive(t, n[ecg.OriginSinus], b.Name)
		assert.Greater(t, n[ecg.OriginVentricular], n[ecg.OriginFusion], b.Name)
	}
}

// axes are the directions of each QRS in the frontal plane, degrees, read from samples:
// where the point that leads I and II draw lies farthest from the line before (Einthoven
// 1913).
func (c *tracing) axes() []float64 {
	i, ii := slices.Index(c.leads, ecg.I), slices.Index(c.leads, ecg.II)
	var out []float64
	for b, at := range c.at {
		s := c.shapes[c.group[b]].span
		from, to := max(at+c.frames(s.Onset), 0), min(at+c.frames(s.Offset), len(c.rows[0])-1)
		far, axis := 0.0, 0.0
		for k := from; k <= to; k++ {
			x := c.rows[i][k] - c.rows[i][from]
			y := (2*(c.rows[ii][k]-c.rows[ii][from]) - x) / math.Sqrt(3)
			if d := math.Hypot(x, y); d > far {
				far, axis = d, math.Atan2(y, x)*180/math.Pi
			}
		}
		out = append(out, axis)
	}
	return out
}

// Torsades: the axis turns through more than half a circle over a burst, by small steps
// to one side; a monomorphic tachycardia keeps its axis (standard texts, from memory: a
// twist takes 5 to 20 beats).
func TestTorsadesTurns(t *testing.T) {
	t.Parallel()
	turned := func(rhythmID string, age ecg.Age, seed uint64) (most float64) {
		id := ecg.Synthetic(rhythmID, age, seed)
		s, m := render(t, id, 20)
		axes := measured(s, lookAt(m, rand.New(rand.NewPCG(seed, 0))), age).axes()
		sum := 0.0
		for i := 1; i < len(axes); i++ {
			if m.Beats[i].Origin != ecg.OriginVentricular || m.Beats[i-1].Origin != ecg.OriginVentricular {
				sum = 0
				continue
			}
			sum += math.Remainder(axes[i]-axes[i-1], 360)
			most = math.Max(most, math.Abs(sum))
		}
		return most
	}
	for _, b := range norms.Bands() {
		for seed := uint64(1); seed <= 5; seed++ {
			assert.Greater(t, turned("torsades-de-pointes", b.Middle, seed), 120.0, "%s, seed %d", b.Name, seed)
			assert.Less(t, turned("monomorphic-ventricular-tachycardia", b.Middle, seed), 30.0, "%s, seed %d", b.Name, seed)
		}
	}
}

// Coarse fibrillation has become fine, below 0.2 mV, within twenty minutes (limit by
// Kerber 1997, Circulation 95:1677, from memory; that it decays over minutes is common
// practice).
func TestCoarseBecomesFine(t *testing.T) {
	t.Parallel()
	for _, age := range []ecg.Age{ecg.Months(6), ecg.Years(8), ecg.Years(40)} {
		id := ecg.Synthetic("coarse-ventricular-fibrillation", age, 2)
		id.Rate = 100
		s, _ := render(t, id, 1300)
		x := band(s.Row(ecg.II), s.Rate)
		early, late := wavesOfSeconds(x[:20*100], s.Rate), wavesOfSeconds(x[len(x)-60*100:], s.Rate)
		assert.Greater(t, early, 0.2, "%s: mV at first", age)
		assert.Less(t, late, 0.2, "%s: mV after twenty minutes", age)
		assert.Greater(t, late, 0.1, "%s: and not yet a flat line", age)
	}
}
