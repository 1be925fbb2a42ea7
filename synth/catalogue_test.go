package synth_test

import (
	"fmt"
	"math"
	"testing"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/measure"
	"telltrace/synth/norms"
	"telltrace/synth/rhythm"
)

func limitsFor(age ecg.Age) measure.Limits {
	rate := norms.HeartRate(age).Accept
	return measure.Limits{Slow: rate.Low, Fast: rate.High, Wide: norms.WideQRS(age).High}
}

func value(m lesson.Measure, r measure.Reading) float64 {
	switch m {
	case lesson.Rate:
		if len(r.Marks.Beats) == 0 {
			return 0
		}
		return r.Rate
	case lesson.RRSpread:
		return r.RRCV
	case lesson.PPerQRS:
		return r.PPerQRS
	case lesson.PRTime:
		return r.PR
	case lesson.QRSTime:
		return r.QRS
	case lesson.QTTime:
		return r.QT
	case lesson.QTcBazett:
		return r.QTcB
	case lesson.PeakToPeak:
		return r.PeakToPeak
	case lesson.Dominant:
		return r.DominantFrequency
	case lesson.Ectopics, lesson.LongestRun:
		n, run, longest := 0, 0, 0
		for _, b := range r.Marks.Beats {
			if b.Origin == ecg.OriginVentricular {
				n++
				run++
				longest = max(longest, run)
			} else {
				run = 0
			}
		}
		if m == lesson.LongestRun {
			return float64(longest)
		}
		return float64(n) / float64(len(r.Marks.Beats))
	}
	return math.NaN()
}

func TestExplore(t *testing.T) {
	for _, r := range rhythm.All() {
		miss := map[string]int{}
		names := map[string]int{}
		n := 0
		for _, b := range norms.Bands() {
			for seed := uint64(1); seed <= 20; seed++ {
				secs := 10.0
				if r.Shows != rhythm.AfterBeats {
					secs = 30
				}
				s, _, err := synth.Render(ecg.Synthetic(r.ID, b.Middle, seed), secs)
				if err != nil {
					t.Fatal(err)
				}
				n++
				for _, l := range []ecg.Lead{ecg.I, ecg.II, ecg.III, ""} {
					rd, err := measure.Read(s, l, measure.WithLimits(limitsFor(b.Middle)))
					if err != nil {
						t.Fatal(err)
					}
					if rd.Name != r.ID {
						names[string(l)]++
						if l == ecg.II || l == "" {
							fmt.Println("   name", r.ID, b.Name, seed, "lead", l, rd.Name, rd.Reasons, rd.Against)
						}
					}
					for _, c := range r.Criteria {
						rg := c.At(b.Middle)
						if v := value(c.Measure, rd); !(v >= rg.Low && v <= rg.High) {
							miss[string(l)+" "+string(c.Measure)]++
							if l == "II" || l == "" {
								fmt.Printf("   %s %s %d lead %s %s %.4f not in %.4f-%.4f\n", r.ID, b.Name, seed, l, c.Measure, v, rg.Low, rg.High)
							}
						}
					}
				}
			}
		}
		fmt.Println(r.ID, n, "miss", miss, "names", names)
	}
}
