package synth_test

import (
	"math"
	"math/rand/v2"
	"slices"

	"telltrace/synth/ecg"
	"telltrace/synth/norms"
)

// Calipers measure the samples of simultaneous leads as a cardiologist does who knows
// which wave he measures: he is told about where each wave lies (look) and finds peak,
// onset and offset himself, over all leads at once (CSE working party 1985, Eur Heart J
// 6:815, from memory; Surawicz 2009, read second-hand). They know nothing of how the
// strip was made: no shape, no interval, no origin of a beat.

// A look is about where the waves are, s: no closer than near.
type look struct {
	qrs, t []float64 // one of each per beat, t NaN without
	p      []float64 // every P
	of     []int     // by beat: which P belongs to it, -1 for none
}

const (
	near  = 0.010 // s by which a look misses its wave at the most
	reach = 0.060 // s to either side within which calipers search
)

// lookAt is a glance at marks.
func lookAt(m ecg.Marks, rng *rand.Rand) look {
	about := func(s ecg.Span) float64 {
		if !s.Present() {
			return math.NaN()
		}
		return s.Peak + near*(2*rng.Float64()-1)
	}
	var l look
	for _, p := range m.P {
		l.p = append(l.p, about(p))
	}
	for _, b := range m.Beats {
		l.qrs, l.t = append(l.qrs, about(b.QRS)), append(l.t, about(b.T))
		l.of = append(l.of, slices.IndexFunc(m.P, func(p ecg.Span) bool { return b.P.Present() && p.Onset == b.P.Onset }))
	}
	return l
}

// A tracing is simultaneous leads under the calipers.
type tracing struct {
	look   look
	rate   float64
	wide   float64 // s: a QRS from here on is wide at this age
	leads  []ecg.Lead
	rows   [][]float64 // mV, pacing spikes taken out
	spikes []float64   // s
	noise  float64     // mV, standard deviation of what changes from sample to sample, all leads together

	at     []int // frame of each beat, where it fits the others of its shape
	group  []int // shape of each beat
	shapes []shape

	pHalf   float64 // s to either side of its middle over which two P are compared: half the longest P at this age
	pAt     []int   // frame of each P, -1 where none is seen
	pGroup  []int
	pClear  []bool // outside QRS and T
	pMixed  bool   // most lie on a T, so that none is told apart as clear
	pShapes []shape
}

// A shape is the mean of the waves that look alike.
type shape struct {
	members []int
	clear   int         // of P: members that lie outside QRS and T
	mean    [][]float64 // mV by lead
	before  int         // frames of the mean that lie before the waves' frame
	span    ecg.Span    // s from the waves' frame; of a QRS
	t       ecg.Span    // s from the same; absent where T cannot be measured
}

// at is the mean's index of a time from the waves' frame.
func (s shape) index(seconds, rate float64) int { return s.before + int(math.Round(seconds*rate)) }

// measured puts the calipers to every wave of the limb leads of a strip.
func measured(s ecg.Strip, l look, age ecg.Age) *tracing {
	c := &tracing{look: l, rate: s.Rate, wide: norms.WideQRS(age).High, pHalf: norms.PWave(age).Accept.High/2 + near/2}
	for i, lead := range s.Leads {
		if lead == ecg.I || lead == ecg.II || lead == ecg.III {
			c.leads, c.rows = append(c.leads, lead), append(c.rows, slices.Clone(s.MV[i]))
		}
	}
	c.takeOutSpikes()
	c.measureNoise()
	if n := len(l.qrs); n > 1 { // of fast hearts shorter
		c.pHalf = min(max(0.12*(l.qrs[n-1]-l.qrs[0])/float64(n-1), 0.034), c.pHalf)
	}
	c.findBeats()
	c.findP()
	return c
}

func (c *tracing) frames(seconds float64) int { return int(math.Round(seconds * c.rate)) }

// spikeHeight is how far a pacing spike stands out of what lies 4 ms to either side of
// it, over all leads, mV. The narrowest QRS does so by a fifth of its height.
const spikeHeight = 0.5

// spikeHalf is how far a spike reaches to either side after a monitor's filter, s.
const spikeHalf = 0.007

// takeOutSpikes finds deflections too narrow for a QRS (EC13: below 10 ms wide, read
// second-hand) and draws a line across them.
func (c *tracing) takeOutSpikes() {
	h, half := c.frames(0.004), c.frames(spikeHalf)
	n := len(c.rows[0])
	out := func(i int) float64 {
		sum := 0.0
		for _, x := range c.rows {
			d := x[i] - (x[i-h]+x[i+h])/2
			sum += d * d
		}
		return math.Sqrt(sum)
	}
	for i := half; i < n-half; i++ {
		if out(i) < spikeHeight {
			continue
		}
		top := i
		for k := i; k < min(i+half, n-half); k++ {
			if out(k) > out(top) {
				top = k
			}
		}
		c.spikes = append(c.spikes, float64(top)/c.rate)
		from, to := max(top-half, 0), min(top+half, n-1)
		for _, x := range c.rows {
			a, b := x[from], x[to]
			for k := from; k <= to; k++ {
				x[k] = a + (b-a)*float64(k-from)/float64(to-from)
			}
		}
		i = to
	}
}

// speed is how fast the point moves that the leads draw in space, mV/s, at every
// frame, over h frames to either side.
func speed(rows [][]float64, h int, rate float64) []float64 {
	out := make([]float64, len(rows[0]))
	for i := h; i < len(out)-h; i++ {
		sum := 0.0
		for _, x := range rows {
			d := x[i+h] - x[i-h]
			sum += d * d
		}
		out[i] = math.Sqrt(sum) * rate / float64(2*h)
	}
	return out
}

// highest is where x is highest from one index to another.
func highest(x []float64, from, to int) int {
	from, to = max(from, 0), min(to, len(x)-1)
	best := from
	for i := from; i <= to; i++ {
		if x[i] > x[best] {
			best = i
		}
	}
	return best
}

const (
	shapeBefore, shapeAfter = 0.6, 1.0   // of the width of a wide QRS, around which two are compared
	shapeShift              = 0.08       // s by which two are moved against each other
	sameQRS, sameP          = 0.90, 0.75 // likeness from which two waves are of one shape
)

// likeness of two pieces of tracing: 1 the same, 0 nothing in common, less where one is
// larger than the other.
func likeness(a, b []float64) float64 {
	var ab, aa, bb float64
	for i := range a {
		ab += a[i] * b[i]
		aa += a[i] * a[i]
		bb += b[i] * b[i]
	}
	return 2 * ab / (aa + bb + 1e-12)
}

// piece copies rows around a frame into one slice, every step frames, each lead without
// its mean. Beyond the strip the line goes on level.
func (c *tracing) piece(dst []float64, at, before, after, step int) {
	k := 0
	for _, x := range c.rows {
		from, sum := k, 0.0
		for i := at - before; i <= at+after; i += step {
			dst[k] = x[min(max(i, 0), len(x)-1)]
			sum += dst[k]
			k++
		}
		mean := sum / float64(k-from)
		for i := from; i < k; i++ {
			dst[i] -= mean
		}
	}
}

// findBeats finds where each QRS is steepest and sorts the beats by shape.
func (c *tracing) findBeats() {
	v := speed(c.rows, max(1, c.frames(0.004)), c.rate)
	for _, about := range c.look.qrs {
		c.at = append(c.at, highest(v, c.frames(about-reach), c.frames(about+reach)))
	}
	before, after, shift, step := c.frames(shapeBefore*c.wide), c.frames(shapeAfter*c.wide), c.frames(shapeShift), max(1, c.frames(0.004))
	seg := make([]float64, ((before+after)/step+1)*len(c.rows))
	var leaders [][]float64
	for b, at := range c.at {
		best, bestLike, bestAt := -1, sameQRS, at
		try := func(g, at int) {
			c.piece(seg, at, before, after, step)
			if like := likeness(seg, leaders[g]); like > bestLike {
				best, bestLike, bestAt = g, like, at
			}
		}
		for g := range leaders {
			for s := -shift; s <= shift; s += step {
				try(g, at+s)
			}
		}
		if best < 0 {
			c.piece(seg, at, before, after, step)
			best = len(leaders)
			leaders, c.shapes = append(leaders, slices.Clone(seg)), append(c.shapes, shape{})
		} else {
			for s := -step; s <= step; s++ {
				try(best, bestAt+s)
			}
		}
		c.at[b], c.group = bestAt, append(c.group, best)
		c.shapes[best].members = append(c.shapes[best].members, b)
	}
	for g := range c.shapes {
		c.measureBeat(&c.shapes[g])
	}
}

// average is the mean of the tracing around frames, as far as each reaches: upto is how
// many frames after its own each may be used.
func (c *tracing) average(at, upto []int, before, after int) [][]float64 {
	mean := make([][]float64, len(c.rows))
	for l, x := range c.rows {
		m := make([]float64, before+after+1)
		for i := range m {
			sum, n := 0.0, 0
			for k, a := range at {
				if j := a - before + i; j >= 0 && j < len(x) && i-before <= upto[k] {
					sum += x[j]
					n++
				}
			}
			if n > 0 {
				m[i] = sum / float64(n)
			} else if i > 0 {
				m[i] = m[i-1]
			}
		}
		mean[l] = m
	}
	return mean
}
