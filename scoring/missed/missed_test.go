package missed

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
)

// history reads answers written one per line:
//
//	DAY CLOCK MODE STRIP CHOSEN [QUESTION] [word...]
//
// The strip "v1" is about ventricular-bigeminy, "s1" about sinus-rhythm. Chosen is
// marked right when it is the strip's subject (for the first action: "assess-tell").
// Offered are all three answers, or without "movement" after the word "bare"; "sure"
// and the states "poor" and "stable" are other words.
func history(t *testing.T, text string) []ledger.Answer {
	t.Helper()
	var list []ledger.Answer
	for line := range strings.Lines(strings.TrimSpace(text)) {
		w := strings.Fields(line)
		require.GreaterOrEqual(t, len(w), 5, line)
		var day, hour, minute int
		_, err := fmt.Sscanf(w[0]+" "+w[1], "%d %d:%d", &day, &hour, &minute)
		require.NoError(t, err, line)
		subject := map[byte]string{'v': "ventricular-bigeminy", 's': "sinus-rhythm"}[w[3][0]]
		a := ledger.Answer{
			ID: fmt.Sprintf("id-%03d", len(list)), Learner: "me", Presentation: "p", Mode: ledger.Mode(w[2]),
			At:    time.Date(2026, 3, day, hour, minute, 0, 0, time.UTC),
			Strip: "2/" + subject + "/6y/" + w[3][1:], Subject: subject, State: ecg.Stable, Question: ledger.Rhythm,
			Offered: []string{subject, "movement", "not-sure"}, Chosen: w[4], Right: []string{subject},
		}
		for _, word := range w[5:] {
			switch word {
			case "action":
				a.Question, a.Right = ledger.FirstAction, []string{"assess-tell"}
				a.Offered = []string{"assess-tell", "chart", "look-call"}
			case "bare":
				a.Offered = []string{subject, "asystole", "not-sure"}
			case "sure":
				a.Sure = ledger.Sure
			case "poor":
				a.State = ecg.PoorPerfusion
			default:
				t.Fatalf("unknown word %q", word)
			}
		}
		if a.Chosen == "right" {
			a.Chosen = a.Right[0]
		}
		a.Correct = a.Chosen == a.Right[0]
		a.Verdict = map[bool]ledger.Verdict{true: ledger.Right, false: ledger.Wrong}[a.Correct]
		_, err = ledger.Clean(a)
		require.NoError(t, err, line)
		list = append(list, a)
	}
	return list
}

// brief writes what is in the log: strip, question, times, what is left.
func brief(misses []Miss) []string {
	out := []string{}
	for _, m := range misses {
		strip := m.Subject[:1] + m.Strip[strings.LastIndex(m.Strip, "/")+1:]
		out = append(out, fmt.Sprintf("%s %s x%d: %s", strip, m.Question, m.Times, m.Left()))
	}
	return out
}

const allLeft = "one right answer on this same strip and two right answers on fresh strips, on at least two days"

func TestRule(t *testing.T) {
	for _, c := range []struct {
		rule, history string
		want          []string
	}{
		{"a right answer puts nothing in the log",
			`1 22:00 practise v1 right`, nil},
		{"a wrong answer does",
			`1 22:00 practise v1 movement`, []string{"v1 rhythm x1: " + allLeft}},
		{"each question by itself", `
			1 22:00 practise v1 movement
			1 22:01 practise v1 chart action`,
			[]string{"v1 first-action x1: " + allLeft, "v1 rhythm x1: " + allLeft}},
		{"the last missed comes first", `
			1 22:00 practise v1 movement
			2 22:00 practise s1 movement
			3 22:00 practise v2 movement`,
			[]string{"v2 rhythm x1: " + allLeft, "s1 rhythm x1: " + allLeft, "v1 rhythm x1: " + allLeft}},
		{"a right replay is one step", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right`,
			[]string{"v1 rhythm x1: two right answers on fresh strips, at least one of them on another day"}},
		{"replays do not stand for fresh strips", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			2 22:05 replay v1 right
			3 22:05 replay v1 right`,
			[]string{"v1 rhythm x1: two right answers on fresh strips"}},
		{"fresh strips do not stand for the replay", `
			1 22:00 practise v1 movement
			2 22:00 fresh v2 right
			3 22:00 fresh v3 right
			4 22:00 fresh v4 right`,
			[]string{"v1 rhythm x1: one right answer on this same strip"}},
		{"replay and two fresh strips on two days: it leaves", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			1 22:06 fresh v2 right
			2 22:00 fresh v3 right`, nil},
		{"in any order", `
			1 22:00 practise v1 movement
			2 22:06 fresh v2 right
			3 22:00 fresh v3 right
			3 22:05 replay v1 right`, nil},
		{"one fresh strip is one short, and the day is as well", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			1 22:06 fresh v2 right`,
			[]string{"v1 rhythm x1: one more right answer on a fresh strip, on another day"}},
		{"all on one day: another day is left", `
			1 20:00 practise v1 movement
			1 20:05 replay v1 right
			1 20:06 fresh v2 right
			1 20:07 fresh v3 right`,
			[]string{"v1 rhythm x1: one more right answer, on another day"}},
		{"which a replay on another day supplies", `
			1 20:00 practise v1 movement
			1 20:05 replay v1 right
			1 20:06 fresh v2 right
			1 20:07 fresh v3 right
			2 20:00 replay v1 right`, nil},
		{"or a fresh strip on another day", `
			1 20:00 practise v1 movement
			1 20:05 replay v1 right
			1 20:06 fresh v2 right
			1 20:07 fresh v3 right
			2 20:00 fresh v4 right`, nil},
		{"the day of the miss itself does not count", `
			1 22:00 practise v1 movement
			2 22:05 replay v1 right
			2 22:06 fresh v2 right
			2 22:07 fresh v3 right`,
			[]string{"v1 rhythm x1: one more right answer, on another day"}},
		{"a new strip met in practice, a drill or a check is as fresh", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			2 22:06 practise v2 right
			2 22:07 check v3 right`, nil},
		{"a strip seen before is not fresh", `
			1 21:00 practise v2 right
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			2 22:00 fresh v2 right
			2 22:01 fresh v3 right`,
			[]string{"v1 rhythm x1: one more right answer on a fresh strip"}},
		{"the same fresh strip twice counts once", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			2 22:00 fresh v2 right
			2 22:01 fresh v2 right`,
			[]string{"v1 rhythm x1: one more right answer on a fresh strip"}},
		{"the missed strip itself outside a replay is neither", `
			1 22:00 practise v1 movement
			2 22:00 fresh v1 right`,
			[]string{"v1 rhythm x1: " + allLeft}},
		{"without the confused one among the choices it does not count", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			2 22:00 fresh v2 right bare
			2 22:01 fresh v3 right`,
			[]string{"v1 rhythm x1: one more right answer on a fresh strip"}},
		{"another subject does not count", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			2 22:00 fresh s2 right
			2 22:01 fresh s3 right`,
			[]string{"v1 rhythm x1: two right answers on fresh strips, at least one of them on another day"}},
		{"another question does not count", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right action
			2 22:00 fresh v2 right action`,
			[]string{"v1 rhythm x1: " + allLeft}},
		{"for the first action another state of the patient does not count", `
			1 22:00 practise v1 chart action
			1 22:05 replay v1 right action
			2 22:00 fresh v2 right action poor
			2 22:00 fresh v3 right action`,
			[]string{"v1 first-action x1: one more right answer on a fresh strip"}},
		{"for the name it does", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			2 22:00 fresh v2 right poor
			2 22:00 fresh v3 right`, nil},
		{"right answers before the miss do not count", `
			1 22:00 practise v2 right
			1 22:01 practise v3 right
			2 22:00 practise v1 movement
			2 22:05 replay v1 right`,
			[]string{"v1 rhythm x1: two right answers on fresh strips, at least one of them on another day"}},
		{"an answer of the same moment is not after it", `
			1 22:00 practise v1 movement
			1 22:00 replay v1 right
			1 22:00 fresh v2 right`,
			[]string{"v1 rhythm x1: " + allLeft}},
		{"wrong again starts anew", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			2 22:00 fresh v2 right
			2 22:01 replay v1 not-sure`,
			[]string{"v1 rhythm x2: " + allLeft}},
		{"also after it has left", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			1 22:06 fresh v2 right
			2 22:00 fresh v3 right
			9 22:00 replay v1 movement`,
			[]string{"v1 rhythm x2: " + allLeft}},
		{"a wrong answer on a fresh strip is a miss of its own", `
			1 22:00 practise v1 movement
			1 22:05 replay v1 right
			2 22:00 fresh v2 movement
			2 22:01 fresh v3 right`,
			[]string{"v2 rhythm x1: one right answer on this same strip and one more right answer on a fresh strip, at least one of them on another day",
				"v1 rhythm x1: one more right answer on a fresh strip"}},
	} {
		h := history(t, c.history)
		if c.want == nil {
			c.want = []string{}
		}
		assert.Equal(t, c.want, brief(List(h, nil)), c.rule)
	}
}

func TestMiss(t *testing.T) {
	h := history(t, `
		1 22:00 practise v1 movement
		2 22:00 replay v1 not-sure sure
		2 22:05 fresh v2 right`)
	assert.Equal(t, []Miss{{
		Strip: "2/ventricular-bigeminy/6y/1", Subject: "ventricular-bigeminy", State: ecg.Stable, Question: ledger.Rhythm,
		Right: []string{"ventricular-bigeminy"}, ConfusedWith: "not-sure", First: h[0].At, Last: h[1].At, Times: 2,
		Verdict: ledger.Wrong, SureAndWrong: true, Fresh: 1, Days: 1,
	}}, List(h, nil))
}

// A calendar day is the learner's, not that of the clock in UTC.
func TestDaysOfTheLearner(t *testing.T) {
	h := history(t, `
		1 12:00 practise v1 movement
		1 22:30 replay v1 right
		1 22:40 fresh v2 right
		1 23:30 fresh v3 right`)
	assert.Len(t, List(h, time.UTC), 1)
	assert.Empty(t, List(h, time.FixedZone("an hour east", 3600)), "23:30 UTC is half past midnight there")
}

// A difference of naming is marked near but counts as right: no miss.
func TestNearThatCounts(t *testing.T) {
	h := history(t, `1 22:00 practise v1 movement`)
	h[0].Verdict, h[0].Correct = ledger.Near, true
	assert.Empty(t, List(h, nil))
}

// When time ran out nothing was chosen; any fresh strip of the subject will do.
func TestTimeRanOut(t *testing.T) {
	h := history(t, `
		1 22:00 drill v1 movement
		1 22:05 replay v1 right
		2 22:00 fresh v2 right bare
		2 22:01 fresh v3 right bare`)
	assert.Len(t, List(h, nil), 1)
	h[0].Chosen = ""
	assert.Empty(t, List(h, nil))
}

// A fresh strip on which the answer once given in error is right tests nothing.
func TestConfusedIsRightHere(t *testing.T) {
	h := history(t, `
		1 22:00 practise v1 chart action
		1 22:05 replay v1 right action
		2 22:00 fresh v2 right action
		2 22:01 fresh v3 right action`)
	assert.Empty(t, List(h, nil))
	h[3].Right = []string{"assess-tell", "chart"}
	assert.Len(t, List(h, nil), 1)
}

// The log depends on what was answered when, and on nothing else: not on the order
// in which answers arrive (many share a time), nor on answers that arrive twice, and
// it leaves its input alone.
func TestOrderAndDuplicatesDoNotMatter(t *testing.T) {
	seen := map[bool]int{}
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 7))
		var lines []string
		for range 5 + r.IntN(60) {
			pick := func(words ...string) string { return words[r.IntN(len(words))] }
			lines = append(lines, fmt.Sprintf("%d %02d:0%d %s %s%d %s %s", 1+r.IntN(4), 20+r.IntN(2), r.IntN(3),
				pick("practise", "replay", "replay", "fresh", "check"), pick("v", "v", "v", "s"), r.IntN(12),
				pick("right", "right", "right", "movement", "not-sure"), pick("", "", "bare", "poor")))
		}
		h := history(t, strings.Join(lines, "\n"))
		want := List(h, nil)
		for _, m := range want {
			seen[m.Replayed || m.Fresh > 0]++
			assert.NotEmpty(t, m.Left(), "in the log with nothing left to do, seed %d", seed)
			assert.False(t, m.Replayed && m.Fresh >= FreshNeeded && m.Days >= DaysNeeded, "should have left, seed %d", seed)
		}
		mixed := append(h[:len(h):len(h)], h[:r.IntN(len(h)+1)]...)
		r.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		before := append([]ledger.Answer(nil), mixed...)
		require.Equal(t, want, List(mixed, nil), "seed %d", seed)
		require.Equal(t, before, mixed, "the input was changed, seed %d", seed)
	}
	assert.Positive(t, seen[true], "the cases never made progress")
	assert.Positive(t, seen[false])
}

func TestEmpty(t *testing.T) { assert.Empty(t, List(nil, nil)) }

// BenchmarkList: ten thousand answers of one learner, a fifth of them wrong.
func BenchmarkList(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	var h []ledger.Answer
	for n := range 10_000 {
		subject := fmt.Sprintf("subject-%d", r.IntN(14))
		a := ledger.Answer{ID: fmt.Sprintf("%06d", n), Strip: fmt.Sprintf("2/%s/6y/%d", subject, n), Subject: subject,
			At: time.Unix(int64(n)*60, 0), Mode: ledger.Practise, Question: ledger.Rhythm,
			Offered: []string{subject, "movement", "not-sure"}, Chosen: "movement", Right: []string{subject}}
		if r.IntN(5) > 0 {
			a.Chosen, a.Correct = subject, true
		}
		h = append(h, a)
	}
	for b.Loop() {
		if len(List(h, nil)) == 0 {
			b.Fatal("no misses")
		}
	}
}
