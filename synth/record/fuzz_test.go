package record

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// bounded runs read and fails when it allocated far more than its input justifies.
func bounded(t *testing.T, input int, read func()) {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	read()
	runtime.ReadMemStats(&after)
	limit := uint64(256<<20 + 2000*input)
	if used := after.TotalAlloc - before.TotalAlloc; used > limit {
		t.Fatalf("%d bytes of input made the reader allocate %d", input, used)
	}
}

// drain reads up to a million frames and checks the contract of a Source.
func drain(t *testing.T, r *Reader) {
	defer r.Close()
	buf := make([][]float64, len(r.Header().Channels))
	for i := range buf {
		buf[i] = make([]float64, 1000)
	}
	for range 1000 {
		n, err := r.Fill(buf)
		if err != nil {
			if n != 0 {
				t.Fatalf("%d frames and the error %v", n, err)
			}
			return
		}
		if n < 1000 {
			if n2, err := r.Fill(buf); n2 != 0 || err == nil {
				t.Fatal("a short answer was not the last")
			}
			return
		}
	}
}

func FuzzHeader(f *testing.F) {
	for _, text := range []string{
		"r 1 250 100\nr.dat 16 200/mV 16 0 1 100 0 II\n",
		"r 2 360\nr.dat 212x2:3+1 200(1024)/mV 11 1024 995 -22131 0 MLII\nr.dat 212x2:1+1\n",
		"r 1 1e6 3\nr.dat 8 1 8 0 -2047\n", "r/2 1 250 20\nr 10\n~ 10\n", "r 3 1\nr.dat 310\nr.dat 310\nr.dat 310x7\n# c\n",
	} {
		f.Add(text, []byte("0123456789abcdefghijklmnopqrstuvwxyz"))
	}
	f.Fuzz(func(t *testing.T, header string, samples []byte) {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, "r.dat"), samples, 0o666))
		path := write(t, dir, "r.hea", header)
		bounded(t, len(header)+len(samples), func() {
			if r, err := Open(path); err == nil {
				drain(t, r)
			}
		})
	})
}

func FuzzAnnotations(f *testing.F) {
	data, err := formatAnnotations("x", sample().Annotations)
	require.NoError(f, err)
	f.Add(data)
	f.Add([]byte("\x00\xec\xff\xff\xf0\xff\x00\x04\x00\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		bounded(t, len(data), func() {
			anns, _, err := parseAnnotations("x", data)
			if err != nil {
				return
			}
			for _, a := range anns {
				if _, standard := codeOf(a.Symbol); !standard || len(a.Aux) > maxAux {
					return // the file's own symbols, or Latin-1 grown longer
				}
			}
			again, err := formatAnnotations("x", anns)
			if err != nil {
				return // a step over more than 32 bits
			}
			back, _, err := parseAnnotations("x", again)
			require.NoError(t, err)
			require.Len(t, back, len(anns))
		})
	})
}

func FuzzCSV(f *testing.F) {
	var b bytes.Buffer
	require.NoError(f, WriteCSV(&b, sample().Strip.Cut(0, 30)))
	f.Add(b.Bytes())
	f.Add([]byte("time_s,II,PLETH\n0,1,\n1e-3,nan,2\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		bounded(t, len(data), func() {
			s, err := ReadCSV(bytes.NewReader(data), "x")
			if err == nil && (len(s.MV) == 0 || len(s.MV[0]) < 2 || !(s.Rate >= minRate && s.Rate <= maxRate)) {
				t.Fatalf("accepted with rate %g", s.Rate)
			}
		})
	})
}

func FuzzEDF(f *testing.F) {
	path := filepath.Join(f.TempDir(), "r.edf")
	rec := sample()
	rec.Strip.Rate = 100
	rec.Strip = rec.Strip.Cut(0, 300)
	rec.Annotations = []ecg.Annotation{{Sample: 5, Symbol: "N"}}
	require.NoError(f, WriteEDF(path, rec))
	data, err := os.ReadFile(path)
	require.NoError(f, err)
	f.Add(data)
	f.Add(bytes.Replace(data, []byte("EDF+C"), []byte("EDF+D"), 1))
	f.Fuzz(func(t *testing.T, data []byte) {
		path := filepath.Join(t.TempDir(), "r.edf")
		require.NoError(t, os.WriteFile(path, data, 0o666))
		bounded(t, len(data), func() {
			r, err := Open(path)
			if err != nil {
				return
			}
			_, _ = r.Annotations("")
			drain(t, r)
		})
	})
}

// A day at 250 Hz, two leads, streams in the memory of a minute. The file is
// sparse: it takes no room on the disk.
func TestDayInConstantMemory(t *testing.T) {
	dir := t.TempDir()
	const frames = 24 * 3600 * 250
	write(t, dir, "day.hea", "day 2 250 21600000\nday.dat 212 200 12 0 0 0 0 II\nday.dat 212 200 12 0 0 0 0 V1\n")
	f, err := os.Create(filepath.Join(dir, "day.dat"))
	require.NoError(t, err)
	require.NoError(t, f.Truncate(frames*3))
	require.NoError(t, f.Close())
	r, err := Open(filepath.Join(dir, "day"))
	require.NoError(t, err)
	defer r.Close()
	buf := [][]float64{make([]float64, 1000), make([]float64, 1000)}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	total := 0
	for {
		n, err := r.Fill(buf)
		if total += n; err != nil {
			require.Equal(t, ecg.EOF, err)
			break
		}
	}
	runtime.ReadMemStats(&after)
	assert.Equal(t, frames, total)
	assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(4<<20))

	rec, err := ReadSegment(filepath.Join(dir, "day"), 86395, 10)
	require.NoError(t, err)
	assert.Equal(t, 5.0, rec.Strip.Seconds())
}

// BenchmarkDecode reads an hour of two leads at 360 Hz from format 212.
func BenchmarkDecode(b *testing.B) {
	dir := b.TempDir()
	const frames = 3600 * 360
	write(b, dir, "h.hea", "h 2 360 1296000\nh.dat 212 200 12 0 0 0 0 II\nh.dat 212 200 12 0 0 0 0 V1\n")
	write(b, dir, "h.dat", strings.Repeat("\x10\x32\x54", frames))
	r, err := Open(filepath.Join(dir, "h"))
	require.NoError(b, err)
	defer r.Close()
	buf := [][]float64{make([]float64, 4096), make([]float64, 4096)}
	sum := 0.0
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, r.Seek(0))
		for {
			n, err := r.Fill(buf)
			if err != nil {
				break
			}
			sum += buf[0][n-1]
		}
	}
	if math.IsNaN(sum) {
		b.Fatal("invalid samples")
	}
	b.ReportMetric(float64(2*frames)*float64(b.N)/b.Elapsed().Seconds()/1e6, "Msamples/s")
}
