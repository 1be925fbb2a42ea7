package items

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Consistency is how often the same learners would pass or fail twice, and how often passing
// is right, after Livingston and Lewis (1995, J Educ Meas 32:179).
type Consistency struct {
	OK                   bool    // whether it could be worked out
	Length               int     // effective test length: as many independent items of equal difficulty would be as reliable
	Twice                float64 // share classed alike by two parallel sittings
	Kappa                float64 // the same beyond chance (Cohen 1960)
	Accuracy             float64 // share classed as their true score would be
	FalsePass, FalseFail float64
}

// consistency works it out from total scores of k items, their reliability and the mark (a
// share). True scores are taken to follow a beta distribution fitted by its first two
// moments (after Lord 1965; the four-parameter fit of the paper often fails on a class).
func consistency(totals []float64, k int, reliability, mark float64) Consistency {
	if len(totals) < 2 || k < 2 || !(reliability > 0 && reliability < 1) {
		return Consistency{}
	}
	top := float64(k)
	mean, variance := moments(totals)
	n := ((mean)*(top-mean) - reliability*variance) / (variance * (1 - reliability))
	length := int(math.Round(n))
	if length < 1 || math.IsNaN(n) || n > 1e5 {
		return Consistency{}
	}
	// Moments of the true share: its mean is that of the scores, its variance the reliable
	// part of theirs.
	m, v := mean/top, reliability*variance/(top*top)
	nu := m*(1-m)/v - 1
	if !(nu > 0) || m <= 0 || m >= 1 {
		return Consistency{}
	}
	truth := distuv.Beta{Alpha: m * nu, Beta: (1 - m) * nu}
	need := int(math.Ceil(mark*float64(length) - 1e-9)) // least score of the effective test that passes
	c := Consistency{OK: true, Length: length}
	const steps = 4000
	pass := 0.0
	for i := range steps { // the quantiles of the true scores, each with the same weight
		p := truth.Quantile((float64(i) + 0.5) / steps)
		q := atLeast(need, length, p) / steps
		one := q * steps
		pass += q
		c.Twice += (one*one + (1-one)*(1-one)) / steps
		if p >= mark {
			c.Accuracy += q
			c.FalseFail += 1.0/steps - q
		} else {
			c.Accuracy += 1.0/steps - q
			c.FalsePass += q
		}
	}
	chance := pass*pass + (1-pass)*(1-pass)
	if chance < 1 {
		c.Kappa = (c.Twice - chance) / (1 - chance)
	}
	return c
}

// atLeast is the binomial probability of k or more of n.
func atLeast(k, n int, p float64) float64 {
	switch {
	case k <= 0 || p >= 1:
		return 1
	case p <= 0 || k > n:
		return 0
	}
	return distuv.Beta{Alpha: float64(k), Beta: float64(n - k + 1)}.CDF(p)
}
