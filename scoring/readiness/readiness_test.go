package readiness_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/scoring/readiness"
	"telltrace/scoring/stats"
	"telltrace/synth"
	"telltrace/synth/ecg"
)

var start = time.Date(2026, 3, 2, 20, 0, 0, 0, time.UTC)

// A sitting is one block as somebody answered it.
type sitting struct {
	day      int
	missed   int           // arrests called artifact
	called   int           // harmless strips called an arrest
	took     time.Duration // for each arrest
	strips   int           // answered; 0 for all
	critical bool
}

// answer plays blocks drawn from the blueprint.
func answer(t *testing.T, r readiness.Rules, sittings ...sitting) []ledger.Answer {
	t.Helper()
	rng := rand.New(rand.NewPCG(1, 2))
	var out []ledger.Answer
	for k, s := range sittings {
		items := r.Blueprint(synth.Lessons(), readiness.Done(out), rng)
		for i, item := range items {
			if s.strips > 0 && i >= s.strips {
				break
			}
			l, ok := synth.Lesson(item.Subject)
			require.True(t, ok, item.Subject)
			a := ledger.Answer{
				ID: fmt.Sprintf("%d-%d", k, i), Presentation: ledger.Showing(fmt.Sprint("block", k), i+1, len(items)),
				Learner: "learner", At: start.AddDate(0, 0, s.day).Add(time.Duration(i) * 20 * time.Second),
				Mode: ledger.Check, Subject: item.Subject, State: l.States[0], Question: ledger.Rhythm,
				Chosen: item.Subject, Correct: true, Verdict: ledger.Right, Took: s.took,
			}
			switch {
			case readiness.IsArrest(l) && s.missed > 0:
				s.missed--
				a.Chosen, a.Correct, a.Verdict = "premature-ventricular-beats", false, ledger.Wrong
				if s.critical {
					a.Chosen, a.Verdict = "movement", ledger.Critical
				}
			case !readiness.IsArrest(l) && s.called > 0:
				s.called--
				a.Chosen, a.Correct, a.Verdict = "asystole", false, ledger.Wrong
			}
			out = append(out, a)
		}
	}
	return out
}

func decide(r readiness.Rules, answers []ledger.Answer, after int) readiness.Decision {
	return readiness.Decide(r, answers, synth.Lessons(), start.AddDate(0, 0, after), time.UTC)
}

// The rules of the default file, each shown by a run of blocks that meets all the
// others.
func TestDecide(t *testing.T) {
	t.Parallel()
	good := func(day int) sitting { return sitting{day: day, took: 5 * time.Second} }
	with := func(s sitting, change func(*sitting)) sitting { change(&s); return s }
	for _, tt := range []struct {
		name   string
		blocks []sitting
		after  int
		want   readiness.Status
		says   string // in what is lacking
	}{
		{"nothing yet", nil, 0, readiness.NotYet, "blocks on 3 different days (so far 0)"},
		{"three days, a week apart", []sitting{good(0), good(1), good(7)}, 7, readiness.Ready, ""},
		{"three blocks on two days", []sitting{good(0), good(7), good(7)}, 7, readiness.NotYet, "3 different days (so far 2)"},
		{"three days within a week", []sitting{good(0), good(1), good(6)}, 6, readiness.NotYet, "at least 7 days after the first"},
		{"two blocks are 28 arrests", []sitting{good(0), good(7)}, 7, readiness.NotYet, "arrests recognised: 28 of 28"},
		{"one missed in 42", []sitting{good(0), with(good(1), func(s *sitting) { s.missed = 1 }), good(7)}, 7, readiness.NotYet, "41 of 42"},
		{"one missed in 56", []sitting{good(0), with(good(1), func(s *sitting) { s.missed = 1 }), good(7), good(8)}, 8, readiness.Ready, ""},
		{"two missed in 56", []sitting{good(0), with(good(1), func(s *sitting) { s.missed = 2 }), good(7), good(8)}, 8, readiness.NotYet, "54 of 56"},
		{"misses long ago", []sitting{with(good(0), func(s *sitting) { s.missed = 9 }), good(6), good(7), good(8)}, 8, readiness.Ready, ""},
		{"a critical error", []sitting{good(0), with(good(1), func(s *sitting) { s.missed, s.critical = 1, true }), good(7), good(8)}, 8,
			readiness.NotYet, "critical errors (1)"},
		{"everything called an arrest", []sitting{with(good(0), func(s *sitting) { s.called = 14 }), good(1), good(7)}, 7,
			readiness.NotYet, "called an arrest (14 of 42)"},
		{"slow", []sitting{with(good(0), func(s *sitting) { s.took = 20 * time.Second }), with(good(1), func(s *sitting) { s.took = 20 * time.Second }), good(7)}, 7,
			readiness.NotYet, "within 10 s (now 20.0 s)"},
		{"a block broken off decides nothing", []sitting{good(0), good(1), with(good(7), func(s *sitting) { s.strips = 20 })}, 7,
			readiness.NotYet, "28 of 28"},
		{"lapses after three weeks", []sitting{good(0), good(1), good(7)}, 29, readiness.Lapsed, "another block"},
		{"checked again after two weeks", []sitting{good(0), good(1), good(7), good(21)}, 60, readiness.Ready, ""},
		{"checked again the next day", []sitting{good(0), good(1), good(7), good(8)}, 29, readiness.Lapsed, "another block"},
		{"lapses three months after the second", []sitting{good(0), good(1), good(7), good(21)}, 21 + 91, readiness.Lapsed, "another block"},
		{"ready again after lapsing", []sitting{good(0), good(1), good(7), good(90)}, 91, readiness.Ready, ""},
		{"lost when checked again", []sitting{good(0), good(1), good(7), with(good(21), func(s *sitting) { s.missed = 2 })}, 21, readiness.NotYet, "misse"},
	} {
		r := readiness.Default()
		d := decide(r, answer(t, r, tt.blocks...), tt.after)
		assert.Equal(t, tt.want, d.Status, "%s: %s", tt.name, strings.Join(d.Lacking, "; "))
		assert.Contains(t, strings.Join(d.Lacking, "; "), tt.says, tt.name)
		if d.Status == readiness.Ready {
			assert.Empty(t, d.Lacking, tt.name)
		}
	}
}

// Answers in any order, or twice, decide the same.
func TestDecideWithoutOrder(t *testing.T) {
	t.Parallel()
	r := readiness.Default()
	answers := answer(t, r, sitting{day: 0, took: time.Second}, sitting{day: 3, took: time.Second}, sitting{day: 8, took: time.Second})
	want := decide(r, answers, 8)
	rng := rand.New(rand.NewPCG(3, 4))
	mixed := append(answers[:len(answers):len(answers)], answers...)
	rng.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
	assert.Equal(t, want, decide(r, mixed, 8))
}

// A block holds what the rules ask for, and three blocks hold every arrest rhythm
// often enough.
func TestBlueprint(t *testing.T) {
	t.Parallel()
	r := readiness.Default()
	rng := rand.New(rand.NewPCG(5, 6))
	done := map[string]int{}
	for range 3 {
		items := r.Blueprint(synth.Lessons(), done, rng)
		require.Len(t, items, r.Block.Arrest+r.Block.Harmless)
		severity := map[ecg.Severity]int{}
		arrest := 0
		for _, item := range items {
			done[item.Subject]++
			severity[item.Severity]++
			if l, _ := synth.Lesson(item.Subject); readiness.IsArrest(l) {
				arrest++
			}
		}
		assert.Equal(t, r.Block.Arrest, arrest)
		assert.Equal(t, map[ecg.Severity]int{ecg.Plain: 14, ecg.Middle: 10, ecg.Subtle: 4}, severity, "50, 35 and 15 per cent of 28")
	}
	for _, l := range synth.Lessons() {
		if readiness.IsArrest(l) {
			assert.GreaterOrEqual(t, done[l.ID], r.Arrest.Each, l.ID)
		}
	}
}

// The figures in the package comment (binomial distribution).
func TestArithmetic(t *testing.T) {
	t.Parallel()
	assert.InDelta(t, 0.17, stats.AtMost(0, 35, 0.05), 0.005)
	assert.InDelta(t, 0.25, stats.AtMost(1, 53, 0.05), 0.005)
	assert.InDelta(t, 0.70, stats.AtMost(0, 35, 0.01), 0.005)
	assert.InDelta(t, 0.90, stats.AtMost(1, 53, 0.01), 0.005)
}

func TestRulesAreChecked(t *testing.T) {
	t.Parallel()
	good := string(readiness.BuiltIn())
	for _, tt := range []struct{ from, to, says string }{
		{"plain: 50", "plain: 60", "mine.yaml:7:3: severity: the three add up to 110; want 100"},
		{"least: 3", "leest: 3", `mine.yaml:10:3: days knows no "leest"; did you mean least?`},
		{"misses: 0}", "misses: 40}", "mine.yaml:15:8: pass: 40 misses in 35 strips; want fewer misses than strips"},
		{"median-seconds: 10", "median-seconds: never", "mine.yaml:"},
		{"[21, 90]", "[90, 21]", "mine.yaml:26:20: recheck-days: 21 comes after 90; want rising days"},
		{"strips: 40", "strips: -1", "mine.yaml:21:11: strips is -1; want 1 to 1000"},
	} {
		text := strings.Replace(good, tt.from, tt.to, 1)
		require.NotEqual(t, good, text, tt.from)
		_, err := readiness.Parse("mine.yaml", []byte(text))
		assert.ErrorContains(t, err, tt.says)
		assert.ErrorContains(t, err, "mine.yaml")
	}
	_, err := readiness.Parse("mine.yaml", []byte(strings.Repeat("# mine\n", 1<<20)))
	assert.ErrorContains(t, err, "mine.yaml")
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(readiness.BuiltIn()))
	f.Add([]byte("block: [1"))
	f.Fuzz(func(t *testing.T, text []byte) { _, _ = readiness.Parse("fuzz.yaml", text) })
}
