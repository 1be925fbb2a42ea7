package synth

import (
	"testing"

	"github.com/stretchr/testify/require"

	"telltrace/synth/artifact"
	"telltrace/synth/dipole"
	"telltrace/synth/ecg"
)

// played is the rows of a strip as a Source.
type played struct {
	rows [][]float64
	at   int
}

func (p *played) Fill(dst [][]float64) (int, error) {
	n := min(len(dst[0]), len(p.rows[0])-p.at)
	if n == 0 {
		return 0, ecg.EOF
	}
	for i, row := range dst {
		copy(row[:n], p.rows[i][p.at:])
	}
	p.at += n
	return n, nil
}

// Each pair of limb clips that change places gives the textbook picture, in the samples of
// all limb leads, the reference RL standing at the potential of LL: RA-LA as PMC6932211
// and Sensors 2019;19:2920 print it, LA-LL as a printed figure, the flat lead II of RA-RL
// as Sensors 2019; the others are the algebra of the leads' formulas (derived). A flat
// lead has the sign 0.
func TestEveryPairOfLimbClips(t *testing.T) {
	t.Parallel()
	type shown struct {
		sign float64
		of   ecg.Lead
	}
	limb := []ecg.Lead{ecg.I, ecg.II, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF}
	for _, tt := range []struct {
		a, b ecg.Electrode
		want [6]shown // by limb
	}{
		{ecg.RA, ecg.LA, [6]shown{{-1, ecg.I}, {1, ecg.III}, {1, ecg.II}, {1, ecg.AVL}, {1, ecg.AVR}, {1, ecg.AVF}}},
		{ecg.RA, ecg.LL, [6]shown{{-1, ecg.III}, {-1, ecg.II}, {-1, ecg.I}, {1, ecg.AVF}, {1, ecg.AVL}, {1, ecg.AVR}}},
		{ecg.RA, ecg.RL, [6]shown{{-1, ecg.III}, {0, ecg.II}, {1, ecg.III}, {0.5, ecg.III}, {-1, ecg.III}, {0.5, ecg.III}}},
		{ecg.LA, ecg.LL, [6]shown{{1, ecg.II}, {1, ecg.I}, {-1, ecg.III}, {1, ecg.AVR}, {1, ecg.AVF}, {1, ecg.AVL}}},
		{ecg.LA, ecg.RL, [6]shown{{1, ecg.II}, {1, ecg.II}, {0, ecg.III}, {-1, ecg.II}, {0.5, ecg.II}, {0.5, ecg.II}}},
		{ecg.LL, ecg.RL, [6]shown{{1, ecg.I}, {1, ecg.II}, {1, ecg.III}, {1, ecg.AVR}, {1, ecg.AVL}, {1, ecg.AVF}}},
	} {
		for _, rhythmID := range []string{"sinus-rhythm", "ventricular-bigeminy", "coarse-ventricular-fibrillation"} {
			id := ecg.Synthetic(rhythmID, ecg.Years(8), 1)
			id.Leads = limb
			right, _, err := Render(id, 6)
			require.NoError(t, err)
			base := &played{rows: [][]float64{right.Row(ecg.I), right.Row(ecg.II)}}
			wired, err := newLeads(atElectrodes(base, 2, ecg.V1, func(src ecg.Source) ecg.Source {
				return artifact.Swap(src, dipole.Electrodes, tt.a, tt.b)
			}), limb)
			require.NoError(t, err)
			got := make([][]float64, len(limb))
			for i := range got {
				got[i] = make([]float64, len(right.MV[0]))
			}
			n, err := wired.Fill(got)
			require.NoError(t, err)
			require.Equal(t, len(got[0]), n)
			for l, want := range tt.want {
				for i, v := range right.Row(want.of) {
					require.InDelta(t, want.sign*v, got[l][i], 1e-9, "%s, %s and %s exchanged: lead %s at frame %d", rhythmID, tt.a, tt.b, limb[l], i)
				}
			}
		}
	}
}
