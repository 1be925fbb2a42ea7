package agreement_test

import (
	"io"
	"path/filepath"
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
		start := time.Now()
		r, err := record.Open(path)
		require.NoError(b, err)
		rows := [][]float64{make([]float64, 4096)}
		for {
			if _, err := r.Fill(rows); err == io.EOF {
				break
			} else {
				require.NoError(b, err)
			}
		}
		require.NoError(b, r.Close())
		decode += time.Since(start)

		start = time.Now()
		for at := 0; at+60*360 <= len(strip.MV[0]); at += 60 * 360 {
			_, err := measure.Read(strip.Cut(at, at+60*360), ecg.II)
			require.NoError(b, err)
		}
		read += time.Since(start)
	}
	b.ReportMetric(float64(decode.Microseconds())/1000/float64(b.N), "ms-decode")
	b.ReportMetric(float64(read.Microseconds())/1000/float64(b.N), "ms-read")
	b.ReportMetric(float64(read)/float64(decode), "times-decode")
}
