package progress_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/scoring/ledger/ledgertest"
	"telltrace/scoring/progress"
	"telltrace/scoring/readiness"
	"telltrace/scoring/stats"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

var start = time.Date(2026, 3, 2, 21, 30, 0, 0, time.UTC)

// given is an answer in few words.
func given(after time.Duration, subject, chosen string, verdict ledger.Verdict, offered ...string) ledger.Answer {
	l, _ := synth.Lesson(subject)
	a := ledger.Answer{At: start.Add(after), Mode: ledger.Practise, Question: ledger.Rhythm, Subject: subject, Chosen: chosen,
		Offered: offered, Right: []string{subject}, Correct: verdict == ledger.Right, Verdict: verdict, Took: 4 * time.Second}
	if len(l.States) > 0 {
		a.State = l.States[0]
	}
	return a
}

func of(answers ...ledger.Answer) *progress.Progress {
	p := progress.New(synth.Lessons(), time.UTC)
	for _, a := range answers {
		p.Add(a)
	}
	return p
}

// Every figure of a handful of answers, counted by hand.
func TestProgress(t *testing.T) {
	t.Parallel()
	day := 24 * time.Hour
	set := []string{"asystole", "disconnected-lead", "fine-ventricular-fibrillation", "sinus-rhythm"}
	p := of(
		given(0, "asystole", "asystole", ledger.Right, set...),
		given(time.Minute, "asystole", "disconnected-lead", ledger.Critical, set...),
		given(2*time.Minute, "disconnected-lead", "disconnected-lead", ledger.Right, set...),
		given(day, "asystole", "fine-ventricular-fibrillation", ledger.Near, set...), // same first action
		given(day+time.Minute, "disconnected-lead", "asystole", ledger.Wrong, set...),
		given(9*day, "disconnected-lead", "disconnected-lead", ledger.Right, set...),
		given(9*day+time.Minute, "no-such-entry", "sinus-rhythm", ledger.Wrong, set...),
	)
	replay := given(10*day, "asystole", "asystole", ledger.Right, set...)
	replay.Mode = ledger.Replay
	p.Add(replay)

	assert.Equal(t, stats.Count{K: 1, N: 3}, p.Entries["asystole"].Named)
	assert.Equal(t, stats.Count{K: 2, N: 3}, p.Entries["disconnected-lead"].Named)
	assert.Equal(t, stats.Count{K: 1, N: 3}, p.Families[lesson.Arrest])
	assert.Equal(t, stats.Count{K: 1, N: 3}, p.Confusions[progress.Pair{Shown: "asystole", Chosen: "disconnected-lead"}])
	assert.Equal(t, stats.Count{K: 1, N: 3}, p.Confusions[progress.Pair{Shown: "disconnected-lead", Chosen: "asystole"}])
	assert.Equal(t, stats.Detection{Signal: stats.Count{K: 2, N: 3}, Noise: stats.Count{K: 1, N: 3}}, p.Arrest)
	assert.Equal(t, stats.Detection{Signal: stats.Count{K: 2, N: 3}, Noise: stats.Count{K: 1, N: 3}}, p.Needs)
	assert.Equal(t, [progress.Gaps]stats.Count{{K: 0, N: 2}, {}, {}, {K: 1, N: 1}}, p.Forgetting)
	assert.Len(t, p.Days, 3)
	assert.Equal(t, stats.Count{K: 2, N: 3}, p.Days[0].Named)
	assert.Equal(t, stats.Count{K: 1, N: 2}, p.Days[2].Named, "an entry from elsewhere counts for the day")
	assert.Empty(t, p.Confused(), "once is no confusion yet")
}

// A day is the learner's own: half past nine in the evening in UTC is the next day in
// the far east.
func TestDaysOfThePlace(t *testing.T) {
	t.Parallel()
	east := time.FixedZone("east", 9*3600)
	p := progress.New(synth.Lessons(), east)
	p.Add(given(0, "asystole", "asystole", ledger.Right))
	assert.Equal(t, time.Date(2026, 3, 3, 0, 0, 0, 0, east), p.Days[0].Date)
	// A clock set back sorts the day in.
	p.Add(given(-48*time.Hour, "asystole", "asystole", ledger.Right))
	assert.Equal(t, time.Date(2026, 3, 1, 0, 0, 0, 0, east), p.Days[0].Date)
}

// Of two pairs confused equally often, the one offered less often comes first, and a
// pair with little data after one with much (Wilson's lower limit).
func TestConfused(t *testing.T) {
	t.Parallel()
	p := of()
	confuse := func(shown, chosen string, wrong, right int) {
		for range wrong {
			p.Add(given(0, shown, chosen, ledger.Wrong, shown, chosen))
		}
		for range right {
			p.Add(given(0, shown, shown, ledger.Right, shown, chosen))
		}
	}
	confuse("asystole", "disconnected-lead", 2, 2)
	confuse("movement", "coarse-ventricular-fibrillation", 10, 10)
	confuse("sinus-rhythm", "sinus-tachycardia", 2, 30)
	var order []string
	for _, c := range p.Confused() {
		order = append(order, c.Shown)
	}
	assert.Equal(t, []string{"movement", "asystole", "sinus-rhythm"}, order)
}

func TestMedianOfTimes(t *testing.T) {
	t.Parallel()
	var times progress.Times
	assert.Zero(t, times.Median())
	for i := range 1001 {
		times.Add(time.Duration(i) * 10 * time.Millisecond) // median 5 s
	}
	assert.InEpsilon(t, 5, times.Median().Seconds(), 0.05)
	times = progress.Times{}
	times.Add(time.Hour)
	times.Add(0)
	assert.Equal(t, 2, times.N)
}

// More evidence narrows the forecast; nobody is promised anything from a few strips.
func TestForecast(t *testing.T) {
	t.Parallel()
	rules := readiness.Default()
	p := of()
	for range 19 {
		p.Add(given(0, "asystole", "asystole", ledger.Right))
	}
	_, _, _, ok := p.Forecast(rules)
	assert.False(t, ok, "nineteen strips are too few")
	p.Add(given(0, "asystole", "asystole", ledger.Right))
	few, lowFew, highFew, ok := p.Forecast(rules)
	assert.True(t, ok)
	for range 40 {
		p.Add(given(0, "asystole", "asystole", ledger.Right))
	}
	many, lowMany, highMany, _ := p.Forecast(rules)
	assert.Greater(t, many, few)
	assert.Less(t, highMany-lowMany, highFew-lowFew)
	// With the share known exactly the forecast is the binomial chance.
	chance, _, _, _ := rules.Forecast(stats.Count{K: 990000, N: 1000000})
	assert.InDelta(t, stats.AtMost(1, 53, 0.01), chance, 0.002)
	assert.Greater(t, chance, math.Pow(0.99, 35))
}

// BenchmarkProgress folds the answers of a learner who practised twenty minutes a day
// for a year (20,000 answers).
func BenchmarkProgress(b *testing.B) {
	ids := []string{"asystole", "disconnected-lead", "fine-ventricular-fibrillation", "sinus-rhythm", "movement", "ventricular-run"}
	answers := make([]ledger.Answer, 20000)
	for i := range answers {
		answers[i] = given(time.Duration(i)*26*time.Minute, ids[i%6], ids[(i+i/7)%6], ledger.Right, ids[:4]...)
		answers[i].ID = fmt.Sprint(i)
		answers[i].State = ecg.NoSignsOfLife
	}
	lessons := synth.Lessons()
	b.ReportAllocs()
	for b.Loop() {
		p := progress.New(lessons, time.UTC)
		for _, a := range answers {
			p.Add(a)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(answers)), "ns/answer")
}

// What the ledger adds up is what the answers say, by family.
func TestByFamilyIsThatOfTheAnswers(t *testing.T) {
	list := ledgertest.Mixed(500, 3)
	p := of(list...)
	sums, err := ledger.SumsOf(func(yield func(ledger.Answer, error) bool) {
		for _, a := range list {
			if !yield(a, nil) {
				return
			}
		}
	})
	require.NoError(t, err)
	require.NotEmpty(t, p.Families)
	assert.Equal(t, p.Families, progress.ByFamily(sums, synth.Lessons()))
}
