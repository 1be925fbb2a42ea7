package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/scoring/ledger/sqlite"
	"telltrace/synth"
)

// BenchmarkReport is the report of 2,000 learners with 500 answers each, a million in all, from
// a file, beside reading the same answers row by row in one go. It states the ratio.
func BenchmarkReport(b *testing.B) {
	const learners, each = 2000, 500
	path := filepath.Join(b.TempDir(), "class.db")
	store, err := sqlite.Open(path)
	require.NoError(b, err)
	start := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	lessons := synth.Lessons()
	for l := range learners {
		batch := make([]ledger.Answer, each)
		for i := range batch {
			id, said := lessons[(l+i)%len(lessons)].ID, lessons[(l+i+i%7/6)%len(lessons)].ID
			batch[i] = ledger.Answer{ID: fmt.Sprint(l, "-", i), Presentation: fmt.Sprint(l, "p", i), Learner: fmt.Sprintf("nurse %04d", l), Class: "autumn",
				At: start.Add(time.Duration(i) * time.Hour), Mode: ledger.Practise, Strip: "3/" + id + "/6y/1", Subject: id, Question: ledger.Rhythm,
				Offered: []string{id, said, "movement", "not-sure"}, Chosen: said, Right: []string{id}, Correct: id == said, Verdict: ledger.Right, Took: 3 * time.Second}
		}
		require.NoError(b, store.Add(context.Background(), batch...))
	}
	var rows, whole time.Duration
	for b.Loop() {
		began := time.Now()
		n := 0
		for _, err := range store.Answers(context.Background(), ledger.Query{}) {
			require.NoError(b, err)
			n++
		}
		require.Equal(b, learners*each, n)
		rows += time.Since(began)
		began = time.Now()
		var out, messages bytes.Buffer
		c := &console{out: &out, err: &messages, now: func() time.Time { return start.AddDate(0, 1, 0) }}
		require.Equal(b, exitOK, run(c, []string{"report", "--store", path, "--class", "autumn", "--format", "html"}), messages.String())
		whole += time.Since(began)
	}
	require.NoError(b, store.Close())
	b.ReportMetric(whole.Seconds()/float64(b.N), "s-report")
	b.ReportMetric(float64(whole)/float64(rows), "times-reading")
}
