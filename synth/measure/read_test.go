package measure

import (
	"encoding/binary"
	"io"
	"math"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/synth/record"
)

// sinusBeat is P, QRS of 0.08 s and T; PR 0.16 s and QT about 0.36 s by
// construction (P begins two and a half deviations before its middle).
func sinusBeat() []bell {
	return append(qrsOf(0.08, 1), bell{-0.15, 0.02, 0.12}, bell{0.22, 0.04, 0.25})
}

// wideBeat is a ventricular complex of about 0.16 s with an opposite T.
func wideBeat() []bell {
	return []bell{{-0.01, 0.028, 1.4}, {0.05, 0.02, -0.4}, {0.26, 0.05, -0.4}}
}

// made draws 10 s at 500 Hz, with the noise of a quiet monitor (0.005 mV).
func made(times []float64, shape func(int) []bell) []float64 {
	x := bells(10, 500, times, shape)
	random := rand.New(rand.NewPCG(3, 4))
	for i := range x {
		x[i] += 0.005 * random.NormFloat64()
	}
	return x
}

func always(b []bell) func(int) []bell { return func(int) []bell { return b } }

// Names by textbook criteria of an adult: sinus 60-100/min with one P for each QRS,
// ventricular beats early, wide and without P, bigeminy every second, three in a row
// a run, above 100/min and all wide tachycardia, narrow above 150/min without P
// supraventricular, P and QRS each at their own rate third-degree block (general
// usage; ACC/AHA definitions, from memory).
func TestNames(t *testing.T) {
	var bigeminy, run, premature []float64
	for at := 0.3; at < 9.5; at += 1.4 {
		bigeminy = append(bigeminy, at, at+0.45)
	}
	premature = append(every(0.3, 0.8, 4.4), 4.75)
	premature = append(premature, every(5.9, 0.8, 10)...)
	run = append(every(0.3, 0.8, 3.6), every(3.2, 0.4, 5.2)...)
	run = append(run, every(6, 0.8, 10)...)
	block := bells(10, 500, every(0.5, 1.5, 10), always(append(qrsOf(0.08, 1), bell{0.25, 0.045, 0.25})))
	for i, p := range bells(10, 500, every(0.2, 0.67, 10), always([]bell{{0, 0.022, 0.15}})) {
		block[i] += p
	}
	random := rand.New(rand.NewPCG(5, 6))
	flat := make([]float64, 5000)
	for i := range flat {
		flat[i] = 0.008*random.NormFloat64() + 0.02*math.Sin(float64(i)/900)
	}
	for _, tt := range []struct {
		want string
		mv   []float64
	}{
		{"sinus-rhythm", made(every(0.3, 0.8, 10), always(sinusBeat()))},
		{"sinus-bradycardia", made(every(0.3, 1.4, 10), always(sinusBeat()))},
		{"sinus-tachycardia", made(every(0.3, 0.5, 10), always(sinusBeat()))},
		{"supraventricular-tachycardia", made(every(0.1, 0.32, 10), always(append(qrsOf(0.08, 1), bell{0.16, 0.03, 0.2})))},
		{"premature-ventricular-beats", made(premature, func(b int) []bell {
			if premature[b] == 4.75 {
				return wideBeat()
			}
			return sinusBeat()
		})},
		{"ventricular-bigeminy", made(bigeminy, func(b int) []bell {
			if b%2 == 1 {
				return wideBeat()
			}
			return sinusBeat()
		})},
		{"ventricular-run", made(run, func(b int) []bell {
			if at := run[b]; at > 3.1 && at < 5.2 {
				return wideBeat()
			}
			return sinusBeat()
		})},
		{"monomorphic-ventricular-tachycardia", made(every(0.1, 0.38, 10), always(wideBeat()))},
		{"third-degree-av-block", block},
		{"asystole", flat},
		{"disconnected-lead", make([]float64, 5000)},
	} {
		r, err := Read(row(tt.mv, 500), "")
		require.NoError(t, err)
		assert.Equal(t, tt.want, r.Name, "%v; against: %v; groups %v", r.Reasons, r.Against, r.Groups)
		assert.NotEmpty(t, r.Reasons)
	}
}

func TestIntervalsOfBells(t *testing.T) {
	r, err := Read(row(made(every(0.3, 0.8, 10), always(sinusBeat())), 500), ecg.II)
	require.NoError(t, err)
	assert.InDelta(t, 75, r.Rate, 0.5)
	assert.InDelta(t, 0.16, r.PR, 0.02)
	assert.InDelta(t, 0.08, r.QRS, 0.02)
	assert.InDelta(t, 0.36, r.QT, 0.03)
	assert.InDelta(t, Bazett(r.QT, 0.8), r.QTcB, 0.001)
	assert.InDelta(t, 1, r.PPerQRS, 0.1)
	assert.Less(t, r.RRCV, 0.01)
	for _, b := range r.Marks.Beats[1 : len(r.Marks.Beats)-1] { // the strip's ends cut waves off
		assert.True(t, b.P.Onset < b.P.Offset && b.P.Offset < b.QRS.Onset && b.QRS.Offset < b.T.Offset)
		assert.Equal(t, ecg.OriginSinus, b.Origin)
	}
}

// P waves hidden in the T before them, or after the QRS, are absent, not guessed.
func TestAbsentP(t *testing.T) {
	beat := append(qrsOf(0.07, 1), bell{0.09, 0.015, -0.1}, bell{0.15, 0.025, 0.2}) // retrograde P in ST
	r, err := Read(row(made(every(0.1, 0.27, 10), always(beat)), 500), "", WithLimits(Limits{Slow: 90, Fast: 190, Wide: 0.09}))
	require.NoError(t, err)
	assert.Empty(t, r.Marks.P)
	assert.True(t, isNaN(r.PR))
	assert.Zero(t, r.PPerQRS)
	assert.Equal(t, "supraventricular-tachycardia", r.Name, "%v", r.Reasons)
}

func TestMarchingP(t *testing.T) {
	p := every(0.2, 0.67, 10)
	x := made(every(0.5, 1.5, 10), always(append(qrsOf(0.08, 1), bell{0.25, 0.045, 0.25})))
	for i, v := range bells(10, 500, p, always([]bell{{0, 0.022, 0.15}})) {
		x[i] += v
	}
	r, err := Read(row(x, 500), "")
	require.NoError(t, err)
	assert.InDelta(t, 1.5/0.67, r.PPerQRS, 0.1)
	var found []float64
	for _, s := range r.Marks.P {
		found = append(found, s.Peak)
	}
	tp, fn, fp := compare(found, p)
	assert.GreaterOrEqual(t, tp, 11)
	assert.LessOrEqual(t, fn, 4, "hidden in QRS")
	assert.Zero(t, fp)
}

func TestLeadChoice(t *testing.T) {
	good := made(every(0.3, 0.8, 10), always(sinusBeat()))
	invalid := make([]float64, len(good))
	for i := range invalid {
		invalid[i] = nan
	}
	s := ecg.Strip{Rate: 500, Leads: []ecg.Lead{ecg.I, ecg.II, ecg.III}, MV: [][]float64{good, good, good}}
	r, err := Read(s, "")
	require.NoError(t, err)
	assert.Equal(t, ecg.II, r.Lead)

	s.MV[1] = invalid
	r, err = Read(s, "")
	require.NoError(t, err)
	assert.NotEqual(t, ecg.II, r.Lead)
	assert.Equal(t, "sinus-rhythm", r.Name)
	assert.Equal(t, []ecg.Lead{ecg.II}, r.Dead)
	assert.NotEmpty(t, r.Against)

	r, err = Read(s, ecg.II)
	require.NoError(t, err)
	assert.Equal(t, Disconnected, r.Kind)
	assert.Equal(t, "disconnected-lead", r.Name)

	_, err = Read(s, ecg.V1)
	assert.ErrorContains(t, err, "no lead")
}

// The reading leaves the caller's samples alone and gives the same again.
func TestReadIsPure(t *testing.T) {
	x := made(every(0.3, 0.8, 10), always(sinusBeat()))
	x[100], x[101] = nan, math.Inf(1)
	before := append([]float64(nil), x...)
	a, err := Read(row(x, 500), "")
	require.NoError(t, err)
	b, err := Read(row(x, 500), "")
	require.NoError(t, err)
	assert.Equal(t, a.Marks, b.Marks)
	assert.Equal(t, a.Reasons, b.Reasons)
	for i := range x {
		require.Equal(t, math.Float64bits(before[i]), math.Float64bits(x[i]))
	}
}

func TestGapsAreBridged(t *testing.T) {
	x := made(every(0.3, 0.8, 10), always(sinusBeat()))
	for i := 1700; i < 1800; i++ { // 0.2 s between two beats
		x[i] = nan
	}
	r, err := Read(row(x, 500), "")
	require.NoError(t, err)
	assert.Equal(t, "sinus-rhythm", r.Name)
}

func TestPoorStrips(t *testing.T) {
	for _, s := range []ecg.Strip{
		{},
		{Rate: 500, Leads: []ecg.Lead{ecg.II}, MV: [][]float64{{}}},
		{Rate: 0, Leads: []ecg.Lead{ecg.II}, MV: [][]float64{{1, 2}}},
		{Rate: nan, Leads: []ecg.Lead{ecg.II}, MV: [][]float64{{1, 2}}},
		{Rate: 500, MV: [][]float64{{1, 2}}},
	} {
		_, err := Read(s, "")
		assert.ErrorContains(t, err, "measure: ")
	}
	x := made(every(0.3, 0.8, 10), always(sinusBeat()))
	for _, n := range []int{1, 2, 3, 10, 100, 499, 500, 501, 900, 1000, 1500} {
		r, err := Read(row(x[:n], 500), "")
		require.NoError(t, err, "%d samples", n)
		assert.LessOrEqual(t, len(r.Marks.Beats), 1+n/300)
	}
	r, err := Read(row(x[:1000], 500), "") // 2 s, beats at 0.3, 1.1 and 1.9
	require.NoError(t, err)
	assert.GreaterOrEqual(t, len(r.Marks.Beats), 2)
	assert.InDelta(t, 75, r.Rate, 2)

	constant := make([]float64, 5000)
	for i := range constant {
		constant[i] = 2.5
	}
	r, err = Read(row(constant, 500), "")
	require.NoError(t, err)
	assert.Equal(t, Disconnected, r.Kind)
	assert.True(t, isNaN(r.Rate) && isNaN(r.QRS) && r.Groups == nil)
}

// Rows of unequal length are a broken strip, not a reason to panic.
func TestUnequalRows(t *testing.T) {
	x := made(every(0.3, 0.8, 10), always(sinusBeat()))
	_, err := Read(ecg.Strip{Rate: 500, Leads: []ecg.Lead{ecg.I, ecg.II}, MV: [][]float64{x, x[:10]}}, "")
	assert.ErrorContains(t, err, "lead II")
}

func FuzzRead(f *testing.F) {
	f.Add([]byte{0, 1, 2, 3, 255, 254, 0, 128}, uint16(250), uint8(3))
	f.Add([]byte("sinus rhythm, or not"), uint16(1000), uint8(200))
	f.Fuzz(func(t *testing.T, data []byte, rate uint16, repeat uint8) {
		var mv []float64
		for range int(repeat)%64 + 1 {
			for i := 0; i+1 < len(data) && len(mv) < 20000; i += 2 {
				v := int16(binary.LittleEndian.Uint16(data[i:]))
				switch v {
				case math.MinInt16:
					mv = append(mv, nan)
				case math.MaxInt16:
					mv = append(mv, math.Inf(1))
				default:
					mv = append(mv, float64(v)/500)
				}
			}
		}
		s := row(mv, float64(rate))
		r, err := Read(s, "")
		if err != nil {
			return
		}
		for _, b := range r.Marks.Beats {
			assert.True(t, b.QRS.Onset >= 0 && b.QRS.Offset <= s.Seconds() && b.QRS.Onset <= b.QRS.Peak && b.QRS.Peak <= b.QRS.Offset, "%+v", b)
		}
		assert.Len(t, r.Groups, len(r.Marks.Beats))
		HeartRate(mv, s.Rate)
		PulseRate(mv, s.Rate)
	})
}

// The reader may share words with the generator, and nothing else.
func TestImportsOnlyTheVocabulary(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", ".").Output()
	require.NoError(t, err)
	var ours []string
	for _, p := range strings.Fields(string(out)) {
		if strings.HasPrefix(p, "telltrace/") {
			ours = append(ours, p)
		}
	}
	assert.ElementsMatch(t, []string{"telltrace/synth/ecg", "telltrace/synth/measure"}, ours)
}

// Reading 10 s of three leads at 500 Hz, as the trainer does once a second.
func BenchmarkRead(b *testing.B) {
	x := made(every(0.3, 0.5, 10), always(sinusBeat()))
	s := ecg.Strip{Rate: 500, Leads: []ecg.Lead{ecg.I, ecg.II, ecg.III}, MV: [][]float64{x, x, x}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(s, ""); err != nil {
			b.Fatal(err)
		}
	}
}

// An hour of one lead at 360 Hz through the beat detector alone, beside decoding it from
// its file.
func BenchmarkDetectHour(b *testing.B) {
	x := bells(3600, 360, every(0.3, 0.8, 3600), always(sinusBeat()))
	path := filepath.Join(b.TempDir(), "hour")
	strip := ecg.Strip{Rate: 360, Leads: []ecg.Lead{ecg.II}, MV: [][]float64{x}}
	require.NoError(b, record.WriteWFDB(path, ecg.Record{Strip: strip}))
	rows := [][]float64{make([]float64, 4096)}
	var decode, found time.Duration
	b.ReportAllocs()
	for b.Loop() {
		start := time.Now()
		r, err := record.Open(path)
		require.NoError(b, err)
		for err == nil {
			_, err = r.Fill(rows)
		}
		require.ErrorIs(b, err, io.EOF)
		require.NoError(b, r.Close())
		decode += time.Since(start)
		start = time.Now()
		detect(x, 360)
		found += time.Since(start)
	}
	b.ReportMetric(float64(found.Microseconds())/1000/float64(b.N), "ms-detect")
	b.ReportMetric(float64(found)/float64(decode), "times-decode")
}
