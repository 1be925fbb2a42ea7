package measure

import "math"

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
	block      = 2.0   // the strip's level is the median of its blocks' maxima
	closest    = 0.150 // two beats are never nearer: 400 beats/min
)

// Shares.
const (
	ripple     = 0.85 // humps with no valley below this share of the lower one are one
	beatShare  = 0.34 // of the strip's level: from here a burst is a beat
	rareShare  = 0.30 // of the tallest bursts, one left out: the strip's level at least
	gapShare   = 0.24 // the same in a gap that is too long for the rhythm
	sharpShare = 0.22 // the same of a complex that is bent as sharply as
	sharpBend  = 0.60 // this share of the usual beat
	sharpApart = 0.26 // s from its neighbours
	gapSure    = 0.34 // and from here on, or
	gapSize    = 0.50 // with this share of the size of the beat before, it is one
	lateShare  = 0.40 // of a soft wave that is a beat when it comes
	lateAfter  = 0.36 // s after the last
	lateSize   = 0.60 // with this share of its size
	longGap    = 1.5  // of the usual gap: from here a gap is too long
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
		near := tops[max(0, i-3):min(len(tops), i+4)]
		out[i] = max(median(near), rareShare*second(near))
	}
	return out
}

// second is the second largest of the values, the only one where there are no two.
func second(x []float64) float64 {
	most, next := math.Inf(-1), math.Inf(-1)
	for _, v := range x {
		switch {
		case v > most:
			most, next = v, most
		case v > next:
			next = v
		}
	}
	if len(x) < 2 {
		return most
	}
	return next
}

// detect finds the beats of a lead: the humps of steepness above a share of the
// strip's own level, less the T waves, and then again in gaps that are too long
// for the rhythm. It needs no time to learn.
func detect(mv []float64, rate float64) []candidate {
	slopes, energy := steepness(mv, rate)
	return pick(mv, candidates(mv, slopes, energy, rate), levels(energy, rate), rate)
}

// pick chooses the beats among the candidates of a lead.
func pick(mv []float64, all []candidate, level []float64, rate float64) []candidate {
	if len(level) == 0 {
		return nil
	}
	share := func(c candidate) float64 {
		return c.strength / level[min(c.at/max(1, int(block*rate)), len(level)-1)]
	}
	var beats []candidate
	var room []float64
	for i, c := range all {
		if share(c) < beatShare {
			continue
		}
		if k := len(beats) - 1; k >= 0 && isT(beats[k], c, rate) && !lateBeat(mv, beats[k], c, share(c), &room, rate) {
			// unless it has a T wave of its own, as a weak ventricular beat has
			if i+1 == len(all) || share(all[i+1]) < gapShare || !follows(c, all[i+1], rate) {
				continue
			}
		}
		beats = append(beats, c)
	}
	beats = withoutT(mv, withSharp(withoutFirstT(beats, rate), all, share, rate), rate)
	beats = withoutFirstT(beats, rate) // again: T waves between the beats hid the usual gap
	return withoutExtra(withoutP(withoutLateT(refill(beats, all, share, rate), len(mv), rate)), share, rate)
}

// lateBeat reports whether a soft wave is a beat all the same: late after the beat
// before, large, and with that one's T between them.
func lateBeat(mv []float64, beat, c candidate, share float64, room *[]float64, rate float64) bool {
	return share > lateShare && float64(c.at-beat.at) > lateAfter*rate && c.size > lateSize*beat.size && !bare(mv, beat, c, room, rate)
}

// withSharp adds what is low but bent as sharply as the beats it lies between: small
// narrow complexes among large wide ones, as in bigeminy.
func withSharp(beats, all []candidate, share func(candidate) float64, rate float64) []candidate {
	if len(beats) < 3 {
		return beats
	}
	bends := make([]float64, len(beats))
	for i, b := range beats {
		bends[i] = b.bend
	}
	least := sharpBend * median(bends)
	out := make([]candidate, 0, len(beats)+4)
	k := 0
	for _, c := range all {
		if k < len(beats) && beats[k].at == c.at {
			out = append(out, c)
			k++
			continue
		}
		if c.bend < least || share(c) < sharpShare || k > 0 && float64(c.at-beats[k-1].at) < sharpApart*rate ||
			k < len(beats) && float64(beats[k].at-c.at) < sharpApart*rate {
			continue
		}
		if n := len(out) - 1; n >= 0 && (isT(out[n], c, rate) || float64(c.at-out[n].at) < sharpApart*rate) {
			continue
		}
		out = append(out, c)
	}
	return out
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
			for float64(b.at-prev.at) > longGap*usual {
				found := candidate{}
				for _, c := range all {
					if float64(c.at-prev.at) > max(0.5*usual, 0.2*rate) && float64(b.at-c.at) > max(0.4*usual, 0.2*rate) &&
						share(c) > gapShare && (share(c) > gapSure || c.size > gapSize*prev.size) && !isT(prev, c, rate) && c.strength > found.strength {
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
