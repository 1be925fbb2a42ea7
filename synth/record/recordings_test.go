package record

import (
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// recordings is the folder of real recordings, or skips the test.
func recordings(t testing.TB, parts ...string) string {
	t.Helper()
	root := os.Getenv("TELLTRACE_ECG")
	if root == "" {
		root = filepath.Join("..", "..", "..", "shared", "ecg")
	}
	if !isFile(filepath.Join(root, "records.csv")) {
		t.Skipf("no recordings at %s: set TELLTRACE_ECG to the folder that holds records.csv", root)
	}
	return filepath.Join(append([]string{root}, parts...)...)
}

func table(t testing.TB, path string) []map[string]string {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, name := range lines[0] {
			row[name] = line[i]
		}
		out = append(out, row)
	}
	return out
}

// Beat symbols of annot(5).
const beatSymbols = "NLRBAaJSVrFejnE/fQ?"

// Every open recording, held against the list of its makers' headers and counts:
// MIT-BIH Arrhythmia (Moody and Mark 2001), Noise Stress Test (Moody 1984),
// CUDB (Nolle 1986), CinC 2015 (Clifford 2015), LUDB (Kalyakulina 2020), QTDB
// (Laguna 1997), CinC 2017 (Clifford 2017), PTB-XL (Wagner 2020).
func TestAllRecordings(t *testing.T) {
	rows := table(t, recordings(t, "records.csv"))
	require.NotEmpty(t, rows)
	for _, row := range rows {
		name := filepath.Join(row["dir"], row["record"])
		t.Run(name, func(t *testing.T) {
			path := recordings(t, name)
			if row["dir"] == "formats" {
				t.Skip("has tests of its own")
			}
			if err := Verify(path); row["dir"] == "af2017" {
				// The makers wrote 0 for every checksum; the initial values hold.
				assert.ErrorContains(t, err, "checksum: is 0 in the header")
			} else {
				assert.NoError(t, err, "initial values and checksums of the header")
			}

			r, err := Open(path)
			require.NoError(t, err)
			defer r.Close()
			h := r.Header()
			assert.Equal(t, row["fs"], fmt.Sprint(h.Rate))
			assert.Equal(t, row["samples"], fmt.Sprint(h.Samples))
			names := channelNames(h.Channels)
			if len(h.Channels) == 12 { // headers write "avr" or "AVR"
				var usual []string
				for _, l := range ecg.Leads[:12] { // the usual twelve
					usual = append(usual, string(l))
				}
				assert.Equal(t, strings.Join(usual, ", "), names)
			} else {
				assert.ElementsMatch(t, strings.Split(row["leads"], "/"), strings.Split(names, ", "))
			}

			rec, err := ReadAll(path)
			require.NoError(t, err)
			assert.Len(t, rec.Strip.MV[0], h.Samples)
			if row["annotations"] != "atr" {
				return
			}
			counts, beats := map[string]int{}, 0
			for _, a := range rec.Annotations {
				counts[a.Symbol]++
				if strings.Contains(beatSymbols, a.Symbol) {
					beats++
				}
				assert.Less(t, a.Sample, h.Samples)
			}
			var words, rhythms []string
			for _, symbol := range slices.Sorted(maps.Keys(counts)) {
				words = append(words, fmt.Sprintf("%s:%d", symbol, counts[symbol]))
			}
			for _, a := range rec.Annotations {
				if a.Symbol == RhythmChange {
					rhythms = append(rhythms, fmt.Sprintf("%s@%.1f", strings.TrimPrefix(a.Aux, "("), float64(a.Sample)/h.Rate))
				}
			}
			assert.Equal(t, row["beats"], fmt.Sprint(beats))
			assert.ElementsMatch(t, strings.Fields(row["symbols"]), words)
			if row["rhythms"] != "" {
				assert.Equal(t, strings.Fields(row["rhythms"]), rhythms)
			}
		})
	}
}

// digital undoes the scaling of channel i, NaN for an invalid value.
func digital(h Header, i int, v float64) float64 {
	return math.Round(v*h.Channels[i].Gain + h.Channels[i].Baseline)
}

// readRows reads all rows in odd portions.
func readRows(t testing.TB, r *Reader) [][]float64 {
	t.Helper()
	n := len(r.Header().Channels)
	rows, buf := make([][]float64, n), make([][]float64, n)
	for i := range buf {
		buf[i] = make([]float64, 977)
	}
	for {
		k, err := r.Fill(buf)
		for i := range rows {
			rows[i] = append(rows[i], buf[i][:k]...)
		}
		if err == io.EOF {
			return rows
		}
		require.NoError(t, err)
	}
}

// Values by wfdb-python 4.3.1, an independent reader, from its own sample files.
func TestSignalFormats(t *testing.T) {
	lines := table(t, recordings(t, "formats", "binformats_digital.csv"))
	path := recordings(t, "formats", "binformats")
	require.NoError(t, Verify(path))
	r, err := Open(path)
	require.NoError(t, err)
	defer r.Close()
	rows := readRows(t, r)
	require.Len(t, rows, 10)
	for i := range rows {
		column := "fmt" + r.Header().Channels[i].Name[len("sig 0, fmt "):]
		require.Len(t, rows[i], len(lines), column)
		for k, line := range lines {
			want, err := strconv.ParseFloat(line[column], 64)
			require.NoError(t, err)
			require.Equal(t, want, digital(r.Header(), i, rows[i][k]), "%s sample %d", column, k)
		}
	}
}

// Random access must give what reading through gives, in every packing.
func TestSeekInEveryFormat(t *testing.T) {
	for _, path := range []string{"binformats", "041s", "test01_00s_skewframe", "test_generator_2.edf", "mitdb_103.edf"} {
		t.Run(path, func(t *testing.T) {
			r, err := Open(recordings(t, "formats", path))
			require.NoError(t, err)
			defer r.Close()
			rows := readRows(t, r)
			n := len(rows[0])
			assert.Equal(t, r.Header().Samples, n)
			buf := make([][]float64, len(rows))
			for _, from := range []int{n - 5, 0, n / 2, 1, n/2 + 1, 2, 7, n - 1} {
				require.NoError(t, r.Seek(from))
				for i := range buf {
					buf[i] = make([]float64, 5)
				}
				k, err := r.Fill(buf)
				require.NoError(t, err)
				require.Equal(t, min(5, n-from), k)
				for i := range buf {
					assert.True(t, equalRows(rows[i][from:from+k], buf[i][:k]), "channel %d from sample %d", i, from)
				}
			}
		})
	}
}

func equalRows(a, b []float64) bool {
	return slices.EqualFunc(a, b, func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) })
}

// One signal file of wfdb-python's tests under four headers.
func TestFramesAndSkew(t *testing.T) {
	load := func(name string) ecg.Strip {
		path := recordings(t, "formats", name)
		if err := Verify(path); strings.HasSuffix(name, "frame") {
			// These two headers keep the initial value of the signal they cut out;
			// Verify compares all checksums first.
			assert.ErrorContains(t, err, "signal 2 initial value: is -57 in the header, -66 in")
		} else {
			assert.NoError(t, err)
		}
		rec, err := ReadAll(path)
		require.NoError(t, err)
		return rec.Strip
	}
	plain := load("test01_00s")
	require.Equal(t, 500.0, plain.Rate)
	require.Len(t, plain.MV[0], 4000)

	skewed := load("test01_00s_skew")
	assert.Equal(t, plain.MV[0], skewed.MV[0])
	assert.Equal(t, plain.MV[1][3:], skewed.MV[1][:3997], "signal 1 lies three frames later in the file")
	assert.True(t, math.IsNaN(skewed.MV[1][3997]))

	// Signals 1 and 2 of the plain header are the two samples per frame of one.
	framed := load("test01_00s_frame")
	require.Equal(t, 1000.0, framed.Rate)
	for k := range 4000 {
		require.Equal(t, plain.MV[1][k], framed.MV[1][2*k])
		require.Equal(t, plain.MV[2][k], framed.MV[1][2*k+1])
		require.Equal(t, plain.MV[0][k], framed.MV[0][2*k])
		require.Equal(t, plain.MV[0][k], framed.MV[0][2*k+1], "the slower signal is held")
	}
	both := load("test01_00s_skewframe")
	assert.Equal(t, framed.MV[1], both.MV[1])
	assert.Equal(t, framed.MV[0][6:], both.MV[0][:7994])
}

// Record 041s of the MIMIC database (from memory): two segments of 8 s.
func TestMultiSegment(t *testing.T) {
	rec, err := ReadAll(recordings(t, "formats", "041s"))
	require.NoError(t, err)
	assert.Equal(t, []ecg.Lead{"III", "I", "V"}, rec.Strip.Leads)
	require.Equal(t, 500.0, rec.Strip.Rate, "four samples in each of 125 frames per second")
	require.Len(t, rec.Strip.MV[0], 8000, "2000 frames")
	var kinds []ecg.WitnessKind
	for _, w := range rec.Strip.Witnesses {
		kinds = append(kinds, w.Kind)
	}
	assert.Equal(t, []ecg.WitnessKind{"ABP", "PAP", "PLETH", "RESP"}, kinds)
	assert.Equal(t, "mmHg", rec.Strip.Witnesses[0].Unit)
	at := 0
	for _, name := range []string{"041s01", "041s02"} {
		path := recordings(t, "formats", name)
		require.NoError(t, Verify(path))
		part, err := ReadAll(path)
		require.NoError(t, err)
		for i := range part.Strip.MV {
			assert.True(t, equalRows(part.Strip.MV[i], rec.Strip.MV[i][at:at+4000]), "%s lead %d", name, i)
		}
		at += 4000
	}
	// Initial values of the second segment's header: ABP -715, (d + 1600)/20 mmHg.
	assert.Equal(t, (-715.0+1600)/20, rec.Strip.Witness(ecg.ArterialPressure)[4000])
}

// A variable-layout record built from the two segments of 041s, with a gap, and
// leads in another order (header(5), "multi-segment records").
func TestVariableLayout(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"041s01.hea", "041s01.dat"} {
		data, err := os.ReadFile(recordings(t, "formats", name))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), data, 0o666))
	}
	write(t, dir, "v.hea", "v/4 3 125 2500\nv_layout 0\n041s01 1000\n~ 500\n041s01 1000\n")
	write(t, dir, "v_layout.hea", "v_layout 3 125 0\n~ 0x4 2000 12 0 0 0 0 V\n~ 0x4 2000 12 0 0 0 0 aVR\n~ 0 20/mmHg 12 0 0 0 0 ABP\n")
	rec, err := ReadAll(filepath.Join(dir, "v"))
	require.NoError(t, err)
	plain, err := ReadAll(filepath.Join(dir, "041s01"))
	require.NoError(t, err)
	assert.Equal(t, []ecg.Lead{"V", "aVR"}, rec.Strip.Leads)
	v := rec.Strip.Row("V")
	require.Len(t, v, 10000)
	assert.True(t, equalRows(plain.Strip.Row("V"), v[:4000]))
	assert.True(t, equalRows(plain.Strip.Row("V"), v[6000:]))
	for k := 4000; k < 6000; k++ {
		require.True(t, math.IsNaN(v[k]), "the gap, sample %d", k)
	}
	for _, x := range rec.Strip.Row(ecg.AVR) {
		require.True(t, math.IsNaN(x), "no segment has this lead")
	}
	assert.True(t, equalRows(plain.Strip.Witness("ABP"), rec.Strip.Witness("ABP")[:4000]))
}

// CinC Challenge 2017, A00001: samples begin after 24 bytes; header: -127 first.
func TestOffset(t *testing.T) {
	rec, err := ReadAll(recordings(t, "af2017", "A00001.mat"))
	require.NoError(t, err)
	assert.Equal(t, -0.127, rec.Strip.MV[0][0])
}

// a152s of the CinC Challenge 2015: both leads are invalid 99 % of the time.
func TestInvalidSamples(t *testing.T) {
	rec, err := ReadAll(recordings(t, "icu-alarms", "a152s"))
	require.NoError(t, err)
	invalid := 0
	for _, v := range rec.Strip.Row(ecg.II) {
		if math.IsNaN(v) {
			invalid++
		}
	}
	assert.InDelta(t, 0.99, float64(invalid)/10000, 0.006)
	assert.Equal(t, "", rec.Strip.Witnesses[0].Unit, "NU stands for no units")
	assert.Contains(t, rec.Comments, "False alarm")
}

// Record 106 of MIT-BIH has ventricular tachycardia from 76.7 to 78.7 s.
func TestReadSegment(t *testing.T) {
	path := recordings(t, "mitdb", "106")
	rec, err := ReadSegment(path, 77, 3)
	require.NoError(t, err)
	whole, err := ReadAll(path)
	require.NoError(t, err)
	assert.Equal(t, 77*360, rec.Start)
	assert.Equal(t, 3.0, rec.Strip.Seconds())
	assert.Equal(t, whole.Strip.MV[0][77*360:80*360], rec.Strip.MV[0])
	require.NotEmpty(t, rec.Annotations)
	assert.Equal(t, ecg.Annotation{Symbol: "+", Aux: "(VT"}, rec.Annotations[0], "already running")
	var want []ecg.Annotation
	for _, a := range whole.Annotations {
		if a.Sample >= 77*360 && a.Sample < 80*360 {
			a.Sample -= 77 * 360
			want = append(want, a)
		}
	}
	require.NotEmpty(t, want)
	assert.Equal(t, want, rec.Annotations[1:])

	last, err := ReadSegment(path, 179, 10)
	require.NoError(t, err)
	assert.Equal(t, 1.0, last.Strip.Seconds(), "as much as there is")
	for _, bad := range [][2]float64{{180, 1}, {-1, 1}, {math.NaN(), 1}, {0, 0}, {0, math.NaN()}, {1e300, 1}, {math.Inf(1), 1}} {
		_, err = ReadSegment(path, bad[0], bad[1])
		var own *Error
		assert.ErrorAs(t, err, &own, "at %g for %g s", bad[0], bad[1])
	}
	_, err = ReadSegment(path, 170, math.Inf(1))
	assert.NoError(t, err, "to the end")
}

func TestAnnotators(t *testing.T) {
	assert.Equal(t, []string{"atr", "pu1"}, Annotators(recordings(t, "qtdb", "sel100")))
	assert.Equal(t, []string{"atr"}, Annotators(recordings(t, "mitdb", "100.dat")))
	assert.Equal(t, []string{"avf", "avl", "avr", "i", "ii", "iii", "v1", "v2", "v3", "v4", "v5", "v6"}, Annotators(recordings(t, "ludb", "10")))
	assert.Empty(t, Annotators(recordings(t, "formats", "binformats")))
	assert.Empty(t, Annotators("nowhere"))
}

// All annotation files there are, whoever wrote them, survive being written again.
func TestEveryAnnotationFile(t *testing.T) {
	seen := 0
	for _, dir := range []string{"mitdb", "cudb", "ludb", "qtdb"} {
		headers, err := filepath.Glob(recordings(t, dir, "*.hea"))
		require.NoError(t, err)
		for _, path := range headers {
			base := strings.TrimSuffix(path, ".hea")
			for _, annotator := range Annotators(base) {
				anns, err := ReadAnnotations(base + "." + annotator)
				require.NoError(t, err)
				data, err := formatAnnotations("x", anns)
				require.NoError(t, err)
				again, _, err := parseAnnotations("x", data)
				require.NoError(t, err)
				assert.Equal(t, anns, again)
				seen++
			}
		}
	}
	assert.Greater(t, seen, 300)
}
