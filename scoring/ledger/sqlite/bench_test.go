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

// BenchmarkMillion is a ledger of a million answers of 200 learners about 70 entries:
// one learner's progress data from the sums, the same grouped from that learner's raw
// answers, everybody's both ways, and the sums rebuilt. "from rows" of the same run is the
// baseline.
func BenchmarkMillion(b *testing.B) {
	path := filepath.Join(b.TempDir(), "answers.db")
	s, err := Open(path)
	require.NoError(b, err)
	defer s.Close()
	_, err = s.write.Exec(`
		WITH RECURSIVE n (i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < 999999)
		INSERT INTO answers (` + columns + `)
		SELECT printf('%08x-4b1d-4c1e-9a2b-%012x', i * 2654435761 % 4294967296, i), printf('%08x-showing', i / 2), printf('learner-%03d', i % 200),
			1770000000000 + i * 1000, iif(i % 10 = 0, 'check', 'practise'), '2/entry/6y/' || i, printf('entry-%02d', i * 7 / 200 % 70),
			'stable', iif(i % 2 = 0, 'rhythm', 'first-action'), '["sinus-rhythm","sinus-tachycardia","asystole","movement","not-sure"]', 'asystole',
			'["asystole"]', i % 5 > 0, iif(i % 5 > 0, 'right', 'wrong'), 'sure', '[{"what":"child","after_ms":1200}]', 4200, '', ''
		FROM n`)
	require.NoError(b, err)
	agree, err := s.CheckSums(b.Context())
	require.NoError(b, err)
	require.True(b, agree)
	for _, c := range []struct{ name, learner string }{{"one learner", "learner-007"}, {"everybody", ""}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if list, err := s.Sums(b.Context(), c.learner); err != nil || len(list) == 0 {
					b.Fatal(err)
				}
			}
		})
		b.Run(c.name+" from rows", func(b *testing.B) {
			for b.Loop() {
				if list, err := ledger.SumsOf(s.Answers(b.Context(), ledger.Query{Learner: c.learner})); err != nil || len(list) == 0 {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("rebuilt", func(b *testing.B) {
		for b.Loop() {
			require.NoError(b, s.RebuildSums(b.Context()))
		}
	})
	b.Run("checked", func(b *testing.B) {
		for b.Loop() {
			agree, err := s.CheckSums(b.Context())
			require.NoError(b, err)
			require.True(b, agree)
		}
	})
}
