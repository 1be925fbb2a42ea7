package ectopics_test

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ectopics"
	"telltrace/synth"
	"telltrace/synth/ecg"
)

func minute(t *testing.T, id string, age ecg.Age, seed uint64) ectopics.Seen {
	t.Helper()
	strip, marks, err := synth.Render(ecg.Synthetic(id, age, seed), ectopics.Seconds)
	require.NoError(t, err)
	return ectopics.Count(strip, marks)
}

// What the names mean (NCI Thesaurus: couplet, bigeminy, trigeminy, multiform; three or more
// in a row are a run, as in the standard texts; from memory): bigeminy is every second beat,
// trigeminy every third, a couplet two in a row, multiform two shapes or more, and beats
// from the atrium are none of them, also when they are conducted wide.
func TestCountsByDefinition(t *testing.T) {
	for _, c := range []struct {
		id                string
		share             [2]float64 // of the beats
		shapes, pairs     int        // pairs -1: some
		shortest, longest int
	}{
		{"sinus-rhythm", [2]float64{0, 0}, 0, 0, 0, 0},
		{"premature-atrial-beats", [2]float64{0, 0}, 0, 0, 0, 0},
		{"aberrantly-conducted-atrial-beats", [2]float64{0, 0}, 0, 0, 0, 0},
		{"premature-ventricular-beats", [2]float64{0.02, 0.33}, 1, 0, 1, 1},
		{"ventricular-bigeminy", [2]float64{0.47, 0.53}, 1, 0, 1, 1},
		{"ventricular-trigeminy", [2]float64{0.31, 0.36}, 1, 0, 1, 1},
		{"ventricular-couplets", [2]float64{0.05, 0.50}, 1, -1, 2, 2},
		{"multiform-ventricular-beats", [2]float64{0.08, 0.50}, 2, 0, 1, 1},
		{"ventricular-run", [2]float64{0.05, 0.60}, 1, -2, 3, 30},
	} {
		for _, age := range []ecg.Age{ecg.Months(3), ecg.Years(6), ecg.Years(44)} {
			for seed := uint64(1); seed <= 3; seed++ {
				s := minute(t, c.id, age, seed)
				share := float64(len(s.Early)) / float64(s.Beats)
				assert.True(t, share >= c.share[0] && share <= c.share[1], "%s %s %d: %d of %d", c.id, age, seed, len(s.Early), s.Beats)
				assert.Equal(t, c.shapes, s.Shapes, "%s %s %d: shapes", c.id, age, seed)
				assert.True(t, s.Run >= c.shortest && s.Run <= c.longest, "%s %s %d: run of %d", c.id, age, seed, s.Run)
				switch c.pairs {
				case -1:
					assert.Greater(t, s.Pairs, 2, "%s %s %d", c.id, age, seed)
				case 0:
					assert.Zero(t, s.Pairs, "%s %s %d", c.id, age, seed)
				}
			}
		}
	}
}

// beat makes a beat whose T ends 0.35 s after its QRS begins.
func beat(at float64, o ecg.Origin) ecg.Beat {
	return ecg.Beat{Origin: o, QRS: ecg.Span{Onset: at, Peak: at + 0.04, Offset: at + 0.08}, T: ecg.Span{Onset: at + 0.2, Peak: at + 0.28, Offset: at + 0.35}}
}

// R on T: the early beat begins on the T wave of a usual one (Smirk 1949, from memory).
func TestOnTheTWave(t *testing.T) {
	for at, want := range map[float64][2]bool{ // onset of the early beat: are no and yes right?
		1.30: {false, true}, 1.34: {true, true}, 1.36: {true, true}, 1.40: {true, false},
	} {
		s := ectopics.Count(ecg.Strip{Rate: 500}, ecg.Marks{Beats: []ecg.Beat{beat(1, ecg.OriginSinus), beat(at, ecg.OriginVentricular)}})
		for i, answer := range []string{ectopics.No, ectopics.Yes} {
			_, correct, err := s.Mark(ectopics.Default(), ectopics.OnT, answer)
			require.NoError(t, err)
			assert.Equal(t, want[i], correct, "early beat at %g s, %s", at, answer)
		}
	}
	// The second of a pair follows on the first: no R on T.
	s := ectopics.Count(ecg.Strip{Rate: 500}, ecg.Marks{Beats: []ecg.Beat{
		beat(1, ecg.OriginSinus), beat(1.5, ecg.OriginVentricular), beat(1.8, ecg.OriginVentricular)}})
	assert.Zero(t, s.OnT)
	assert.Equal(t, 1, s.Pairs)
}

func seen(n, shapes, pairs, run, onT int) ectopics.Seen {
	return ectopics.Seen{Early: make([]ecg.Span, n), Shapes: shapes, Pairs: pairs, Run: run, OnT: onT}
}

// The decision follows the values, each at its limit and just below it.
func TestDecision(t *testing.T) {
	v := ectopics.Default()
	for _, c := range []struct {
		seen ectopics.Seen
		want string
	}{
		{seen(0, 0, 0, 0, 0), ectopics.Chart},
		{seen(v.Notify.Count-1, 1, 0, 1, 0), ectopics.Chart},
		{seen(v.Notify.Count, 1, 0, 1, 0), ectopics.Notify},
		{seen(3, v.Notify.Shapes, 0, 1, 0), ectopics.Notify},
		{seen(4, 1, v.Notify.Pairs, 2, 0), ectopics.Notify},
		{seen(3, 1, 0, v.Call.Run, 0), ectopics.Call},
		{seen(1, 1, 0, 1, 1), ectopics.Call},
	} {
		got, why := v.Decide(c.seen)
		assert.Equal(t, c.want, got, "%+v", c.seen)
		assert.Equal(t, c.want == ectopics.Chart, len(why) == 0)
	}
	v.Call.OnT = false
	got, _ := v.Decide(seen(1, 1, 0, 1, 1))
	assert.Equal(t, ectopics.Chart, got, "the educator decides")
}

func TestFiguresAreMarked(t *testing.T) {
	v := ectopics.Default()
	right := func(s ectopics.Seen, q ectopics.Quantity, answer int) bool {
		_, correct, err := s.Mark(v, q, strconv.Itoa(answer))
		require.NoError(t, err)
		return correct
	}
	few, many := seen(7, 1, 0, 1, 0), seen(50, 1, 0, 1, 0)
	assert.True(t, right(few, ectopics.Number, 7))
	assert.False(t, right(few, ectopics.Number, 8))
	assert.True(t, right(many, ectopics.Number, 45))
	assert.True(t, right(many, ectopics.Number, 55))
	assert.False(t, right(many, ectopics.Number, 44))
	assert.False(t, right(many, ectopics.Shapes, 2))
	for _, bad := range []string{"", "-1", "many", "1.5"} {
		_, _, err := few.Mark(v, ectopics.Number, bad)
		assert.Error(t, err, bad)
	}
	_, _, err := few.Mark(v, ectopics.Decision, "sleep")
	assert.Error(t, err)
}

// Values that are wrong are refused with file, line and column, all at once.
func TestValuesOfAnEducator(t *testing.T) {
	text := strings.Replace(string(ectopics.BuiltIn()), "count: 6", "count: 12", 1)
	v, err := ectopics.Parse("ward.yaml", []byte(text))
	require.NoError(t, err)
	assert.Equal(t, 12, v.Notify.Count)

	text = strings.Replace(text, "count: 12", "cuont: 12", 1)
	text = strings.Replace(text, "run: 3", "run: 2", 1)
	_, err = ectopics.Parse("ward.yaml", []byte(text))
	require.Error(t, err)
	assert.Regexp(t, `ward\.yaml:\d+:\d+: .*cuont`, err.Error())
	assert.Regexp(t, `ward\.yaml:\d+:\d+: .*run`, err.Error())
}
