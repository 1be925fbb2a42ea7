package measure

import (
	"math"
	"slices"
)

// A pacing spike is a deflection of a few milliseconds that comes back to the line
// it left: a stimulator's pulse of 0.1-2 ms (IEC 60601-2-27 tests with such, as
// restated in makers' manuals, from a second-hand copy), broadened by the recorder.
const (
	spikeHalf    = 0.004 // s from its top to where it is gone
	spikeRoom    = 0.006 // s on each side that is bridged
	spikeLeast   = 0.05  // mV
	spikeNoise   = 12.0  // of the median departure from the line: less may be muscle
	spikeSharp   = 0.70  // share of its height that it must lose within spikeHalf
	spikeReturn  = 0.40  // of its height: the two feet are no further apart
	spikeLowest  = 200.0 // Hz: sampled more slowly a spike is not told from a QRS
	spikeQuiet   = 0.016 // s before it in which the line is still
	spikeStill   = 0.35  // of its height: how far a still line goes
	spikeAlike   = 0.40  // of the median height: what is lower is not a spike of this pacer
	spikeApart   = 0.020 // s between two spikes at least
	spikesAtMost = 6.0   // a second: more is noise
	spikeValues  = 500   // enough departures to know the median
)

// spikes finds the pacing spikes of a lead (mV): samples of their tops, nil when
// there are fewer than two.
func spikes(x []float64, rate float64) []int {
	if rate < spikeLowest {
		return nil
	}
	h := max(1, int(math.Round(spikeHalf*rate)))
	wide := 3 * h
	n := len(x)
	if n < 4*wide {
		return nil
	}
	departure := func(i, h int) float64 { return x[i] - (x[i-h]+x[i+h])/2 }
	stride := 7 // a prime, so as not to fall into step with mains
	for _, longer := range [3]int{13, 29, 61} {
		if n > longer*spikeValues {
			stride = longer
		}
	}
	sizes := make([]float64, 0, n/stride+1)
	for i := wide; i < n-wide; i += stride {
		sizes = append(sizes, math.Abs(departure(i, h)))
	}
	least := max(spikeLeast, spikeNoise*quantileOf(sizes, 0.5))
	var at, clear []int
	var heights, clearHeights []float64 // with sign
	apart, quiet := int(spikeApart*rate), int(spikeQuiet*rate)
	first := wide + quiet
	for from := first; from < n-wide; from += spikeBlock {
		to := min(from+spikeBlock, n-wide)
		if to-from == spikeBlock {
			here, before, after := x[from:to], x[from-h:to-h], x[from+h:to+h]
			if below((*[spikeBlock]float64)(here), (*[spikeBlock]float64)(before), (*[spikeBlock]float64)(after), 2*least) {
				continue
			}
		}
		for i := from; i < to; i++ {
			d := departure(i, h)
			size := math.Abs(d)
			if size < least || size < spikeSharp*math.Abs(departure(i, wide)) || math.Abs(x[i-h]-x[i+h]) > spikeReturn*size {
				continue
			}
			if k := len(at) - 1; k >= 0 && i-at[k] < apart {
				if math.Abs(heights[k]) >= size {
					continue
				}
				at, heights = at[:k], heights[:k]
			}
			at, heights = append(at, i), append(heights, d)
		}
	}
	for k, i := range at { // a notch in a QRS is as sharp, but its line is not still
		if span(x[i-h-quiet:i-h+1]) < spikeStill*math.Abs(heights[k]) {
			clear, clearHeights = append(clear, i), append(clearHeights, heights[k])
		}
	}
	if len(clear) < 2 || float64(len(clear)) > spikesAtMost*float64(n)/rate || 2*len(clear) < len(at) {
		return nil
	}
	usual := median(clearHeights)
	var kept []int
	for k, i := range at {
		if heights[k]*usual > 0 && math.Abs(heights[k]) >= spikeAlike*math.Abs(usual) {
			kept = append(kept, i)
		}
	}
	if len(kept) < 2 {
		return nil
	}
	return kept
}

// spikeBlock is how many samples are looked at together.
const spikeBlock = 16

// below reports whether twice the departures of samples from the line between those before
// and after them are plainly below a limit: their squares taken together are.
func below(x, before, after *[spikeBlock]float64, limit float64) bool {
	even, odd := 0.0, 0.0
	for k := 0; k < len(x); k += 2 {
		a, b := x[k]+x[k]-(before[k]+after[k]), x[k+1]+x[k+1]-(before[k+1]+after[k+1])
		even, odd = even+a*a, odd+b*b
	}
	return even+odd < limit*limit
}

// bridged returns x with the spikes taken out, x itself when there are none.
func bridged(x []float64, spikes []int, rate float64) []float64 {
	if len(spikes) == 0 {
		return x
	}
	out := slices.Clone(x)
	w := max(1, int(math.Round(spikeRoom*rate)))
	for _, i := range spikes {
		bridge(out, max(i-w, 0), min(i+w, len(x)-1))
	}
	return out
}
