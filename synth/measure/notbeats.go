package measure

import "math"

// What is steep enough for a beat may still be a tall T wave, or a tall P wave
// beside small QRS. A T wave is softer than its QRS: less steep, and above all less
// bent. The limits are shares of the QRS before it, set on mitdb and on made
// complexes with T waves as tall as R.
const (
	tWindow = 0.400 // s: the steep part of a T wave comes within this after its QRS
	tSize   = 1.25  // size at most (a monitor must stand T of 1.2; EC13, from memory)

	tSlope  = 0.50 // steepness at most, falling to none at twice the window
	tWeak   = 0.55 // together with this strength
	tSoft   = 0.28 // or with this bend
	tNear   = 0.300
	tSteep  = 0.62 // steepness at most within tNear s, together with tSoft
	firstT  = 0.80 // steepness of a T wave whose QRS came before the strip
	softest = 0.50 // and its bend

	recursSlope = 0.80 // steepness of a wave that follows most beats at one distance
	recursBend  = 0.36 // and its bend
	recursAt    = 0.33 // s at RR 1 s, by √RR: that distance at most
	recursApart = 0.04 // s: how far distances may differ

	tallSlope  = 1.00 // the same of a T wave nearly as sharp as its QRS
	tallBend   = 0.80
	tallSize   = 1.50
	tallAt     = 0.40  // s at RR 1 s, by √RR: its distance at most
	tallShare  = 0.60  // and as a share of RR
	bareAfter  = 0.060 // s from a QRS's middle to where its T could begin
	bareBefore = 0.030 // s from there to the middle of what may be its T
	bareSmooth = 0.024 // s
	bareHeight = 0.05  // of the QRS's size: a lower wave between them is none

	rareRR   = 2.2  // s from beat to beat from which they are rare
	rareT    = 0.50 // s at RR 1 s, by √RR: their T comes within this
	rareSoft = 0.50 // of their steepness and bend

	pShare   = 0.45 // of the usual steepness, bend and size: below all three a beat is P
	pTallest = 0.30 // mV, the tallest usual P wave
)

// isT reports whether c looks like the T wave of the beat before it.
func isT(beat, c candidate, rate float64) bool {
	after := float64(c.at-beat.at) / rate
	if c.size > tSize*beat.size {
		return false
	}
	soft := c.bend < tSoft*beat.bend
	if after < tNear && soft && c.slope < tSteep*beat.slope {
		return true
	}
	steep := tSlope * min(1, 2-after/tWindow)
	return c.slope < steep*beat.slope && (soft || c.strength < tWeak*beat.strength)
}

// follows reports whether next is a softer wave soon after c, as its T wave is.
func follows(c, next candidate, rate float64) bool {
	return float64(next.at-c.at) <= tWindow*rate && next.slope <= c.slope && next.bend <= c.bend
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
		first.slope < firstT*next.slope && first.bend < softest*next.bend && first.size < tSize*next.size {
		return beats[1:]
	}
	return beats
}

// withoutT drops every second beat where they are tall T waves: early, at one
// distance, less steep than the beat before and after; or nearly as steep, but with
// nothing between them and the beat before, where a beat would show that one's T.
func withoutT(mv []float64, beats []candidate, rate float64) []candidate {
	var gaps []float64
	pairs := 0
	smoothed := make([]float64, 0, int(rate))
	suspect := func(i int) bool {
		if i < 1 || i+1 >= len(beats) {
			return false
		}
		a, b, c := beats[i-1], beats[i], beats[i+1]
		gap, cycle := float64(b.at-a.at)/rate, float64(c.at-a.at)/rate
		if gap > tallAt*math.Sqrt(cycle) {
			return false
		}
		slope, bend := b.slope/min(a.slope, c.slope), b.bend/min(a.bend, c.bend)
		return gap < recursAt*math.Sqrt(cycle) && slope < recursSlope && bend < recursBend ||
			gap < tallShare*cycle && slope < tallSlope && bend < tallBend && b.size < tallSize*a.size && bare(mv, a, b, &smoothed, rate)
	}
	suspects := make([]bool, len(beats))
	for i := range beats {
		if suspect(i) {
			suspects[i] = true
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
		if k := len(out) - 1; k >= 0 && (suspects[i] || i+1 == len(beats)) && b.slope < tallSlope*out[k].slope &&
			math.Abs(float64(b.at-out[k].at)/rate-usual) < recursApart {
			continue
		}
		out = append(out, b)
	}
	return out
}

// withoutLateT drops soft waves where T must be when beats are seconds apart: the
// strip's level is then no longer that of its QRS.
func withoutLateT(beats []candidate, samples int, rate float64) []candidate {
	out := make([]candidate, 0, len(beats))
	for i, c := range beats {
		if k := len(out) - 1; k >= 0 {
			next := samples
			if i+1 < len(beats) {
				next = beats[i+1].at
			}
			after, cycle := float64(c.at-out[k].at)/rate, float64(next-out[k].at)/rate
			if cycle > rareRR && after < rareT*math.Sqrt(cycle) && c.slope < rareSoft*out[k].slope && c.bend < rareSoft*out[k].bend {
				continue
			}
		}
		out = append(out, c)
	}
	return out
}

// bare reports whether there is no wave between beat a and the wave at b. buffer is
// room to work in.
func bare(mv []float64, a, b candidate, buffer *[]float64, rate float64) bool {
	from, to := a.at+int(bareAfter*rate), b.at-int(bareBefore*rate)
	if to-from < int(0.03*rate) {
		return false
	}
	v := (*buffer)[:0]
	w := int(bareSmooth*rate)/2 + 1
	for i := from; i <= to; i++ {
		sum := 0.0
		for k := i - w; k <= i+w; k++ {
			sum += mv[min(max(k, 0), len(mv)-1)]
		}
		v = append(v, sum/float64(2*w+1))
	}
	*buffer = v
	wave, ok := tallest(v, 0, len(v)-1, len(v))
	return !ok || math.Abs(wave.height) < bareHeight*a.size
}

// withoutP drops beats that are small, not steep and not sharp beside the usual
// ones: P waves of a heart whose QRS are small, in long gaps.
func withoutP(beats []candidate) []candidate {
	n := len(beats)
	if n == 0 {
		return nil
	}
	each := make([]float64, 3*n)
	slopes, bends, sizes := each[:n], each[n:2*n], each[2*n:]
	for i, b := range beats {
		slopes[i], bends[i], sizes[i] = b.slope, b.bend, b.size
	}
	slope, bend := pShare*quantileOf(slopes, 0.75), pShare*quantileOf(bends, 0.75)
	size := min(pTallest, pShare*quantileOf(sizes, 0.75))
	out := make([]candidate, 0, len(beats))
	for _, b := range beats {
		if b.slope < slope && b.bend < bend && b.size < size {
			continue
		}
		out = append(out, b)
	}
	return out
}

// Bursts that are no beats for where they stand.
const (
	extraNear   = 0.33 // s from a beat: nearer than a usual beat comes
	extraSize   = 1.10 // of the size of the larger one beside it at most
	extraFits   = 0.15 // how far the interval without it may be from the usual one
	tailAfter   = 0.23 // s after a beat: its tail, when it is
	tailShare   = 0.45 // no stronger than this,
	tailBend    = 0.25 // and as blunt, beside the usual beat
	bluntBend   = 0.12 // so blunt no beat is,
	bluntShare  = 0.50 // unless it is strong
	extraPeriod = 1.0 / 2
)

// withoutExtra takes out bursts between two beats that stand at their usual interval
// without it, when it is close to one of them and no larger or stronger than both; and what trails
// a beat, blunt and weak.
func withoutExtra(beats []candidate, share func(candidate) float64, rate float64) []candidate {
	bends := make([]float64, len(beats))
	for i, b := range beats {
		bends[i] = b.bend
	}
	bend := median(bends)
	out := make([]candidate, 0, len(beats))
	for i, c := range beats {
		if c.bend < bluntBend*bend && share(c) < bluntShare {
			continue
		}
		if len(out) == 0 {
			out = append(out, c)
			continue
		}
		before := out[len(out)-1]
		gap := float64(c.at - before.at)
		if gap < tailAfter*rate && share(c) < tailShare && c.bend < tailBend*bend {
			continue
		}
		if i+1 < len(beats) && len(beats) > 4 {
			next := beats[i+1]
			near := min(gap, float64(next.at-c.at))
			if near < extraNear*rate && c.size < extraSize*max(before.size, next.size) && c.strength < max(before.strength, next.strength) {
				usual := median(gaps(beats, i, new([9]float64)))
				if near < extraPeriod*usual && math.Abs(float64(next.at-before.at)/usual-1) < extraFits && steadyBefore(out, usual) {
					continue
				}
			}
		}
		out = append(out, c)
	}
	return out
}

// steadyBefore reports whether the last three intervals between beats were usual ones.
func steadyBefore(beats []candidate, usual float64) bool {
	for k := len(beats) - 1; k >= max(1, len(beats)-3); k-- {
		if math.Abs(float64(beats[k].at-beats[k-1].at)/usual-1) > extraFits {
			return false
		}
	}
	return len(beats) > 1
}
