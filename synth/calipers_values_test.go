package synth_test

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/measure"
)

// commonest is the shape that most beats have, -1 without beats.
func (c *tracing) commonest() int {
	best := -1
	for g, s := range c.shapes {
		if best < 0 || len(s.members) > len(c.shapes[best].members) {
			best = g
		}
	}
	return best
}

// own is the shape of the patient's own beats: the commonest that is narrow,
// if a fifth of the beats have it.
func (c *tracing) own() int {
	best := -1
	for g, s := range c.shapes {
		narrow := s.span.Offset-s.span.Onset < c.wide && len(s.members) > 1
		if narrow && (best < 0 || len(s.members) > len(c.shapes[best].members)) {
			best = g
		}
	}
	if best < 0 || 5*len(c.shapes[best].members) < len(c.at) {
		return c.commonest()
	}
	return best
}

// marks are the waves found, as ecg.Marks.
func (c *tracing) marks() ecg.Marks {
	var m ecg.Marks
	span := func(s ecg.Span, at int) ecg.Span { return s.Shift(float64(at) / c.rate) }
	of := map[int]ecg.Span{}
	for k, at := range c.pAt {
		if at >= 0 {
			of[k] = span(c.pShapes[c.pGroup[k]].span, at)
			m.P = append(m.P, of[k])
		}
	}
	r := c.peaks(c.tallest())
	for b, at := range c.at {
		s := c.shapes[c.group[b]]
		beat := ecg.Beat{QRS: span(s.span, at), T: span(s.t, at)}
		beat.QRS.Peak = float64(r[b]) / c.rate
		if k := c.look.of[b]; k >= 0 {
			beat.P = of[k]
		}
		m.Beats = append(m.Beats, beat)
	}
	return m
}

// heights are the heights of the QRS in a lead, mV from lowest to highest.
func (c *tracing) heights(lead int) []float64 {
	var out []float64
	for b, at := range c.at {
		s := c.shapes[c.group[b]].span
		from, to := max(at+c.frames(s.Onset), 0), min(at+c.frames(s.Offset)+1, len(c.rows[lead]))
		if to > from {
			out = append(out, height(c.rows[lead][from:to]))
		}
	}
	return out
}

// tallest is the lead with the tallest QRS.
func (c *tracing) tallest() int {
	best, most := 0, 0.0
	for l := range c.rows {
		if h := median(c.heights(l)); h > most {
			best, most = l, h
		}
	}
	return best
}

// clearLeads are the leads in which every wave of this kind must be found: those where
// QRS pass 0.5 mV, which a rate meter must count (EC13, from memory); where none does,
// the tallest.
func (c *tracing) clearLeads() []int {
	var out []int
	for l := range c.rows {
		if h := c.heights(l); len(h) > 0 && slices.Min(h) >= clearQRS {
			out = append(out, l)
		}
	}
	if out == nil {
		out = []int{c.tallest()}
	}
	return out
}

// peaks are the frames of R in a lead: the point of each QRS farthest from where it
// begins, the same one in all beats of a shape.
func (c *tracing) peaks(lead int) []int {
	far := make([]int, len(c.shapes)) // from the beats' frames
	signs := make([]float64, len(c.shapes))
	for g, s := range c.shapes {
		x, from := s.mean[lead], s.index(s.span.Onset, c.rate)
		top := from
		for i := from; i <= s.index(s.span.Offset, c.rate); i++ {
			if math.Abs(x[i]-x[from]) > math.Abs(x[top]-x[from]) {
				top = i
			}
		}
		far[g], signs[g] = top-s.before, math.Copysign(1, x[top]-x[from])
	}
	out := make([]int, len(c.at))
	x, around := c.rows[lead], c.frames(0.008)
	for b, at := range c.at {
		g := c.group[b]
		middle := min(max(at+far[g], 0), len(x)-1)
		out[b] = middle
		for i := max(middle-around, 0); i <= min(middle+around, len(x)-1); i++ {
			if signs[g]*(x[i]-x[out[b]]) > 0 {
				out[b] = i
			}
		}
	}
	return out
}

// rr are the intervals in one lead from peak to peak, s.
func (c *tracing) rr(lead int) []float64 {
	var out []float64
	at := c.peaks(lead)
	for b := 1; b < len(at); b++ {
		out = append(out, float64(at[b]-at[b-1])/c.rate)
	}
	return out
}

// byLead reports whether a measure is read in each clear lead for itself.
func byLead(what lesson.Measure) bool {
	switch what {
	case lesson.Rate, lesson.RRSpread, lesson.LongestRR, lesson.ShortestRR, lesson.RRRange, lesson.EarlyBeats:
		return true
	default:
		return false
	}
}

// ofRR is a measure of intervals.
func ofRR(what lesson.Measure, rr []float64) float64 {
	switch what {
	case lesson.Rate:
		if len(rr) == 0 {
			return 0
		}
		return 60 / mean(rr)
	case lesson.RRSpread:
		return spread(rr) / mean(rr)
	case lesson.LongestRR:
		return slices.Max(rr) / median(rr)
	case lesson.ShortestRR:
		return least(rr)
	case lesson.RRRange:
		return (slices.Max(rr) - least(rr)) / median(rr)
	default: // EarlyBeats
		early := 0
		for _, v := range rr {
			if v < 0.85*median(rr) {
				early++
			}
		}
		return float64(early) / float64(len(rr)+1)
	}
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// spread is the standard deviation.
func spread(x []float64) float64 {
	m, sum := mean(x), 0.0
	for _, v := range x {
		sum += (v - m) * (v - m)
	}
	return math.Sqrt(sum / float64(len(x)))
}

// smallBox is how well calipers place a wave that lies on another, s (common practice).
const smallBox = 0.040

// prs are the PR of the beats of the shape that most often has a P, s. Where some P are clear of T, one that lies
// on a T is known to a small box only, and counts when it differs by more.
func (c *tracing) prs() []float64 {
	conducted, n := 0, map[int]int{}
	for b, k := range c.look.of {
		if g := c.group[b]; k >= 0 {
			if n[g]++; n[g] > n[conducted] {
				conducted = g
			}
		}
	}
	var out, onT []float64
	for b, k := range c.look.of {
		pr := c.pr(b)
		switch {
		case math.IsNaN(pr) || c.group[b] != conducted:
		case c.pClear[k]:
			out = append(out, pr)
		default:
			onT = append(onT, pr)
		}
	}
	if len(out) < 3 {
		return append(out, onT...)
	}
	usual := median(out)
	for _, pr := range onT {
		if math.Abs(pr-usual) > smallBox {
			out = append(out, pr)
		}
	}
	return out
}

// pp is the usual interval of P waves that follow each other and are seen, s.
func (c *tracing) pp() float64 {
	var out []float64
	for k := 1; k < len(c.pAt); k++ {
		if c.pAt[k-1] >= 0 && c.pAt[k] >= 0 {
			out = append(out, float64(c.pAt[k]-c.pAt[k-1])/c.rate)
		}
	}
	return median(out)
}

// pSeen counts the P waves: those seen, and those in a QRS on either side of which
// stand P waves two intervals apart, as calipers are marched through.
func (c *tracing) pCount() int {
	n, pp := 0, c.pp()
	for k, at := range c.pAt {
		if at >= 0 {
			n++
		} else if k > 0 && k+1 < len(c.pAt) && c.pAt[k-1] >= 0 && c.pAt[k+1] >= 0 {
			if apart := float64(c.pAt[k+1]-c.pAt[k-1]) / c.rate; math.Abs(apart/2-pp) < 0.1*pp {
				n++
			}
		}
	}
	return n
}

// others counts the beats of another shape than the usual one, and the most in a row.
func (c *tracing) others() (n, longest int) {
	usual, run := c.own(), 0
	wide := c.shapes[usual].span.Offset-c.shapes[usual].span.Onset >= c.wide // none is the patient's own
	for _, g := range c.group {
		if run++; g == usual && !wide {
			run = 0
		} else {
			n++
		}
		longest = max(longest, run)
	}
	return n, longest
}

// ofWaves is a measure of the waves over all leads, false where there is nothing to
// measure.
func (c *tracing) ofWaves(what lesson.Measure, s ecg.Strip) (float64, bool) {
	two := slices.Index(c.leads, ecg.II)
	beats := float64(len(c.at))
	usual := shape{}
	if g := c.own(); g >= 0 {
		usual = c.shapes[g]
	}
	switch what {
	case lesson.PPerQRS:
		return float64(c.pCount()) / beats, true
	case lesson.AtrialRate:
		return 60 / c.pp(), true
	case lesson.PShapes:
		n := 0
		for _, p := range c.pShapes {
			if p.clear >= 2 && 20*p.clear >= len(c.pAt) {
				n++
			}
		}
		return float64(n), true
	case lesson.EarlyP:
		return earlyP(c.marks()), true
	case lesson.PRTime:
		return median(c.prs()), true
	case lesson.PRSpread:
		pr := c.prs()
		if len(pr) == 0 {
			return math.NaN(), true
		}
		return height(pr), true
	case lesson.QRSTime:
		return usual.span.Offset - usual.span.Onset, true
	case lesson.QTTime, lesson.QTcBazett:
		qt, ok := ecg.Beat{QRS: usual.span, T: usual.t}.QT()
		if !ok {
			return math.NaN(), true
		}
		if what == lesson.QTcBazett {
			qt = measure.Bazett(qt, c.usualRR())
		}
		return qt, true
	case lesson.STLevel:
		return usual.mean[two][usual.index(usual.span.Offset+0.060, c.rate)] - c.level(&usual, two), true
	case lesson.THeight:
		return usual.mean[two][usual.index(usual.t.Peak, c.rate)] - c.level(&usual, two), usual.t.Peak > 0
	case lesson.QRSHeight:
		most := 0.0
		for _, x := range usual.mean {
			most = max(most, height(x[usual.index(usual.span.Onset, c.rate):usual.index(usual.span.Offset, c.rate)+1]))
		}
		return most, true
	case lesson.LateV1:
		return c.lateV1(usual, s.Row(ecg.V1)), true
	case lesson.Ectopics:
		n, _ := c.others()
		return float64(n) / beats, true
	case lesson.LongestRun:
		_, longest := c.others()
		return float64(longest), true
	case lesson.Shapes:
		return float64(len(c.shapes)), true
	case lesson.Spikes:
		return float64(len(c.spikes)) / beats, true
	case lesson.LoneSpikes, lesson.SpikeWait, lesson.SpikeLate:
		return spikes(what, c.spikes, c.marks(), s.Seconds()), true
	default:
		return 0, false
	}
}

// usualRR is the median RR of usual beats that follow a usual beat, s.
func (c *tracing) usualRR() float64 {
	var out []float64
	usual := c.own()
	for b := 1; b < len(c.at); b++ {
		if c.group[b-1] == usual && c.group[b] == usual {
			out = append(out, float64(c.at[b]-c.at[b-1])/c.rate)
		}
	}
	return median(out)
}

// lateV1 is the largest deflection in V1, with its sign, in the last third of the usual
// QRS, mV against the PR segment.
func (c *tracing) lateV1(usual shape, v1 []float64) float64 {
	var at, upto []int
	for _, b := range usual.members {
		at, upto = append(at, c.at[b]), append(upto, c.frames(1))
	}
	chest := tracing{rate: c.rate, rows: [][]float64{v1}}
	s := shape{before: usual.before, span: usual.span, mean: chest.average(at, upto, usual.before, c.frames(meanAfter))}
	level, most := chest.level(&s, 0), 0.0
	from := usual.span.Onset + (usual.span.Offset-usual.span.Onset)*2/3
	for i := s.index(from, c.rate); i <= s.index(usual.span.Offset, c.rate); i++ {
		if d := s.mean[0][i] - level; math.Abs(d) > math.Abs(most) {
			most = d
		}
	}
	return most
}
