package rhythm

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// What makes an entry hard to tell, and that the dial moves it the way it should: by the
// median over seeds, each patient compared with himself. What each is confused by is in
// the reference on look-alikes (AHA PALS 2020, Surawicz 2009 and others, named in the
// lessons); that smaller, fewer, nearer is harder is common practice.
func TestTheDialMovesWhatIsHard(t *testing.T) {
	t.Parallel()
	focus := func(s Setup) int { return len(s.Heart.Foci) - 1 }
	cycle := func(s Setup) float64 { return 60 / s.Heart.Foci[focus(s)].Cycle }
	gap := func(s Setup) float64 { g := s.Heart.Foci[focus(s)].Gap; return float64(g[0] + g[1]) }
	width := func(s Setup) float64 { return s.Dipole.Ectopic[focus(s)].Duration }
	height := func(s Setup) float64 { return s.Dipole.Ectopic[focus(s)].MV / s.Dipole.QRS.MV }
	coupling := func(s Setup) float64 { return s.Heart.Foci[focus(s)].Coupling }
	const up, down = 1, -1
	for _, tt := range []struct {
		id   string
		what string
		of   func(Setup) float64
		way  float64
	}{
		{"sinus-bradycardia", "rate nearer the range for age", func(s Setup) float64 { return s.Heart.Sinus.Rate }, up},
		{"sinus-tachycardia", "rate nearer that of re-entry", func(s Setup) float64 { return s.Heart.Sinus.Rate }, up},
		{"respiratory-sinus-arrhythmia", "less of it", func(s Setup) float64 { return s.Heart.Sinus.RSA }, down},
		{"sinus-pause", "shorter pauses", func(s Setup) float64 { return s.Heart.Sinus.Pause }, down},
		{"premature-atrial-beats", "fewer of them", gap, up},
		{"premature-atrial-beats", "less early", coupling, up},
		{"blocked-atrial-bigeminy", "blocked P lower", func(s Setup) float64 { return s.Dipole.Atrial[focus(s)].MV }, down},
		{"aberrantly-conducted-atrial-beats", "fewer of them", gap, up},
		{"atrial-tachycardia", "P more like the sinus P", func(s Setup) float64 { return s.Dipole.Atrial[focus(s)].Degrees }, down},
		{"supraventricular-tachycardia", "rate nearer that of sinus tachycardia", cycle, down},
		{"wide-complex-supraventricular-tachycardia", "rate nearer that of sinus tachycardia", cycle, down},
		{"atrial-fibrillation", "lower f waves", func(s Setup) float64 { return s.Dipole.Flicker.MV }, down},
		{"pre-excited-atrial-fibrillation", "lower f waves", func(s Setup) float64 { return s.Dipole.Flicker.MV }, down},
		{"atrial-flutter", "lower flutter waves", func(s Setup) float64 { return s.Dipole.Atrial[focus(s)].MV }, down},
		{"wandering-atrial-pacemaker", "stays longer in a place", func(s Setup) float64 { return s.Heart.Sinus.Stay }, up},
		{"premature-junctional-beats", "fewer of them", gap, up},
		{"junctional-rhythm", "rate nearer that of the sinus node", cycle, up},
		{"accelerated-junctional-rhythm", "rate nearer that of the sinus node", cycle, up},
		{"junctional-ectopic-tachycardia", "rate nearer that of sinus tachycardia", cycle, down},
		{"first-degree-av-block", "PR nearer the limit", func(s Setup) float64 { return s.Heart.Node.Delay }, down},
		{"second-degree-av-block-type-1", "PR grows less", func(s Setup) float64 { return s.Heart.Node.Decrement }, down},
		{"second-degree-av-block-type-2", "longer conducted stretches", func(s Setup) float64 { return float64(s.Heart.His.Gap[1]) }, up},
		{"right-bundle-branch-block", "QRS just wide", func(s Setup) float64 { return s.Dipole.Block }, down},
		{"left-bundle-branch-block", "QRS just wide", func(s Setup) float64 { return s.Dipole.Block }, down},
		{"pre-excitation", "lower delta wave", func(s Setup) float64 { return s.Dipole.Delta.MV }, down},
		{"premature-ventricular-beats", "fewer of them", gap, up},
		{"premature-ventricular-beats", "less tall", height, down},
		{"ventricular-bigeminy", "ectopic QRS just wide", width, down},
		{"ventricular-trigeminy", "ectopic QRS just wide", width, down},
		{"ventricular-couplets", "fewer of them", gap, up},
		{"multiform-ventricular-beats", "shapes more alike", func(s Setup) float64 { return s.Dipole.Ectopic[1].Degrees - s.Dipole.Ectopic[0].Degrees }, down},
		{"ventricular-run", "fewer and shorter runs", gap, up},
		{"ventricular-run", "slower runs", cycle, down},
		{"accelerated-idioventricular-rhythm", "QRS just wide", width, down},
		{"idioventricular-rhythm", "faster", cycle, up},
		{"monomorphic-ventricular-tachycardia", "QRS just wide", width, down},
		{"monomorphic-ventricular-tachycardia", "slower", cycle, down},
		{"polymorphic-ventricular-tachycardia", "shapes more alike", func(s Setup) float64 { return s.Dipole.Ectopic[focus(s)].Vary }, down},
		{"torsades-de-pointes", "axis turns more slowly", func(s Setup) float64 { return s.Dipole.Ectopic[focus(s)].Turn }, down},
		{"coarse-ventricular-fibrillation", "lower, towards fine", func(s Setup) float64 { return s.Dipole.Fibrillate.MV }, down},
		{"fine-ventricular-fibrillation", "lower, towards flat", func(s Setup) float64 { return s.Dipole.Fibrillate.MV }, down},
		{"pulseless-electrical-activity", "rate nearer the usual", func(s Setup) float64 { return s.Heart.Sinus.Rate }, up},
		{"ventricular-pacing", "lower spikes", func(s Setup) float64 { return s.Dipole.Spike.Dot(s.Dipole.Spike) }, down},
		{"failure-to-capture", "lost less often", func(s Setup) float64 { return float64(s.Heart.Pacer.Loss[1]) }, up},
		{"failure-to-pace", "silent less often", func(s Setup) float64 { return float64(s.Heart.Pacer.Silence[1]) }, up},
		{"peaked-t-waves", "T less tall", func(s Setup) float64 { return s.Dipole.T.MV }, down},
		{"peaked-t-waves", "T less narrow", func(s Setup) float64 { return s.Dipole.TWidth }, up},
		{"hyperkalaemic-sine-wave", "QRS less wide", width, down},
		{"inverted-t-waves", "T less deep", func(s Setup) float64 { return s.Dipole.T.MV }, down},
		{"st-elevation", "less of it", func(s Setup) float64 { return s.Dipole.ST.Dot(s.Dipole.ST) }, down},
		{"st-depression", "less of it", func(s Setup) float64 { return s.Dipole.ST.Dot(s.Dipole.ST) }, down},
		{"long-qt", "QTc just long", func(s Setup) float64 { return s.Heart.Ventricles.QTc }, down},
		{"asystole", "more noise", func(s Setup) float64 { return s.Noise }, up},
		{"sinus-rhythm", "smaller complexes", func(s Setup) float64 { return s.Dipole.QRS.MV }, down},
	} {
		r, ok := ByID(tt.id)
		require.True(t, ok, tt.id)
		var steps [2][]float64 // plain to middle, middle to subtle
		for seed := range uint64(40) {
			age := ecg.Years(6)
			if seed%2 == 0 {
				age = ecg.Months(4)
			}
			if r.Ages != nil && !r.Ages(age) {
				continue
			}
			var got []float64
			for _, severity := range []ecg.Severity{ecg.Plain, ecg.Middle, ecg.Subtle} {
				rng := rand.New(rand.NewPCG(seed, 1))
				s, err := r.For(NewPatient(age, rng), ecg.Stable, severity, rng)
				require.NoError(t, err)
				got = append(got, tt.of(s))
			}
			for k := range steps {
				steps[k] = append(steps[k], tt.way*(got[k+1]-got[k]))
			}
		}
		for k, name := range []string{"plain to middle", "middle to subtle"} {
			slices.Sort(steps[k])
			assert.Positive(t, steps[k][len(steps[k])/2], "%s: %s, %s", tt.id, tt.what, name)
		}
	}
}
