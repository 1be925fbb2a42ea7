package measure

import (
	"math"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

func sine(hz, mv float64) []float64 {
	x := make([]float64, 5000)
	for i := range x {
		x[i] = mv * math.Sin(2*math.Pi*hz*float64(i)/500)
	}
	return x
}

func sum(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] + b[i]
	}
	return out
}

func sinusLead() []float64 { return made(every(0.3, 0.8, 10), always(sinusBeat())) }

// Mains hum is 50 or 60 Hz of constant height (standard); the complexes are read
// through it as without it.
func TestMainsHum(t *testing.T) {
	clear, err := Read(row(sinusLead(), 500), ecg.II)
	require.NoError(t, err)
	for _, hz := range []float64{50, 60} {
		r, err := Read(row(sum(sinusLead(), sine(hz, 0.2)), 500), ecg.II)
		require.NoError(t, err)
		assert.Equal(t, "mains-hum", r.Name, "%g Hz: %v", hz, r.Reasons)
		assert.Contains(t, r.Also, "sinus-rhythm")
		assert.InDelta(t, clear.QRS, r.QRS, 0.012)
		assert.InDelta(t, clear.PR, r.PR, 0.012)
	}
	assert.NotContains(t, append(clear.Also, clear.Name), "mains-hum")
	dir := recordings(t)
	for _, name := range []string{"100", "103", "118", "202", "231"} { // recorded with little of it
		s := readRecord(t, filepath.Join(dir, "mitdb", name)).Cut(0, 3600)
		r, err := Read(s, s.Leads[0])
		require.NoError(t, err)
		assert.NotContains(t, append(r.Also, r.Name), "mains-hum", name)
	}
}

// Baseline wander lies below 0.5 Hz and leaves the complexes alone (standard).
func TestBaselineWander(t *testing.T) {
	r, err := Read(row(sum(sinusLead(), sine(0.3, 0.5)), 500), ecg.II)
	require.NoError(t, err)
	assert.Equal(t, "baseline-wander", r.Name, "%v", r.Reasons)
	assert.Contains(t, r.Also, "sinus-rhythm")
	r, err = Read(row(sum(sinusLead(), sine(0.3, 0.05)), 500), ecg.II)
	require.NoError(t, err)
	assert.Equal(t, "sinus-rhythm", r.Name)
}

// The sinus sign: one lead with normal complexes says that the others show artifact
// (Huang et al., Int J Cardiol 2006;111:163). Real fibrillation (cu01 of the Creighton
// records, Nolle et al., Comput Cardiol 1986;13:515) in every lead stays fibrillation.
func TestSinusSign(t *testing.T) {
	s := readRecord(t, filepath.Join(recordings(t), "cudb", "cu01")).Cut(80*250, 90*250)
	waves := s.MV[0]
	clean := bells(10, 250, every(0.3, 0.8, 10), always(sinusBeat()))
	half := make([]float64, len(waves))
	for i, v := range waves {
		half[i] = 0.7 * v
	}
	everywhere := ecg.Strip{Rate: 250, Leads: []ecg.Lead{ecg.I, ecg.II}, MV: [][]float64{half, waves}}
	for _, lead := range []ecg.Lead{"", ecg.I, ecg.II} {
		r, err := Read(everywhere, lead)
		require.NoError(t, err)
		assert.Equal(t, "coarse-ventricular-fibrillation", r.Name, "lead %q: %v", lead, r.Reasons)
	}
	beside := ecg.Strip{Rate: 250, Leads: []ecg.Lead{ecg.I, ecg.II}, MV: [][]float64{clean, waves}}
	r, err := Read(beside, ecg.II)
	require.NoError(t, err)
	assert.Contains(t, []string{"movement", "chest-percussion", "shivering"}, r.Name, "%v", r.Reasons)
	assert.NotEmpty(t, r.Against, "look at the patient all the same")
	r, err = Read(beside, "")
	require.NoError(t, err)
	assert.Equal(t, ecg.I, r.Lead)
	assert.Equal(t, "sinus-rhythm", r.Name)
}

// True alarms of the PhysioNet/CinC Challenge 2015 (Clifford et al., Comput Cardiol
// 2015;42:273) for asystole and fibrillation: no lead may be called disturbed because
// another is not.
func TestTrueArrestsAreNotArtifact(t *testing.T) {
	dir := filepath.Join(recordings(t), "icu-alarms")
	artifact := []string{"chest-percussion", "shivering", "loose-electrode", "mains-hum", "baseline-wander", "swapped-electrodes"}
	for _, name := range []string{"f450s", "f544s", "a142s", "a172s", "a604s"} {
		s := readRecord(t, filepath.Join(dir, name))
		s = ecg.Strip{Rate: s.Rate, Leads: s.Leads[:2], MV: s.MV[:2]}
		n := len(s.MV[0])
		r, err := Read(s.Cut(n-int(4*s.Rate), n), "")
		require.NoError(t, err)
		t.Logf("%s: %q, %s", name, r.Name, r.Kind)
		assert.NotContains(t, artifact, r.Name, "%s: %v", name, r.Reasons)
	}
}

// Hands on the chest: broad waves of 3-7 Hz over complexes that go on in another lead
// (case reports; Huang 2006).
func TestPercussion(t *testing.T) {
	pat := sine(4.5, 0.9)
	for i := range pat { // hands are not a machine
		pat[i] *= 1 + 0.3*math.Sin(float64(i)/170)
	}
	s := ecg.Strip{Rate: 500, Leads: []ecg.Lead{ecg.I, ecg.II}, MV: [][]float64{sinusLead(), sum(sinusLead(), pat)}}
	r, err := Read(s, ecg.II)
	require.NoError(t, err)
	assert.Equal(t, "chest-percussion", r.Name, "%v", r.Reasons)
}

// Right arm and left arm exchanged: I is turned over, II and III change places
// (algebra of the leads).
func TestSwappedArms(t *testing.T) {
	two := sinusLead()
	one, three := make([]float64, len(two)), make([]float64, len(two))
	for i, v := range two {
		one[i], three[i] = 0.6*v, 0.4*v
	}
	right := ecg.Strip{Rate: 500, Leads: []ecg.Lead{ecg.I, ecg.II, ecg.III}, MV: [][]float64{one, two, three}}
	r, err := Read(right, ecg.II)
	require.NoError(t, err)
	assert.Equal(t, "sinus-rhythm", r.Name)
	over := make([]float64, len(one))
	for i, v := range one {
		over[i] = -v
	}
	wrong := ecg.Strip{Rate: 500, Leads: right.Leads, MV: [][]float64{over, three, two}}
	r, err = Read(wrong, ecg.II)
	require.NoError(t, err)
	assert.Equal(t, "swapped-electrodes", r.Name, "%v", r.Reasons)
}

// Complexes without a pulse: pulseless electrical activity, whatever the complexes
// (AHA 2020, from memory), unless a pressure trace shows that the probe is at fault.
func TestWitnesses(t *testing.T) {
	pulse := bells(10, 500, every(0.5, 0.8, 10), always(pulseOf(0.8)))
	none := make([]float64, 5000)
	pressure := make([]float64, len(pulse))
	for i, v := range pulse {
		pressure[i] = 60 + 40*v
	}
	for _, tt := range []struct {
		want      string
		witnesses []ecg.Witness
	}{
		{"sinus-rhythm", nil},
		{"sinus-rhythm", []ecg.Witness{{Kind: ecg.Pleth, Values: pulse}}},
		{"pulseless-electrical-activity", []ecg.Witness{{Kind: ecg.Pleth, Values: none}}},
		{"pulse-probe-fault", []ecg.Witness{{Kind: ecg.Pleth, Values: none}, {Kind: ecg.ArterialPressure, Values: pressure}}},
		{"sinus-rhythm", []ecg.Witness{{Kind: ecg.Pleth, Values: pulse}, {Kind: ecg.ArterialPressure, Values: none}}},
	} {
		s := row(sinusLead(), 500)
		s.Witnesses = tt.witnesses
		r, err := Read(s, "")
		require.NoError(t, err)
		assert.Equal(t, tt.want, r.Name, "%v", r.Reasons)
		if tt.want == "pulseless-electrical-activity" {
			assert.Contains(t, r.Also, "pulse-probe-fault", "the strip cannot tell these apart")
			assert.NotEmpty(t, r.Against)
		}
	}
}

// A minute of electrode motion that changes the shape of nearly every complex is movement, no
// arrest (MIT-BIH Arrhythmia Database, 105 and 200 in V1, noisy by their annotations; PhysioNet/
// CinC Challenge 2015, t116s, a false alarm).
func TestNoiseOfAMinuteIsNoArrest(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		record string
		lead   ecg.Lead
	}{{"mitdb/105", "V1"}, {"mitdb/200", "V1"}, {"icu-alarms/t116s", "I"}, {"icu-alarms/t116s", "MCL"}} {
		s := readRecord(t, filepath.Join(recordings(t), tt.record))
		mv := s.MV[slices.Index(s.Leads, tt.lead)]
		r, err := Read(row(mv[:min(int(60*s.Rate), len(mv))], s.Rate), ecg.II)
		require.NoError(t, err)
		assert.Equal(t, "movement", r.Name, "%s %s", tt.record, tt.lead)
		for _, b := range r.Marks.Beats {
			assert.NotEqual(t, ecg.OriginVentricular, b.Origin, "%s %s", tt.record, tt.lead)
		}
	}
}

// Noise as large as the complexes, for three minutes in V1 of MIT-BIH 105 and 200 (both have it
// by their annotators' notes, from memory): the lead is disturbed, and no beat is called ventricular.
func TestNoiseOfMinutesDisturbs(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"105", "200"} {
		s := readRecord(t, filepath.Join(recordings(t), "mitdb", name))
		r, err := Read(s, s.Leads[1])
		require.NoError(t, err)
		assert.Equal(t, Disturbed, r.Kind, name)
		assert.Zero(t, r.Ectopics, name)
	}
}
