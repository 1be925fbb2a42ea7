package measure

import (
	"math"
	"slices"
	"sync"
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
	mains55    = 1.0 / 55 // a running mean that leaves little of 50 and of 60 Hz
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
	neverShare = 0.20 // of the strip's level: what is weaker is no beat anywhere
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

// steepness works a lead through in pieces: its slope, and the slope's running mean square, on
// which every QRS is one hump, narrow or wide, up or down. It does so on the lead without mains,
// at a rate that is enough for that. The buffers of a piece are used again for each, so that
// they stay near the processor.
type steepness struct {
	step   int       // samples of the lead for each of quiet
	rate   float64   // Hz, of quiet
	quiet  []float64 // the lead without mains
	over   int       // what a slope is taken over, as all spans here in samples of quiet
	half   int       // of it, rounded up
	a, b   []float64
	slopes []float64 // of the lead so far
	humps  []candidate
}

// newSteepness takes a lead, with the buffers of another one; put gives them back.
func newSteepness(mv []float64, rate float64) *steepness {
	s := steeps.Get().(*steepness)
	s.step = coarseStep(rate)
	s.rate = rate / float64(s.step)
	n := (len(mv) + s.step - 1) / s.step
	s.quiet = slices.Grow(s.quiet[:0], n)[:n]
	smoothCoarse(s.quiet, mv, odd(mains55, rate), s.step)
	s.over = max(2, int(math.Round(2*halfStep*s.rate)))
	s.half = (s.over + 1) / 2
	s.slopes = s.slopes[:0]
	return s
}

func (s *steepness) put() { steeps.Put(s) }

var steeps = sync.Pool{New: func() any { return new(steepness) }}

// piece is how many samples are worked on at a time.
const piece = 4096

// each gives the energy of the lead, piece by piece; what it gives is overwritten by the
// next.
func (s *steepness) each(use func(energy []float64)) {
	first, again := odd(burst, s.rate), odd(burstAgain, s.rate)
	margin := s.half + first/2 + again/2 + 4 // so far the energy looks beside a piece
	if room := min(len(s.quiet), piece+2*margin); cap(s.a) < room {
		s.a, s.b = make([]float64, room), make([]float64, room)
	}
	s.slopes = slices.Grow(s.slopes, len(s.quiet))
	for from := 0; from < len(s.quiet); from += piece {
		low, to := max(0, from-margin), min(len(s.quiet), from+piece)
		x := s.quiet[low:min(len(s.quiet), to+margin)]
		a, b := s.a[:len(x)], s.b[:len(x)]
		rise(a, x, s.over)
		s.slopes = append(s.slopes, a[from-low:to-low]...)
		for i, v := range a {
			b[i] = v * v
		}
		smooth(a, b, first)
		smooth(b, a, again)
		use(b[from-low : to-low])
	}
}

// A scan goes over the energy of a lead, sample by sample: its humps, the higher one where
// two are closer than beats can be, and the largest value of each block.
type scan struct {
	gap, from, to int // samples: closest beats; where a hump can be judged
	block         int // samples
	humps         []candidate
	valley        float64 // lowest energy since the last hump
	now           float64 // energy of the sample before
	up            bool    // it was more than that before it
	at            int     // samples seen
	top           float64 // of this block
	tops          []float64
}

func (s *scan) take(energy []float64) {
	for len(energy) > 0 {
		part := energy[:min(len(energy), s.block-s.at%s.block)]
		energy = energy[len(part):]
		now, up := s.now, s.up
		for i, e := range part {
			switch {
			case e > now && !up:
				s.valley, up = min(s.valley, now), true
			case e <= now && up:
				if i > 0 {
					s.top = max(s.top, now)
				}
				if s.hump(s.at+i-1, now) {
					s.valley = now
				}
				up = false
			}
			now = e
		}
		s.now, s.up, s.top = now, up, max(s.top, part[0], now)
		if s.at += len(part); s.at%s.block == 0 {
			s.tops, s.top = append(s.tops, s.top), 0
		}
	}
}

// hump takes a local maximum of the energy, e at sample i, unless a higher one before it is
// too close or no valley lies between them.
func (s *scan) hump(i int, e float64) bool {
	if e <= 0 || i < s.from || i >= s.to { // at the ends nothing can be judged
		return false
	}
	if k := len(s.humps) - 1; k >= 0 && (i-s.humps[k].at < s.gap || s.valley > ripple*ripple*min(e, s.humps[k].strength)) {
		if s.humps[k].strength >= e {
			return false
		}
		s.humps = s.humps[:k]
	}
	s.humps = append(s.humps, candidate{at: i, strength: e})
	return true
}

// candidates are the humps of the lead's energy, kept until put, and its usual maximum around
// each block.
func (s *steepness) candidates(mv []float64) (out []candidate, level []float64) {
	n := len(s.quiet)
	over := scan{gap: int(closest * s.rate), from: s.half, to: n - s.half, block: max(1, int(block*s.rate)), valley: math.Inf(1), now: math.Inf(1), humps: s.humps[:0]}
	s.each(over.take)
	if rest := over.at % over.block; len(over.tops) == 0 || rest >= over.block/2 && rest > 0 {
		over.tops = append(over.tops, over.top)
	}
	for i, top := range over.tops {
		over.tops[i] = math.Sqrt(max(top, 0))
	}
	s.humps = over.humps
	out, level = over.humps, levels(over.tops)
	for k := range out {
		out[k].strength = math.Sqrt(out[k].strength)
	}
	reach, unit := int(burst*s.rate), 2*halfStep*s.rate/float64(s.over)
	for k := range out { // up to half-way to the neighbours
		c := &out[k]
		if c.strength < neverShare*level[min(c.at/over.block, len(level)-1)] {
			continue // no beat: its size is asked for by nobody
		}
		from, to := max(0, c.at-reach), min(n-1, c.at+reach)
		if k > 0 {
			from = max(from, (out[k-1].at+c.at)/2)
		}
		if k+1 < len(out) {
			to = min(to, (c.at+out[k+1].at)/2)
		}
		c.size, c.slope = span(mv[from*s.step:min(len(mv), to*s.step+1)]), unit*most(s.slopes[from:to+1])
		low := max(0, from-s.half)
		near := s.slopes[low:min(n, to+1+s.half)]
		rise(s.a[:len(near)], near, s.over)
		c.bend = unit * unit * most(s.a[from-low:to+1-low])
	}
	for k := range out {
		out[k].at *= s.step
	}
	return out, level
}

// levels is the strip's usual maximum of energy around each block, from the maxima of the
// blocks.
func levels(tops []float64) []float64 {
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
	s := newSteepness(mv, rate)
	defer s.put()
	return s.detect(mv, rate)
}

func (s *steepness) detect(mv []float64, rate float64) []candidate {
	all, level := s.candidates(mv)
	return pick(mv, all, level, rate)
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
	var room [9]float64
	for i, b := range beats {
		near := gaps(beats, i, &room)
		if i == 0 || float64(b.at-beats[i-1].at) <= longGap*slices.Min(near) {
			out = append(out, b)
			continue
		}
		usual, prev := median(near), beats[i-1]
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
		out = append(out, b)
	}
	return out
}

// gaps lists the gap between beat i-1 and i and the four on each side of it.
func gaps(beats []candidate, i int, room *[9]float64) []float64 {
	out := room[:0]
	for k := max(1, i-4); k <= min(len(beats)-1, i+4); k++ {
		out = append(out, float64(beats[k].at-beats[k-1].at))
	}
	return out
}
