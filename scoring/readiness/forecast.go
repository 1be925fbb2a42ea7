package readiness

import (
	"gonum.org/v1/gonum/stat/distuv"

	"telltrace/scoring/stats"
)

// Forecast is the chance that the arrests of a check would be recognised well enough,
// from recognised ones among other arrest strips. The share recognised is not known
// exactly: it has a Beta distribution (Jeffreys prior), over which the chance is
// averaged; low and high are the chance at its 10th and 90th percentile.
func (r Rules) Forecast(c stats.Count) (chance, low, high float64, ok bool) {
	if c.N == 0 {
		return 0, 0, 1, false
	}
	share := distuv.Beta{Alpha: float64(c.K) + 0.5, Beta: float64(c.N-c.K) + 0.5}
	const steps = 200
	for i := range steps {
		chance += r.passes(share.Quantile((float64(i)+0.5)/steps)) / steps
	}
	return chance, r.passes(share.Quantile(0.1)), r.passes(share.Quantile(0.9)), true
}

// passes is the chance of somebody who recognises a share of arrests to pass by one of
// the ways, each tried alone: the greatest of them.
func (r Rules) passes(share float64) float64 {
	best := 0.0
	for _, p := range r.Arrest.Pass {
		best = max(best, stats.AtMost(p.Misses, p.Strips, 1-share))
	}
	return best
}
