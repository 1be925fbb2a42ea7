package synth_test

import (
	"fmt"

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
		check := func(where string, got float64) { out = append(out, outside(k, id.Age, where, got)...) }
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
