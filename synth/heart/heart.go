// Package heart is the electrical and mechanical heart: pacemakers that fire,
// tissue that conducts or is refractory, and the stroke each beat ejects. It knows
// no millivolts; synth/dipole gives activations their shape.
//
// It is an event model. Compensatory pauses, AV dissociation, capture and fusion
// beats, blocked P waves and pulse deficits are nowhere written down: they follow
// from refractory times and from who comes first. Start with Params, then Next.
package heart

import (
	"math"
	"math/rand/v2"
	"slices"

	"telltrace/synth/ecg"
)

// A Chamber is what an activation activates.
type Chamber uint8

// Chambers.
const (
	OfAtria Chamber = iota
	OfVentricles
	Spike // of a pacer: no chamber, a mark on the tracing
)

// An Activation is one spread of excitation over the atria or the ventricles.
type Activation struct {
	At         float64 // s, onset
	Chamber    Chamber
	Origin     ecg.Origin
	Focus      int     // index in Params.Foci of the focus that began it, -1 for the sinus node
	Retrograde bool    // atria only: activated from below
	Place      int     // atria only: where the sinus pacemaker sat, 0 the usual place
	Nth        int     // which beat of its focus in a row, 0 the first
	Bundle     Bundle  // ventricles only: the branch that did not conduct
	ViaPath    bool    // ventricles only: entered by the accessory path
	NodeAfter  float64 // ventricles only, by the path: s until the node's wave joined; +Inf if it never did
	P          float64 // ventricles only: onset of the atrial activation conducted to it, NaN if none
	RR         float64 // ventricles only: s since the last ventricular activation
	QT         float64 // ventricles only: s
	Fusion     float64 // ventricles only: share contributed by the focus in a fusion beat, 0 to 1
	Stroke     float64 // ventricles only: ejected volume, 1 at rest
}

// A Bundle is a bundle branch.
type Bundle uint8

// Bundle branches.
const (
	NoBundle Bundle = iota
	RightBundle
	LeftBundle
)

const (
	// fusionWindow is how far apart two wavefronts may reach the ventricles and
	// still share them: about half a QRS.
	fusionWindow = 0.045
	// pathWindow is the same for a wave by an accessory path and one by the node.
	pathWindow = 0.11
	// toNode is the time from a ventricular focus up to the AV node.
	toNode = 0.06
	// sinusReturn is the time from the atria into the sinus node and out again.
	sinusReturn = 0.04
	// qtMemory is the time constant with which QT follows a change of RR; adults
	// need about a minute to settle, most of it in the first ten seconds (Pueyo
	// et al. 2003, from memory).
	qtMemory = 8.0
	// ventricularERP is the ventricles' refractory time as a share of QT. Unlike QT
	// it follows a shorter interval at once.
	ventricularERP = 0.74
)

type eventKind uint8

const (
	sinusFires eventKind = iota
	focusFires
	nodeExits     // a wave from above leaves the node downwards
	nodeFromBelow // a wave from a ventricular focus reaches the node
	atriaFromBelow
	atriaQuiver  // an impulse of fibrillating atria reaches the node
	pathExits    // a wave by the accessory path reaches the ventricles
	atriumPaced  // the pacer's atrial wait is over
	chamberPaced // its ventricular wait is over
	changes      // the heart becomes another
)

type event struct {
	at    float64
	kind  eventKind
	focus int
	p     float64 // nodeExits: onset of the P wave it belongs to
	from  ecg.Origin
}

type focusState struct {
	wait int // beats from above still to come before the next burst
	left int // beats left in the burst
	nth  int // beats of this focus in a row
}

// A Heart produces activations in time order, without end. It is not safe for
// concurrent use.
type Heart struct {
	p   Params
	rng *rand.Rand

	next   []Params // hearts it will become, by event.focus
	events []event  // unordered and never long: a handful at a time
	out    []Activation
	given  Activation // by Next

	breath, tide float64 // phases, rad

	lastAtrial      float64
	nodeLast        float64 // when the node last conducted or was entered
	inNode          bool    // a wave from above is on its way through
	lastVentricular float64
	lastRR          float64 // the interval before that beat
	laggedRR        float64
	lastPath        float64
	hisCount        counter
	pauses          counter
	place           int // of the sinus pacemaker
	pacer           pacerState
	foci            []focusState
	pump            pumpState
}

// New makes a heart that starts at time start (s) and draws its chances from rng.
func New(p Params, start float64, rng *rand.Rand) (*Heart, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	h := &Heart{p: p, rng: rng}
	h.breath, h.tide = 2*math.Pi*rng.Float64(), 2*math.Pi*rng.Float64()
	rest := 60 / p.Pump.RestRate
	h.lastAtrial, h.nodeLast, h.lastVentricular, h.lastPath = start-rest, start-rest, start-rest, start-rest
	h.lastRR = rest
	h.laggedRR = p.SettledRR()
	h.pump = restPump(p.Pump)
	if p.Sinus.Rate > 0 {
		h.schedule(event{at: start + rng.Float64()*60/p.Sinus.Rate, kind: sinusFires})
	}
	h.hisCount, h.pauses = newCounter(rng, p.His.Gap), newCounter(rng, p.Sinus.Gap)
	if p.Quiver > 0 {
		h.schedule(event{at: start, kind: atriaQuiver})
	}
	h.startPacer(start)
	h.startFoci(start)
	return h, nil
}

// startFoci lets the foci of the present heart begin at time t.
func (h *Heart) startFoci(t float64) {
	h.events = slices.DeleteFunc(h.events, func(e event) bool { return e.kind == focusFires })
	h.foci = make([]focusState, len(h.p.Foci))
	for i, f := range h.p.Foci {
		switch {
		case f.Coupling > 0:
			h.foci[i].wait = between(h.rng, f.Gap)
		case f.Escape:
			h.schedule(event{at: t + f.Cycle, kind: focusFires, focus: i})
		default:
			h.schedule(event{at: t + h.rng.Float64()*f.Cycle, kind: focusFires, focus: i})
		}
	}
}

// Change makes the heart another one from time at (s) on, while it goes on beating:
// what is under way is finished, refractory times and the filling of the ventricles
// carry over. Changes must be given in time order and before Next has gone past
// them.
func (h *Heart) Change(at float64, p Params) error {
	if err := p.Validate(); err != nil {
		return err
	}
	h.next = append(h.next, p)
	h.schedule(event{at: at, kind: changes, focus: len(h.next) - 1})
	return nil
}

// become is Change when its time has come.
func (h *Heart) become(t float64, p Params) {
	silent := h.p.Sinus.Rate == 0
	h.p = p
	h.hisCount, h.pauses = newCounter(h.rng, p.His.Gap), newCounter(h.rng, p.Sinus.Gap)
	switch {
	case p.Sinus.Rate == 0:
		h.cancel(sinusFires)
	case silent:
		h.schedule(event{at: t + h.sinusInterval(t), kind: sinusFires})
	}
	if p.Quiver > 0 {
		h.schedule(event{at: t, kind: atriaQuiver})
	}
	h.cancel(atriumPaced)
	h.cancel(chamberPaced)
	h.startPacer(t)
	h.startFoci(t)
}

// SettledRR is the interval (s) that QT has adapted to at the start.
func (p Params) SettledRR() float64 {
	rr := 60 / p.Pump.RestRate
	if p.Sinus.Rate > 0 && !p.Node.Blocked {
		rr = 60 / p.Sinus.Rate
	}
	for _, f := range p.Foci {
		if f.Coupling == 0 && (f.Escape == p.Node.Blocked) {
			rr = f.Cycle
		}
	}
	return rr
}

// Breath is the phase of breathing at t, rad; its sine is highest at full
// inspiration.
func (h *Heart) Breath(t float64) float64 { return 2*math.Pi*h.p.Breaths/60*t + h.breath }

// Next returns the next activation whose onset lies before the given time, nil when
// there is none; it is good until the next call. Later calls with a later time go on
// from there; what comes out does not depend on how the time is divided into calls.
func (h *Heart) Next(before float64) *Activation {
	for {
		i := h.earliest()
		if len(h.out) > 0 && (i < 0 || h.events[i].at > h.out[0].At+h.window()) { // nothing can change it any more
			if h.out[0].At >= before {
				return nil
			}
			a := &h.given
			*a = h.out[0]
			h.out = h.out[:copy(h.out, h.out[1:])]
			if a.Chamber == OfVentricles {
				a.Stroke = h.pump.beat(&h.p.Pump, a, atriaHelped(a))
			}
			return a
		}
		if i < 0 || h.events[i].at >= before+h.window() {
			return nil
		}
		e := h.events[i]
		h.events[i] = h.events[len(h.events)-1]
		h.events = h.events[:len(h.events)-1]
		h.handle(&e)
	}
}

// earliest is the index of the next event, -1 when nothing will ever happen. Ties
// are broken by kind and focus so that the order is fixed.
func (h *Heart) earliest() int {
	best := -1
	for i := range h.events {
		if best < 0 || h.events[i].before(&h.events[best]) {
			best = i
		}
	}
	return best
}

func (e *event) before(o *event) bool {
	if e.at != o.at {
		return e.at < o.at
	}
	return e.kind < o.kind || e.kind == o.kind && e.focus < o.focus
}

// schedule puts an event in the place of the one it replaces.
func (h *Heart) schedule(e event) {
	for i := range h.events {
		if e.replaces(&h.events[i]) {
			h.events[i] = e
			return
		}
	}
	h.events = append(h.events, e)
}

// replaces reports whether o does not happen once e is to come: a pacemaker waits for
// one time only, and the node holds one wave.
func (e *event) replaces(o *event) bool {
	switch e.kind {
	case focusFires:
		return o.kind == focusFires && o.focus == e.focus
	case sinusFires, nodeExits, atriaQuiver, atriumPaced, chamberPaced:
		return o.kind == e.kind
	default:
		return false
	}
}

// cancel takes back what was to come.
func (h *Heart) cancel(kind eventKind) {
	h.events = slices.DeleteFunc(h.events, func(e event) bool { return e.kind == kind })
}

func (h *Heart) handle(e *event) {
	switch e.kind {
	case sinusFires:
		h.schedule(event{at: e.at + h.sinusInterval(e.at), kind: sinusFires})
		h.movePlace()
		h.exciteAtria(e.at, ecg.OriginSinus, -1, false)
	case focusFires:
		h.fire(e)
	case nodeExits:
		h.inNode, h.nodeLast = false, e.at
		if h.p.His.Gap[1] > 0 && h.hisCount.blocks(h.rng, h.p.His.Gap, h.p.His.Drop) {
			return
		}
		h.exciteVentricles(e.at, e.from, e.focus, e.p)
	case nodeFromBelow:
		h.enterNodeFromBelow(e)
	case atriaFromBelow:
		h.exciteAtria(e.at, e.from, e.focus, true)
	case changes:
		h.become(e.at, h.next[e.focus])
	case atriaQuiver:
		if h.p.Quiver == 0 {
			return
		}
		h.schedule(event{at: e.at + (0.35+0.65*h.rng.ExpFloat64())/h.p.Quiver, kind: atriaQuiver})
		h.enterPath(e.at, ecg.OriginAtrial, math.NaN())
		h.enterNodeFromAbove(e.at, ecg.OriginAtrial, -1, math.NaN())
	case pathExits:
		h.byPath(e)
	case atriumPaced, chamberPaced:
		h.pace(e)
	}
}

// emit puts an activation at its place in time.
func (h *Heart) emit(at float64, c Chamber, from ecg.Origin) *Activation {
	i := len(h.out)
	h.out = append(h.out, Activation{At: at, Chamber: c, Origin: from})
	for ; i > 0 && h.out[i-1].At > at; i-- {
		h.out[i-1], h.out[i] = h.out[i], h.out[i-1]
	}
	return &h.out[i]
}

func (h *Heart) sinusInterval(t float64) float64 {
	s := &h.p.Sinus
	if s.Gap[1] > 0 && h.pauses.blocks(h.rng, s.Gap, [2]int{1, 1}) {
		return s.Pause
	}
	share := 1 - s.RSA*math.Sin(h.Breath(t)) + s.Tide*math.Sin(2*math.Pi*0.1*t+h.tide) + s.Jitter*h.rng.NormFloat64()
	return 60 / s.Rate * max(share, 0.3)
}

// fire lets a focus fire and sets its next time.
func (h *Heart) fire(e *event) {
	f, state := &h.p.Foci[e.focus], &h.foci[e.focus]
	excited := false
	switch f.Site {
	case Atrium:
		h.exciteAtria(e.at, ecg.OriginAtrial, e.focus, false)
		excited = h.lastAtrial == e.at
	case Junction:
		if h.inNode {
			h.inNode = false
			h.cancel(nodeExits)
		}
		h.nodeLast = e.at
		excited = h.exciteVentricles(e.at, ecg.OriginJunctional, e.focus, math.NaN())
		if f.ToAtria > 0 {
			h.schedule(event{at: e.at + f.ToAtria, kind: atriaFromBelow, from: ecg.OriginJunctional, focus: e.focus})
		}
	case Ventricle:
		excited = h.exciteVentricles(e.at, ecg.OriginVentricular, e.focus, math.NaN())
		if excited {
			h.schedule(event{at: e.at + toNode, kind: nodeFromBelow, from: ecg.OriginVentricular, focus: e.focus})
		}
	}
	state.nth++
	again := e.at + f.Cycle*(1+f.WarmUp*math.Exp(-float64(state.nth-1)/2)+f.Jitter*h.rng.NormFloat64())
	switch {
	case f.Coupling > 0:
		state.left--
		if excited && state.left > 0 {
			h.schedule(event{at: again, kind: focusFires, focus: e.focus})
			return
		}
		state.left, state.nth = 0, 0
		state.wait = between(h.rng, f.Gap)
	case f.Escape && excited && f.Site != Atrium:
		// exciteVentricles has set it again, as it does for every escape focus.
	default:
		h.schedule(event{at: again, kind: focusFires, focus: e.focus})
	}
}

// resetFoci tells the foci that the ventricles have beaten.
func (h *Heart) resetFoci(t float64, from ecg.Origin) {
	for i := range h.p.Foci {
		f, state := &h.p.Foci[i], &h.foci[i]
		switch {
		case f.Escape:
			if from != originOf(f.Site) {
				state.nth = 0
			}
			warm := f.WarmUp * math.Exp(-float64(state.nth)/2)
			h.schedule(event{at: t + f.Cycle*(1+warm+f.Jitter*h.rng.NormFloat64()), kind: focusFires, focus: i})
		case f.Coupling > 0 && f.Site != Atrium && from != originOf(f.Site) && state.left == 0:
			h.couple(t, i)
		}
	}
}

// coupleAtria tells the atrial foci that the sinus node has beaten.
func (h *Heart) coupleAtria(t float64, from ecg.Origin) {
	for i := range h.p.Foci {
		if f := &h.p.Foci[i]; f.Coupling > 0 && f.Site == Atrium && from == ecg.OriginSinus && h.foci[i].left == 0 {
			h.couple(t, i)
		}
	}
}

// couple counts a beat from elsewhere and begins the next burst when it is due.
func (h *Heart) couple(t float64, focus int) {
	f, state := &h.p.Foci[focus], &h.foci[focus]
	state.wait--
	if state.wait <= 0 {
		state.left = between(h.rng, f.Run)
		h.schedule(event{at: t + f.Coupling*(1+f.Jitter*h.rng.NormFloat64()), kind: focusFires, focus: focus})
	}
}

func originOf(s Site) ecg.Origin {
	switch s {
	case Atrium:
		return ecg.OriginAtrial
	case Junction:
		return ecg.OriginJunctional
	default:
		return ecg.OriginVentricular
	}
}

// movePlace lets the sinus pacemaker wander.
func (h *Heart) movePlace() {
	s := &h.p.Sinus
	if s.Shapes > 1 && h.rng.Float64() >= s.Stay {
		h.place = (h.place + 1 + h.rng.IntN(s.Shapes-1)) % s.Shapes
	}
}

// A counter lets some beats through and then stops some.
type counter struct{ through, stop int }

func newCounter(rng *rand.Rand, gap [2]int) counter {
	if gap[1] == 0 {
		return counter{}
	}
	return counter{through: between(rng, gap)}
}

// blocks counts one beat and reports whether it is stopped.
func (c *counter) blocks(rng *rand.Rand, gap, drop [2]int) bool {
	if c.stop > 0 {
		c.stop--
		if c.stop == 0 {
			c.through = between(rng, gap)
		}
		return true
	}
	c.through--
	if c.through <= 0 {
		c.stop = between(rng, drop)
	}
	return false
}

// atriaHelped reports whether the atria filled the ventricles for this beat.
func atriaHelped(a *Activation) bool { return !math.IsNaN(a.P) }

func between(rng *rand.Rand, r [2]int) int { return r[0] + rng.IntN(r[1]-r[0]+1) }
