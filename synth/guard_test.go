package synth_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
	"telltrace/synth/rhythm"
)

// drawnDot is one dot of a strip at the double scale, at which questions of intervals
// open, s.
const drawnDot = 0.0125

// caliperStep is how far a leg of the calipers moves at a key, s.
const caliperStep = 0.010

// What is marked can be seen: every strip keeps a tenth of each limit of its rate, and a
// drawn dot of each limit of its intervals (of narrow and wide a step of the calipers), so that no answer hangs on a beat a minute or
// on what no eye can tell (a rule of ours). Breath and drift may take a beat or two of a
// rate. Limits are those of the entry's own criteria; a rate that is hard to tell by
// itself, an infant's sinus tachycardia and re-entry, overlaps on purpose and is told by P.
func TestMarkedStripsKeepTheGuard(t *testing.T) {
	t.Parallel()
	for _, r := range rhythm.All() {
		for _, c := range r.Criteria {
			if c.Measure != lesson.Rate && c.Measure != lesson.PRTime && c.Measure != lesson.QRSTime && c.Measure != lesson.QTcBazett {
				continue
			}
			for _, age := range ages(r) {
				limits := c.At(age)
				low, high := limits.Low+drawnDot, limits.High-drawnDot
				switch {
				case c.Measure == lesson.Rate:
					low, high = 1.1*limits.Low-2, 0.9*limits.High+2
				case c.Measure == lesson.QRSTime && limits.High <= norms.WideQRS(age).High: // narrow or wide is asked
					low, high = limits.Low, norms.WideQRS(age).High-caliperStep
				case c.Measure == lesson.QTcBazett && limits.Low < norms.QTcBazett(age).Accept.High:
					low, high = limits.Low, high+0.002 // whether it is long is asked, not whether it is short; QT lags behind the rate
				}
				for seed := uint64(1); seed <= min(strips(t), 20); seed++ {
					id := ecg.Synthetic(r.ID, age, seed)
					_, m := render(t, id, seconds(r))
					if got, ok := fromTruth(c.Measure, m); ok {
						assert.True(t, got >= low-1e-9 && got <= high+1e-9, "%s: %s is %.4g, too near to a limit of %.4g to %.4g",
							id, c.Measure, got, limits.Low, limits.High)
					}
				}
			}
		}
	}
}
