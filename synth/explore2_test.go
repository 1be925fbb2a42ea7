package synth_test

import (
	"fmt"
	"math"
	"testing"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
	"telltrace/synth/rhythm"
)

func mean(x []float64) (m, sd float64) {
	for _, v := range x {
		m += v / float64(len(x))
	}
	for _, v := range x {
		sd += (v - m) * (v - m) / float64(len(x))
	}
	return m, math.Sqrt(sd)
}

func TestExploreTruth(t *testing.T) {
	for _, r := range rhythm.All() {
		n := 0
		for _, b := range norms.Bands() {
			for seed := uint64(1); seed <= 20; seed++ {
				secs := 10.0
				if r.Shows != rhythm.AfterBeats {
					secs = 30
				}
				_, m, _ := synth.Render(ecg.Synthetic(r.ID, b.Middle, seed), secs)
				var rr, pr []float64
				ect, run, long := 0, 0, 0
				for i, x := range m.Beats {
					if i > 0 {
						rr = append(rr, x.QRS.Onset-m.Beats[i-1].QRS.Onset)
					}
					if v, ok := x.PR(); ok {
						pr = append(pr, v)
					}
					if x.Origin == ecg.OriginVentricular {
						ect++
						run++
						long = max(long, run)
					} else {
						run = 0
					}
				}
				mrr, sd := mean(rr)
				mpr, _ := mean(pr)
				for _, c := range r.Criteria {
					v := math.NaN()
					switch c.Measure {
					case lesson.Rate:
						v = 60 / mrr
						if len(rr) == 0 {
							v = 0
						}
					case lesson.RRSpread:
						v = sd / mrr
					case lesson.PPerQRS:
						v = float64(len(m.P)) / float64(len(m.Beats))
					case lesson.PRTime:
						v = mpr
					case lesson.Ectopics:
						v = float64(ect) / float64(len(m.Beats))
					case lesson.LongestRun:
						v = float64(long)
					default:
						continue
					}
					rg := c.At(b.Middle)
					if !(v >= rg.Low && v <= rg.High) {
						n++
						o := ""
						if n < 10 {
							for _, x := range m.Beats {
								o += fmt.Sprintf(" %.2f%c", x.QRS.Onset, string(x.Origin)[0])
							}
						}
						fmt.Printf("   %s %s %d truth %s %.4f not in %.4f-%.4f %.100s\n", r.ID, b.Name, seed, c.Measure, v, rg.Low, rg.High, o)
					}
				}
			}
		}
		fmt.Println(r.ID, "truth misses", n)
	}
}
