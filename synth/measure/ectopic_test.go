package measure

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// otherWide is a ventricular complex that points down.
func otherWide() []bell {
	return []bell{{-0.02, 0.03, -1.2}, {0.06, 0.025, 0.3}, {0.26, 0.05, 0.4}}
}

// early draws a sinus rhythm of RR 0.8 s in which kinds says, beat by beat, what comes
// (s sinus, V and W early ventricular of two shapes) with a full compensatory pause.
func early(kinds string) []float64 {
	var times []float64
	at, sinus := 0.3, 0.3
	for _, k := range kinds {
		if k == 's' {
			for sinus < at+0.5 && len(times) > 0 {
				sinus += 0.8
			}
			at = sinus
		} else {
			at += 0.45
		}
		times = append(times, at)
	}
	return made(times, func(b int) []bell {
		switch kinds[b] {
		case 'V':
			return wideBeat()
		case 'W':
			return otherWide()
		}
		return sinusBeat()
	})
}

// Patterns by their definitions (standard, from memory): every third beat trigeminy,
// two in a row couplets, two shapes multiform.
func TestEctopicPatterns(t *testing.T) {
	for _, tt := range []struct {
		want, kinds       string
		count, run, pairs int
	}{
		{"ventricular-trigeminy", "ssVssVssVs", 3, 1, 0},
		{"ventricular-couplets", "sssVVssssVVs", 4, 2, 2},
		{"multiform-ventricular-beats", "sssVssssWss", 2, 1, 0},
		{"ventricular-bigeminy", "sVsVsVsVsVs", 5, 1, 0},
		{"premature-ventricular-beats", "ssssVsssss", 1, 1, 0},
		{"ventricular-run", "sssVVVVsss", 4, 4, 0},
	} {
		r, err := Read(row(early(tt.kinds), 500), "")
		require.NoError(t, err)
		assert.Equal(t, tt.want, r.Name, "%v; groups %v", r.Reasons, r.Groups)
		assert.Equal(t, tt.count, r.Ectopics, tt.want)
		assert.Equal(t, tt.run, r.LongestRun, tt.want)
		assert.Equal(t, tt.pairs, r.Couplets, tt.want)
		if tt.want == "multiform-ventricular-beats" {
			assert.Equal(t, 2, r.EctopicShapes)
		}
	}
}

// A run no faster than the beats beside it is an accelerated idioventricular rhythm
// (within 10-20 % of the sinus rate, Freire and Dubrow 2008, Pediatr Cardiol 29:457).
func TestAcceleratedIdioventricular(t *testing.T) {
	times := every(0.3, 0.8, 10)
	r, err := Read(row(made(times, func(b int) []bell {
		if b >= 4 && b <= 8 {
			return wideBeat()
		}
		return sinusBeat()
	}), 500), "")
	require.NoError(t, err)
	assert.Equal(t, "accelerated-idioventricular-rhythm", r.Name, "%v", r.Reasons)
}

// Torsades: a run of 150-300/min whose axis turns over 5-20 beats after a long QT
// (standard texts, from memory).
func TestTorsades(t *testing.T) {
	times := []float64{0.4, 1.4, 2.4}
	for at := 2.9; at < 7.5; at += 0.27 {
		times = append(times, at)
	}
	times = append(times, 8.6, 9.6)
	turning := func(b int) []bell {
		if b < 3 || b >= len(times)-2 {
			return append(qrsOf(0.08, 1), bell{-0.15, 0.02, 0.12}, bell{0.40, 0.045, 0.3})
		}
		h := 1.3 * math.Cos(float64(b-3)*math.Pi/7)
		return []bell{{0, 0.032, h}, {0.11, 0.035, -0.3 * h}}
	}
	r, err := Read(row(made(times, turning), 500), "")
	require.NoError(t, err)
	assert.Equal(t, "torsades-de-pointes", r.Name, "%v; groups %v", r.Reasons, r.Groups)
	assert.Greater(t, r.QTcB, 0.46)
	assert.Greater(t, r.Twist, 0.5)
}

// Early narrow beats: with a P of their own atrial, without junctional (standard,
// from memory).
func TestEarlyNarrowBeats(t *testing.T) {
	times := []float64{0.3, 1.1, 1.9, 2.45, 3.4, 4.2, 5.0, 5.55, 6.5, 7.3, 8.1, 8.9, 9.7}
	p := bell{-0.15, 0.02, 0.12}
	with := func(own ...bell) func(int) []bell {
		return func(b int) []bell {
			beat := append(qrsOf(0.08, 1), bell{0.22, 0.04, 0.25})
			if b == 3 || b == 7 {
				return append(beat, own...)
			}
			return append(beat, p)
		}
	}
	for _, tt := range []struct {
		want string
		own  []bell
	}{{"premature-atrial-beats", []bell{{-0.13, 0.016, 0.17}}}, {"premature-junctional-beats", nil}} {
		r, err := Read(row(made(times, with(tt.own...)), 500), ecg.II)
		require.NoError(t, err)
		assert.Equal(t, tt.want, r.Name, "%v", r.Reasons)
	}
}

// Ventricular beats of the MIT-BIH records with distinct ones, first signal, whole
// excerpts in windows of 10 s: sensitivity and positive predictivity as EC57 counts
// them. Fusion and paced records left out.
func TestVentricularBeatsOnMITBIH(t *testing.T) {
	dir := filepath.Join(recordings(t), "mitdb")
	var tp, fn, fp int
	for _, name := range []string{"100", "103", "106", "119", "200", "209", "214", "231"} {
		s := readRecord(t, filepath.Join(dir, name))
		var want []float64
		for _, m := range readMarks(t, filepath.Join(dir, name+".atr")) {
			if m.code == 5 || m.code == 10 { // V, E (ecgcodes.h)
				want = append(want, float64(m.at)/s.Rate)
			}
		}
		var found []float64
		for at := 0.0; at+10 <= s.Seconds(); at += 10 {
			r, err := Read(s.Cut(int(at*s.Rate), int((at+10)*s.Rate)), s.Leads[0])
			require.NoError(t, err)
			for _, b := range r.Marks.Beats {
				if b.Origin == ecg.OriginVentricular {
					found = append(found, at+b.QRS.Peak)
				}
			}
		}
		a, b, c := compare(found, want)
		t.Logf("%s: %d ventricular, %d missed, %d too many", name, len(want), b, c)
		tp, fn, fp = tp+a, fn+b, fp+c
	}
	t.Logf("sensitivity %.3f, positive predictivity %.3f", float64(tp)/float64(tp+fn), float64(tp)/float64(tp+fp))
	assert.Greater(t, float64(tp)/float64(tp+fn), 0.80)
	assert.Greater(t, float64(tp)/float64(tp+fp), 0.80)
}

// A wide QRS without P and with pauses may come from above with a bundle branch block
// as well as from a ventricle (common practice): no beat is called ventricular where the
// name is left open.
func TestWideIrregularIsLeftOpen(t *testing.T) {
	var times []float64
	for at, k := 0.4, 0; at < 9.2; k++ {
		times = append(times, at)
		at += []float64{0.8, 0.82, 0.8, 1.7}[k%4]
	}
	beat := append(qrsOf(0.16, 1), bell{0.30, 0.05, -0.3})
	r, err := Read(row(made(times, always(beat)), 500), "")
	require.NoError(t, err)
	require.Empty(t, r.Name, "%v", r.Reasons)
	for i, b := range r.Marks.Beats {
		assert.NotEqual(t, ecg.OriginVentricular, b.Origin, "beat %d", i)
	}
}

// Beats that the annotators of the MIT-BIH Arrhythmia Database call ventricular are not read as
// aberrantly conducted for a P that stands before them by chance: they do not begin as the
// usual beats do, or these are wide themselves.
func TestVentricularBeatsAreNotReadAsAberrant(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"106", "118", "119", "200", "214"} {
		s := readRecord(t, filepath.Join(recordings(t), "mitdb", name))
		minute := int(60 * s.Rate)
		for at := 0; at+minute <= len(s.MV[0]); at += minute {
			r, err := Read(s.Cut(at, at+minute), s.Leads[0])
			require.NoError(t, err)
			assert.NotEqual(t, "aberrantly-conducted-atrial-beats", r.Name, "%s from %d s", name, at/360)
		}
	}
}

// A run whose waves the recorder clipped, so that their ends cannot be seen (PhysioNet/CinC
// Challenge 2015, v132s, a true alarm for ventricular tachycardia).
func TestARunThatIsClipped(t *testing.T) {
	t.Parallel()
	s := readRecord(t, filepath.Join(recordings(t), "icu-alarms", "v132s"))
	r, err := Read(row(s.MV[0], s.Rate), ecg.II)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, r.LongestRun, 5, "%s: %v", r.Name, r.Reasons)
	assert.Contains(t, []string{"polymorphic-ventricular-tachycardia", "torsades-de-pointes", "ventricular-run"}, r.Name)
}

// Wide beats that come late step in: called early, they would be treated so as to take away
// the only beats there are (common practice).
func TestLateWideBeatsAreNotEarly(t *testing.T) {
	t.Parallel()
	times := []float64{0.5, 1.3, 2.1, 4.1, 4.9, 5.7, 7.7, 8.5, 9.3}
	r, err := Read(row(made(times, func(b int) []bell {
		if b == 3 || b == 6 {
			return wideBeat()
		}
		return append(qrsOf(0.08, 1), bell{0.22, 0.04, 0.25})
	}), 500), ecg.II)
	require.NoError(t, err)
	assert.Equal(t, "high-grade-av-block", r.Name, "%v", r.Reasons)
	assert.NotEmpty(t, r.Against)
}

// A regular wide rhythm of a usual rate without P: for less than a minute its beats are called
// ventricular, over more it is rather a bundle branch block.
func TestAWideRhythmThatLasts(t *testing.T) {
	t.Parallel()
	for seconds, want := range map[float64]bool{40: true, 90: false} {
		x := bells(seconds, 250, every(0.5, 0.8, seconds), always([]bell{{0, 0.035, 1.2}, {0.28, 0.05, -0.35}}))
		random := rand.New(rand.NewPCG(5, 6))
		for i := range x {
			x[i] += 0.005 * random.NormFloat64()
		}
		r, err := Read(row(x, 250), ecg.II)
		require.NoError(t, err)
		require.Equal(t, "accelerated-idioventricular-rhythm", r.Name, "%g s: %v", seconds, r.Reasons)
		for i, b := range r.Marks.Beats {
			require.Equal(t, want, b.Origin == ecg.OriginVentricular, "%g s, beat %d", seconds, i)
		}
	}
}

// In record 203 of the MIT-BIH Arrhythmia Database (fibrillation by its annotations, ventricular
// beats of several shapes) the usual QRS is too narrow for a rhythm that is all ventricular; and
// the peak of a wide beat is not that of the T it runs into, however tall (beats marked at
// 21.35 and 56.17 s).
func TestFibrillationWithMultiformBeats(t *testing.T) {
	t.Parallel()
	s := readRecord(t, filepath.Join(recordings(t), "mitdb", "203"))
	r, err := Read(s.Cut(0, int(65*s.Rate)), s.Leads[0])
	require.NoError(t, err)
	assert.Equal(t, "atrial-fibrillation", r.Name, "%v", r.Reasons)
	for _, at := range []float64{21.35, 56.17} {
		nearest := math.Inf(1)
		for _, b := range r.Marks.Beats {
			nearest = min(nearest, math.Abs(b.QRS.Peak-at))
		}
		assert.Less(t, nearest, 0.15, "beat at %g s", at)
	}
}
