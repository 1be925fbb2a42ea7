package handin

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/scoring/ledger/ledgertest"
	"telltrace/scoring/ledger/sqlite"
)

var day = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

// kept is a ledger with answers.
func kept(t testing.TB, answers ...ledger.Answer) *ledger.Memory {
	t.Helper()
	m := ledger.NewMemory()
	require.NoError(t, m.Add(t.Context(), answers...))
	return m
}

func series(n int) (out []ledger.Answer) {
	for i := range n {
		out = append(out, ledgertest.Answer(i))
	}
	return out
}

func written(t testing.TB, from ledger.Store, s Sender) []byte {
	t.Helper()
	var b bytes.Buffer
	_, err := Write(t.Context(), &b, from, s)
	require.NoError(t, err)
	return b.Bytes()
}

func all(t testing.TB, s ledger.Store) []ledger.Answer {
	t.Helper()
	list, err := ledger.Collect(s.Answers(t.Context(), ledger.Query{}))
	require.NoError(t, err)
	return list
}

// Every field arrives: the wire form has one for each field of an answer but the learner,
// who stands in the head.
func TestEveryFieldArrives(t *testing.T) {
	assert.Equal(t, reflect.TypeFor[ledger.Answer]().NumField()-1, reflect.TypeFor[wire]().NumField())
	answers := series(7)
	answers[3].Offered, answers[3].Looked, answers[3].Chosen, answers[3].Correct = nil, nil, "", true
	file := written(t, kept(t, answers...), Sender{Learner: "learner-1", Made: day, Word: "oak"})
	class := ledger.NewMemory()
	got, err := Collect(t.Context(), class, "ann.hand", bytes.NewReader(file), "oak")
	require.NoError(t, err)
	assert.Equal(t, Received{Learner: "learner-1", Made: day, Answers: 7, Added: 7}, got)
	assert.Equal(t, answers, all(t, class))
}

// Hostile names are data like any other.
func TestHostileNames(t *testing.T) {
	a := ledgertest.Answer(0)
	a.Learner = "=1+1\u202e\"<b>\n" + strings.Repeat("x", 10_000)
	class := ledger.NewMemory()
	_, err := Collect(t.Context(), class, "f", bytes.NewReader(written(t, kept(t, a), Sender{Learner: a.Learner, Made: day})), "")
	require.NoError(t, err)
	assert.Equal(t, []ledger.Answer{a}, all(t, class))
}

// Ten thousand files, collected twice in other orders, half finished or whole, make the same
// ledger.
func TestCollectedTwiceInAnyOrder(t *testing.T) {
	learners := 5000
	if testing.Short() {
		learners = 200
	}
	rng := rand.New(rand.NewPCG(1, 0))
	var files [][]byte
	for l := range learners {
		mine := series(3)
		for i := range mine {
			mine[i].ID, mine[i].Learner = fmt.Sprintf("%d-%d", l, i), fmt.Sprintf("nurse %d", l)
		}
		for _, n := range []int{1, 3} { // an early file and a late one, which holds it
			files = append(files, written(t, kept(t, mine[:n]...), Sender{Learner: mine[0].Learner, Made: day}))
		}
	}
	class, err := sqlite.Open(filepath.Join(t.TempDir(), "class.db"))
	require.NoError(t, err)
	defer class.Close()
	var once []ledger.Answer
	for round, want := range []int{3 * learners, 0} {
		rng.Shuffle(len(files), func(i, j int) { files[i], files[j] = files[j], files[i] })
		added := 0
		for _, f := range files {
			r, err := Collect(t.Context(), class, "f", bytes.NewReader(f), "")
			require.NoError(t, err)
			added += r.Added
		}
		assert.Equal(t, want, added)
		if round == 0 {
			once = all(t, class)
		}
		assert.Equal(t, once, all(t, class))
	}
}

// Under another name, and under both: no answer stands against itself.
func TestUnderAnotherName(t *testing.T) {
	home := kept(t, series(3)...)
	class := ledger.NewMemory()
	for _, as := range []string{"", "Ann", "Ann"} {
		_, err := Collect(t.Context(), class, "f", bytes.NewReader(written(t, home, Sender{Learner: "learner-1", As: as, Made: day})), "")
		require.NoError(t, err)
	}
	names, err := class.Learners(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []string{"Ann", "learner-1"}, names)
	assert.Len(t, all(t, class), 6)
}

// What was changed is noticed and named, and nothing of the file is added.
func TestTampering(t *testing.T) {
	whole := written(t, kept(t, series(5)...), Sender{Learner: "learner-1", Made: day})
	lines := func() []string { return strings.SplitAfter(strings.TrimSuffix(string(whole), "\n"), "\n") }
	for name, c := range map[string]struct {
		change func(l []string) string
		want   string
	}{
		"an answer made right": {func(l []string) string {
			l[2] = strings.Replace(l[2], `"correct":false`, `"correct":true`, 1)
			return strings.Join(l, "")
		}, "f:3: this line or the one before it was changed"},
		"an answer taken out":   {func(l []string) string { return strings.Join(slices.Delete(l, 3, 4), "") }, "f:4: this line or the one before"},
		"an answer twice":       {func(l []string) string { return strings.Join(slices.Insert(l, 2, l[1]), "") }, "f:3: this line"},
		"two answers exchanged": {func(l []string) string { l[2], l[3] = l[3], l[2]; return strings.Join(l, "") }, "f:3: this line"},
		"another learner": {func(l []string) string {
			l[0] = strings.Replace(l[0], "learner-1", "learner-2", 1)
			return strings.Join(l, "")
		}, "f:2: this line"},
		"cut off":              {func(l []string) string { return strings.Join(l[:4], "") }, "f:4: it was cut off after 3 answers"},
		"cut off in a line":    {func([]string) string { return string(whole[:len(whole)-150]) }, "damaged"},
		"the end made shorter": {func(l []string) string { return l[0] + l[1] + l[6] }, "f:3: the last line does not fit the 1 answers"},
		"more after the end":   {func(l []string) string { return strings.Join(l, "") + "\n" + l[1] }, "added after the end"},
		"empty":                {func([]string) string { return "" }, "f:1: the file is empty"},
		"another file":         {func([]string) string { return "dear diary\n" }, "f:1: this is no hand-in file"},
		"newer":                {func(l []string) string { return strings.Replace(l[0], `"version":1`, `"version":9`, 1) }, "newer telltrace"},
		"no learner":           {func(l []string) string { return strings.Replace(l[0], `"learner-1"`, `""`, 1) }, "whose answers"},
		"an endless line":      {func(l []string) string { return l[0] + strings.Repeat("x", most+1) }, "longer than"},
	} {
		class := ledger.NewMemory()
		_, err := Collect(t.Context(), class, "f", strings.NewReader(c.change(lines())), "")
		assert.ErrorContains(t, err, c.want, name)
		assert.ErrorContains(t, err, "nothing of this file was added", name)
		assert.Empty(t, all(t, class), name)
	}
}

// With a word only who knows it can make a file that holds.
func TestWord(t *testing.T) {
	home := kept(t, series(2)...)
	sealed, plain := written(t, home, Sender{Learner: "learner-1", Made: day, Word: "oak"}), written(t, home, Sender{Learner: "learner-1", Made: day})
	for word, c := range map[string]struct {
		file []byte
		want string
	}{
		"elm": {sealed, "does not fit the word"},
		"":    {sealed, "give it with --word"},
		"oak": {plain, "not sealed with the word"},
	} {
		_, err := Collect(t.Context(), ledger.NewMemory(), "f", bytes.NewReader(c.file), word)
		assert.ErrorContains(t, err, c.want)
	}
}

// An answer that another ledger has with other content is refused and named.
func TestConflict(t *testing.T) {
	a := ledgertest.Answer(0)
	changed := a
	changed.Chosen = "asystole"
	class := kept(t, a)
	_, err := Collect(t.Context(), class, "f", bytes.NewReader(written(t, kept(t, changed), Sender{Learner: "learner-1", Made: day})), "")
	var conflict *ledger.ConflictError
	require.ErrorAs(t, err, &conflict)
	assert.Equal(t, "Chosen", conflict.Field)
	assert.Equal(t, []ledger.Answer{a}, all(t, class))
}

func FuzzCollect(f *testing.F) {
	f.Add(written(f, kept(f, series(2)...), Sender{Learner: "learner-1", Made: day}), "")
	f.Add([]byte("{}\n{}\n"), "oak")
	f.Fuzz(func(t *testing.T, file []byte, word string) {
		class := ledger.NewMemory()
		r, err := Collect(t.Context(), class, "f", bytes.NewReader(file), word)
		if err != nil {
			assert.Empty(t, all(t, class))
		} else {
			assert.LessOrEqual(t, r.Added, r.Answers)
		}
	})
}
