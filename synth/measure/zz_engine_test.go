package measure_test

import (
	"fmt"
	"math"
	"testing"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
)

func TestEngine(t *testing.T) {
	for _, l := range synth.Lessons() {
		for _, a := range []ecg.Age{ecg.Days(10), ecg.Months(9), ecg.Years(6), ecg.Years(40)} {
			lim := map[bool]measure.Limits{}
			_ = lim
			limits := measure.Adult()
			switch {
			case a.Years() < 0.5:
				limits = measure.Limits{Slow: 90, Fast: 190, Wide: 0.09}
			case a.Years() < 2:
				limits = measure.Limits{Slow: 90, Fast: 175, Wide: 0.09}
			case a.Years() < 12:
				limits = measure.Limits{Slow: 65, Fast: 130, Wide: 0.10}
			}
			ok, n := 0, 0
			names := map[string]int{}
			var tp, fn, fp, ptp, pfn, pfp int
			var dpr, dqrs, dqt []float64
			for seed := uint64(1); seed <= 10; seed++ {
				id := ecg.Synthetic(l.ID, a, seed)
				if l.Family == "artifact" {
					id = ecg.Synthetic("sinus-rhythm", a, seed)
					id.Artifact = l.ID
				}
				s, m, err := synth.Render(id, 10)
				if err != nil {
					continue
				}
				n++
				r, err := measure.Read(s, ecg.II, measure.WithLimits(limits))
				if err != nil {
					t.Fatal(err)
				}
				if r.Name == l.ID {
					ok++
				}
				names[r.Name]++
				a1, b1, c1 := pair(beats(r.Marks), beats(m))
				tp, fn, fp = tp+a1, fn+b1, fp+c1
				a1, b1, c1 = pair(ps(r.Marks), ps(m))
				ptp, pfn, pfp = ptp+a1, pfn+b1, pfp+c1
				pr, q, qt := truth(m)
				dpr = append(dpr, 1000*(r.PR-pr))
				dqrs = append(dqrs, 1000*(r.QRS-q))
				dqt = append(dqt, 1000*(r.QT-qt))
				if r.Name != l.ID && seed < 3 {
					fmt.Printf("     %s %s seed %d: %q kind %s %v p2p %.2f  truth PR %.3f QRS %.3f QT %.3f groups %v\n", l.ID, a, seed, r.Name, r.Kind, r.Reasons, r.PeakToPeak, pr, q, qt, r.Groups)
				}
			}
			if n > 0 {
				fmt.Printf("%-36s %-4s ok %d/%d %v  QRS %d/-%d/+%d  P %d/-%d/+%d dPR %.0f dQRS %.0f dQT %.0f\n", l.ID, a, ok, n, names, tp, fn, fp, ptp, pfn, pfp, avg(dpr), avg(dqrs), avg(dqt))
			}
		}
	}
}
func avg(x []float64) float64 {
	s, n := 0.0, 0.0
	for _, v := range x {
		if !math.IsNaN(v) {
			s += v
			n++
		}
	}
	return s / n
}
func med(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}
func truth(m ecg.Marks) (pr, q, qt float64) {
	var a, b, c []float64
	for _, x := range m.Beats {
		if v, ok := x.PR(); ok {
			a = append(a, v)
		}
		if v, ok := x.QRSWidth(); ok {
			b = append(b, v)
		}
		if v, ok := x.QT(); ok {
			c = append(c, v)
		}
	}
	return med(a), med(b), med(c)
}
func beats(m ecg.Marks) (out []float64) {
	for _, b := range m.Beats {
		out = append(out, b.QRS.Peak)
	}
	return
}
func ps(m ecg.Marks) (out []float64) {
	for _, b := range m.P {
		out = append(out, b.Peak)
	}
	return
}
func pair(f, w []float64) (tp, fn, fp int) {
	used := map[int]bool{}
	for _, x := range w {
		ok := false
		for i, y := range f {
			if !used[i] && math.Abs(x-y) < 0.08 {
				used[i], ok = true, true
				break
			}
		}
		if ok {
			tp++
		} else {
			fn++
		}
	}
	return tp, fn, len(f) - tp
}
