package measure

import (
	"math"
)

// A candidate is a burst of steepness that may be a QRS.
type candidate struct {
	at       int     // sample of the burst's middle
	strength float64 // steepness there, averaged over about a QRS
	slope    float64 // steepest slope within it
	bend     float64 // sharpest bend within it
	size     float64 // mV from lowest to highest within it
}

// Times that shape the detector, in seconds.
const (
	mains50    = 1.0 / 50 // running means that remove 50 and 60 Hz
	mains60    = 1.0 / 60
	mains55    = 1.0 / 55 // one that leaves little of either
	halfStep   = 0.008    // half of the span a slope is taken over
	burst      = 0.070    // a QRS's steepness is gathered over about this, twice
	burstAgain = 0.050
	block      = 2.0   // the strip's level of steepness is the median of the blocks' maxima
	closest    = 0.150 // two beats are never nearer (400 beats/min)
	beatShare  = 0.34  // share of the strip's level from which a burst is a beat
	gapShare   = 0.24  // the same in a gap that is too long
	ripple     = 0.85  // humps with no valley below this share of the lower one are one
	tWindow    = 0.400 // the steepest part of most T waves comes within this after the QRS
	tSlope     = 0.50  // and is less than this share as steep; later waves must be less steep still
	tBend      = 0.36  // or, early, bends less than this share as sharply and is clearly less steep
	pShare     = 0.45  // of the usual beats' slope, bend and size, below which all three a beat is a P wave
	pTallest   = 0.30  // mV, the tallest usual P wave
	tSize      = 1.25  // and is no larger than this share of its QRS (EC13 asks for T up to 1.2)
	tBendAlone = 0.33
	tAlone     = 0.70
	tRecurs    = 0.80 // the same for a wave that follows most beats at one distance
	tEarly     = 0.33 // that distance is at most this at RR 1 s, by √RR
)

// steepness turns a lead into its slope (mains removed) and the slope's running
// mean size, on which every QRS is one hump: narrow or wide, up or down.
func steepness(mv []float64, rate float64) (slopes, energy []float64) {
	n := len(mv)
	a, b := make([]float64, n), make([]float64, n)
	smooth(b, mv, odd(mains55, rate))
	slope(a, b, max(1, int(math.Round(halfStep*rate))))
	for i, v := range a {
		b[i] = v * v
	}
	c := make([]float64, n)
	smooth(c, b, odd(burst, rate))
	smooth(b, c, odd(burstAgain, rate))
	for i, v := range b {
		b[i] = math.Sqrt(max(v, 0))
	}
	return a, b
}

// candidates are the humps of the energy, the higher one where two are closer
// than beats can be.
func candidates(mv, slopes, energy []float64, rate float64) []candidate {
	var out []candidate
	gap, reach, half := int(closest*rate), int(burst*rate), max(1, int(math.Round(halfStep*rate)))
	n := len(energy)
	valley := math.Inf(1) // lowest energy since the last hump
	for i := range n {
		e := energy[i]
		valley = min(valley, e)
		if e <= 0 || i < half || i >= n-half || energy[i-1] >= e || energy[i+1] > e { // at the ends nothing can be judged
			continue
		}
		if k := len(out) - 1; k >= 0 && (i-out[k].at < gap || valley > ripple*min(e, out[k].strength)) {
			if out[k].strength >= e {
				continue
			}
			out = out[:k]
		}
		out = append(out, candidate{at: i, strength: e})
		valley = e
	}
	for k := range out { // up to half-way to the neighbours
		from, to := max(0, out[k].at-reach), min(n-1, out[k].at+reach)
		if k > 0 {
			from = max(from, (out[k-1].at+out[k].at)/2)
		}
		if k+1 < len(out) {
			to = min(to, (out[k].at+out[k+1].at)/2)
		}
		out[k].size = span(mv[from : to+1])
		for i := from; i <= to; i++ {
			out[k].slope = max(out[k].slope, math.Abs(slopes[i]))
			out[k].bend = max(out[k].bend, math.Abs(slopes[min(i+half, n-1)]-slopes[max(i-half, 0)]))
		}
	}
	return out
}

// levels is the strip's usual maximum of energy around each block.
func levels(energy []float64, rate float64) []float64 {
	w := max(1, int(block*rate))
	var tops []float64
	for i := 0; i < len(energy); i += w {
		end := min(len(energy), i+w)
		if len(tops) > 0 && end-i < w/2 {
			break
		}
		top := 0.0
		for _, e := range energy[i:end] {
			top = max(top, e)
		}
		tops = append(tops, top)
	}
	out := make([]float64, len(tops))
	for i := range tops {
		out[i] = median(tops[max(0, i-3):min(len(tops), i+4)])
	}
	return out
}

// detect finds the beats of a lead: the humps of steepness above a share of the
// strip's own level, less the T waves, and then again in gaps that are too long
// for the rhythm. It needs no time to learn.
func detect(mv []float64, rate float64) []candidate {
	slopes, energy := steepness(mv, rate)
	return pick(candidates(mv, slopes, energy, rate), levels(energy, rate), rate)
}

func pick(all []candidate, level []float64, rate float64) []candidate {
	if len(level) == 0 {
		return nil
	}
	share := func(c candidate) float64 {
		return c.strength / level[min(c.at/int(max(1, block*rate)), len(level)-1)]
	}
	var beats []candidate
	for i, c := range all {
		if share(c) < beatShare {
			continue
		}
		if k := len(beats) - 1; k >= 0 && isT(beats[k], c, rate) {
			// unless it has a T wave of its own, as a weak ventricular beat has
			if i+1 == len(all) {
				continue
			}
			next := all[i+1]
			if share(next) < gapShare || float64(next.at-c.at) > tWindow*rate ||
				next.slope > c.slope || next.bend > c.bend {
				continue
			}
		}
		beats = append(beats, c)
	}
	return withoutP(refill(withoutT(withoutFirstT(beats, rate), rate), all, share, rate))
}

// isT reports whether c looks like the T wave of the beat before it.
func isT(beat, c candidate, rate float64) bool {
	late := float64(c.at-beat.at)/rate - tWindow
	if c.size > tSize*beat.size {
		return false
	}
	share := tSlope
	if late > 0 {
		share -= late * tSlope / tWindow
	}
	return c.slope < share*beat.slope ||
		late < -0.1 && c.bend < tBendAlone*beat.bend && c.slope < tAlone*beat.slope
}

// withoutFirstT drops the first beat where it looks like the T wave of one before
// the strip began.
func withoutFirstT(beats []candidate, rate float64) []candidate {
	if len(beats) < 3 {
		return beats
	}
	first, next := beats[0], beats[1]
	usual := float64(beats[2].at - next.at)
	if float64(next.at-first.at) < 0.9*usual && float64(first.at) < min(tWindow*rate, 0.6*usual) &&
		first.slope < tRecurs*next.slope && first.bend < tSlope*next.bend && first.size < tSize*next.size {
		return beats[1:]
	}
	return beats
}

// refill looks again in the gaps that are long for the rhythm around them, with a
// lower threshold.
func refill(beats, all []candidate, share func(candidate) float64, rate float64) []candidate {
	if len(beats) < 3 {
		return beats
	}
	out := make([]candidate, 0, len(beats)+4)
	for i, b := range beats {
		if i > 0 {
			usual := usualGap(beats, i)
			prev := beats[i-1]
			for float64(b.at-prev.at) > 1.5*usual {
				found := candidate{}
				for _, c := range all {
					if float64(c.at-prev.at) > max(0.5*usual, 0.2*rate) && float64(b.at-c.at) > max(0.4*usual, 0.2*rate) &&
						share(c) > gapShare && !isT(prev, c, rate) && c.strength > found.strength {
						found = c
					}
				}
				if found.strength == 0 {
					break
				}
				out = append(out, found)
				prev = found
			}
		}
		out = append(out, b)
	}
	return out
}

// usualGap is the median gap of the eight around gap i (between beat i-1 and i).
func usualGap(beats []candidate, i int) float64 {
	var gaps [9]float64
	n := 0
	for k := max(1, i-4); k <= min(len(beats)-1, i+4); k++ {
		gaps[n] = float64(beats[k].at - beats[k-1].at)
		n++
	}
	return median(gaps[:n])
}

// withoutT drops every second beat where they are tall T waves: less steep than the
// beat before and after, early, and at one distance.
func withoutT(beats []candidate, rate float64) []candidate {
	var gaps []float64
	pairs := 0
	suspect := func(i int) bool {
		if i < 1 || i+1 >= len(beats) {
			return false
		}
		gap := float64(beats[i].at-beats[i-1].at) / rate
		cycle := float64(beats[i+1].at-beats[i-1].at) / rate
		return gap < tEarly*math.Sqrt(cycle) && beats[i].slope < tRecurs*min(beats[i-1].slope, beats[i+1].slope) &&
			beats[i].bend < tBend*min(beats[i-1].bend, beats[i+1].bend)
	}
	for i := range beats {
		if suspect(i) {
			gaps = append(gaps, float64(beats[i].at-beats[i-1].at)/rate)
			pairs += 2
		}
	}
	if len(gaps) < 3 || float64(pairs) < 0.6*float64(len(beats)) {
		return beats
	}
	usual := median(gaps)
	out := make([]candidate, 0, len(beats))
	for i, b := range beats {
		if k := len(out) - 1; k >= 0 && (suspect(i) || i+1 == len(beats)) && b.slope < tRecurs*out[k].slope &&
			math.Abs(float64(b.at-out[k].at)/rate-usual) < 0.04 {
			continue
		}
		out = append(out, b)
	}
	return out
}

// withoutP drops beats that are small, not steep and not sharp beside the usual
// ones: P waves of a heart whose QRS are small, in long gaps.
func withoutP(beats []candidate) []candidate {
	var slopes, bends, sizes []float64
	for _, b := range beats {
		slopes, bends, sizes = append(slopes, b.slope), append(bends, b.bend), append(sizes, b.size)
	}
	slope, bend, size := pShare*quantile(slopes, 0.75), pShare*quantile(bends, 0.75), min(pTallest, pShare*quantile(sizes, 0.75))
	out := beats[:0:0]
	for _, b := range beats {
		if b.slope < slope && b.bend < bend && b.size < size {
			continue
		}
		out = append(out, b)
	}
	return out
}
