package synth_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/ecg"
	"telltrace/synth/norms"
)

// The detection rules here were published by others for real fibrillation; windows
// are of 8 s at 250 Hz, filtered as in their comparison (Amann, Tratnig, Unterkofler
// 2005, BioMed Eng OnLine 4:60, read second-hand): moving average of five, high-pass
// of 1 Hz, Butterworth low-pass of 30 Hz.
const (
	detectionRate = 250
	leakageBelow  = 0.625 // fibrillation; Kuo and Dillman 1978, Comput Cardiol 347 (read second-hand)
	plotAbove     = 0.15  // fibrillation; Amann 2007, IEEE TBME 54:174 (threshold from memory)
)

// window is the last 8 s of a 12 s strip, filtered: lead II, or where complexes are
// small there, the limb lead that shows them.
func window(t *testing.T, id ecg.Identity) []float64 {
	t.Helper()
	id.Rate = detectionRate
	s, m := render(t, id, 12)
	lead, _ := clearest(s, m)
	x := slices.Clone(s.Row(lead))
	for i := len(x) - 1; i >= 4; i-- {
		x[i] = (x[i] + x[i-1] + x[i-2] + x[i-3] + x[i-4]) / 5
	}
	secondOrder(x, 1, true, detectionRate)
	secondOrder(x, 30, false, detectionRate)
	return x[4*detectionRate:]
}

// secondOrder is a Butterworth filter of second order with its corner at hz, by the
// bilinear transform.
func secondOrder(x []float64, hz float64, high bool, rate float64) {
	w := math.Tan(math.Pi * hz / rate)
	norm := 1 / (1 + math.Sqrt2*w + w*w)
	a1, a2 := 2*(w*w-1)*norm, (1-math.Sqrt2*w+w*w)*norm
	b0, b1 := w*w*norm, 2*w*w*norm
	if high {
		b0, b1 = norm, -2*norm
	}
	x1, x2, y1, y2 := x[0], x[0], 0.0, 0.0
	if !high {
		y1, y2 = x[0], x[0]
	}
	for i, v := range x {
		y := b0*v + b1*x1 + b0*x2 - a1*y1 - a2*y2
		x2, x1, y2, y1 = x1, v, y1, y
		x[i] = y
	}
}

// leakage of the filter that cancels the signal's mean period (Kuo and Dillman).
func leakage(x []float64) float64 {
	var sum, change float64
	for i := 1; i < len(x); i++ {
		sum += math.Abs(x[i])
		change += math.Abs(x[i] - x[i-1])
	}
	half := int(math.Pi * sum / change)
	var left, all float64
	for i := half; i < len(x); i++ {
		left += math.Abs(x[i] + x[i-half])
		all += math.Abs(x[i]) + math.Abs(x[i-half])
	}
	return left / all
}

// visited is the share of the boxes of a 40 x 40 plot of x(t) against x(t + 0.5 s), at
// 50 Hz, that the signal visits (Amann, Tratnig, Unterkofler).
func visited(x []float64) float64 {
	const grid, step = 40, detectionRate / 50
	low, high := slices.Min(x), slices.Max(x)
	cell := func(v float64) int { return min(int((v-low)/(high-low)*grid), grid-1) }
	seen := map[[2]int]bool{}
	for i := 0; i+detectionRate/2 < len(x); i += step {
		seen[[2]int{cell(x[i]), cell(x[i+detectionRate/2])}] = true
	}
	return float64(len(seen)) / (grid * grid)
}

// Fibrillation is what both rules call fibrillation; a rhythm with complexes is not
// called so by the time-delay plot (leakage cannot tell fast wide complexes apart, by
// the authors' own figures).
func TestPublishedDetectionRules(t *testing.T) {
	t.Parallel()
	for _, rhythmID := range []string{"coarse-ventricular-fibrillation", "fine-ventricular-fibrillation"} {
		for _, b := range norms.Bands() {
			for seed := uint64(1); seed <= 20; seed++ {
				id := ecg.Synthetic(rhythmID, b.Middle, seed)
				x := window(t, id)
				assert.Less(t, leakage(x), leakageBelow, "%s: leakage", id)
				assert.Greater(t, visited(x), plotAbove, "%s: boxes visited", id)
			}
		}
	}
	for _, rhythmID := range []string{
		"sinus-rhythm", "sinus-tachycardia", "supraventricular-tachycardia", "atrial-fibrillation", "monomorphic-ventricular-tachycardia",
		"atrial-pacing", "ventricular-pacing", "dual-chamber-pacing",
	} {
		for _, b := range norms.Bands() {
			for seed := uint64(1); seed <= 10; seed++ {
				id := ecg.Synthetic(rhythmID, b.Middle, seed)
				assert.LessOrEqual(t, visited(window(t, id)), plotAbove, "%s: boxes visited", id)
			}
		}
	}
}

// The rules themselves, on the signals they were described with: a sine leaks nothing
// and visits few boxes, a train of narrow complexes leaks much (within 15 % of the
// reference figures, derived).
func TestTheRulesThemselves(t *testing.T) {
	t.Parallel()
	sine, train := make([]float64, 8*detectionRate), make([]float64, 8*detectionRate)
	for i := range sine {
		at := float64(i) / detectionRate
		sine[i] = math.Sin(2 * math.Pi * 4.5 * at)
		d := math.Mod(at, 0.8) - 0.4
		train[i] = math.Exp(-d * d / (2 * 0.012 * 0.012))
	}
	assert.Less(t, leakage(sine), 0.05)
	assert.Less(t, visited(sine), 0.10)
	assert.Greater(t, leakage(train), leakageBelow)
	assert.Less(t, visited(train), 0.06)
}
