package synth_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/norms"
)

// pressures are the highest and lowest of each of ten seconds of an arterial line, the
// middle one of each, mmHg.
func pressures(t *testing.T, rhythm string, age ecg.Age, seed uint64) (systolic, diastolic float64) {
	t.Helper()
	id := ecg.Synthetic(rhythm, age, seed)
	id.Arterial = true
	s, _ := render(t, id, 16)
	line := s.Witness(ecg.ArterialPressure)
	var high, low []float64
	for k := 4; k < 14; k++ {
		part := line[k*int(s.Rate) : (k+2)*int(s.Rate)]
		high, low = append(high, slices.Max(part)), append(low, slices.Min(part))
	}
	return median(high), median(low)
}

// The arterial pressure at rest is the one of the age (PALS 2015 chart, read second-hand;
// adults: general usage), above the limit of hypotension in everybody.
func TestPressureByAge(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		var all []float64
		for seed := range uint64(15) {
			systolic, diastolic := pressures(t, "sinus-rhythm", b.Middle, seed)
			assert.Greater(t, systolic, norms.Hypotension(b.Middle), "%s, seed %d", b.Name, seed)
			assert.InDelta(t, 0.6, diastolic/systolic, 0.1, "%s, seed %d: two thirds, about (common practice)", b.Name, seed)
			all = append(all, systolic)
		}
		usual := norms.Systolic(b.Middle).Accept
		assert.True(t, median(all) > usual.Low && median(all) < usual.High, "%s: median %g of %v", b.Name, median(all), usual)
	}
}

// Without the atria in front of the ventricles the pressure is lower (they give 15-25 % of
// the filling, from memory), and so fast that there is no time to fill, it is lower still
// and the pulse is small, while a sinus tachycardia keeps it (common practice). The same
// patients each time.
func TestWhatCostsPressure(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		mean := func(rhythm string) (systolic, pulse float64) {
			const n = 8
			for seed := range uint64(n) {
				high, low := pressures(t, rhythm, b.Middle, seed)
				systolic, pulse = systolic+high/n, pulse+(high-low)/n
			}
			return systolic, pulse
		}
		rest, restPulse := mean("sinus-rhythm")
		fast, _ := mean("sinus-tachycardia")
		junction, _ := mean("accelerated-junctional-rhythm")
		tooFast, smallPulse := mean("supraventricular-tachycardia")
		assert.InDelta(t, rest, fast, 0.10*rest, "%s: sinus tachycardia keeps the pressure", b.Name)
		assert.Less(t, junction, 0.97*rest, "%s: no atria in front", b.Name)
		assert.Less(t, tooFast, junction, "%s: no time to fill", b.Name)
		assert.Less(t, smallPulse, 0.65*restPulse, b.Name)
	}
}

// The pulse swells and shrinks with the breath, and not only because the rate does: pleth
// by 10 to 20 % between its largest and smallest (Cannesson 2008, Br J Anaesth 101:200,
// from memory), here within 5 to 25 %. A pacemaker keeps the rate.
func TestPulseBreathes(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		id := ecg.Synthetic("ventricular-pacing", b.Middle, 3)
		p, err := synth.Open(id)
		require.NoError(t, err)
		s, _ := render(t, id, 60)
		trace := s.Witness(ecg.Pleth)
		var at, heights []float64
		on := measure.PulseOnsets(trace, s.Rate)
		for i, foot := range on[:len(on)-1] {
			from, to := int(foot*s.Rate), int(on[i+1]*s.Rate)
			at = append(at, foot)
			heights = append(heights, slices.Max(trace[from:to])-trace[from])
		}
		require.Greater(t, len(at), 40, b.Name)
		usual := stat.Mean(heights, nil)
		swing := func(perMinute float64) float64 { // of a sine of that frequency, largest less smallest
			var sin, cos float64
			for i, h := range heights {
				y, x := math.Sincos(2 * math.Pi * perMinute / 60 * at[i])
				sin, cos = sin+(h-usual)*y, cos+(h-usual)*x
			}
			return 4 * math.Hypot(sin, cos) / float64(len(heights)) / usual
		}
		breaths := p.Patient().Breaths
		assert.Greater(t, swing(breaths), 0.05, b.Name)
		assert.Less(t, swing(breaths), 0.25, b.Name)
		assert.Less(t, swing(0.77*breaths), 0.5*swing(breaths), "%s: at that frequency only", b.Name)
	}
}

// Early beats whose pulse is missed make the pulse count lower than the heart's, in some
// patients with bigeminy and not in all, never in sinus rhythm (common practice: the
// deficit is counted with a finger on the pulse and an ear on the heart).
func TestPulseDeficit(t *testing.T) {
	t.Parallel()
	for rhythm, some := range map[string]bool{"ventricular-bigeminy": true, "premature-ventricular-beats": true, "sinus-rhythm": false, "sinus-tachycardia": false} {
		missing := 0
		for _, b := range norms.Bands() {
			for seed := range uint64(6) {
				_, m := render(t, ecg.Synthetic(rhythm, b.Middle, seed), 20)
				if len(m.Pulses) < len(m.Beats)-2 { // the first pulse and the last are under way
					missing++
				}
			}
		}
		all := 6 * len(norms.Bands())
		assert.Equal(t, some, missing > all/10, "%s: %d strips of %d", rhythm, missing, all)
		assert.Less(t, missing, all*9/10, "%s: not in all", rhythm)
	}
}
