package synth_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/stat"

	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
	"telltrace/synth/norms"
)

// notches is the share of times (s) at which a lead shows the given wave, cut out around
// its peak: the two levelled and alike. A slow wave of the limb or the skin falls away
// in the levelling, a QRS does not.
func notches(mv []float64, rate float64, times []float64, wave []float64) float64 {
	found, all := 0.0, 0.0
	for _, at := range times {
		from := int(math.Round(at*rate)) - len(wave)/2
		if from < 0 || from+len(wave) > len(mv) {
			continue
		}
		all++
		if stat.Correlation(levelled(mv[from:from+len(wave)]), wave, nil) > 0.7 {
			found++
		}
	}
	return found / all
}

// levelled is a stretch less the straight line from its beginning to its end.
func levelled(mv []float64) []float64 {
	out, last := make([]float64, len(mv)), len(mv)-1
	for i, v := range mv {
		out[i] = v - mv[0] - (mv[last]-mv[0])*float64(i)/float64(last)
	}
	return out
}

// The true complexes stay findable underneath artifact: in the very lead that is spoilt a
// QRS shows at each of its times, the notch sign (Huang 2006, Int J Cardiol 111:163, from
// memory), and seldom between them. So a reader who marches out the old RR finds them.
func TestComplexesUnderneath(t *testing.T) {
	t.Parallel()
	for kind, least := range map[string]float64{
		"movement": 0.95, "chest-percussion": 0.75, "shivering": 0.85, "compressions": 0.90,
		"mains-hum": 0.85, "baseline-wander": 0.97, "loose-electrode": 0.80, "low-amplitude": 0.90,
	} {
		for _, b := range norms.Bands() {
			under, between, n := 0.0, 0.0, 0.0
			for seed := range uint64(4) {
				id := ecg.Synthetic("sinus-rhythm", b.Middle, seed)
				clean, truth := render(t, id, 20)
				var peaks, middles []float64
				width := int(1.2 * (truth.Beats[1].QRS.Offset - truth.Beats[1].QRS.Onset) * clean.Rate)
				wave := make([]float64, width)
				for i, beat := range truth.Beats {
					at := (beat.QRS.Onset + beat.QRS.Offset) / 2
					peaks = append(peaks, at)
					if i > 0 {
						middles = append(middles, (at+peaks[i-1])/2)
					}
					if from := int(math.Round(at*clean.Rate)) - width/2; from >= 0 && from+width <= len(clean.MV[1]) {
						for k, v := range levelled(clean.Row(ecg.II)[from : from+width]) {
							wave[k] += v
						}
					}
				}
				if height(wave) < 0.4*float64(len(peaks)) {
					continue // this axis lies across lead II
				}
				id.Artifact = kind
				s, _ := render(t, id, 20)
				under += notches(s.Row(ecg.II), s.Rate, peaks, wave)
				between += notches(s.Row(ecg.II), s.Rate, middles, wave)
				n++
			}
			assert.Greater(t, n, 1.0, b.Name)
			assert.Greater(t, under/n, least, "%s, %s: QRS found at their times", kind, b.Name)
			assert.Less(t, between/n, 0.35, "%s, %s: and between them", kind, b.Name)
		}
	}
}

// Mains pick-up is a band of 50 or of 60 Hz (both mains of the world), of even height, and
// nothing else (constant amplitude, also on a flat line: standard, from memory).
func TestMainsHum(t *testing.T) {
	t.Parallel()
	found := map[int]int{}
	for seed := range uint64(12) {
		for _, rhythm := range []string{"sinus-rhythm", "asystole"} {
			id := ecg.Synthetic(rhythm, ecg.Years(6), seed)
			clean, _ := render(t, id, 4)
			id.Artifact = "mains-hum"
			s, _ := render(t, id, 4)
			hum := make([]float64, len(s.Row(ecg.II)))
			for i, v := range s.Row(ecg.II) {
				hum[i] = v - clean.Row(ecg.II)[i]
			}
			half := len(hum) / 2
			assert.InDelta(t, height(hum[:half]), height(hum[half:]), 0.02*height(hum), "even")
			spectrum := fourier.NewFFT(len(hum)).Coefficients(nil, hum)
			power := func(k int) float64 { return real(spectrum[k])*real(spectrum[k]) + imag(spectrum[k])*imag(spectrum[k]) }
			all := 0.0
			for k := 1; k < len(spectrum); k++ {
				all += power(k)
			}
			for _, hz := range []int{50, 60} {
				if power(4*hz) > 0.5*all {
					found[hz]++
					assert.Greater(t, power(4*hz)+power(8*hz), 0.999*all, "%s: with its harmonic, all there is", id)
				}
			}
		}
	}
	assert.Equal(t, 24, found[50]+found[60])
	assert.Greater(t, min(found[50], found[60]), 3, "both occur")
}

// Wet skin makes every lead small alike, below half a millivolt, and changes nothing else.
func TestWetElectrodes(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		for seed := range uint64(4) {
			id := ecg.Synthetic("sinus-rhythm", b.Middle, seed)
			clean, _ := render(t, id, 10)
			id.Artifact = "low-amplitude"
			s, _ := render(t, id, 10)
			share := height(s.Row(ecg.II)) / height(clean.Row(ecg.II))
			assert.True(t, share > 0.1 && share < 0.3, "%s: %g", id, share)
			for row, l := range s.Leads {
				assert.Less(t, height(s.MV[row]), 0.6, "%s: lead %s", id, l)
				for i, v := range s.MV[row] {
					if math.Abs(v-share*clean.MV[row][i]) > 1e-9 {
						t.Fatalf("%s: lead %s is not its own, smaller, at frame %d", id, l, i)
					}
				}
			}
			assert.Equal(t, clean.Witnesses, s.Witnesses)
		}
	}
}

// A clip that is off leaves a line with mains pick-up in its leads while the pulse goes on
// (standard, from memory).
func TestDisconnectedLeadPulseGoesOn(t *testing.T) {
	t.Parallel()
	kind, _ := artifact.ByID("disconnected-lead")
	for _, place := range kind.Places() {
		id := ecg.Synthetic("sinus-rhythm", ecg.Years(6), 2)
		id.Leads = []ecg.Lead{ecg.I, ecg.II, ecg.III, ecg.V5}
		clean, truth := render(t, id, 10)
		id.Artifact, id.Place = kind.ID, place
		s, m := render(t, id, 10)
		flat := 0
		for row := range s.MV {
			if !slices.Equal(clean.MV[row], s.MV[row]) {
				assert.Less(t, height(s.MV[row]), 0.04, "%s: lead %s", id, s.Leads[row])
				flat++
			}
		}
		assert.Equal(t, map[string]int{"RA": 3, "LA": 3, "LL": 3, "V": 1, "RL": 4}[place], flat, place)
		assert.Equal(t, clean.Witnesses, s.Witnesses, place)
		assert.Equal(t, truth.Pulses, m.Pulses)
	}
}
