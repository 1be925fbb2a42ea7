package synth_test

import (
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/rhythm"
)

// caliperMisses are the criteria of a rhythm that calipers do not find in the published
// range on a strip, each with the value, the range and who published it.
func caliperMisses(r rhythm.Rhythm, id ecg.Identity, s ecg.Strip, l look) []string {
	c := measured(s, l, id.Age)
	fibrillates := false
	for _, k := range r.Criteria {
		fibrillates = fibrillates || k.Measure == lesson.Dominant
	}
	var out []string
	for _, k := range r.Criteria {
		want := k.At(id.Age)
		check := func(where string, got float64) {
			if !(got >= want.Low && got <= want.High) {
				out = append(out, fmt.Sprintf("%s%s is %.4g, published %.4g to %.4g (%s)", where, k.Measure, got, want.Low, want.High, want.Source))
			}
		}
		switch {
		case byLead(k.Measure) && len(c.at) > 0:
			for _, lead := range c.clearLeads() {
				check("lead "+string(c.leads[lead])+": ", ofRR(k.Measure, c.rr(lead)))
			}
		case byLead(k.Measure):
			check("", ofRR(k.Measure, nil))
		case k.Measure == lesson.Dominant:
			check("lead II: ", c.ofQuiver())
		case k.Measure == lesson.PeakToPeak && fibrillates:
			check("lead II: ", wavesOfSeconds(band(s.Row(ecg.II), s.Rate), s.Rate))
		case k.Measure == lesson.PeakToPeak:
			check("lead II: ", height(band(s.Row(ecg.II), s.Rate)))
		default:
			if got, ok := c.ofWaves(k.Measure, s); ok {
				check("", got)
			} else {
				out = append(out, fmt.Sprintf("%s is not measured", k.Measure))
			}
		}
	}
	return out
}

// needsV1 reports whether a criterion is measured in V1.
func needsV1(r rhythm.Rhythm) bool {
	for _, k := range r.Criteria {
		if k.Measure == lesson.LateV1 {
			return true
		}
	}
	return false
}

// underCalipers makes all strips of a rhythm and measures them.
func underCalipers(t *testing.T, r rhythm.Rhythm) (made int, misses []string) {
	for _, age := range ages(r) {
		for seed := uint64(1); seed <= strips(t); seed++ {
			id := ecg.Synthetic(r.ID, age, seed)
			if needsV1(r) {
				id.Leads = append(id.Leads, ecg.V1)
			}
			s, m := render(t, id, seconds(r))
			made++
			for _, miss := range caliperMisses(r, id, s, lookAt(m, rand.New(rand.NewPCG(seed, 0)))) {
				misses = append(misses, id.String()+": "+miss)
				break
			}
		}
	}
	return made, misses
}

func TestCalipers(t *testing.T) {
	t.Parallel()
	var mu sync.Mutex
	total, missed := 0, 0
	t.Run("all", func(t *testing.T) {
		for _, r := range rhythm.All() {
			t.Run(r.ID, func(t *testing.T) {
				t.Parallel()
				made, misses := underCalipers(t, r)
				mu.Lock()
				defer mu.Unlock()
				total, missed = total+made, missed+len(misses)
				for _, miss := range misses {
					t.Log(miss)
				}
				if len(misses) > 0 {
					t.Logf("%s: %d of %d strips missed", r.ID, len(misses), made)
				}
			})
		}
	})
	share := 1 - float64(missed)/float64(total)
	t.Logf("by calipers: %d of %d strips pass: %.2f %%", total-missed, total, 100*share)
	assert.GreaterOrEqual(t, share, mustPass)
}
