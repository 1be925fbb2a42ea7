package paper

import (
	"math"

	"github.com/guptarohit/asciigraph"

	"telltrace/trainer/look"
)

// The range of the plain picture, mV, so that two pictures can be compared; waves
// beyond it are cut at its edge.
const (
	plainLow  = -1.5
	plainHigh = 2.0
)

// Plain draws samples (mV) as a character graph of at most width columns and about
// height rows, with an axis in mV: the picture --plain gives on request. Each pair
// of columns shows the lowest and the highest sample of its stretch in the order in
// which they come, so no peak is lost. Invalid samples leave a gap; without any
// valid one the words for it are returned.
func Plain(samples []float64, width, height int) string {
	const axis = 9 // columns of label and axis
	pairs := max(1, (width-axis)/2)
	var series []float64
	valid := false
	for i := range pairs {
		part := samples[i*len(samples)/pairs : (i+1)*len(samples)/pairs]
		if len(part) == 0 {
			continue
		}
		lo, hi := math.NaN(), math.NaN()
		loAt, hiAt := 0, 0
		for k, x := range part {
			if math.IsNaN(x) {
				continue
			}
			valid = true
			x = min(max(x, plainLow), plainHigh)
			if !(x >= lo) {
				lo, loAt = x, k
			}
			if !(x <= hi) {
				hi, hiAt = x, k
			}
		}
		if loAt > hiAt {
			lo, hi = hi, lo
		}
		series = append(series, lo, hi)
	}
	if !valid {
		return look.NoSignal
	}
	// Bounds and precision are fixed: else the axis changes its width with the data.
	return asciigraph.Plot(series, asciigraph.Height(max(1, height-1)), asciigraph.Precision(2),
		asciigraph.LowerBound(plainLow), asciigraph.UpperBound(plainHigh),
		asciigraph.Caption("mV"))
}
