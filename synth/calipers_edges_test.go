package synth_test

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

const (
	// edgeShare is the share of a flank's own steepest slope at which a wave begins or
	// ends. Slope rules of this kind are Laguna, Jané, Caminal 1994, Comput Biomed Res
	// 27:45 (from memory; their shares lie between a tenth and a half by wave).
	edgeShare = 0.2
	// isoShare is the share of the steepest slope below which the line counts as level.
	isoShare = 0.025
	// slurShare is the share of it that the first flank of a wave has at the least, as where
	// a slur begins it; flankShare that of the last, as an ST segment may slope too.
	slurShare, flankShare = 0.045, 0.08
	// steepShare is the share of it that no T has.
	steepShare = 0.35
	// isoTime is how long it must be level: twice what CSE 1985 asks of a wave (from memory).
	isoTime = 0.012
	// leastWave is the height of a wave that counts, mV (CSE 1985, from memory).
	leastWave = 0.020
)

// edge goes from the steepest frame m of a wave in one direction (-1 or 1) to where the
// wave begins or ends: not before the line has been level for a while, nor beyond
// limit; then back to the last flank, and out again to where its slope has fallen to
// edgeShare. quiet is the speed of noise. Where no line is level the quietest place
// counts, of a large wave the valley to the next one.
func edge(v []float64, m, limit, direction int, quiet float64, run int, large bool) int {
	limit = min(max(limit, 1), len(v)-2)
	level := math.Max(quiet, isoShare*v[m])
	end, calm, least := m, 0, m
	for i := m; i != limit && (limit-i)*direction > 0; i += direction {
		end = i
		if v[i] < v[least] {
			least = i
		}
		if calm++; v[i] >= level {
			calm = 0
		}
		if calm >= run {
			break
		}
	}
	if calm < run {
		if end = least; large {
			if end = valley(v, m, limit, direction, run); end == limit {
				return limit
			}
		}
	}
	flank, share := m, slurShare
	if direction > 0 {
		share = flankShare
	}
	for i := end; (i-m)*direction > 0; i -= direction {
		if v[i] >= math.Max(2*quiet, share*v[m]) && highest(v, i-run/3, i+run/3) == i {
			flank = i
			break
		}
	}
	bound := math.Max(math.Max(edgeShare*v[flank], isoShare*v[m]), quiet)
	if direction > 0 { // ST is not as level as PR
		bound = math.Max(bound, 2.5*isoShare*v[m])
	}
	for i := flank; ; i += direction {
		if i == end || v[i] < bound {
			return i
		}
	}
}

// valley is the quiet place outermost between the steepest frame of a wave and limit. Where
// what lies beyond it is too steep for a T it was a notch, and the wave runs into another
// one: then it is limit.
func valley(v []float64, m, limit, direction, run int) int {
	for i := limit - direction*run/2; (i-m)*direction > 0; i -= direction {
		if v[i] < 0.25*v[m] && quietest(v, i-run/2, i+run/2) == i {
			if v[highest(v, min(limit, i), max(limit, i))] > steepShare*v[m] {
				return limit
			}
			return i
		}
	}
	return limit
}

// quietest is where x is lowest from one index to another.
func quietest(x []float64, from, to int) int {
	best := max(from, 0)
	for i := best; i <= min(to, len(x)-1); i++ {
		if x[i] < x[best] {
			best = i
		}
	}
	return best
}

// measureNoise takes the usual change from sample to sample, which no wave makes.
func (c *tracing) measureNoise() {
	sum := 0.0
	var d []float64
	for _, x := range c.rows {
		d = d[:0]
		for i := 2; i < len(x)-2; i += 7 {
			d = append(d, math.Abs(x[i]-(x[i-2]+x[i+2])/2))
		}
		slices.Sort(d)
		sigma := d[len(d)/2] / 0.6745 / math.Sqrt(1.5)
		sum += sigma * sigma
	}
	c.noise = math.Sqrt(sum)
}

// quiet is the speed that noise alone does not exceed in a mean of n, over h frames to
// either side, mV/s.
func (c *tracing) quiet(n, h int) float64 {
	return 2 * c.noise * math.Sqrt2 * c.rate / float64(2*h) / math.Sqrt(float64(n))
}

const (
	meanBefore, meanAfter = 0.30, 0.75 // s of the mean beat
	clearOfT              = 0.035      // s from the top of a T where no QRS begins or ends
)

// measureBeat finds onset, offset and T of a shape in the mean of its beats.
func (c *tracing) measureBeat(s *shape) {
	var at, upto []int
	var p, t, before, after []float64 // s: about where waves are, from the beats' frames
	for _, b := range s.members {
		at = append(at, c.at[b])
		room := len(c.rows[0]) - c.at[b]
		if b+1 < len(c.at) {
			room = c.at[b+1] - c.at[b] - c.frames(0.07)
		}
		upto = append(upto, room)
		here := float64(c.at[b]) / c.rate
		if b > 0 && c.look.t[b-1] < here {
			before = append(before, c.look.t[b-1]-here)
		}
		if of := c.look.of[b]; of >= 0 {
			p = append(p, c.look.p[of]-here)
		}
		if at := c.look.t[b]; !math.IsNaN(at) {
			t = append(t, at-here)
			if k := slices.IndexFunc(c.look.p, func(p float64) bool { return p > at }); k >= 0 {
				after = append(after, c.look.p[k]-here)
			}
		}
	}
	s.before = c.frames(meanBefore)
	s.mean = c.average(at, upto, s.before, c.frames(meanAfter))
	var v []float64
	var quiet float64
	m := 0
	for _, h := range []float64{0.002, 0.004, 0.006} { // as fine as noise permits
		v, quiet = speed(s.mean, c.frames(h), c.rate), c.quiet(len(at), c.frames(h))
		if m = highest(v, s.index(-reach, c.rate), s.index(reach, c.rate)); quiet < isoShare*v[m] {
			break
		}
	}
	back, ahead := m-c.frames(0.2), m+c.frames(0.3)
	if len(p) > 0 {
		back = max(back, s.index(median(p)+0.012, c.rate))
	}
	if len(before) > 0 {
		top := s.index(median(before), c.rate) // of the T before
		if gap := m - top; gap > c.frames(1.3*c.wide) {
			back = max(back, top+gap*35/100)
		} else {
			back = max(back, min(top, m-c.frames(0.05)))
		}
	}
	if at := c.spikeBefore(s.members, c.at, 1.8*c.wide); !math.IsNaN(at) {
		back = max(back, s.index(at+spikeHalf, c.rate))
	}
	if len(t) > 0 {
		ahead = min(ahead, s.index(median(t)-clearOfT, c.rate))
	}
	on, off := edge(v, m, back, -1, quiet, c.frames(isoTime), true), edge(v, m, ahead, 1, quiet, c.frames(isoTime), true)
	seconds := func(i int) float64 { return float64(i-s.before) / c.rate }
	s.span = ecg.Span{Onset: seconds(on), Peak: seconds(m), Offset: seconds(off)}
	if len(t) > 0 {
		last := s.before + slices.Max(upto)
		if len(after) > 0 {
			last = min(last, s.index(median(after)-0.6*c.pHalf, c.rate))
		}
		c.measureT(s, median(t), len(at), last)
	}
}

// spikeBefore is where a pacing spike stands at most so many seconds before the frames of
// most members, s from those; NaN where none does.
func (c *tracing) spikeBefore(members, at []int, within float64) float64 {
	var out []float64
	for _, i := range members {
		last := math.NaN()
		for _, spike := range c.spikes {
			if d := spike - float64(at[i])/c.rate; d > -within && d < 0 {
				last = d
			}
		}
		if !math.IsNaN(last) {
			out = append(out, last)
		}
	}
	if 2*len(out) < len(members) {
		return math.NaN()
	}
	return median(out)
}

// level is the height of the PR segment just before the QRS in a lead of the mean.
func (c *tracing) level(s *shape, lead int) float64 {
	to := s.index(s.span.Onset, c.rate)
	from := max(0, to-c.frames(0.012))
	sum := 0.0
	for _, v := range s.mean[lead][from : to+1] {
		sum += v
	}
	return sum / float64(to+1-from)
}

// measureT finds the peak of T about where it is looked for, over all leads, and its
// end.
func (c *tracing) measureT(s *shape, about float64, n, last int) {
	base := make([]float64, len(s.mean))
	for l := range base {
		base[l] = c.level(s, l)
	}
	away := func(i int) float64 {
		sum := 0.0
		for l, x := range s.mean {
			d := x[i] - base[l]
			sum += d * d
		}
		return sum
	}
	last = min(last, len(s.mean[0])-1)
	from, to := max(s.index(about-reach, c.rate), s.index(s.span.Offset, c.rate)), min(s.index(about+reach, c.rate), last)
	if to <= from {
		return
	}
	peak := from
	for i := from; i <= to; i++ {
		if away(i) > away(peak) {
			peak = i
		}
	}
	s.t.Peak = float64(peak-s.before) / c.rate // it has an end where that can be seen
	var v []float64
	var quiet float64
	h, flank := 0, 0
	for _, step := range []float64{0.006, 0.010} { // as fine as noise permits
		h = c.frames(step)
		v, quiet = speed(s.mean, h, c.rate), c.quiet(n, h)
		if flank = highest(v, peak, min(peak+c.frames(0.12), last-h-1)); quiet < edgeShare*v[flank]/2 {
			break
		}
	}
	bound := math.Max(edgeShare*v[flank], quiet)
	for i := flank; i < last-h; i++ {
		rising := i+h < last-h && v[i+h] > 1.15*v[i] && v[i] < 0.6*v[flank] // another wave begins
		if v[i] < bound || rising {
			s.t = ecg.Span{Onset: s.span.Offset, Peak: float64(peak-s.before) / c.rate, Offset: float64(i-s.before) / c.rate}
			return
		}
	}
}
