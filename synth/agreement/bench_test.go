package agreement_test

import (
	"cmp"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/record"
)

// BenchmarkHour is an hour of one lead at 360 Hz: decoding its file, and reading it minute by
// minute, beats, waves and rhythm. It states the ratio of the two in the same run.
func BenchmarkHour(b *testing.B) {
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(40), 1)
	id.Rate, id.Leads = 360, []ecg.Lead{ecg.II}
	strip, _, err := synth.Render(id, 3600)
	require.NoError(b, err)
	strip.Witnesses = nil
	path := filepath.Join(b.TempDir(), "hour")
	require.NoError(b, record.WriteWFDB(path, ecg.Record{Strip: strip}))
	var decode, read time.Duration
	for b.Loop() {
		decode += decoding(b, path, 1)
		read += reading(b, strip, ecg.II)
	}
	report(b, decode, read, 1)
}

// BenchmarkExcerpts is the same for the eighteen shared excerpts of the MIT-BIH Arrhythmia
// Database (Moody and Mark, IEEE Eng Med Biol 2001;20(3):45), each as if it went on for an hour:
// where beats of many shapes and noise leave many waves between the complexes, the search
// for P takes longest. Decoding is that of both leads.
func BenchmarkExcerpts(b *testing.B) {
	dir := cmp.Or(os.Getenv("TELLTRACE_ECG"), filepath.Join("..", "..", "..", "shared", "ecg"))
	files, err := filepath.Glob(filepath.Join(dir, "mitdb", "*.hea"))
	require.NoError(b, err)
	if len(files) == 0 {
		b.Skipf("no recordings in %s; set TELLTRACE_ECG", dir)
	}
	for _, file := range files {
		name := strings.TrimSuffix(file, ".hea")
		b.Run(filepath.Base(name), func(b *testing.B) {
			rec, err := record.ReadAll(name)
			require.NoError(b, err)
			leads := len(rec.Strip.Leads)
			rec.Strip.Leads, rec.Strip.MV = rec.Strip.Leads[:1], rec.Strip.MV[:1]
			var decode, read time.Duration
			for b.Loop() {
				decode += decoding(b, name, leads)
				read += reading(b, rec.Strip, rec.Strip.Leads[0])
			}
			report(b, decode, read, rec.Strip.Seconds()/3600)
		})
	}
}

// decoding is how long decoding a record of so many leads takes.
func decoding(b *testing.B, path string, leads int) time.Duration {
	start := time.Now()
	r, err := record.Open(path)
	require.NoError(b, err)
	rows := make([][]float64, leads)
	for i := range rows {
		rows[i] = make([]float64, 4096)
	}
	for err == nil {
		_, err = r.Fill(rows)
	}
	require.ErrorIs(b, err, io.EOF)
	require.NoError(b, r.Close())
	return time.Since(start)
}

// reading is how long reading one lead minute by minute takes.
func reading(b *testing.B, strip ecg.Strip, lead ecg.Lead) time.Duration {
	start := time.Now()
	minute := int(60 * strip.Rate)
	for at := 0; at+minute <= len(strip.MV[0]); at += minute {
		_, err := measure.Read(strip.Cut(at, at+minute), lead)
		require.NoError(b, err)
	}
	return time.Since(start)
}

// report states both for an hour, and their ratio.
func report(b *testing.B, decode, read time.Duration, hours float64) {
	each := func(d time.Duration) float64 { return d.Seconds() * 1000 / float64(b.N) / hours }
	b.ReportMetric(each(decode), "ms-decode/h")
	b.ReportMetric(each(read), "ms-read/h")
	b.ReportMetric(float64(read)/float64(decode), "times-decode")
}
