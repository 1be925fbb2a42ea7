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

// Rates and QRS widths cover what EC13 asks of a heart-rate meter (30-250/min, QRS
// 40-120 ms, 0.5-5 mV, T to be told from QRS; from memory) and go beyond it: 25-320
// beats/min, 0.2-3 mV up and down, 40-200 ms, T up to R height.
func TestBeatsOfBells(t *testing.T) {
	if testing.Short() {
		t.Skip("figures alone, no goroutine: the whole run has them")
	}
	for _, fs := range []float64{250, 300, 360, 500, 1000} {
		for _, bpm := range []float64{25, 40, 60, 90, 120, 150, 180, 220, 260, 300, 320} {
			for _, width := range []float64{0.04, 0.08, 0.12, 0.20} {
				for _, height := range []float64{0.2, 0.5, 1, 3, -0.2, -1} {
					for _, tall := range []float64{0.2, 0.6, 1.0} {
						if plausible(bpm, width, math.Abs(height), tall) {
							readBells(t, fs, bpm, width, height, tall)
						}
					}
				}
			}
		}
	}
}

// plausible leaves out what is not a QRS and a T: complexes that fill the cycle, and
// T waves as steep as the QRS or lost in the noise.
func plausible(bpm, width, height, tall float64) bool {
	switch {
	case width > 0.55*60/bpm:
		return false
	case tall > 0.6:
		return width <= 0.08 && height >= 1 && bpm <= 220
	case tall > 0.2:
		return width <= 0.12 && height >= 0.5 && bpm <= 220
	}
	return height >= 0.5 || width <= 0.12
}

func readBells(t *testing.T, fs, bpm, width, height, tall float64) {
	name := fmt.Sprintf("%g Hz, %g/min, QRS %g s %g mV, T %g of R", fs, bpm, width, height, tall)
	rr := 60 / bpm
	qt := min(0.4*math.Sqrt(rr), 0.85*rr) // Bazett at QTc 0.4 s
	times := every(0.3, rr, 10)
	x := bells(10, fs, times, func(int) []bell {
		return append(qrsOf(width, height), bell{width/2 + 0.55*(qt-width), 0.11 * qt, tall * math.Abs(height)})
	})
	random := rand.New(rand.NewPCG(1, uint64(bpm)))
	for i := range x { // wander of breathing, and noise of 0.01 mV
		x[i] += 0.15*math.Sin(2*math.Pi*0.25*float64(i)/fs) + 0.01*random.NormFloat64()
	}
	r, err := Read(row(x, fs), "")
	require.NoError(t, err, name)
	_, fn, fp := compare(peaks(r.Marks), times)
	if assert.Zero(t, fn+fp, "%s: %d missed, %d too many, %s", name, fn, fp, r.Kind) {
		assert.InDelta(t, bpm, r.Rate, 0.01*bpm, name)
		counted, ok := HeartRate(x, fs)
		assert.True(t, ok, name)
		assert.InDelta(t, bpm, counted, max(5, 0.1*bpm), "%s: EC13 allows 10 %% or 5/min", name)
	}
}

func peaks(m ecg.Marks) []float64 {
	out := make([]float64, len(m.Beats))
	for i, b := range m.Beats {
		out[i] = b.QRS.Peak
	}
	return out
}
