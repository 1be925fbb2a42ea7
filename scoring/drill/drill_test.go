package drill

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
)

func TestLibrary(t *testing.T) {
	drills, texts := Library()
	require.Len(t, drills, 6)
	require.Len(t, texts, 6)
	for _, d := range drills {
		found, err := Find(d.Name)
		require.NoError(t, err)
		assert.Equal(t, d, found)
		assert.NotEmpty(t, d.Words())
		list, err := d.Draw("sitting", 0)
		require.NoError(t, err)
		count, severity := map[string]int{}, map[ecg.Severity]int{}
		total := 0
		for _, w := range d.Show {
			total += w
		}
		for _, e := range list {
			require.NoError(t, e.Check(), "%s: %s", d.Name, e.Strip)
			count[e.Strip.Subject()]++
			severity[e.Strip.Severity]++
			assert.Equal(t, slices.Contains(d.Ask, "first-action"), len(e.Actions) > 0)
		}
		for id, w := range d.Show {
			assert.InDelta(t, float64(d.Strips*w)/float64(total), count[id], 1, "%s: %s by its weight", d.Name, id)
			assert.Positive(t, count[id], "%s: %s", d.Name, id)
		}
		for s, percent := range map[ecg.Severity]int{ecg.Plain: 50, ecg.Middle: 35, ecg.Subtle: 15} {
			assert.InDelta(t, float64(percent*d.Strips)/100, severity[s], 1, "%s: %s", d.Name, s)
		}
	}
	_, err := Find("arest-rhythms")
	assert.EqualError(t, err, `there is no drill "arest-rhythms"; did you mean arrest-rhythms?`)
}

const small = `drill: small
title: A small one
strips: 4
seconds: 20
show: {asystole: 1, sinus-rhythm: 1}
ages: [6y, newborn]
ask: [rhythm, first-action]
strips-for: everyone
retakes: 1
pass: {right: 75, each: {asystole: 100}, dangerous: 0}
`

func parsed(t *testing.T, text string) Drill {
	t.Helper()
	d, err := Parse("small.yaml", []byte(text))
	require.NoError(t, err)
	return d
}

// Everyone has the same strips, a retake others; where each learner has others, a sitting
// that is opened again has its own.
func TestDraw(t *testing.T) {
	d := parsed(t, small)
	draw := func(d Drill, sitting string, number int) (out []string) {
		list, err := d.Draw(sitting, number)
		require.NoError(t, err)
		for _, e := range list {
			out = append(out, e.Strip.String()+fmt.Sprint(e.Choices, e.Actions))
		}
		return out
	}
	assert.Equal(t, draw(d, "a", 0), draw(d, "b", 0))
	assert.NotEqual(t, draw(d, "a", 0), draw(d, "a", 1))
	d.Same = ForEach
	assert.Equal(t, draw(d, "a", 0), draw(d, "a", 0))
	assert.NotEqual(t, draw(d, "a", 0), draw(d, "b", 0))
}

// A drill that cannot be met is refused, with its place.
func TestCannotBeMet(t *testing.T) {
	for _, c := range []struct{ change, by, want string }{
		{"seconds: 20", "seconds: 0", "small.yaml:4:10: seconds is 0; want 5 to 600"},
		{"strips: 4", "strips: 1", "small.yaml:3:1: strips is 1, too few for one of each of 2 entries; want 2 or more"},
		{"strips: 4", "strips: 1000", "small.yaml:3:9: strips is 1000; want 1 to 200"},
		{"{asystole: 1, sinus-rhythm: 1}", "{}", "small.yaml:5:7: show has 0 items"},
		{"{asystole: 1, sinus-rhythm: 1}", "{asystol: 1}", `small.yaml:5:8: show: there is no "asystol"; did you mean`},
		{"{asystole: 1,", "{asystole: 0,", "show, asystole is 0; want 1 to 100"},
		{"[6y, newborn]", "[6y, 999y]", "small.yaml:6:"},
		{"[rhythm, first-action]", "[first-action]", "want rhythm among the questions"},
		{"[rhythm, first-action]", "[rhythm, rhythm]", "stands twice or too late"},
		{"{asystole: 100}", "{movement: 100}", "pass, each: movement is not shown; shown are asystole, sinus-rhythm"},
		{"right: 75", "right: 0", "right is 0; want 1 to 100"},
		{"retakes: 1", "retakes: -1", "retakes is -1; want 0 to 20"},
		{"retakes: 1", "severity: {plain: 50, middle: 10, subtle: 10}", "severity: the three add up to 70; want 100"},
		{"title: A small one\n", "", "small.yaml:1:1: the file lacks title"},
	} {
		_, err := Parse("small.yaml", []byte(replace(t, small, c.change, c.by)))
		assert.ErrorContains(t, err, c.want, c.by)
	}
}

// replace changes the one place where old stands.
func replace(t *testing.T, text, old, by string) string {
	t.Helper()
	require.Equal(t, 1, strings.Count(text, old), old)
	return strings.Replace(text, old, by, 1)
}

var start = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

// sat makes the answers of a sitting: right gives each question of each strip.
func sat(d Drill, id string, strips int, right func(strip int, q ledger.Question) ledger.Verdict) (out []ledger.Answer) {
	list, _ := d.Draw(id, 0)
	for i := range strips {
		for _, q := range d.Ask {
			v := right(i, ledger.Question(q))
			out = append(out, ledger.Answer{
				ID: fmt.Sprintf("%s-%d-%s", id, i, q), Presentation: ledger.Showing(id, i+1, d.Strips), Learner: "ann",
				At: start.Add(time.Duration(len(out)) * time.Second), Mode: ledger.Drill, Part: d.Part(),
				Strip: list[i].Strip.String(), Subject: list[i].Strip.Subject(), Question: ledger.Question(q),
				Chosen: "x", Correct: v == ledger.Right, Verdict: v, Took: time.Duration(i+1) * time.Second,
			})
		}
	}
	return out
}

func always(v ledger.Verdict) func(int, ledger.Question) ledger.Verdict {
	return func(int, ledger.Question) ledger.Verdict { return v }
}

func TestDecide(t *testing.T) {
	d := parsed(t, small)
	decide := func(answers []ledger.Answer) Result { return d.Decide(d.Sittings(answers)[0]) }

	r := decide(sat(d, "a", 4, always(ledger.Right)))
	assert.True(t, r.Passed)
	assert.Equal(t, "8 of 8", r.Right.String())
	assert.Equal(t, []string{"met: 8 of 8 answers right, 100 %; wanted 75 %", "met: asystole: 2 of 2 named right; wanted 100 %",
		"met: 0 dangerous answers; allowed 0"}, r.Why)
	assert.Equal(t, 3*time.Second, r.Median)

	// Exactly the share that is wanted passes: 6 of 8.
	answers := sat(d, "a", 4, always(ledger.Right))
	for i, n := 0, 0; n < 2; i++ {
		if answers[i].Subject == "sinus-rhythm" {
			answers[i].Correct, answers[i].Verdict, n = false, ledger.Near, n+1
		}
	}
	assert.True(t, decide(answers).Passed)

	// One missed asystole, one dangerous answer, or strips not reached: not passed.
	missed := sat(d, "a", 4, always(ledger.Right))
	i := slices.IndexFunc(missed, func(a ledger.Answer) bool { return a.Subject == "asystole" && a.Question == ledger.Rhythm })
	missed[i].Correct, missed[i].Chosen = false, ""
	r = decide(missed)
	assert.False(t, r.Passed)
	assert.Equal(t, 1, r.TimedOut)
	assert.Contains(t, r.Why, "not met: asystole: 1 of 2 named right; wanted 100 %")
	dangerous := sat(d, "a", 4, always(ledger.Right))
	dangerous[1].Verdict, dangerous[1].Correct = ledger.Critical, false
	assert.Contains(t, decide(dangerous).Why, "not met: 1 dangerous answers; allowed 0")
	r = decide(sat(d, "a", 2, always(ledger.Right)))
	assert.False(t, r.Passed)
	assert.Equal(t, "4 of 8", r.Right.String())
	assert.False(t, math.IsNaN(r.Right.Share()))
}

// A sitting broken off goes on where it was; taken often enough, a drill is closed.
func TestMay(t *testing.T) {
	d := parsed(t, small)
	open, number, reason := d.May(nil)
	assert.Nil(t, open)
	assert.Zero(t, number)
	assert.Empty(t, reason)

	broken := sat(d, "a", 2, always(ledger.Right))[:3] // a strip and a half
	s := d.Sittings(broken)
	require.Len(t, s, 1)
	assert.Equal(t, 1, s[0].Done)
	assert.Equal(t, 1, s[0].InHand())
	open, _, _ = d.May(s)
	require.NotNil(t, open)
	assert.Equal(t, "a", open.ID)

	whole := sat(d, "a", 4, always(ledger.Wrong))
	open, number, reason = d.May(d.Sittings(whole))
	assert.Nil(t, open)
	assert.Equal(t, 1, number)
	assert.Empty(t, reason)
	later := sat(d, "b", 4, always(ledger.Wrong))
	for i := range later {
		later[i].At = later[i].At.Add(time.Hour)
	}
	_, _, reason = d.May(d.Sittings(append(later, whole...)))
	assert.Equal(t, "This drill was taken twice, as often as it may be. Your educator can allow more.", reason)

	changed := parsed(t, replace(t, small, "right: 75", "right: 76"))
	assert.Empty(t, changed.Sittings(whole), "a drill that was changed is another one")
	assert.Equal(t, "small", NameOf(d.Part()))
}
