package synth_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// Each pair of limb clips that change places gives the textbook picture, in the samples of
// all leads, the reference RL standing at the potential of LL: RA-LA as PMC6932211
// and Sensors 2019;19:2920 print it, LA-LL as a printed figure, the flat lead II of RA-RL
// and the flat lead III of LA-RL as Kligfield 2007 (AHA recommendations, part I; from
// memory) and Batchvarov 2007 (Europace 9:1081, from memory); the others are the algebra of
// the leads' formulas (derived). The chest lead keeps its reference, the mean of the
// limbs, unless a limb is lost to RL.
func TestEveryPairOfLimbClips(t *testing.T) {
	t.Parallel()
	type mixed map[ecg.Lead]float64
	leads := []ecg.Lead{ecg.I, ecg.II, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF, ecg.V1}
	v := mixed{ecg.V1: 1}
	for pair, want := range map[string][7]mixed{ // by lead
		"RA-LA": {{ecg.I: -1}, {ecg.III: 1}, {ecg.II: 1}, {ecg.AVL: 1}, {ecg.AVR: 1}, {ecg.AVF: 1}, v},
		"RA-LL": {{ecg.III: -1}, {ecg.II: -1}, {ecg.I: -1}, {ecg.AVF: 1}, {ecg.AVL: 1}, {ecg.AVR: 1}, v},
		"RA-RL": {{ecg.III: -1}, {}, {ecg.III: 1}, {ecg.III: 0.5}, {ecg.III: -1}, {ecg.III: 0.5}, {ecg.V1: 1, ecg.II: -1.0 / 3}},
		"LA-LL": {{ecg.II: 1}, {ecg.I: 1}, {ecg.III: -1}, {ecg.AVR: 1}, {ecg.AVF: 1}, {ecg.AVL: 1}, v},
		"LA-RL": {{ecg.II: 1}, {ecg.II: 1}, {}, {ecg.II: -1}, {ecg.II: 0.5}, {ecg.II: 0.5}, {ecg.V1: 1, ecg.III: -1.0 / 3}},
		"LL-RL": {{ecg.I: 1}, {ecg.II: 1}, {ecg.III: 1}, {ecg.AVR: 1}, {ecg.AVL: 1}, {ecg.AVF: 1}, v},
	} {
		for _, rhythm := range []string{"sinus-rhythm", "ventricular-bigeminy", "coarse-ventricular-fibrillation"} {
			id := ecg.Synthetic(rhythm, ecg.Years(8), 1)
			id.Leads = leads
			right, _ := render(t, id, 6)
			id.Artifact, id.Place = "swapped-electrodes", pair
			got, _ := render(t, id, 6)
			for row, of := range want {
				for i, v := range got.MV[row] {
					expected := 0.0
					for l, share := range of {
						expected += share * right.Row(l)[i]
					}
					require.InDelta(t, expected, v, 1e-9, "%s: lead %s at frame %d", id, leads[row], i)
				}
			}
		}
	}
}
