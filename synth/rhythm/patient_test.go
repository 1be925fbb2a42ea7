package rhythm

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/norms"
)

// A crowd of patients has the published median of its age and stays inside what is
// published as normal; sources in synth/norms.
func TestPatientsAreSpreadAsPublished(t *testing.T) {
	const patients = 300
	for _, b := range norms.Bands() {
		drawn := make([]Patient, patients)
		for seed := range drawn {
			drawn[seed] = NewPatient(b.Middle, rand.New(rand.NewPCG(uint64(seed), 1)))
		}
		for _, tt := range []struct {
			name  string
			norm  norms.Norm
			of    func(Patient) float64
			delta float64 // from the published median
		}{
			{"PR, s", norms.PR(b.Middle), func(p Patient) float64 { return p.PR }, 0.005},
			{"QRS, s", norms.QRS(b.Middle), func(p Patient) float64 { return p.QRS }, 0.003},
			{"QTc, s", norms.QTcBazett(b.Middle), func(p Patient) float64 { return p.QTc }, 0.005},
			{"rate, beats/min", norms.HeartRate(b.Middle), func(p Patient) float64 { return p.RestRate }, 4},
			{"breaths/min", norms.RespiratoryRate(b.Middle), func(p Patient) float64 { return p.Breaths }, 2},
			{"systolic, mmHg", norms.Systolic(b.Middle), func(p Patient) float64 { return p.Systolic }, 3},
			{"axis, degrees", norms.QRSAxis(b.Middle), func(p Patient) float64 { return p.Axis }, 6},
		} {
			values := make([]float64, patients)
			for i, p := range drawn {
				values[i] = tt.of(p)
				require.True(t, tt.norm.Accept.Contains(values[i]), "%s, patient %d: %s is %g, published %g to %g (%s)",
					b.Name, i, tt.name, values[i], tt.norm.Accept.Low, tt.norm.Accept.High, tt.norm.Accept.Source)
			}
			slices.Sort(values)
			assert.InDelta(t, tt.norm.Aim.Median, (values[patients/2]+values[patients/2-1])/2, tt.delta,
				"%s: median %s (%s)", b.Name, tt.name, tt.norm.Aim.Source)
			assert.Greater(t, values[patients*9/10]-values[patients/10], 0.2*(tt.norm.Aim.High-tt.norm.Aim.Low),
				"%s: patients differ in %s", b.Name, tt.name)
		}
	}
}

// The same seed gives the same patient whatever the rhythm and the state.
func TestBuildKeepsThePatient(t *testing.T) {
	age := ecg.Months(9)
	want := NewPatient(age, rand.New(rand.NewPCG(7, 1)))
	for _, r := range All() {
		if r.Ages != nil && !r.Ages(age) {
			continue
		}
		for _, state := range ecg.States {
			p, s, err := r.Build(age, state, rand.New(rand.NewPCG(7, 1)))
			require.NoError(t, err, r.ID)
			assert.Equal(t, want, p, r.ID)
			none := state == ecg.NoSignsOfLife || r.ID == "pulseless-electrical-activity"
			assert.Equal(t, none, s.Heart.Pump.Strength == 0, "%s %s", r.ID, state)
		}
	}
}

// Every rhythm can be built at every age at which it is shown, from the day of birth
// to the last, in every seed tried, and says so at the others.
func TestBuildAtEveryAge(t *testing.T) {
	ages := []ecg.Age{ecg.Days(0), ecg.Days(1), ecg.Days(27), ecg.Days(28), ecg.Months(11), ecg.Years(1), ecg.Years(3),
		ecg.Years(11), ecg.Years(12), ecg.Years(15), ecg.Years(16), ecg.Years(ecg.MaxAgeYears)}
	for _, r := range All() {
		for _, age := range ages {
			for seed := range uint64(20) {
				_, _, err := r.Build(age, ecg.Stable, rand.New(rand.NewPCG(seed, 1)))
				if r.Ages != nil && !r.Ages(age) {
					assert.ErrorContains(t, err, "is not shown at", "%s at %s", r.ID, age)
					continue
				}
				assert.NoError(t, err, "%s at %s, seed %d", r.ID, age, seed)
			}
		}
	}
}
