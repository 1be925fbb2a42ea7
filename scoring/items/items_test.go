package items

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/drill"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
)

// table makes a class from rows of 0 and 1.
func table(rows ...string) Table {
	var t Table
	for i := range rows[0] {
		t.Items = append(t.Items, Item{Subject: fmt.Sprint("entry", i)})
	}
	for l, row := range rows {
		t.Learners = append(t.Learners, fmt.Sprint("learner", l))
		var given []Given
		for i, c := range row {
			g := Given{Chosen: []string{"other"}}
			if c == '1' {
				g = Given{1, []string{t.Items[i].Subject}}
			}
			given = append(given, g)
		}
		t.Given = append(t.Given, given)
	}
	return t
}

// Worked examples: a Guttman scale of six persons and five items, and eight persons by four
// items (recomputed by hand from the formulas of Kuder and Richardson 1937 and Cronbach 1951;
// no published raw data were found).
func TestWorkedExamples(t *testing.T) {
	for _, tt := range []struct {
		rows        []string
		kr20, alpha float64
		rest        []float64
	}{
		{[]string{"11111", "11110", "11100", "11000", "10000", "00000"}, 0.8333, 0.8333, []float64{0.5000, 0.7016, 0.7746, 0.7016, 0.5000}},
		{[]string{"1011", "1101", "0110", "1000", "1111", "0001", "1010", "0000"}, 0.4722, 0.4722, []float64{0.2928, 0.2928, 0.2500, 0.2500}},
	} {
		a := table(tt.rows...).Analyse(0.6)
		assert.InDelta(t, tt.kr20, a.KR20, 5e-5)
		assert.InDelta(t, tt.alpha, a.Alpha, 5e-5)
		for i, want := range tt.rest {
			assert.InDelta(t, want, a.Items[i].Rest, 5e-5, "item %d", i)
			assert.Less(t, a.Items[i].RestLow, a.Items[i].Rest)
			assert.Greater(t, a.Items[i].RestHigh, a.Items[i].Rest)
			assert.False(t, a.Items[i].Poor, "so few learners flag nothing")
		}
	}
	// Ratings 454, 343, 555, 232, 443: alpha 0.9620 (recomputed).
	ratings := table("000", "000", "000", "000", "000")
	for l, row := range [][]float64{{4, 5, 4}, {3, 4, 3}, {5, 5, 5}, {2, 3, 2}, {4, 4, 3}} {
		for i, v := range row {
			ratings.Given[l][i].Score = v
		}
	}
	assert.InDelta(t, 0.9620, ratings.Analyse(0.6).Alpha, 5e-5)
}

// Lord's binomial standard error: 40 items at a mark of 30 right, sqrt(30x10/39) = 2.7735 items
// (by hand).
func TestStandardErrorAtTheMark(t *testing.T) {
	var rows []string
	for n := 20; n <= 40; n++ {
		rows = append(rows, strings.Repeat("1", n)+strings.Repeat("0", 40-n))
	}
	a := table(rows...).Analyse(0.75)
	assert.InDelta(t, 2.7735/40, a.SEM, 5e-6)
	assert.Equal(t, []string{"learner8", "learner9", "learner10", "learner11", "learner12"}, a.Near, "28 to 32 right")
	assert.InDelta(t, 11.0/21, a.PassShare, 1e-12)
}

// Interval of a correlation of 0.5 with 28 learners: Fisher's z 0.5493, half width
// 1.645/5 = 0.329, so 0.2169 to 0.7054 (by hand).
func TestFisherInterval(t *testing.T) {
	x, y := make([]float64, 28), make([]float64, 28)
	for i := range x { // built so that r is exactly 0.5: fourteen pairs each way, shares 21 and 7
		x[i] = float64(i % 2)
		y[i] = x[i]
		if i < 14 && i%2 == 0 || i >= 21 && i%2 == 1 {
			y[i] = x[i]
		}
	}
	flip := 0
	for i := range y { // a quarter disagrees, alike on both sides
		if flip < 7 && i%4 < 2 && i%2 == flip%2 {
			y[i] = 1 - y[i]
			flip++
		}
	}
	r, low, high := correlation(x, y)
	assert.InDelta(t, math.Tanh(math.Atanh(r)-0.329), low, 1e-9)
	assert.InDelta(t, math.Tanh(math.Atanh(r)+0.329), high, 1e-9)
	assert.InDelta(t, 0.5, r, 0.02)
}

// Livingston and Lewis against the plain count: true scores drawn from a beta distribution, two
// parallel tests of 40 items drawn for each of 200,000 learners.
func TestConsistencyAgainstDraws(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 0))
	const k, mark, people = 40, 0.75, 200_000
	// Beta(15, 5): mean 0.75; drawn as the 15th of 19 uniforms (order statistics).
	draw := func() float64 {
		var u [19]float64
		for i := range u {
			u[i] = rng.Float64()
		}
		for i := range 15 { // the 15th smallest
			low := i
			for j := i + 1; j < len(u); j++ {
				if u[j] < u[low] {
					low = j
				}
			}
			u[i], u[low] = u[low], u[i]
		}
		return u[14]
	}
	score := func(p float64) float64 {
		n := 0.0
		for range k {
			if rng.Float64() < p {
				n++
			}
		}
		return n
	}
	totals := make([]float64, people)
	alike, right := 0, 0
	for i := range totals {
		p := draw()
		a, b := score(p), score(p)
		totals[i] = a
		if (a >= mark*k) == (b >= mark*k) {
			alike++
		}
		if (a >= mark*k) == (p >= mark) {
			right++
		}
	}
	reliability := float64(k) / (k + 15 + 5) // of a beta-binomial test: k/(k+a+b) (Keats and Lord 1962)
	c := consistency(totals, k, reliability, mark)
	require.True(t, c.OK)
	assert.InDelta(t, k, c.Length, 1, "items are independent and alike: the effective length is their number")
	assert.InDelta(t, float64(alike)/people, c.Twice, 0.01)
	assert.InDelta(t, float64(right)/people, c.Accuracy, 0.01)
	assert.InDelta(t, 1, c.Accuracy+c.FalsePass+c.FalseFail, 1e-9)
	assert.Greater(t, c.Kappa, 0.3)
	assert.False(t, consistency(totals, k, 0, mark).OK)
}

// The five items of the Law School Admission Test, section 6 (Bock and Lieberman 1970,
// Psychometrika 35:179): response patterns of 1000 persons; conditional estimates of the
// difficulties after Andersen 1972 (from memory, and they fulfil the likelihood equations,
// which the test works out anew).
func TestRaschOnLSAT6(t *testing.T) {
	freq := []int{3, 6, 2, 11, 1, 1, 3, 4, 1, 8, 0, 16, 0, 3, 2, 15, 10, 29, 14, 81, 3, 28, 15, 80, 16, 56, 21, 173, 11, 61, 28, 298}
	var rows [][]float64
	for pattern, n := range freq {
		for range n {
			row := make([]float64, 5)
			for i := range row {
				row[i] = float64(pattern >> (4 - i) & 1)
			}
			rows = append(rows, row)
		}
	}
	require.Len(t, rows, 1000)
	r, err := rasch(rows)
	require.NoError(t, err)
	for i, want := range []float64{-1.256, 0.475, 1.236, 0.168, -0.623} {
		assert.InDelta(t, want, r.Difficulty[i], 2e-3, "item %d", i+1)
	}
	assert.Equal(t, 699, r.Learners, "3 had nothing and 298 all of it right")
	assert.False(t, r.Rough)

	_, err = table("10", "01").Rasch()
	assert.ErrorContains(t, err, "wants 30 learners or more; there are 2")
}

// An item that nobody gets by knowing the rest is flagged, and so is one whose wrong answer
// good learners choose.
func TestFlags(t *testing.T) {
	var rows []string
	for n := range 40 {
		row := []byte(strings.Repeat("1", n/4) + strings.Repeat("0", 10-n/4) + "0")
		if n < 15 {
			row[10] = '1' // the worst had it right
		}
		rows = append(rows, string(row))
	}
	a := table(rows...).Analyse(0.5)
	last := a.Items[10]
	assert.Less(t, last.Rest, 0.0)
	assert.True(t, last.Poor)
	assert.Equal(t, "other", last.Misleads)
	assert.False(t, a.Items[5].Poor)
	assert.Empty(t, a.Items[5].Misleads)
	assert.Equal(t, Choice{"other", 25, false, last.Choices[0].Rest}, last.Choices[0])

	all := table(strings.Split(strings.Repeat("1111111110,", 39)+"0000000000", ",")...)
	assert.Contains(t, all.Analyse(0.5).Caution, "98 % of the class pass")
}

// From the ledger: the first finished sitting of each learner, items as strips, or as cells
// where each had others.
func TestBuild(t *testing.T) {
	d, err := drill.Parse("d.yaml", []byte("drill: d\ntitle: D\nstrips: 3\nseconds: 20\nshow: {asystole: 1, movement: 2}\nages: [6y]\npass: {right: 50}\n"))
	require.NoError(t, err)
	sit := func(d drill.Drill, learner, sitting string, at time.Duration, strips int) (out []ledger.Answer) {
		list, err := d.Draw(sitting, 0)
		require.NoError(t, err)
		for i := range strips {
			id := list[i].Strip
			out = append(out, ledger.Answer{ID: learner + sitting + fmt.Sprint(i), Presentation: ledger.Showing(sitting, i+1, 3), Learner: learner,
				At: time.Unix(0, 0).Add(at), Mode: ledger.Drill, Part: d.Part(), Strip: id.String(), Subject: id.Subject(),
				Question: ledger.Rhythm, Chosen: "asystole", Correct: id.Subject() == "asystole"})
		}
		return out
	}
	answers := append(sit(d, "bob", "1", 0, 2), sit(d, "ann", "2", 0, 3)...)
	answers = append(answers, sit(d, "bob", "3", time.Hour, 3)...)
	built := Build(d, answers)
	assert.Equal(t, []string{"ann", "bob"}, built.Learners)
	require.Len(t, built.Items, 3)
	assert.Equal(t, "asystole", built.Items[0].Subject)
	assert.NotEmpty(t, built.Items[0].Strip)
	assert.InDelta(t, 1, built.Given[0][0].Score, 0)
	assert.InDelta(t, 0, built.Given[1][2].Score, 0)

	d.Same = drill.ForEach
	cells := Build(d, append(sit(d, "ann", "2", 0, 3), sit(d, "bob", "3", 0, 3)...))
	for _, item := range cells.Items {
		assert.Empty(t, item.Strip)
		assert.Contains(t, []ecg.Severity{ecg.Plain, ecg.Middle, ecg.Subtle}, item.Severity)
	}
	assert.Empty(t, Build(d, nil).Learners)
	assert.Zero(t, Build(d, nil).Analyse(0.5).Learners)
}
