package items

import (
	"errors"
	"fmt"
	"math"
)

// How many learners a Rasch model needs.
const (
	raschFrom  = 30
	raschRough = 100
)

// Rasch are item difficulties by the model of Rasch (1960), in logits around a mean of 0.
type Rasch struct {
	Difficulty []float64 // by item of the table; NaN for one that all or nobody had right
	SE         []float64
	Learners   int  // with some but not all right: the others tell nothing
	Rough      bool // fewer than a hundred learners
}

// Rasch estimates difficulties by conditional maximum likelihood (Andersen 1972, J R Stat Soc
// B 34:42). It errs below thirty learners, and where items are not right or wrong.
func (t Table) Rasch() (Rasch, error) {
	rows, _ := t.complete()
	if len(rows) < raschFrom {
		return Rasch{}, fmt.Errorf("a Rasch model wants %d learners or more; there are %d", raschFrom, len(rows))
	}
	return rasch(rows)
}

func rasch(rows [][]float64) (Rasch, error) {
	k := len(rows[0])
	for _, row := range rows {
		for _, v := range row {
			if v != 0 && v != 1 {
				return Rasch{}, errors.New("a Rasch model wants items that are right or wrong; here an item is a cell of several strips")
			}
		}
	}
	// Items that all or nobody had right are left out, then learners with all or nothing.
	right := make([]int, k)
	for _, row := range rows {
		for i, v := range row {
			right[i] += int(v)
		}
	}
	var used []int
	for i, n := range right {
		if n > 0 && n < len(rows) {
			used = append(used, i)
		}
	}
	if len(used) < 2 {
		return Rasch{}, errors.New("a Rasch model wants two items or more that some had right and some not")
	}
	m := len(used)
	byScore := make([]int, m+1) // learners by their score
	sums := make([]float64, m)
	for _, row := range rows {
		score := 0
		for _, i := range used {
			score += int(row[i])
		}
		if score == 0 || score == m {
			continue
		}
		byScore[score]++
		for j, i := range used {
			sums[j] += row[i]
		}
	}
	out := Rasch{Difficulty: make([]float64, k), SE: make([]float64, k)}
	for i := range k {
		out.Difficulty[i], out.SE[i] = math.NaN(), math.NaN()
	}
	for _, n := range byScore {
		out.Learners += n
	}
	out.Rough = out.Learners < raschRough
	b := make([]float64, m) // difficulties
	for j := range b {
		p := (sums[j] + 0.5) / (float64(out.Learners) + 1)
		b[j] = -math.Log(p / (1 - p))
	}
	centre(b)
	info := make([]float64, m)
	for range 500 {
		expected, information := expectations(b, byScore)
		worst := 0.0
		for j := range b {
			step := (expected[j] - sums[j]) / max(information[j], 1e-9)
			step = max(-1, min(1, step))
			b[j] += step
			worst = max(worst, math.Abs(step))
			info[j] = information[j]
		}
		centre(b)
		if worst < 1e-9 {
			for j, i := range used {
				out.Difficulty[i], out.SE[i] = b[j], 1/math.Sqrt(info[j])
			}
			return out, nil
		}
	}
	return Rasch{}, errors.New("the Rasch model did not settle: too few answers for so many items")
}

func centre(b []float64) {
	mean := 0.0
	for _, v := range b {
		mean += v / float64(len(b))
	}
	for j := range b {
		b[j] -= mean
	}
}

// expectations are how often each item would be right among learners of these scores, and the
// information on it (the diagonal): through the elementary symmetric functions of the
// easiness of the items, by summation.
func expectations(b []float64, byScore []int) (expected, information []float64) {
	m := len(b)
	e := make([]float64, m)
	for j, v := range b {
		e[j] = math.Exp(-v)
	}
	all := symmetric(e, -1)
	expected, information = make([]float64, m), make([]float64, m)
	for j := range e {
		without := symmetric(e, j)
		for score := 1; score < m; score++ {
			if byScore[score] == 0 {
				continue
			}
			p := e[j] * without[score-1] / all[score]
			expected[j] += float64(byScore[score]) * p
			information[j] += float64(byScore[score]) * p * (1 - p)
		}
	}
	return expected, information
}

// symmetric are the elementary symmetric functions of e without item skip.
func symmetric(e []float64, skip int) []float64 {
	g := make([]float64, len(e)+1)
	g[0] = 1
	n := 0
	for j, v := range e {
		if j == skip {
			continue
		}
		n++
		for r := n; r >= 1; r-- {
			g[r] += v * g[r-1]
		}
	}
	return g
}
