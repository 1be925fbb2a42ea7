package sqlite

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/scoring/ledger/ledgertest"
)

// childEnv, when set, makes the test binary add answers to that file and print the
// ID of each one that was acknowledged: so many, from the first number on.
const (
	childEnv   = "TELLTRACE_TEST_LEDGER"
	childCount = "TELLTRACE_TEST_COUNT"
	childFirst = "TELLTRACE_TEST_FIRST"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(childEnv); path != "" {
		if err := child(path); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// child opens the file anew for every childStay answers.
func child(path string) error {
	const childStay = 10
	var first, count int
	if _, err := fmt.Sscan(os.Getenv(childFirst)+" "+os.Getenv(childCount), &first, &count); err != nil {
		return err
	}
	for n := first; n < first+count; {
		s, err := Open(path)
		if err != nil {
			return err
		}
		for stay := 0; stay < childStay && n < first+count; stay, n = stay+1, n+1 {
			a := ledgertest.Answer(n)
			if err := s.Add(context.Background(), a); err != nil {
				return err
			}
			fmt.Println(a.ID)
		}
		if err := s.Close(); err != nil {
			return err
		}
	}
	return nil
}

func startChild(t *testing.T, path string, first, count int) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	exe, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), childEnv+"="+path,
		fmt.Sprintf("%s=%d", childFirst, first), fmt.Sprintf("%s=%d", childCount, count))
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	return cmd, bufio.NewScanner(out)
}

func opened(t *testing.T, path string) *Store {
	t.Helper()
	s, err := Open(path)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, s.Close()) })
	return s
}

func answers(t *testing.T, s *Store) []ledger.Answer {
	t.Helper()
	list, err := ledger.Collect(s.Answers(t.Context(), ledger.Query{}))
	require.NoError(t, err)
	return list
}

// raw opens the file as any SQLite program would.
func raw(t testing.TB, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", address(path))
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	return db
}

func run(t testing.TB, db *sql.DB, query string) {
	t.Helper()
	_, err := db.Exec(query)
	require.NoError(t, err)
}

func TestContract(t *testing.T) {
	ledgertest.Exercise(t, func(t *testing.T) ledger.Store {
		s, err := Open(filepath.Join(t.TempDir(), "answers.db"))
		require.NoError(t, err)
		return s
	})
}

// Case 1 of the contract: every acknowledged answer survives the death of the
// program, whole.
func TestKilled(t *testing.T) {
	const seed = 20260301
	chance := rand.New(rand.NewPCG(seed, 0))
	path := filepath.Join(t.TempDir(), "answers.db")
	acknowledged := 0
	for range 5 {
		cmd, lines := startChild(t, path, acknowledged, 1_000_000)
		until := acknowledged + 1 + chance.IntN(40)
		delay := time.Duration(chance.IntN(3000)) * time.Microsecond
		var kill *time.Timer
		for lines.Scan() {
			if !assert.Equal(t, ledgertest.Answer(acknowledged).ID, lines.Text()) {
				break
			}
			if acknowledged++; acknowledged == until {
				kill = time.AfterFunc(delay, func() { cmd.Process.Kill() }) // in the middle of some answer
			}
		}
		require.NotNil(t, kill, "the child ended by itself, seed %d", seed)
		require.Error(t, cmd.Wait())

		s, err := Open(path)
		require.NoError(t, err)
		got := answers(t, s)
		require.GreaterOrEqual(t, len(got), acknowledged, "an acknowledged answer was lost, seed %d", seed)
		require.LessOrEqual(t, len(got), acknowledged+1, "only the last answer may be there unacknowledged")
		for i, a := range got {
			require.Equal(t, ledgertest.Answer(i), a)
		}
		ledgertest.SumsAgree(t, s)
		require.NoError(t, s.Close())
	}
	t.Logf("%d answers acknowledged over five deaths, none lost", acknowledged)
}

// An empty file, and one whose making was cut short, are filled.
func TestHalfMade(t *testing.T) {
	path := filepath.Join(t.TempDir(), "answers.db")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	require.NoError(t, opened(t, path).Add(t.Context(), ledgertest.Answer(0)))

	path = filepath.Join(t.TempDir(), "answers.db")
	db := raw(t, path)
	run(t, db, "PRAGMA journal_mode = WAL")
	require.NoError(t, db.Close())
	require.NoError(t, opened(t, path).Add(t.Context(), ledgertest.Answer(0)))
}

// Several programs make and fill one file at the same time, come and go.
func TestTwoPrograms(t *testing.T) {
	const programs, each = 3, 30
	path := filepath.Join(t.TempDir(), "new", "folder", "answers.db")
	var children []*exec.Cmd
	var outs []*bufio.Scanner
	for p := range programs {
		cmd, out := startChild(t, path, p*each, each)
		children, outs = append(children, cmd), append(outs, out)
	}
	for i, cmd := range children {
		for outs[i].Scan() {
		}
		require.NoError(t, cmd.Wait())
	}
	s := opened(t, path)
	assert.Len(t, answers(t, s), programs*each)
	ledgertest.SumsAgree(t, s)
}

// Many openings of a file that does not exist yet, at once.
func TestOpenAtOnce(t *testing.T) {
	for range 5 {
		path := filepath.Join(t.TempDir(), "answers.db")
		var wg sync.WaitGroup
		for i := range 8 {
			wg.Go(func() {
				s, err := Open(path)
				if assert.NoError(t, err) {
					assert.NoError(t, s.Add(t.Context(), ledgertest.Answer(i)))
					assert.NoError(t, s.Close())
				}
			})
		}
		wg.Wait()
		assert.Len(t, answers(t, opened(t, path)), 8)
	}
}

func TestFileAndFolder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a folder? 100%41 #1", "answers.db")
	s := opened(t, path)
	require.NoError(t, s.Add(t.Context(), ledgertest.Answer(0)))
	assert.Equal(t, path, s.Path())
	if runtime.GOOS != "windows" {
		for name, want := range map[string]fs.FileMode{filepath.Dir(path): 0o700, path: 0o600, path + "-wal": 0o600} {
			info, err := os.Stat(name)
			require.NoError(t, err)
			assert.Equal(t, want, info.Mode().Perm(), name)
		}
	}
	left, err := filepath.Glob(filepath.Join(filepath.Dir(path), ".new-*"))
	require.NoError(t, err)
	assert.Empty(t, left, "left over from making the file")
	for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "busy_timeout": "10000", "foreign_keys": "1"} {
		var got string
		require.NoError(t, s.write.QueryRow("PRAGMA "+pragma).Scan(&got))
		assert.Equal(t, want, got, pragma)
	}
}

func TestAnswersAreOnlyAdded(t *testing.T) {
	path := filepath.Join(t.TempDir(), "answers.db")
	require.NoError(t, opened(t, path).Add(t.Context(), ledgertest.Answer(0)))
	for _, change := range []string{"UPDATE answers SET correct = 1", "DELETE FROM answers"} {
		_, err := raw(t, path).Exec(change)
		assert.ErrorContains(t, err, "only ever added", change)
	}
}

// version1 is a file of version 1 as SQLite's own shell would write it. Never
// edited: it stands for the files people have.
const version1 = `
CREATE TABLE answers (
	seq INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, presentation TEXT NOT NULL, learner TEXT NOT NULL,
	at_ms INTEGER NOT NULL, mode TEXT NOT NULL, strip TEXT NOT NULL, subject TEXT NOT NULL, state TEXT NOT NULL,
	question TEXT NOT NULL, offered TEXT NOT NULL, chosen TEXT NOT NULL, right_answers TEXT NOT NULL,
	correct INTEGER NOT NULL CHECK (correct IN (0, 1)), verdict TEXT NOT NULL, sure TEXT NOT NULL,
	looked TEXT NOT NULL, took_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX answers_by_time ON answers (at_ms, id);
CREATE INDEX answers_by_learner ON answers (learner, at_ms, id);
CREATE INDEX answers_by_subject ON answers (learner, subject, at_ms, id);
CREATE TRIGGER answers_stay BEFORE UPDATE ON answers
BEGIN SELECT RAISE(ABORT, 'answers are only ever added'); END;
CREATE TRIGGER answers_are_kept BEFORE DELETE ON answers
BEGIN SELECT RAISE(ABORT, 'answers are only ever added'); END;
INSERT INTO answers VALUES (1, 'answer-000000', 'showing-000000', 'learner-1', 1772402400000, 'practise',
	'2/ventricular-bigeminy/6y/0', 'ventricular-bigeminy', 'stable', 'rhythm',
	'["sinus-rhythm","ventricular-bigeminy","movement","not-sure"]', 'movement', '["ventricular-bigeminy"]', 0,
	'wrong', 'sure', '[{"what":"pulse","after_ms":1200},{"what":"child","after_ms":3400}]', 4200);
PRAGMA application_id = 1952803948;
PRAGMA user_version = 1;
PRAGMA journal_mode = WAL;`

func TestVersion1(t *testing.T) {
	path := filepath.Join(t.TempDir(), "answers.db")
	db := raw(t, path)
	run(t, db, version1)
	require.NoError(t, db.Close())

	s := opened(t, path)
	require.NoError(t, s.Add(t.Context(), ledgertest.Answer(1)))
	old := ledgertest.Answer(0)
	old.Part, old.Class = "", "" // not known then
	assert.Equal(t, []ledger.Answer{old, ledgertest.Answer(1)}, answers(t, s))
	var version int
	require.NoError(t, s.read.QueryRow("PRAGMA user_version").Scan(&version))
	assert.Equal(t, Version(), version)
	ledgertest.SumsAgree(t, s)
}

// A file copied to another machine is added to on both and brought together again, more
// than once; a copy put back loses what came after it until it is added again. Nothing is
// counted twice.
func TestCopiedLedger(t *testing.T) {
	here, there := filepath.Join(t.TempDir(), "answers.db"), filepath.Join(t.TempDir(), "answers.db")
	list := ledgertest.Mixed(120, 9)
	fill := func(path string, list []ledger.Answer) {
		s, err := Open(path)
		require.NoError(t, err)
		require.NoError(t, s.Add(t.Context(), list...))
		require.NoError(t, s.Close())
	}
	fill(here, list[:40])
	copied, err := os.ReadFile(here)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(there, copied, 0o600))
	fill(here, list[40:80])
	fill(there, list[80:])
	for range 2 {
		fill(here, answers(t, opened(t, there)))
		s := opened(t, here)
		assert.Len(t, answers(t, s), len(list))
		ledgertest.SumsAgree(t, s)
	}
	all := answers(t, opened(t, here))

	back := filepath.Join(t.TempDir(), "answers.db")
	require.NoError(t, os.WriteFile(back, copied, 0o600))
	s := opened(t, back)
	assert.Len(t, answers(t, s), 40)
	ledgertest.SumsAgree(t, s)
	require.NoError(t, s.Add(t.Context(), all...))
	assert.Equal(t, all, answers(t, s))
	ledgertest.SumsAgree(t, s)
}

// Sums that do not come from all answers are noticed when the file is opened, and made
// again; sums that were tampered with do not agree until they are rebuilt.
func TestSumsAreMended(t *testing.T) {
	path := filepath.Join(t.TempDir(), "answers.db")
	s := opened(t, path)
	require.NoError(t, s.Add(t.Context(), ledgertest.Mixed(50, 1)...))
	db := raw(t, path)
	run(t, db, "DROP TRIGGER answers_are_summed")
	require.NoError(t, s.Add(t.Context(), ledgertest.Mixed(50, 2)...))
	agree, err := s.CheckSums(t.Context())
	require.NoError(t, err)
	assert.False(t, agree)
	again := opened(t, path)
	ledgertest.SumsAgree(t, again)

	run(t, db, "UPDATE sums SET named = named + 1")
	agree, err = again.CheckSums(t.Context())
	require.NoError(t, err)
	assert.False(t, agree)
	require.NoError(t, again.RebuildSums(t.Context()))
	agree, err = again.CheckSums(t.Context())
	require.NoError(t, err)
	assert.True(t, agree)
	ledgertest.SumsAgree(t, again)
}

// files reads the folder: name to content and time of last change.
func files(t *testing.T, dir string) map[string]string {
	t.Helper()
	found := map[string]string{}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), "-shm") {
			continue // locks and an index over the log: written by every reader
		}
		info, err := e.Info()
		require.NoError(t, err)
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		require.NoError(t, err)
		found[e.Name()] = info.ModTime().String() + string(data)
	}
	return found
}

func TestRefusedUntouched(t *testing.T) {
	for _, c := range []struct {
		name string
		kind error
		make func(t *testing.T, path string)
	}{
		{"newer", ledger.ErrNewer, func(t *testing.T, path string) {
			db := raw(t, path)
			run(t, db, version1+"PRAGMA user_version = 99")
			require.NoError(t, db.Close())
		}},
		{"newer, which only the write-ahead log says", ledger.ErrNewer, func(t *testing.T, path string) {
			db := raw(t, path)
			db.SetMaxOpenConns(1)
			run(t, db, version1)
			run(t, db, "PRAGMA user_version = 99") // stays open: nothing is folded in
		}},
		{"another program's", ledger.ErrNotLedger, func(t *testing.T, path string) {
			db := raw(t, path)
			run(t, db, "CREATE TABLE bookmarks (url TEXT)")
			require.NoError(t, db.Close())
		}},
		{"text", ledger.ErrNotLedger, func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path, []byte(strings.Repeat("dear diary ", 50)), 0o600))
		}},
		{"a few bytes", ledger.ErrNotLedger, func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path, []byte("x"), 0o600))
		}},
		{"cut off in the header", ledger.ErrDamaged, func(t *testing.T, path string) {
			require.NoError(t, os.WriteFile(path, []byte("SQLite format 3\x00\x10\x00"), 0o600))
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "answers.db")
			c.make(t, path)
			old := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
			require.NoError(t, os.Chtimes(path, old, old))
			before := files(t, filepath.Dir(path))
			_, err := Open(path)
			var e *ledger.FileError
			require.ErrorAs(t, err, &e)
			assert.ErrorIs(t, err, c.kind)
			assert.Equal(t, path, e.Path)
			assert.NotEmpty(t, e.Advice)
			if c.kind == ledger.ErrNewer {
				assert.Equal(t, 99, e.Version)
				assert.Equal(t, Version(), e.Ours)
				assert.ErrorContains(t, err, "nothing was changed")
			}
			assert.Equal(t, before, files(t, filepath.Dir(path)), "the folder was touched")
			t.Log(err)
		})
	}
}

// A page in the middle of the file is overwritten: the reader is told, and nothing
// panics.
func TestDamaged(t *testing.T) {
	path := filepath.Join(t.TempDir(), "answers.db")
	s, err := Open(path)
	require.NoError(t, err)
	for n := range 200 {
		require.NoError(t, s.Add(t.Context(), ledgertest.Answer(n)))
	}
	require.NoError(t, s.Close())
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	for i := 4096; i < len(data); i++ {
		data[i] = 0xa5
	}
	require.NoError(t, os.WriteFile(path, data, 0o600))
	s, err = Open(path)
	if err == nil {
		_, err = ledger.Collect(s.Answers(t.Context(), ledger.Query{}))
		assert.NoError(t, s.Close())
	}
	assert.ErrorIs(t, err, ledger.ErrDamaged)
	t.Log(err)
}

func TestUnwritable(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	paths := map[string]string{
		"a folder":             dir,
		"below a file":         filepath.Join(file, "telltrace", "answers.db"),
		"name is far too long": filepath.Join(dir, strings.Repeat("x", 300)),
	}
	if runtime.GOOS != "windows" && os.Geteuid() != 0 { // root may write everywhere
		locked := filepath.Join(dir, "locked")
		require.NoError(t, os.Mkdir(locked, 0o500))
		paths["a folder without permission"] = filepath.Join(locked, "answers.db")
		paths["a new folder in one without permission"] = filepath.Join(locked, "telltrace", "answers.db")

		made := filepath.Join(dir, "made")
		paths["a file without permission"] = filepath.Join(made, "answers.db")
		s, err := Open(filepath.Join(made, "answers.db"))
		require.NoError(t, err)
		require.NoError(t, s.Close())
		require.NoError(t, os.Chmod(filepath.Join(made, "answers.db"), 0o400))

		closed := filepath.Join(dir, "closed")
		paths["a file in a folder without permission"] = filepath.Join(closed, "answers.db")
		s, err = Open(filepath.Join(closed, "answers.db"))
		require.NoError(t, err)
		require.NoError(t, s.Close())
		require.NoError(t, os.Chmod(closed, 0o500))
		t.Cleanup(func() { os.Chmod(closed, 0o700) })
	}
	for name, path := range paths {
		_, err := Open(path)
		var e *ledger.FileError
		if assert.ErrorAs(t, err, &e, name) {
			assert.ErrorIs(t, err, ledger.ErrUnwritable, name)
			assert.NotEmpty(t, e.Advice)
			t.Log(name, ": ", err)
		}
	}
}

// The disk is full while answers are added: the error says so, what was
// acknowledged stays, and there is no panic. SQLite's own limit on the number of
// pages stands in for the disk.
func TestDiskFull(t *testing.T) {
	s := opened(t, filepath.Join(t.TempDir(), "answers.db"))
	require.NoError(t, s.Add(t.Context(), ledgertest.Answer(0)))
	_, err := s.write.Exec("PRAGMA max_page_count = 20")
	require.NoError(t, err)
	n := 1
	for ; n < 1000 && err == nil; n++ {
		err = s.Add(t.Context(), ledgertest.Answer(n))
	}
	require.ErrorIs(t, err, ledger.ErrUnwritable)
	assert.ErrorContains(t, err, "full")
	assert.Len(t, answers(t, s), n-1)
}
