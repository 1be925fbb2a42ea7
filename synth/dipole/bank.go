package dipole

import (
	"math"
	"math/rand/v2"

	"telltrace/synth/ecg"
	"telltrace/synth/heart"
)

// leastMV is where a Gaussian is cut off, so that each stays within a third of a
// microvolt of the endless one.
const leastMV = 0.0003

// windows are how many standard deviations of a Gaussian rise above leastMV, by the
// exponent of the power of two next above its height in leastMV.
var windows = func() (w [32]float64) {
	for i := range w {
		w[i] = math.Sqrt(2 * math.Ln2 * float64(i))
	}
	return w
}()

// window is that of a height in mV.
func window(height float64) float64 {
	exponent := int(math.Float64bits(height*(1/leastMV))>>52) - 1022 // as of math.Frexp
	return windows[min(max(exponent, 0), len(windows)-1)]
}

// block is how many frames are made at a time. Blocks lie at fixed places of the
// stream, so samples do not depend on how it is read.
const block = 512

// lookahead is how far a Gaussian may reach before the onset of its activation, s.
const lookahead = 0.25

// longest is the time that no wave of an activation outlasts, s.
const longest = 3

// A wave is a Gaussian being drawn by a second-order recurrence: the ratio of
// neighbouring samples of a Gaussian is itself a geometric series, so a sample costs
// a multiplication or two and no exponential. Even and odd frames have a recurrence
// each, so that neither waits for the other.
type wave struct {
	start, end int64      // frames
	g, h       [3]float64 // the next sample and the one after it, mV, by row
	r, s       float64    // what they are multiplied with to give the next of their kind
	c          float64    // what r and s are multiplied with
}

// A Player draws a heart over what is there without one. It is an ecg.Source with
// one row for each of Base, or the first two of them, in millivolts, that never
// ends.
type Player struct {
	heart *heart.Heart
	p     Params
	rate  float64

	ground  ecg.Source
	next    int64        // frame after the last drawn block
	buf     [3][]float64 // a block that is read in parts
	rows    [3][]float64 // where the present block is drawn
	drawn   int          // how many of rows
	have    int          // unread frames at the end of buf
	waves   []wave
	scratch []gaussian
	widths  [heart.Spike + 1][8]width // by chamber and place in scratch
	quiver  []*oscillators
	later   []change // shapes to come, in time order
	rng     *rand.Rand

	beat   Beat // being told
	onBeat func(*Beat)
}

// A Beat is one activation as it was drawn, for whoever listens.
type Beat struct {
	*heart.Activation
	P    ecg.Span // atrial activations
	Beat ecg.Beat // ventricular activations, without P
}

// NewPlayer draws heart h, which must start at or before time 0, at rate Hz, over
// ground, whose rows (two or three, as many as asked for) are those of Base. Each
// activation is handed to onBeat, in time order, at least a block before its frames
// are read; those before time 0 already here. What is handed over is good during the
// call.
func NewPlayer(h *heart.Heart, p Params, rate float64, ground ecg.Source, rows int, rng *rand.Rand, onBeat func(*Beat)) *Player {
	pl := &Player{heart: h, p: p, rate: rate, ground: ground, drawn: rows, rng: rng, onBeat: onBeat,
		waves: make([]wave, 0, 32), scratch: make([]gaussian, 0, 16)}
	pl.p.makeReady()
	pl.startQuiver(p, true)
	pl.tell() // what happened before 0 and in the first block
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
			for row := range dst {
				if p.buf[row] == nil {
					p.buf[row] = make([]float64, block)
				}
				p.rows[row] = p.buf[row]
			}
			p.draw()
			p.have = block
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

// tell starts the waves of the next block and hands over what they belong to.
func (p *Player) tell() {
	for {
		a := p.heart.Next(float64(p.next+block)/p.rate + lookahead)
		if a == nil {
			break
		}
		p.add(a)
	}
	p.changeUntil(float64(p.next) / p.rate)
}

// draw makes the next block in rows.
func (p *Player) draw() {
	rows := p.rows[:p.drawn]
	if _, err := p.ground.Fill(rows); err != nil {
		panic("dipole: the ground ended: " + err.Error()) // it has no end by contract
	}
	quivering := p.quiver[:0]
	for _, o := range p.quiver {
		if o.add(rows, p.rate) {
			quivering = append(quivering, o)
		}
	}
	p.quiver = quivering
	first, last := p.next, p.next+block
	going := p.waves[:0]
	for i := range p.waves {
		w := &p.waves[i]
		p.drawWave(w, first, last)
		if w.end > last {
			going = append(going, *w)
		}
	}
	p.waves = going
	p.next = last
	p.tell()
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
	} else {
		w.draw3(p.rows[0][from:to], p.rows[1][from:to], p.rows[2][from:to])
	}
	if (to-from)%2 == 1 {
		for row := range w.g {
			w.g[row], w.h[row] = w.h[row], w.g[row]*w.r
		}
		w.r, w.s = w.s, w.r*w.c
	}
}

// draw2 adds the next samples to two rows of equal length. After an odd number of
// them the recurrences are an even number on.
func (w *wave) draw2(a, b []float64) {
	b = b[:len(a)]
	ga, gb, ha, hb := w.g[0], w.g[1], w.h[0], w.h[1]
	r, s, c := w.r, w.s, w.c
	i := 0
	for ; i < len(a)-1; i += 2 {
		a[i] += ga
		b[i] += gb
		a[i+1] += ha
		b[i+1] += hb
		ga *= r
		gb *= r
		ha *= s
		hb *= s
		r *= c
		s *= c
	}
	if i < len(a) {
		a[i] += ga
		b[i] += gb
	}
	w.g[0], w.g[1], w.h[0], w.h[1] = ga, gb, ha, hb
	w.r, w.s = r, s
}

// draw3 adds the next samples to three rows of equal length, as draw2 does.
func (w *wave) draw3(a, b, d []float64) {
	b, d = b[:len(a)], d[:len(a)]
	ga, gb, gd, ha, hb, hd := w.g[0], w.g[1], w.g[2], w.h[0], w.h[1], w.h[2]
	r, s, c := w.r, w.s, w.c
	i := 0
	for ; i < len(a)-1; i += 2 {
		a[i] += ga
		b[i] += gb
		d[i] += gd
		a[i+1] += ha
		b[i+1] += hb
		d[i+1] += hd
		ga *= r
		gb *= r
		gd *= r
		ha *= s
		hb *= s
		hd *= s
		r *= c
		s *= c
	}
	if i < len(a) {
		a[i] += ga
		b[i] += gb
		d[i] += gd
	}
	w.g[0], w.g[1], w.g[2], w.h[0], w.h[1], w.h[2] = ga, gb, gd, ha, hb, hd
	w.r, w.s = r, s
}

// add shapes an activation and starts its waves.
func (p *Player) add(a *heart.Activation) {
	p.changeUntil(a.At)
	out := &p.beat
	*out = Beat{Activation: a}
	p.scratch = p.scratch[:0]
	switch a.Chamber {
	case heart.OfAtria:
		p.scratch, out.P = p.p.atrial(a, p.scratch)
	case heart.OfVentricles:
		p.scratch, out.Beat = p.p.ventricular(a, p.turned(a), p.scratch)
	case heart.Spike:
		p.scratch = append(p.scratch, gaussian{p.p.Spike, 0, spikeSD})
	}
	if a.At+longest >= float64(p.next)/p.rate { // else its waves are over before the stream begins
		breath := math.Sin(p.heart.Breath(a.At))
		leads := turnedLeads(p.p.made.sway*breath, 1+p.p.Swell*breath)
		widths := &p.widths[a.Chamber]
		for i := range p.scratch {
			p.start(&p.scratch[i], a.At, &leads, &widths[i%len(widths)])
		}
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

// start begins a Gaussian of an activation at time at (s), seen in leads. known is the
// width last seen in its place, often the same.
func (p *Player) start(g *gaussian, at float64, leads *[3]Vector, known *width) {
	centre, sd := (at+g.centre)*p.rate, g.sd*p.rate // frames from here on
	amp := [3]float64{g.amp.Dot(leads[0]), g.amp.Dot(leads[1]), g.amp.Dot(leads[2])}
	// Lead III is the difference of the first two.
	highest := math.Abs(amp[0]) + math.Abs(amp[1])
	if chest := math.Abs(amp[2]); chest > highest {
		highest = chest
	}
	reach := window(highest) * sd
	first, end := max(int64(centre-reach)+1, p.next), int64(centre+reach)+1
	if end <= first {
		return // over before the stream began, or too low to be seen
	}
	if known.sd != sd {
		k := -0.5 / (sd * sd)
		*known = width{sd, k, math.Exp(2 * k)}
	}
	t, k, c := float64(first)-centre, known.k, known.curve
	height, ratio := exp(k*t*t), exp(k*(2*t+1))
	p.waves = append(p.waves, wave{})
	w := &p.waves[len(p.waves)-1]
	w.start, w.end = first, end
	for row := range amp {
		w.g[row] = amp[row] * height
		w.h[row] = w.g[row] * ratio
	}
	w.r = ratio * ratio * c
	c *= c
	w.s, w.c = w.r*c, c*c
}
