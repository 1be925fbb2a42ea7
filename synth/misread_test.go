package synth_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/agreement"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
)

// Readings that would hurt: what is treated at once must not be read as something harmless.
// A wide fast rhythm is ventricular until shown otherwise (common practice).

// readings are the readings of an entry at some ages, six strips each of so many seconds.
func readings(t *testing.T, rhythm string, years []int, seconds float64, use func(ecg.Age, ecg.Marks, measure.Reading)) {
	t.Helper()
	for _, y := range years {
		age := ecg.Years(y)
		for seed := uint64(1); seed <= 6; seed++ {
			s, m := render(t, ecg.Synthetic(rhythm, age, seed), seconds)
			r, err := measure.Read(s, "", measure.WithLimits(synth.Limits(age)))
			require.NoError(t, err)
			use(age, m, r)
		}
	}
}

// The end of an inverted T is bent as a P is; with it a tachycardia was read as conducted.
func TestVentricularTachycardiaIsNotReadAsConducted(t *testing.T) {
	t.Parallel()
	readings(t, "monomorphic-ventricular-tachycardia", []int{0, 1, 6, 14, 40}, 12, func(age ecg.Age, _ ecg.Marks, r measure.Reading) {
		assert.Equal(t, "monomorphic-ventricular-tachycardia", r.Name, "%v %.0f a minute", age, r.Rate)
	})
}

// A trough between QRS and T is no P that is blocked.
func TestSTDepressionIsNotReadAsBlock(t *testing.T) {
	t.Parallel()
	readings(t, "st-depression", []int{0, 2, 14}, 25, func(age ecg.Age, m ecg.Marks, r measure.Reading) {
		assert.Zero(t, r.Blocked, "%v: %s", age, r.Name)
	})
}

func TestPolymorphicTachycardiaIsNotReadAsHarmless(t *testing.T) {
	t.Parallel()
	arrest := []string{"polymorphic-ventricular-tachycardia", "torsades-de-pointes", "coarse-ventricular-fibrillation"}
	all, known := 0, 0
	readings(t, "polymorphic-ventricular-tachycardia", []int{1, 6, 14, 40}, 12, func(age ecg.Age, _ ecg.Marks, r measure.Reading) {
		for _, harmless := range []string{"atrial-fibrillation", "accelerated-idioventricular-rhythm", "sinus-tachycardia"} {
			assert.NotEqual(t, harmless, r.Name, "%v %.0f a minute", age, r.Rate)
		}
		all++
		if slices.Contains(arrest, r.Name) {
			known++
		}
	})
	assert.GreaterOrEqual(t, known, all*9/10)
}

// In a newborn the heart points to the right: in lead II its own complexes may be a tenth of
// an ectopic one. The lead that shows more beats is read then.
func TestSmallComplexesBesideLargeEctopicOnes(t *testing.T) {
	t.Parallel()
	for _, rhythm := range []string{"premature-ventricular-beats", "ventricular-bigeminy", "ventricular-couplets", "multiform-ventricular-beats"} {
		readings(t, rhythm, []int{0}, 12, func(_ ecg.Age, m ecg.Marks, r measure.Reading) {
			assert.InDelta(t, len(m.Beats), len(r.Marks.Beats), 0.1*float64(len(m.Beats)), "%s in lead %s", rhythm, r.Lead)
		})
	}
}

// Origins in long strips of children, whose wide beats are narrower than those of adults.
func TestOriginsInLongStripsOfChildren(t *testing.T) {
	t.Parallel()
	var gross agreement.Table
	for _, rhythm := range []string{"premature-ventricular-beats", "ventricular-bigeminy", "ventricular-trigeminy", "ventricular-couplets", "sinus-rhythm", "premature-atrial-beats", "right-bundle-branch-block"} {
		readings(t, rhythm, []int{1, 6, 14}, 60, func(_ ecg.Age, m ecg.Marks, r measure.Reading) {
			classes := func(beats []ecg.Beat) (out []agreement.Beat) {
				for _, b := range beats {
					class := agreement.N
					if b.Origin == ecg.OriginVentricular {
						class = agreement.V
					}
					out = append(out, agreement.Beat{At: b.QRS.Peak, Class: class})
				}
				return out
			}
			gross = gross.Plus(agreement.Compare(classes(m.Beats), classes(r.Marks.Beats), nil, 0, 60))
		})
	}
	v := gross.VEB()
	t.Logf("ventricular beats %d, missed %d, too many %d", v.TP+v.FN, v.FN, v.FP)
	assert.GreaterOrEqual(t, v.Sensitivity, 0.98)
	assert.GreaterOrEqual(t, v.Predictive, 0.98)
}

// A sinus tachycardia is not suspected of a rate that never moves.
func TestASinusRateMoves(t *testing.T) {
	t.Parallel()
	readings(t, "sinus-tachycardia", []int{0, 6, 40}, 12, func(age ecg.Age, _ ecg.Marks, r measure.Reading) {
		assert.False(t, slices.ContainsFunc(r.Against, func(s string) bool { return strings.Contains(s, "RR does not change at all") }), "%v", age)
	})
}

// Type 2 asks for a pacemaker: it is not said for a P that falls just after an early beat, nor
// for one that stands before an escape beat by chance; and what it is, is said.
func TestSecondDegreeBlockIsNotReadIntoOthers(t *testing.T) {
	t.Parallel()
	for rhythm, tt := range map[string]struct {
		names []string
		least int // of thirty, as many as are known today
	}{
		"premature-junctional-beats": {[]string{"premature-junctional-beats", "premature-atrial-beats"}, 30}, // one lead hardly parts these
		"high-grade-av-block":        {[]string{"high-grade-av-block"}, 24},
	} {
		known, all := 0, 0
		readings(t, rhythm, []int{0, 1, 6, 14, 40}, 12, func(age ecg.Age, _ ecg.Marks, r measure.Reading) {
			assert.NotContains(t, []string{"second-degree-av-block-type-1", "second-degree-av-block-type-2"}, r.Name, "%s, %v", rhythm, age)
			if all++; slices.Contains(tt.names, r.Name) {
				known++
			}
		})
		t.Logf("%s: %d of %d known", rhythm, known, all)
		assert.GreaterOrEqual(t, known, tt.least, rhythm)
	}
}
