package synth_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/norms"
	"telltrace/synth/rhythm"
)

// pulseNoise is the range of a pulse trace without pulses, as a share of a pulse at
// rest: a flat line with the sensor's own noise.
const pulseNoise = 0.08

// Each sinus beat sends a pulse to the finger after the travel of the wave (R wave to
// finger pulse foot 245 ms in adults, Clin Phys Physiol Meas 1988;9:319, read; 150-200
// ms in children, from memory), and the pulse rate is the heart rate.
func TestPulsesFollowBeats(t *testing.T) {
	t.Parallel()
	for _, id := range []string{"sinus-rhythm", "sinus-bradycardia", "sinus-tachycardia"} {
		for _, b := range norms.Bands() {
			for seed := uint64(1); seed <= 5; seed++ {
				id := ecg.Synthetic(id, b.Middle, seed)
				s, m := render(t, id, 20)
				pulse := s.Witness(ecg.Pleth)
				k := 0
				for _, beat := range m.Beats {
					for k < len(m.Pulses) && m.Pulses[k] < beat.QRS.Onset+0.05 {
						k++
					}
					if beat.QRS.Onset > 19.5 {
						break
					}
					require.Less(t, k, len(m.Pulses), "%s: no pulse after the beat at %.2f s", id, beat.QRS.Onset)
					travel := m.Pulses[k] - beat.QRS.Onset
					assert.True(t, travel > 0.13 && travel < 0.26, "%s: travel %g s", id, travel)
					foot := int(m.Pulses[k] * s.Rate)
					if end := foot + int(0.25*s.Rate); end < len(pulse) {
						assert.Greater(t, slices.Max(pulse[foot:end])-pulse[foot], 0.10, "%s: the trace rises after the foot at %.2f s", id, m.Pulses[k])
					}
				}
				bpm, ok := measure.PulseRate(pulse, s.Rate)
				require.True(t, ok, id.String())
				heart, ok := measure.HeartRate(s.Row(ecg.II), s.Rate)
				if ok {
					assert.InDelta(t, heart, bpm, 0.06*heart, "%s: pulse rate against heart rate", id)
				}
			}
		}
	}
}

// At rest a pulse is about 1 high from foot to top.
func TestRestingPulseIsOne(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		for seed := uint64(1); seed <= 5; seed++ {
			id := ecg.Synthetic("sinus-rhythm", b.Middle, seed)
			s, _ := render(t, id, 20)
			assert.InDelta(t, 1, height(s.Witness(ecg.Pleth)), 0.35, id.String())
		}
	}
}

// No flow, no pulse trace: fibrillation, asystole, and any rhythm in a patient
// without signs of life (pulseless electrical activity), while the heart goes on on
// the screen (flat in fibrillation: standard, from memory).
func TestNoFlowNoPulse(t *testing.T) {
	t.Parallel()
	for _, r := range rhythm.All() {
		for _, age := range ages(r) {
			id := ecg.Synthetic(r.ID, age, 2)
			if !slices.Contains([]string{"asystole", "coarse-ventricular-fibrillation", "fine-ventricular-fibrillation"}, r.ID) {
				id.State = ecg.NoSignsOfLife
			}
			s, m := render(t, id, 15)
			assert.Empty(t, m.Pulses, id.String())
			assert.Less(t, height(s.Witness(ecg.Pleth)), pulseNoise, id.String())
			_, ok := measure.PulseRate(s.Witness(ecg.Pleth), s.Rate)
			assert.False(t, ok, "%s: no pulse rate to show", id)

			alive := id
			alive.State = ecg.Stable
			if id.State == ecg.NoSignsOfLife {
				living, _ := render(t, alive, 15)
				assert.Equal(t, living.MV, s.MV, "%s: the leads cannot tell", id)
			}
		}
	}
}

// Poor perfusion lowers the pulse without changing the strip.
func TestPoorPerfusionLowersThePulse(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		id := ecg.Synthetic("sinus-rhythm", b.Middle, 3)
		well, _ := render(t, id, 15)
		id.State = ecg.PoorPerfusion
		poor, _ := render(t, id, 15)
		assert.Equal(t, well.MV, poor.MV)
		assert.Less(t, height(poor.Witness(ecg.Pleth)), 0.9*height(well.Witness(ecg.Pleth)), id.String())
	}
}

// An ectopic gives a smaller pulse than the beats round it, or none.
func TestEctopicsGiveSmallPulses(t *testing.T) {
	t.Parallel()
	for _, b := range norms.Bands() {
		id := ecg.Synthetic("ventricular-bigeminy", b.Middle, 4)
		s, m := render(t, id, 30)
		pulse := s.Witness(ecg.Pleth)
		var sinus, ectopic []float64
		for _, beat := range m.Beats {
			from := int((beat.QRS.Onset + 0.12) * s.Rate)
			to := from + int(0.35*s.Rate)
			if to >= len(pulse) {
				break
			}
			// The rise within the window of this beat's pulse.
			rise, low := 0.0, math.Inf(1)
			for _, v := range pulse[from:to] {
				low = math.Min(low, v)
				rise = math.Max(rise, v-low)
			}
			if beat.Origin == ecg.OriginVentricular {
				ectopic = append(ectopic, rise)
			} else {
				sinus = append(sinus, rise)
			}
		}
		assert.Less(t, median(ectopic), 0.75*median(sinus), id.String())
	}
}

// With an artifact the heart beats on: its truth is that of the undisturbed strip,
// and so is the pulse, but for what shakes the finger as well.
func TestArtifactsLeaveTheHeartAlone(t *testing.T) {
	t.Parallel()
	for _, id := range plain(9) {
		clean, truth := render(t, id, 10)
		for _, k := range artifact.All() {
			disturbed := id
			disturbed.Artifact = k.ID
			s, m := render(t, disturbed, 10)
			assert.Equal(t, truth, m, disturbed.String())
			if k.Electrodes == nil && k.Leads == nil {
				assert.Equal(t, clean.MV, s.MV, "%s: the leads are untouched", disturbed)
			} else {
				assert.NotEqual(t, clean.Row(ecg.II), s.Row(ecg.II), "%s: lead II is spoilt", disturbed)
			}
			if k.Pulse == nil {
				assert.Equal(t, clean.Witness(ecg.Pleth), s.Witness(ecg.Pleth), disturbed.String())
				continue
			}
			if k.ID != "movement" {
				continue // others shake or flatten the finger as much as they please
			}
			for i, v := range s.Witness(ecg.Pleth) {
				require.InDelta(t, clean.Witness(ecg.Pleth)[i], v, 0.30, "%s: the finger is shaken a little", disturbed)
			}
		}
	}
}

// disconnected-lead touches exactly the leads that use its electrode; movement leaves
// the limb lead that does not use it nearly as it was, and the complexes can be found
// there (sinus sign, Huang 2006, Int J Cardiol 111:163, from memory).
func TestTheSparedLead(t *testing.T) {
	t.Parallel()
	spared := map[string]ecg.Lead{"RA": ecg.III, "LL": ecg.I}
	for _, b := range norms.Bands() {
		for seed := uint64(1); seed <= 6; seed++ {
			id := ecg.Synthetic("sinus-rhythm", b.Middle, seed)
			clean, truth := render(t, id, 10)
			for _, kind := range []string{"disconnected-lead", "movement"} {
				k, _ := artifact.ByID(kind)
				id.Artifact = k.ID
				s, _ := render(t, id, 10)
				lead := spared[k.Place(id)]
				for row, l := range s.Leads {
					far := 0.0
					for i, v := range s.MV[row] {
						far = math.Max(far, math.Abs(v-clean.MV[row][i]))
					}
					switch {
					case l != lead:
						assert.Greater(t, far, 0.1, "%s: lead %s uses %s", id, l, k.Place(id))
					case k.ID == "disconnected-lead":
						assert.Zero(t, far, "%s: lead %s does not use %s", id, l, k.Place(id))
					default:
						assert.Less(t, far, 0.05, "%s: lead %s does not use %s", id, l, k.Place(id))
					}
				}
				if height(clean.Row(lead)) < 0.5 {
					continue // an axis across this lead shows little of any beat
				}
				r, err := measure.Read(s, lead, measure.WithLimits(limitsFor(id.Age)))
				require.NoError(t, err)
				found := 0
				for _, beat := range truth.Beats {
					for _, f := range r.Marks.Beats {
						if math.Abs(f.QRS.Peak-beat.QRS.Peak) < 0.06 {
							found++
							break
						}
					}
				}
				assert.GreaterOrEqual(t, float64(found), 0.9*float64(len(truth.Beats)), "%s: complexes found in lead %s", id, lead)
			}
		}
	}
}
