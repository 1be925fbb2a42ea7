package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// bell is one wave: time of its middle from the QRS's middle, standard deviation
// (both s) and height (mV).
type bell struct{ at, sd, height float64 }

// strip sums bells at the given beat times (s).
func bells(seconds, rate float64, times []float64, shape func(beat int) []bell) []float64 {
	x := make([]float64, int(seconds*rate))
	for b, t := range times {
		for _, w := range shape(b) {
			mid := (t + w.at) * rate
			for i := max(0, int(mid-6*w.sd*rate)); i <= min(len(x)-1, int(mid+6*w.sd*rate)); i++ {
				z := (float64(i) - mid) / (w.sd * rate)
				x[i] += w.height * math.Exp(-z*z/2)
			}
		}
	}
	return x
}

// every lists times from first in steps of step up to seconds.
func every(first, step, seconds float64) (out []float64) {
	for t := first; t < seconds-0.05; t += step {
		out = append(out, t)
	}
	return out
}

// qrsOf is a complex of about the given width (s) with small Q and S.
func qrsOf(width, height float64) []bell {
	sd := width / 7
	return []bell{{-2 * sd, sd * 0.8, -0.12 * height}, {0, sd, height}, {2 * sd, sd * 0.8, -0.2 * height}}
}

func row(mv []float64, rate float64) ecg.Strip {
	return ecg.Strip{Rate: rate, Leads: []ecg.Lead{ecg.II}, MV: [][]float64{mv}}
}

// Rates and QRS widths cover what EC13 asks of a heart-rate meter (30-250/min,
// QRS 40-120 ms, 0.5-5 mV; from memory) and beyond it: 25-320/min, 0.2-3 mV,
// 40-200 ms, T waves of R height.
func TestBeatsOfBells(t *testing.T) {
	for _, fs := range []float64{250, 300, 360, 500, 1000} {
		for _, bpm := range []float64{25, 40, 60, 90, 120, 150, 180, 220, 260, 300, 320} {
			for _, width := range []float64{0.04, 0.08, 0.12, 0.20} {
				rr := 60 / bpm
				if width > 0.55*rr {
					continue
				}
				for _, height := range []float64{0.2, 1, 3, -0.2, -1, -3} {
					for _, tall := range []float64{0.2, 0.6, 1.0} {
						qt := min(0.4*math.Sqrt(rr), 0.85*rr)
						if tall > 0.6 && width > 0.08 || tall > 0.2 && (width > 0.12 || bpm > 220) {
							continue // a T as tall and as steep as the QRS is no T
						}
						name := fmt.Sprintf("%g Hz, %g/min, QRS %g s %g mV, T %g R", fs, bpm, width, height, tall)
						random := rand.New(rand.NewPCG(1, uint64(bpm)))
						times := every(0.3, rr, 10)
						x := bells(10, fs, times, func(int) []bell {
							w := qrsOf(width, height)
							w = append(w, bell{width/2 + 0.55*(qt-width), qt * 0.11, tall * math.Abs(height)})
							return w
						})
						for i := range x {
							x[i] += 0.15*math.Sin(2*math.Pi*0.25*float64(i)/fs) + 0.01*random.NormFloat64()
						}
						r, err := Read(row(x, fs), "")
						require.NoError(t, err, name)
						tp, fn, fp := compare(peaks(r.Marks), times)
						if fn+fp > 0 {
							t.Errorf("%s: %d found, %d missed, %d too many; kind %s %+v", name, tp, fn, fp, r.Kind, r.Name)
							continue
						}
						assert.InDelta(t, bpm, r.Rate, 0.01*bpm, name)
					}
				}
			}
		}
	}
}

func peaks(m ecg.Marks) []float64 {
	out := make([]float64, len(m.Beats))
	for i, b := range m.Beats {
		out[i] = b.QRS.Peak
	}
	return out
}
