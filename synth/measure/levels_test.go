package measure

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// Heights of the bells are known by construction.
func TestLevels(t *testing.T) {
	for _, tt := range []struct{ r, top, st float64 }{{1, 0.25, 0}, {0.6, -0.3, 0}, {1.5, 0.9, 0}, {1, 0.3, 0.2}, {1, 0.3, -0.15}} {
		beat := []bell{{-0.15, 0.02, 0.12}, {0, 0.011, tt.r}, {0.26, 0.045, tt.top}}
		for at := 0.05; at < 0.22; at += 0.02 { // a level ST segment of overlapping bells
			beat = append(beat, bell{at, 0.02, tt.st * 0.4})
		}
		r, err := Read(row(made(every(0.3, 0.9, 10), always(beat)), 500), ecg.II)
		require.NoError(t, err)
		assert.InDelta(t, tt.r, r.Levels.R, 0.08*tt.r+0.03, "%+v", tt)
		if tt.st == 0 {
			assert.InDelta(t, tt.top, r.Levels.T, 0.05, "%+v", tt)
		}
		assert.InDelta(t, tt.st, r.Levels.ST, 0.05, "%+v %+v", tt, r.Levels)
	}
}

// Findings by their published limits: T in a limb lead above 0.6 mV (emergency text,
// read), ST of 0.1 mV (universal definition, from memory), inverted T in II abnormal
// after the first days, QTc above 0.48 s, PR below 0.12 s with a slurred start.
func TestFindings(t *testing.T) {
	flat := func(level float64) (out []bell) {
		for at := 0.05; at < 0.24; at += 0.02 {
			out = append(out, bell{at, 0.02, level * 0.4})
		}
		return out
	}
	p := bell{-0.15, 0.02, 0.12}
	for _, tt := range []struct {
		want string
		beat []bell
	}{
		{"sinus-rhythm", sinusBeat()},
		{"peaked-t-waves", append(qrsOf(0.08, 1), p, bell{0.25, 0.03, 0.9})},
		{"inverted-t-waves", append(qrsOf(0.08, 1), p, bell{0.25, 0.04, -0.25})},
		{"st-elevation", append(append(qrsOf(0.08, 1), p, bell{0.27, 0.03, 0.3}), flat(0.22)...)},
		{"st-depression", append(append(qrsOf(0.08, 1), p, bell{0.27, 0.03, 0.3}), flat(-0.2)...)},
		{"long-qt", append(qrsOf(0.08, 1), p, bell{0.38, 0.045, 0.25})},
		{"pre-excitation", []bell{{-0.135, 0.012, 0.12}, {-0.030, 0.018, 0.30}, {0, 0.012, 1}, {0.27, 0.045, 0.25}}},
	} {
		r, err := Read(row(made(every(0.4, 0.85, 10), always(tt.beat)), 500), ecg.II)
		require.NoError(t, err)
		assert.Equal(t, tt.want, r.Name, "%v, %+v, PR %.3f, QT %.3f, slow start %.3f", r.Reasons, r.Levels, r.PR, r.QT, r.Delta)
	}
}

// However late a broad T comes, it is T and no P wave that is blocked: QT up to 0.56 s at
// 54 to 86 a minute, PR of 0.12 to 0.18 s (usual values, from memory).
func TestALateTIsNoBlockedP(t *testing.T) {
	long := 0
	for _, rr := range []float64{0.7, 0.8, 0.85, 0.9, 1.0, 1.1} {
		for _, peak := range []float64{0.30, 0.32, 0.34, 0.36, 0.38, 0.40} {
			for _, sd := range []float64{0.035, 0.045, 0.055} {
				for _, pr := range []float64{0.12, 0.15, 0.18} {
					if peak+2.4*sd+pr+0.1 > rr {
						continue // P would stand on T
					}
					beat := append(qrsOf(0.08, 1), bell{-pr, 0.02, 0.12}, bell{peak, sd, 0.25})
					r, err := Read(row(made(every(0.4, rr, 10), always(beat)), 500), ecg.II)
					require.NoError(t, err)
					assert.Contains(t, []string{"sinus-rhythm", "sinus-bradycardia", "long-qt"}, r.Name, "RR %g, T at %g ± %g, P at %g: QT %g", rr, peak, sd, pr, r.QT)
					if r.Name == "long-qt" {
						long++
					}
				}
			}
		}
	}
	assert.Greater(t, long, 200)
}

// QRS below 0.5 mV in every limb lead is low voltage (general usage, from memory);
// one large limb lead is enough against it.
func TestLowVoltage(t *testing.T) {
	small := make([]float64, 5000)
	large := made(every(0.3, 0.8, 10), always(sinusBeat()))
	for i, v := range large {
		small[i] = 0.38 * v
	}
	s := ecg.Strip{Rate: 500, Leads: []ecg.Lead{ecg.I, ecg.II}, MV: [][]float64{small, small}}
	r, err := Read(s, ecg.II)
	require.NoError(t, err)
	assert.Equal(t, "low-voltage", r.Name, "%v", r.Reasons)
	s.MV[0] = large
	r, err = Read(s, ecg.II)
	require.NoError(t, err)
	assert.Equal(t, "sinus-rhythm", r.Name, "%v", r.Reasons)
}

// Complete bundle branch block after the cardiologists of LUDB (Kalyakulina et al.,
// IEEE Access 2020;8:186181): 10 and 108 right, 24 left; its lead names are in lower
// case, so they are given their usual ones here.
func TestBundleBranchesOnLUDB(t *testing.T) {
	for _, tt := range []struct {
		record, want, not string
	}{{"24", "left-bundle-branch-block", "right-bundle-branch-block"}, {"10", "right-bundle-branch-block", "left-bundle-branch-block"},
		{"166", "", "right-bundle-branch-block"}, {"144", "", "left-bundle-branch-block"}} {
		s := named(readLUDB(t, tt.record))
		r, err := Read(s, ecg.II)
		require.NoError(t, err)
		ids := append([]string{r.Name}, r.Also...)
		if tt.want != "" {
			assert.Contains(t, ids, tt.want, "record %s: %v", tt.record, r.Reasons)
		}
		assert.NotContains(t, ids, tt.not, "record %s: %v", tt.record, r.Reasons)
	}
}

// The paper methods: complexes in six seconds times ten; 1500 over the small boxes of
// 0.04 s (handbook rules). At 75/min R to R is 20 boxes, at 80/min 18.75, counted 19.
func TestPaperMethods(t *testing.T) {
	for _, tt := range []struct{ rr, six, boxes float64 }{{0.8, 80, 75}, {0.75, 80, 1500.0 / 19}, {0.4, 150, 150}, {1, 60, 60}} {
		r, err := Read(row(made(every(0.3, tt.rr, 10), always(sinusBeat())), 500), "")
		require.NoError(t, err)
		six, ok := r.SixSeconds(0, 10)
		assert.True(t, ok)
		assert.InDelta(t, tt.six, six, 10.01, "RR %g s: off by one complex at most", tt.rr)
		boxes, ok := r.SmallBoxes(3)
		assert.True(t, ok)
		assert.InDelta(t, tt.boxes, boxes, 1, "RR %g s", tt.rr)
	}
	var none Reading
	_, ok := none.SixSeconds(0, 5)
	assert.False(t, ok)
	_, ok = none.SmallBoxes(1)
	assert.False(t, ok)
}

// A right bundle branch block whose P do not show in a lead is no idioventricular rhythm: a
// part of its QRS is as steep as ever (LUDB 108).
func TestABundleBranchBlockWithoutPIsLeftOpen(t *testing.T) {
	t.Parallel()
	s := readRecord(t, filepath.Join(recordings(t), "ludb", "108"))
	for _, i := range []int{7, 10, 11} {
		r, err := Read(row(s.MV[i], s.Rate), ecg.II)
		require.NoError(t, err)
		assert.NotEqual(t, "accelerated-idioventricular-rhythm", r.Name, "%s: %v", s.Leads[i], r.Reasons)
	}
}
