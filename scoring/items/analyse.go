package items

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"telltrace/scoring/stats"
)

// Limits of what is flagged.
const (
	z90           = 1.645 // of a two-sided 90 % interval
	poorRest      = 0.1   // an item-rest correlation whose whole interval lies below this
	fewest        = 10    // learners, from which items are judged at all
	misledAtLeast = 3     // learners who chose one wrong answer
	nearlyAll     = 0.9   // of the class passing: reliability then says little
)

// A Choice is how an answer was used.
type Choice struct {
	ID    string  // "" for no answer
	N     int     // how often
	Right bool    // it counted as right
	Rest  float64 // mean share of the other items right of those who chose it
}

// A Stat is how an item did.
type Stat struct {
	Item
	N                 int     // learners who were asked
	Difficulty        float64 // share right
	Low, High         float64 // its 95 % interval (Wilson)
	Rest              float64 // correlation with the score on all other items (corrected point-biserial); NaN when it cannot be told
	RestLow, RestHigh float64 // its 90 % interval (Fisher 1921)
	Poor              bool    // that interval lies below 0.1: it does not tell learners apart
	Misleads          string  // a wrong answer that learners who are good elsewhere chose; "" for none
	Choices           []Choice
}

// An Analysis is how a drill did as a test.
type Analysis struct {
	Learners  int
	Items     []Stat  // in the order of the table
	Mean, SD  float64 // of the share of items right
	KR20      float64 // Kuder and Richardson 1937, equal to alpha for items of 0 and 1; NaN when it cannot be told
	Alpha     float64 // Cronbach 1951
	PassShare float64 // of the class, by the mark alone
	Caution   string  // why KR-20 and alpha are to be read with care; "" when they are not

	// SEM is the standard error at the pass mark, in shares of the items: the binomial
	// error of Lord (1957, Educ Psychol Meas 17:510), sqrt(x(k-x)/(k-1)) of k items.
	SEM float64
	// Near are the learners within one SEM of the mark: one sitting does not settle it, a
	// parallel retest does.
	Near []string

	Consistency Consistency
}

// Analyse works the table out; mark is the pass mark as a share of the items, 0 to 1.
func (t Table) Analyse(mark float64) Analysis {
	rows, learners := t.complete()
	a := Analysis{Learners: len(rows), KR20: math.NaN(), Alpha: math.NaN(), Mean: math.NaN(), SD: math.NaN(), SEM: math.NaN()}
	k := len(t.Items)
	if k == 0 || len(rows) == 0 {
		return a
	}
	totals := make([]float64, len(rows))
	passed := 0
	for l, row := range rows {
		for _, v := range row {
			totals[l] += v
		}
		if totals[l] >= mark*float64(k)-1e-9 {
			passed++
		}
	}
	mean, variance := moments(totals)
	a.Mean, a.SD = mean/float64(k), math.Sqrt(variance)/float64(k)
	a.PassShare = float64(passed) / float64(len(rows))
	sumPQ, sumVar := 0.0, 0.0
	for i := range t.Items {
		column := make([]float64, len(rows))
		for l := range rows {
			column[l] = rows[l][i]
		}
		p, v := moments(column)
		sumPQ, sumVar = sumPQ+p*(1-p), sumVar+v
	}
	if k > 1 && variance > 0 {
		a.KR20 = float64(k) / float64(k-1) * (1 - sumPQ/variance)
		a.Alpha = float64(k) / float64(k-1) * (1 - sumVar/variance)
	}
	if k > 1 {
		x := mark * float64(k)
		a.SEM = math.Sqrt(x*(float64(k)-x)/float64(k-1)) / float64(k)
		for l, total := range totals {
			if math.Abs(total/float64(k)-mark) <= a.SEM {
				a.Near = append(a.Near, learners[l])
			}
		}
	}
	a.Consistency = consistency(totals, k, a.Alpha, mark)
	switch {
	case a.PassShare >= nearlyAll:
		a.Caution = fmt.Sprintf("%.0f %% of the class pass: scores differ so little that KR-20 and alpha are low whatever the test is worth; go by the consistency of passing.", 100*a.PassShare)
	case len(rows) < 30:
		a.Caution = fmt.Sprintf("%d learners are few: KR-20 and alpha would come out otherwise with the next class.", len(rows))
	}
	for i, item := range t.Items {
		a.Items = append(a.Items, t.stat(i, item, rows, totals))
	}
	return a
}

// stat works one item out.
func (t Table) stat(i int, item Item, rows [][]float64, totals []float64) Stat {
	s := Stat{Item: item, Rest: math.NaN(), RestLow: math.NaN(), RestHigh: math.NaN()}
	var scores, rests []float64
	right := 0.0
	for l := range rows {
		scores, rests = append(scores, rows[l][i]), append(rests, totals[l]-rows[l][i])
		right += rows[l][i]
	}
	s.N = len(scores)
	s.Difficulty = right / float64(s.N)
	s.Low, s.High = stats.Count{K: int(math.Round(right)), N: s.N}.Wilson(1.96)
	s.Rest, s.RestLow, s.RestHigh = correlation(scores, rests)
	s.Poor = s.N >= fewest && s.RestHigh < poorRest
	s.choices(t, i, len(t.Items))
	return s
}

// choices counts what was chosen, and looks for a wrong answer of good learners.
func (s *Stat) choices(t Table, i, k int) {
	type used struct {
		n     int
		right bool
		rest  float64
	}
	by := map[string]*used{}
	for _, row := range t.Given {
		rest, of := 0.0, 0
		for j, g := range row {
			if j != i && !math.IsNaN(g.Score) {
				rest, of = rest+g.Score, of+1
			}
		}
		for _, id := range row[i].Chosen {
			u := by[id]
			if u == nil {
				u = &used{}
				by[id] = u
			}
			u.n++
			u.right = u.right || row[i].Score == 1 || id == s.Subject
			if of > 0 {
				u.rest += rest / float64(of)
			}
		}
	}
	rightRest, rightN := 0.0, 0
	for id, u := range by {
		s.Choices = append(s.Choices, Choice{id, u.n, u.right, u.rest / float64(u.n)})
		if u.right {
			rightRest, rightN = rightRest+u.rest, rightN+u.n
		}
	}
	slices.SortFunc(s.Choices, func(a, b Choice) int { return cmp.Or(cmp.Compare(b.N, a.N), cmp.Compare(a.ID, b.ID)) })
	if k < 2 || len(t.Given) < fewest {
		return
	}
	for _, c := range s.Choices {
		if !c.Right && c.ID != "" && c.N >= misledAtLeast && (rightN == 0 || c.Rest > rightRest/float64(rightN)) {
			s.Misleads = c.ID
			return
		}
	}
}

// moments are the mean and the variance over a population.
func moments(x []float64) (mean, variance float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		variance += (v - mean) * (v - mean) / float64(len(x))
	}
	return mean, variance
}

// correlation is Pearson's, for items of 0 and 1 the point-biserial one, with its 90 %
// interval; NaN where one of the two does not vary.
func correlation(x, y []float64) (r, low, high float64) {
	mx, vx := moments(x)
	my, vy := moments(y)
	if vx < 1e-12 || vy < 1e-12 {
		return math.NaN(), math.NaN(), math.NaN()
	}
	for i := range x {
		r += (x[i] - mx) * (y[i] - my) / float64(len(x))
	}
	r = max(-1, min(1, r/math.Sqrt(vx*vy)))
	if len(x) < 4 {
		return r, -1, 1
	}
	half := z90 / math.Sqrt(float64(len(x)-3))
	at := math.Atanh(max(-0.999999, min(0.999999, r)))
	return r, math.Tanh(at - half), math.Tanh(at + half)
}
