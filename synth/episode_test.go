package synth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
)

// part cuts seconds from..to out of a strip.
func part(s ecg.Strip, from, to float64) ecg.Strip {
	return s.Cut(int(from*s.Rate), int(to*s.Rate))
}

// A run of ventricular beats falls into fibrillation, that into standstill: one heart
// goes on, without a seam in the samples.
func TestOneRhythmBecomesAnother(t *testing.T) {
	t.Parallel()
	id := ecg.Synthetic("monomorphic-ventricular-tachycardia", ecg.Years(6), 11)
	id.Arterial = true
	id.Then = []ecg.Step{{At: 10, Rhythm: "coarse-ventricular-fibrillation"}, {At: 25, Rhythm: "asystole"}, {At: 40, Rhythm: "sinus-rhythm"}}
	s, m := render(t, id, 60)

	// No step between two samples is larger near a change than the waves themselves
	// make.
	ii := s.Row(ecg.II)
	largest := func(from, to float64) float64 {
		step := 0.0
		for i := int(from*s.Rate) + 1; i < int(to*s.Rate); i++ {
			step = math.Max(step, math.Abs(ii[i]-ii[i-1]))
		}
		return step
	}
	usual := math.Max(largest(0, 9), largest(45, 60))
	for _, at := range []float64{10, 25, 40} {
		assert.LessOrEqual(t, largest(at-1, at+1), usual*1.05, "around %g s", at)
	}

	for _, tt := range []struct {
		from, to float64
		kind     measure.Kind
	}{{1, 9, measure.Organised}, {13, 23, measure.Fibrillation}, {28, 39, measure.Flat}, {44, 58, measure.Organised}} {
		r, err := measure.Read(part(s, tt.from, tt.to), ecg.II)
		require.NoError(t, err)
		assert.Equal(t, tt.kind, r.Kind, "%g-%g s", tt.from, tt.to)
	}

	// The pressure falls away while nothing flows and comes back with the beat.
	pressure := s.Witness(ecg.ArterialPressure)
	mean := func(from, to float64) float64 {
		sum := 0.0
		for _, v := range pressure[int(from*s.Rate):int(to*s.Rate)] {
			sum += v
		}
		return sum / ((to - from) * s.Rate)
	}
	assert.Greater(t, mean(4, 9), 40.0, "tachycardia carries a pressure")
	assert.Less(t, mean(20, 39), 20.0, "fibrillation and standstill do not")
	assert.Greater(t, mean(50, 60), 50.0)
	assert.Empty(t, m.Beats[0].P, "nothing conducted at the start")

	require.Len(t, m.Episodes, 4)
	assert.Equal(t, ecg.Episode{Rhythm: "asystole", From: 25, To: 40}, m.Episodes[2])
}

// Fibrillation decays from coarse to fine over minutes (6.0 to 3.8 Hz in 90 s in one
// published case; Carlisle, conference paper, read).
func TestFibrillationDecays(t *testing.T) {
	t.Parallel()
	id := ecg.Synthetic("coarse-ventricular-fibrillation", ecg.Years(40), 5)
	s, _ := render(t, id, 420)
	early, err := measure.Read(part(s, 0, 20), ecg.II)
	require.NoError(t, err)
	late, err := measure.Read(part(s, 390, 410), ecg.II)
	require.NoError(t, err)
	assert.Less(t, late.PeakToPeak, 0.75*early.PeakToPeak)
	assert.Equal(t, measure.Fibrillation, late.Kind)
}

// A clip comes off at 5 s and is put back at 12 s: before and after, every sample is
// that of the undisturbed strip.
func TestArtifactComesAndGoes(t *testing.T) {
	t.Parallel()
	for _, kind := range []string{"disconnected-lead", "movement", "mains-hum", "pulse-probe-fault"} {
		id := ecg.Synthetic("sinus-rhythm", ecg.Years(8), 21)
		clean, _ := render(t, id, 20)
		id.Artifact, id.From, id.To = kind, 5, 12
		if kind == "pulse-probe-fault" {
			id.Place = "probe-off"
		}
		s, _ := render(t, id, 20)
		changed := 0
		for row := range clean.MV {
			for i, v := range clean.MV[row] {
				inside := float64(i)/s.Rate >= 5 && float64(i)/s.Rate < 12
				switch {
				case !inside:
					require.InDelta(t, v, s.MV[row][i], 1e-12, "%s, lead %s at %g s", kind, s.Leads[row], float64(i)/s.Rate)
				case v != s.MV[row][i]:
					changed++
				}
			}
		}
		if kind != "pulse-probe-fault" {
			assert.Greater(t, changed, 1000, kind)
			continue
		}
		flat, _ := measure.PulseRate(part(s, 6, 12).Witness(ecg.Pleth), s.Rate)
		assert.Zero(t, flat, "the probe is off")
		on, ok := measure.PulseRate(part(s, 13, 20).Witness(ecg.Pleth), s.Rate)
		assert.True(t, ok)
		assert.Greater(t, on, 60.0)
	}
}

// Subtle strips are smaller in more noise, and still the same heart.
func TestSeverity(t *testing.T) {
	t.Parallel()
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(8), 4)
	plain, truth := render(t, id, 10)
	id.Severity = ecg.Subtle
	subtle, other := render(t, id, 10)
	assert.Equal(t, truth.Beats, other.Beats, "when it beats does not change")
	height := func(s ecg.Strip) float64 {
		r, err := measure.Read(s, ecg.II)
		require.NoError(t, err)
		return r.PeakToPeak
	}
	assert.Less(t, height(subtle), 0.85*height(plain))
}

// What cannot be played is refused by name.
func TestEpisodesAreChecked(t *testing.T) {
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(8), 4)
	id.Then = []ecg.Step{{At: 5, Rhythm: "asystolle"}}
	_, err := synth.Open(id)
	assert.ErrorContains(t, err, `did you mean "asystole"?`)
}
