package synth_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/rhythm"
)

// What is made hard to tell is still what it is called: at the other severities as well
// every entry's own truth lies in the published ranges.
func TestSubtleTruthMeetsTheCriteria(t *testing.T) {
	t.Parallel()
	seeds := uint64(4)
	if testing.Short() {
		seeds = 1
	}
	for _, r := range rhythm.All() {
		for _, severity := range []ecg.Severity{ecg.Middle, ecg.Subtle} {
			for _, age := range ages(r) {
				for seed := uint64(1); seed <= seeds; seed++ {
					id := ecg.Synthetic(r.ID, age, seed)
					id.Severity = severity
					_, m := render(t, id, 1.5*seconds(r))
					for _, c := range r.Criteria {
						if r.Family != lesson.Ventricular && (c.Measure == lesson.Ectopics || c.Measure == lesson.LongestRun) {
							continue // the truth knows where a beat came from, not the shape it took
						}
						want := c.At(age)
						if got, ok := fromTruth(c.Measure, m); ok {
							assert.True(t, got >= want.Low && got <= want.High, "%s: %s is %.4g, published %.4g to %.4g (%s)",
								id, c.Measure, got, want.Low, want.High, want.Source)
						}
					}
				}
			}
		}
	}
}
