package sqlite

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/scoring/ledger/ledgertest"
)

// BenchmarkAdd commits one answer durably. Compare with BenchmarkWriteAndSync of
// the same run: the disk sets the floor.
func BenchmarkAdd(b *testing.B) {
	s, err := Open(filepath.Join(b.TempDir(), "answers.db"))
	require.NoError(b, err)
	defer s.Close()
	for n := 0; b.Loop(); n++ {
		if err := s.Add(b.Context(), ledgertest.Answer(n)); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkWriteAndSync appends 4 kB to a file and waits for the disk.
func BenchmarkWriteAndSync(b *testing.B) {
	f, err := os.Create(filepath.Join(b.TempDir(), "file"))
	require.NoError(b, err)
	defer f.Close()
	page := bytes.Repeat([]byte{1}, 4096)
	for b.Loop() {
		if _, err := f.Write(page); err != nil {
			b.Fatal(err)
		}
		if err := f.Sync(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkOpen opens and closes an up-to-date ledger of a thousand answers.
func BenchmarkOpen(b *testing.B) {
	path := filepath.Join(b.TempDir(), "answers.db")
	fill(b, path, 1000)
	for b.Loop() {
		s, err := Open(path)
		if err != nil {
			b.Fatal(err)
		}
		s.Close()
	}
}

// BenchmarkAnswers reads the thousand answers of one learner.
func BenchmarkAnswers(b *testing.B) {
	path := filepath.Join(b.TempDir(), "answers.db")
	fill(b, path, 1000)
	s, err := Open(path)
	require.NoError(b, err)
	defer s.Close()
	for b.Loop() {
		list, err := ledger.Collect(s.Answers(b.Context(), ledger.Query{Learner: "learner-1"}))
		if err != nil || len(list) != 1000 {
			b.Fatal(len(list), err)
		}
	}
}

// BenchmarkAddThousand merges a thousand answers in one transaction.
func BenchmarkAddThousand(b *testing.B) {
	s, err := Open(filepath.Join(b.TempDir(), "answers.db"))
	require.NoError(b, err)
	defer s.Close()
	for n := 0; b.Loop(); n++ {
		if err := s.Add(b.Context(), series(n*1000, 1000)...); err != nil {
			b.Fatal(err)
		}
	}
}

func series(from, n int) []ledger.Answer {
	list := make([]ledger.Answer, n)
	for i := range list {
		list[i] = ledgertest.Answer(from + i)
	}
	return list
}

func fill(b *testing.B, path string, n int) {
	b.Helper()
	s, err := Open(path)
	require.NoError(b, err)
	require.NoError(b, s.Add(b.Context(), series(0, n)...))
	require.NoError(b, s.Close())
}
