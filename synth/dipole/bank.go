package dipole

import (
	"math"
	"math/rand/v2"

	"telltrace/synth/ecg"
	"telltrace/synth/heart"
)

// leastMV is where a Gaussian is cut off: each wave stays within a fifth of a
// microvolt of the endless one.
const leastMV = 0.0002

// window is how many standard deviations of a Gaussian of the given height (mV) are
// drawn, at the least. Two steps are quicker than the root of a logarithm, and than
// more steps.
func window(height float64) float64 {
	switch {
	case height < 0.14:
		return 3.62 // exp(-3.62^2/2) of 0.14 mV is leastMV
	case height < 4.9:
		return 4.5
	default:
		return math.Sqrt(2 * math.Log(height/leastMV))
	}
}

// block is how many frames are made at a time. Blocks lie at fixed places of the
// stream, so samples do not depend on how it is read.
const block = 256

// lookahead is how far a Gaussian may reach before the onset of its activation, s.
const lookahead = 0.25

// longest is the time that no wave of an activation outlasts, s.
const longest = 3

// A wave is a Gaussian being drawn by a second-order recurrence: the ratio of
// neighbouring samples of a Gaussian is itself a geometric series, so a sample
// costs two multiplications and no exponential.
type wave struct {
	start, end int64 // frames
	g, ratio   float64
	curve      float64
	amp        [3]float64 // by row
}

// A Player draws a heart over what is there without one. It is an ecg.Source with
// one row for each of Base, or the first two of them, in millivolts, that never
// ends.
type Player struct {
	heart *heart.Heart
	p     Params
	rate  float64

	ground  ecg.Source
	next    int64 // frame after the last drawn block
	buf     [3][block]float64
	rows    [3][]float64 // where the present block is drawn
	drawn   int          // how many of rows
	have    int          // unread frames at the end of buf
	waves   []wave
	scratch []gaussian
	widths  [heart.Spike + 1][8]width // by chamber and place in scratch
	quiver  []*oscillators
	later   []change // shapes to come, in time order
	rng     *rand.Rand

	onBeat func(Beat)
}

// A Beat is one activation as it was drawn, for whoever listens.
type Beat struct {
	heart.Activation
	P    ecg.Span // atrial activations
	Beat ecg.Beat // ventricular activations, without P
}

// NewPlayer draws heart h, which must start at or before time 0, at rate Hz, over
// ground, whose rows (two or three, as many as asked for) are those of Base. Each
// activation is handed to onBeat, in time order, at least a block before its frames
// are read; those before time 0 already here.
func NewPlayer(h *heart.Heart, p Params, rate float64, ground ecg.Source, rows int, rng *rand.Rand, onBeat func(Beat)) *Player {
	pl := &Player{heart: h, p: p, rate: rate, ground: ground, drawn: rows, rng: rng, onBeat: onBeat,
		waves: make([]wave, 0, 32), scratch: make([]gaussian, 0, 16)}
	pl.p.makeReady()
	pl.startQuiver(p, true)
	pl.drawAhead() // what happened before 0 is told at once
	return pl
}

// A change is the shapes from a time on, s.
type change struct {
	at float64
	p  Params
}

// Change gives activations from time at (s) on other shapes, as heart.Change gives
// the heart other parameters. Fibrillation fades in and out, so that no step is
// seen. Changes must be given in time order and before the stream is there.
func (p *Player) Change(at float64, to Params) {
	p.later = append(p.later, change{at, to})
}

// startQuiver starts the oscillators that shapes ask for and lets the others fade.
func (p *Player) startQuiver(to Params, atOnce bool) {
	for _, o := range p.quiver {
		o.fading = true
	}
	for _, f := range []Fibrillation{to.Fibrillate, to.Flicker} {
		if f.MV > 0 {
			o := newOscillators(f, p.rng)
			if atOnce {
				o.gain = 1
			}
			p.quiver = append(p.quiver, o)
		}
	}
}

// Fill draws the next frames.
func (p *Player) Fill(dst [][]float64) (int, error) {
	n := 0
	for n < len(dst[0]) {
		if p.have == 0 && len(dst[0])-n >= block { // a whole block goes where it is wanted
			for row := range dst {
				p.rows[row] = dst[row][n : n+block]
			}
			p.draw()
			n += block
			continue
		}
		if p.have == 0 {
			p.drawAhead()
		}
		take := min(p.have, len(dst[0])-n)
		from := block - p.have
		for row := range dst {
			copy(dst[row][n:n+take], p.buf[row][from:from+take])
		}
		p.have -= take
		n += take
	}
	return n, nil
}

// drawAhead makes the next block to be read from buf.
func (p *Player) drawAhead() {
	for row := range p.rows {
		p.rows[row] = p.buf[row][:]
	}
	p.draw()
	p.have = block
}

// draw makes the next block in rows.
func (p *Player) draw() {
	rows := p.rows[:p.drawn]
	if _, err := p.ground.Fill(rows); err != nil {
		panic("dipole: the ground ended: " + err.Error()) // it has no end by contract
	}
	first, last := p.next, p.next+block
	for {
		a, ok := p.heart.Next(float64(last)/p.rate + lookahead)
		if !ok {
			break
		}
		p.add(&a)
	}
	p.changeUntil(float64(first) / p.rate)
	quivering := p.quiver[:0]
	for _, o := range p.quiver {
		if o.add(rows, p.rate) {
			quivering = append(quivering, o)
		}
	}
	p.quiver = quivering
	for i := 0; i < len(p.waves); {
		w := &p.waves[i]
		p.drawWave(w, first, last)
		if w.end > last {
			i++
			continue
		}
		*w = p.waves[len(p.waves)-1] // its place is taken by another
		p.waves = p.waves[:len(p.waves)-1]
	}
	p.next = last
}

// changeUntil makes the changes that are due by time t.
func (p *Player) changeUntil(t float64) {
	for len(p.later) > 0 && p.later[0].at <= t {
		p.p = p.later[0].p
		p.p.makeReady()
		p.startQuiver(p.p, false)
		p.later = p.later[1:]
	}
}

// drawWave adds the part of a wave that lies in the block.
func (p *Player) drawWave(w *wave, first, last int64) {
	from, to := int(max(w.start, first)-first), int(min(w.end, last)-first)
	if from >= to {
		return
	}
	if p.drawn == 2 {
		w.draw2(p.rows[0][from:to], p.rows[1][from:to])
		return
	}
	w.draw3(p.rows[0][from:to], p.rows[1][from:to], p.rows[2][from:to])
}

// pairs makes two recurrences of one, for even and for odd frames: neither waits
// for the other's multiplications. g and h are the first two samples, r and s what
// the next ones of their kind are multiplied with, c what r and s are.
func (w *wave) pairs() (g, h, r, s, c float64) {
	c2 := w.curve * w.curve
	r = w.ratio * w.ratio * w.curve
	return w.g, w.g * w.ratio, r, r * c2, c2 * c2
}

// draw2 adds the next samples to two rows of equal length.
func (w *wave) draw2(a, b []float64) {
	b = b[:len(a)]
	g, h, r, s, c := w.pairs()
	wa, wb := w.amp[0], w.amp[1]
	i := 0
	for ; i+1 < len(a) && i+1 < len(b); i += 2 {
		a[i] += wa * g
		b[i] += wb * g
		a[i+1] += wa * h
		b[i+1] += wb * h
		g *= r
		h *= s
		r *= c
		s *= c
	}
	if i < len(a) {
		a[i] += wa * g
		b[i] += wb * g
		g, h = h, g*r
	}
	w.g, w.ratio = g, h/g
}

// draw3 adds the next samples to three rows of equal length.
func (w *wave) draw3(a, b, d []float64) {
	b, d = b[:len(a)], d[:len(a)]
	g, h, r, s, c := w.pairs()
	wa, wb, wd := w.amp[0], w.amp[1], w.amp[2]
	i := 0
	for ; i+1 < len(a); i += 2 {
		a[i] += wa * g
		b[i] += wb * g
		d[i] += wd * g
		a[i+1] += wa * h
		b[i+1] += wb * h
		d[i+1] += wd * h
		g *= r
		h *= s
		r *= c
		s *= c
	}
	if i < len(a) {
		a[i] += wa * g
		b[i] += wb * g
		d[i] += wd * g
		g, h = h, g*r
	}
	w.g, w.ratio = g, h/g
}

// add shapes an activation and starts its waves.
func (p *Player) add(a *heart.Activation) {
	p.changeUntil(a.At)
	out := Beat{Activation: *a}
	p.scratch = p.scratch[:0]
	switch a.Chamber {
	case heart.OfAtria:
		p.scratch, out.P = p.p.atrial(a, p.scratch)
	case heart.OfVentricles:
		p.scratch, out.Beat = p.p.ventricular(a, p.turned(a), p.scratch)
	case heart.Spike:
		p.scratch = append(p.scratch, gaussian{p.p.Spike, 0, spikeSD})
	}
	if a.At+longest < float64(p.next)/p.rate {
		p.onBeat(out) // its waves are over before the stream begins
		return
	}
	breath := math.Sin(p.heart.Breath(a.At))
	leads := turnedLeads(p.p.AxisSway*breath, 1+p.p.Swell*breath)
	widths := &p.widths[a.Chamber]
	for i := range p.scratch {
		g := &p.scratch[i]
		amp := [3]float64{g.amp.Dot(leads[0]), g.amp.Dot(leads[1]), g.amp.Dot(leads[2])}
		p.start(amp, a.At+g.centre, g.sd, &widths[i%len(widths)])
	}
	p.onBeat(out)
}

// spikeSD is the width of a pacing spike after a monitor's filter, s: the pulse of
// 0.1-2 ms (IEC 60601-2-27) is kept visible as a narrow deflection.
const spikeSD = 0.0016

// turned is how far the axis of an ectopic beat is turned, degrees.
func (p *Player) turned(a *heart.Activation) float64 {
	if a.Focus < 0 || a.Focus >= len(p.p.Ectopic) {
		return 0
	}
	e := p.p.Ectopic[a.Focus]
	degrees := e.Turn * float64(a.Nth)
	if e.Vary > 0 {
		degrees += e.Vary * p.rng.NormFloat64()
	}
	return degrees
}

// A width is what depends on the standard deviation of a Gaussian alone: at t frames
// from its centre it is exp(k t^2) high, and neighbouring ratios are curve apart.
type width struct{ sd, k, curve float64 }

// start begins a Gaussian: its heights in Base (mV), centre and standard deviation
// (s). known is the width last seen in its place, often the same.
func (p *Player) start(amp [3]float64, centre, sd float64, known *width) {
	centre, sd = centre*p.rate, sd*p.rate // frames from here on
	if known.sd != sd {
		k := -0.5 / (sd * sd)
		*known = width{sd, k, math.Exp(2 * k)}
	}
	// Lead III is the difference of the first two.
	reach := window(max(math.Abs(amp[0])+math.Abs(amp[1]), math.Abs(amp[2]))) * sd
	first, last := math.Ceil(centre-reach), math.Floor(centre+reach)
	if now := float64(p.next); first < now {
		if last < now {
			return // over before the stream began
		}
		first = now
	}
	t, k := first-centre, known.k
	p.waves = append(p.waves, wave{})
	w := &p.waves[len(p.waves)-1]
	w.start, w.end, w.amp = int64(first), int64(last)+1, amp
	w.g, w.ratio, w.curve = math.Exp(k*t*t), math.Exp(k*(2*t+1)), known.curve
}
