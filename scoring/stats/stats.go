// Package stats holds the few statistics by which recognition is judged: the Wilson
// interval of a share, the measures of signal detection, and binomial tails. Counts
// in, numbers out.
//
// Sources: Wilson 1927, J Am Stat Assoc 22:209, as compared by Newcombe 1998, Stat
// Med 17:857; Green and Swets 1966 and Stanislaw and Todorov 1999, Behav Res Methods
// Instrum Comput 31:137, for signal detection; Hautus 1995, same journal 27:46, for
// the log-linear rule.
package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Z95 is the standard normal deviate of a two-sided 95 % interval.
var Z95 = distuv.UnitNormal.Quantile(0.975)

// A Count is how often something happened out of how many times it could have.
type Count struct{ K, N int }

// Add counts one more.
func (c *Count) Add(happened bool) {
	c.N++
	if happened {
		c.K++
	}
}

// Plus is the sum of two counts.
func (c Count) Plus(d Count) Count { return Count{c.K + d.K, c.N + d.N} }

// Share is K/N, NaN for none.
func (c Count) Share() float64 { return float64(c.K) / float64(c.N) }

// Wilson is the score interval of the share at the normal deviate z (Z95 for 95 %),
// from 0 to 1 where nothing was counted.
func (c Count) Wilson(z float64) (low, high float64) {
	if c.N == 0 {
		return 0, 1
	}
	n, p, z2 := float64(c.N), c.Share(), z*z
	middle, half := p+z2/(2*n), z*math.Sqrt(p*(1-p)/n+z2/(4*n*n))
	return max(0, (middle-half)/(1+z2/n)), min(1, (middle+half)/(1+z2/n))
}

// String is "9 of 10".
func (c Count) String() string { return fmt.Sprintf("%d of %d", c.K, c.N) }

// AtMost is the probability of at most k misses in n strips when each is missed with
// probability q: the chance that a learner of that quality passes.
func AtMost(k, n int, q float64) float64 {
	if q <= 0 {
		return 1
	}
	return distuv.Binomial{N: float64(n), P: q}.CDF(float64(k))
}

// A Detection counts answers to a yes-or-no question about a signal: "is this an
// arrest?", "does this need anything?".
type Detection struct {
	Signal Count // strips with it, and how many of them were called: hits
	Noise  Count // strips without it, and how many of them were called: false alarms
}

// Add counts one answer.
func (d *Detection) Add(signal, called bool) {
	if signal {
		d.Signal.Add(called)
	} else {
		d.Noise.Add(called)
	}
}

// Rates are the hit and the false-alarm rate after the log-linear rule, which adds
// half a strip to each cell so that neither is 0 or 1 (Hautus 1995).
func (d Detection) Rates() (hit, falseAlarm float64) {
	loglinear := func(c Count) float64 { return (float64(c.K) + 0.5) / (float64(c.N) + 1) }
	return loglinear(d.Signal), loglinear(d.Noise)
}

// DPrime is how well signal and noise are told apart, and C where the line between
// them is drawn: below 0 leans to calling. Both from the log-linear rates.
func (d Detection) DPrime() float64 { return DPrime(d.Rates()) }

// C is the criterion; see DPrime.
func (d Detection) C() float64 { return Criterion(d.Rates()) }

// DPrime is z(H) - z(F).
func DPrime(hit, falseAlarm float64) float64 { return z(hit) - z(falseAlarm) }

// Criterion is c = -(z(H) + z(F))/2.
func Criterion(hit, falseAlarm float64) float64 { return -(z(hit) + z(falseAlarm)) / 2 }

// Beta is the likelihood ratio at the criterion.
func Beta(hit, falseAlarm float64) float64 {
	h, f := z(hit), z(falseAlarm)
	return math.Exp((f*f - h*h) / 2)
}

func z(p float64) float64 { return distuv.UnitNormal.Quantile(p) }
