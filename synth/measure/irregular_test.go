package measure

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// af2017 reads a strip of the PhysioNet/CinC Challenge 2017: 16-bit counts of 1 uV
// after 24 bytes, 300 Hz.
func af2017(t *testing.T, name string) ecg.Strip {
	data, err := os.ReadFile(filepath.Join(recordings(t), "af2017", name+".mat"))
	require.NoError(t, err)
	var x []float64
	for i := 24; i+1 < len(data); i += 2 {
		x = append(x, float64(int16(uint16(data[i])|uint16(data[i+1])<<8))/1000)
	}
	return row(x, 300)
}

// Atrial fibrillation in windows of 10 s: MIT-BIH rhythm annotations of 202 and 203
// (AFIB; 202 has flutter from 47.2 to 95.1 s), strip A00004 of the Challenge 2017
// labelled A, against A00001 labelled N and the MIT-BIH records without fibrillation.
// Fibrillation by RR alone has sensitivity 86.6 % and specificity 84.3 % (coefficient
// of variation, Tateno and Glass, Med Biol Eng Comput 2001;39:664); with the search
// for P this must be better on both.
func TestAtrialFibrillationOnRecordings(t *testing.T) {
	if testing.Short() {
		t.Skip("figures alone, no goroutine: the whole run has them")
	}
	dir := filepath.Join(recordings(t), "mitdb")
	var hit, all, wrong, others int
	count := func(s ecg.Strip, from, to float64, fibrillates bool, name string) {
		for at := from; at+10 <= to; at += 10 {
			r, err := Read(s.Cut(int(at*s.Rate), int((at+10)*s.Rate)), s.Leads[0])
			require.NoError(t, err)
			is := r.Name == "atrial-fibrillation"
			switch {
			case fibrillates && is:
				hit++
			case !fibrillates && is:
				wrong++
				t.Logf("%s at %g s: %v", name, at, r.Reasons)
			}
			if fibrillates {
				all++
			} else {
				others++
			}
		}
	}
	s := readRecord(t, filepath.Join(dir, "202"))
	count(s, 0, 47, true, "202")
	count(s, 96, 180, true, "202")
	count(readRecord(t, filepath.Join(dir, "203")), 48, 180, true, "203")
	count(af2017(t, "A00004"), 0, 30, true, "A00004")
	count(af2017(t, "A00001"), 0, 30, false, "A00001")
	for _, name := range []string{"100", "103", "105", "106", "118", "119", "124", "200", "209", "214", "230", "231"} {
		s := readRecord(t, filepath.Join(dir, name))
		count(s, 0, s.Seconds(), false, name)
	}
	t.Logf("sensitivity %d/%d, specificity %d/%d", hit, all, others-wrong, others)
	assert.Greater(t, float64(hit)/float64(all), 0.90)
	assert.Greater(t, float64(others-wrong)/float64(others), 0.94)
}

// Flutter: 202 of MIT-BIH from 47.2 to 95.1 s ("AFL"), and not in records without it
// (209 left out: its supraventricular tachycardia has P and T evenly spaced, which one
// lead does not tell from 2:1 flutter).
func TestFlutterOnRecordings(t *testing.T) {
	if testing.Short() {
		t.Skip("figures alone, no goroutine: the whole run has them")
	}
	dir := filepath.Join(recordings(t), "mitdb")
	s := readRecord(t, filepath.Join(dir, "202"))
	hit := 0
	for _, at := range []float64{48, 57, 66, 75, 85} {
		r, err := Read(s.Cut(int(at*s.Rate), int((at+10)*s.Rate)), s.Leads[0])
		require.NoError(t, err)
		if r.Relation == Flutter {
			hit++
			assert.InDelta(t, 270, r.AtrialRate, 30, "250-350 a minute (ACC/AHA, from memory)")
		}
	}
	t.Logf("%d of 5 windows", hit)
	assert.GreaterOrEqual(t, hit, 3, "of 5 windows: an exact 2:1 needs close likeness")
	for _, name := range []string{"100", "103", "105", "106", "118", "119", "124", "200", "203", "214", "230", "231", "232"} {
		s := readRecord(t, filepath.Join(dir, name))
		for at := 0.0; at+10 <= s.Seconds(); at += 10 {
			r, err := Read(s.Cut(int(at*s.Rate), int((at+10)*s.Rate)), s.Leads[0])
			require.NoError(t, err)
			assert.NotEqual(t, Flutter, r.Relation, "%s at %g s", name, at)
		}
	}
}

// Flutter whose waves stand on a line that is nearly still between them, where conduction
// changes: in the lead as it is, for RR tell enough.
func TestFlutterOfNarrowWaves(t *testing.T) {
	var times []float64
	for at, k := 0.43, 0; at < 19.5; k++ {
		times = append(times, at)
		at += 0.2 * float64([]int{3, 5, 4, 3, 4, 5, 4}[k%7])
	}
	x := bells(20, 250, times, func(int) []bell { return qrsOf(0.08, 1) })
	for i, v := range bells(20, 250, every(0.1, 0.2, 20), func(int) []bell { return []bell{{0, 0.028, 0.15}} }) {
		x[i] += v
	}
	r, err := Read(row(x, 250), ecg.II)
	require.NoError(t, err)
	assert.Equal(t, "atrial-flutter", r.Name, "%v", r.Reasons)
	assert.InDelta(t, 300, r.AtrialRate, 6)
}

// Flutter 4:1 and 3:1 of bells: 300 waves a minute without rest between them.
func TestFlutterOfBells(t *testing.T) {
	for _, ratio := range []int{3, 4} {
		x := made(every(0.3, 0.2*float64(ratio), 10), always(qrsOf(0.08, 1)))
		for i, v := range bells(10, 500, every(0.05, 0.2, 10), always([]bell{{0, 0.035, -0.2}, {0.1, 0.025, 0.12}})) {
			x[i] += v
		}
		r, err := Read(row(x, 500), "")
		require.NoError(t, err)
		assert.Equal(t, "atrial-flutter", r.Name, "%v", r.Reasons)
		assert.InDelta(t, 300, r.AtrialRate, 12)
		assert.InDelta(t, ratio, r.PPerQRS, 0.2)
	}
}

// Patterns of RR in s that are irregular and are not fibrillation: early beats,
// bigeminy, breathing (definitions, standard texts).
func TestRegularIrregularity(t *testing.T) {
	assert.True(t, irregularly([]float64{0.52, 0.81, 0.43, 0.66, 0.95, 0.48, 0.71, 0.39, 0.88, 0.57}))
	assert.False(t, irregularly([]float64{0.8, 0.8, 0.5, 1.1, 0.8, 0.8, 0.8, 0.5, 1.1, 0.8}), "early beats")
	assert.False(t, irregularly([]float64{0.5, 1.1, 0.5, 1.1, 0.5, 1.1, 0.5, 1.1}), "bigeminy")
	assert.False(t, irregularly([]float64{0.8, 0.84, 0.9, 0.95, 0.9, 0.84, 0.8, 0.84, 0.9, 0.95}), "breathing")
}

// A tachycardia of many sources is irregular (common practice): where RR is even, a wandering
// baseline has changed the shapes of P (PhysioNet/CinC Challenge 2015, t150s, fast and regular).
func TestARegularTachycardiaHasOneSource(t *testing.T) {
	t.Parallel()
	s := readRecord(t, filepath.Join(recordings(t), "icu-alarms", "t150s"))
	r, err := Read(row(s.MV[0], s.Rate), ecg.II)
	require.NoError(t, err)
	assert.Equal(t, "sinus-tachycardia", r.Name, "%v", r.Reasons)
}

// RR that come in pairs, short and long, are a pattern, not fibrillation.
func TestPairsAreNoFibrillation(t *testing.T) {
	pairs := []float64{0.39, 1.43, 0.48, 1.46, 0.43, 1.49, 0.39, 1.46, 0.43, 1.53, 0.37}
	assert.False(t, irregularly(pairs))
	mixed := []float64{0.39, 0.48, 1.43, 0.43, 1.46, 1.49, 0.71, 1.10, 0.39, 1.53, 0.85}
	assert.True(t, irregularly(mixed))
}

// A sinus rate moves; where RR never does, that is said beside the name.
func TestARateThatNeverMoves(t *testing.T) {
	said := func(stray float64) bool {
		times := every(0.3, 0.45, 10)
		for i := range times {
			times[i] += stray * float64(i%3-1)
		}
		r, err := Read(row(made(times, always(sinusBeat())), 500), ecg.II)
		require.NoError(t, err)
		require.Equal(t, "sinus-tachycardia", r.Name, "%v", r.Reasons)
		return slices.ContainsFunc(r.Against, func(s string) bool { return strings.Contains(s, "RR does not change at all") })
	}
	assert.True(t, said(0))
	assert.False(t, said(0.01))
}
