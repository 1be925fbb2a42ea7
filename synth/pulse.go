package synth

import (
	"math"
	"slices"

	"telltrace/synth/heart"
)

// pulse is the circulation behind the heart: a two-element windkessel (Otto Frank
// 1899) filled by the ejections of the heart, seen at a finger after the pulse's travel.
// It is an ecg.Source of one row, the pulse oximeter's trace: 0 without blood flow,
// about 1 from foot to peak at rest.
type pulse struct {
	p      heart.Pump
	breath func(t float64) float64
	every  int   // frames between two nodes; pulses hold nothing that straight lines between them would miss
	runs   int64 // of flows steps from node to node, worked out so far

	dt           float64 // between two nodes, s
	runOff       float64 // time constant of the windkessel at rest, s
	down, up     float64 // pressures at rest, mmHg above the filling pressure
	gain, decay  float64 // of the windkessel, per step from node to node
	smooth, mean float64 // of the finger and of the slow mean taken out, per step
	perMMHg      float64

	pressure, finger, slow float64 // at the coming node
	flow                   [flows]float64
	trace, arterial        [flows + 1]float64 // at the nodes of the present run and at the first of the next
	drawn                  int                // frames of the run
	ramp                   []float64          // from 0 to 1 between two nodes
	high, low              [cuffRuns]float64  // mmHg, of the last runs
	ejections              []ejection         // in time order, at the finger
	felt                   float64            // stroke of the last pulse that was
	line                   []float64          // where the next Fill also writes the arterial pressure, mmHg; nil for nowhere
	at                     int                // read position in the noise table
	noise                  []float64
}

type ejection struct{ start, duration, stroke float64 }

// fillingPressure is what remains when nothing flows, mmHg (from memory).
const fillingPressure = 10

// reflex is how far the vessels make up for a flow other than that at rest, as the
// power of the flow by which run-off slows: between none (0) and a mean pressure that
// does not depend on the flow (1).
const reflex = 0.6

// respired is the share by which full lungs lower a stroke and empty ones raise it: a
// systolic pressure that falls by less than 10 mmHg with the breath (common practice), a
// pleth that swells and shrinks by 10 to 20 % (Cannesson 2008, Br J Anaesth 101:200, from
// memory).
const respired = 0.06

// nodeRate is how often the circulation is worked out, Hz, at the least.
const nodeRate = 125

// newPulse makes the circulation of a heart whose lungs are fullest where the sine of
// breath (rad, of a time in s) is highest.
func newPulse(p heart.Pump, rate float64, breath func(t float64) float64, noiseAt int) *pulse {
	rest := 60 / p.RestRate
	eject := heart.EjectionTime(rest)
	up, down := p.Systolic-fillingPressure, p.Diastolic-fillingPressure
	tau := (rest - eject) / math.Log(up/down)
	unit := unitStroke(up, down, eject, tau)
	every := max(1, int(rate/nodeRate))
	dt := float64(every) / rate
	u := &pulse{
		p: p, every: every, dt: dt, breath: breath,
		gain: unit * dt, runOff: tau, down: down, up: up,
		smooth: 1 - math.Exp(-dt/0.016), mean: 1 - math.Exp(-dt/1.2),
		perMMHg: 1 / (p.Systolic - p.Diastolic),
		at:      noiseAt, noise: noiseTable(),
		drawn: flows * every, ramp: make([]float64, every), ejections: make([]ejection, 0, 64),
	}
	for i := range u.ramp {
		u.ramp[i] = float64(i) / float64(every)
	}
	return u
}

// eject notes a beat; beats come in time order and before their frame is filled.
// It returns when the pulse reaches the finger, false when nothing is ejected.
func (u *pulse) eject(a *heart.Activation) (foot float64, ok bool) {
	if a.Stroke < 0.02 {
		return 0, false
	}
	foot = a.At + u.p.Transit
	stroke := a.Stroke * (1 - respired*math.Sin(u.breath(a.At)))
	u.ejections = append(u.ejections, ejection{foot, heart.EjectionTime(a.RR), stroke})
	if a.Stroke < leastPulse || a.Stroke < faintPulse*u.felt {
		return foot, false
	}
	u.felt = a.Stroke
	return foot, true
}

// outflow is the course of an ejection over its duration, x from 0 to 1: quick to
// rise, slow to end. Its integral is 1.
func outflow(x float64) float64 { return 12 * x * (1 - x) * (1 - x) }

// unitStroke is the pressure (mmHg) that a stroke of 1 would add if nothing ran off,
// such that at rest the peak is up when the ejection starts from down (both mmHg
// above the filling pressure).
func unitStroke(up, down, eject, tau float64) float64 {
	const steps = 200
	dt := eject / steps
	unit, risen := math.Inf(1), 0.0
	left, fall := down, math.Exp(-dt/tau) // what is left of down, and in a step
	for i := range steps {
		risen += outflow((float64(i)+0.5)/steps)/steps - risen*(dt/tau)
		left *= fall
		unit = math.Min(unit, (up-left)/risen)
	}
	return unit
}

// No pulse is felt or counted at the finger below a stroke of leastPulse, nor below a share
// of the pulse before it: the wave of an early beat lies on the shoulder of a large one and
// is missed (pulse deficit; common practice, the figures are ours).
const (
	leastPulse = 0.28
	faintPulse = 0.42
)

// settling is how long before the strip the circulation begins, s: several times its
// slowest time constant.
const settling = 6

// settle lets the time before the strip pass without writing. The vessels have made
// themselves narrow or wide by then, for the flow that there was.
func (u *pulse) settle() {
	if len(u.ejections) > 0 {
		u.pressure, u.finger, u.slow = u.down, u.down, 0.5*(u.up+u.down)
	}
	u.decay = math.Exp(-u.dt / (u.runOff * math.Pow(u.flowed(), -reflex)))
	for runs := math.Ceil(settling / (flows * u.dt)); runs > 0; runs-- {
		u.run(-runs * flows * u.dt)
	}
}

// flowed is the flow of the beats before the strip, as a share of that at rest of a heart of
// this strength; vessels make up for between two fifths and two and a half.
func (u *pulse) flowed() float64 {
	n := len(u.ejections) - 1
	if n < 2 {
		return 0.4
	}
	sum := 0.0
	for _, e := range u.ejections[:n] {
		sum += e.stroke
	}
	perSecond := sum / (u.ejections[n].start - u.ejections[0].start)
	return min(max(60/u.p.RestRate*perSecond/u.p.Strength, 0.4), 2.5)
}

// flows is how many steps are worked out at a time: a time shorter than what the
// heart is ahead of its samples.
const flows = 16

// Fill writes the finger's trace, and the arterial pressure where one is asked for:
// the line shows the same wave without the finger's damping.
func (u *pulse) Fill(dst [][]float64) (int, error) {
	out := dst[0]
	for i := 0; i < len(out); {
		if u.drawn == flows*u.every {
			u.run(float64(u.runs*flows) * u.dt)
			u.runs++
			u.drawn = 0
		}
		n := min(len(out)-i, flows*u.every-u.drawn)
		noise := u.noise[u.at : u.at+n]
		u.draw(out[i:i+n], noise, &u.trace, 0.006)
		if u.line != nil {
			u.draw(u.line[i:i+n], noise, &u.arterial, 0.4)
		}
		i += n
		u.drawn += n
		if u.at += n; u.at >= noiseLength {
			u.at -= noiseLength
		}
	}
	u.line = nil
	return len(out), nil
}

// draw writes the next frames of the run, straight from node to node, with noise.
func (u *pulse) draw(out, noise []float64, nodes *[flows + 1]float64, level float64) {
	node, since := u.drawn/u.every, u.drawn%u.every
	for i := 0; i < len(out); node, since = node+1, 0 {
		ramp := u.ramp[since:min(u.every, since+len(out)-i)]
		value, rise := nodes[node], nodes[node+1]-nodes[node]
		o, z := out[i:i+len(ramp)], noise[i:i+len(ramp)]
		for k, share := range ramp {
			o[k] = value + rise*share + level*z[k]
		}
		i += len(ramp)
	}
}

// run works out the nodes of the run that begins at time t, s.
func (u *pulse) run(t float64) {
	u.pump(t)
	pressure, finger, slow := u.pressure, u.finger, u.slow
	high, low := pressure, pressure
	for i := range u.flow {
		u.trace[i], u.arterial[i] = (finger-slow)*u.perMMHg, fillingPressure+pressure
		before := pressure
		pressure = pressure*u.decay + u.gain*u.flow[i]
		before, finger = finger, finger+(0.5*(before+pressure)-finger)*u.smooth
		slow += (0.5*(before+finger) - slow) * u.mean
		high, low = max(high, pressure), min(low, pressure)
	}
	u.trace[flows], u.arterial[flows] = (finger-slow)*u.perMMHg, fillingPressure+pressure
	u.pressure, u.finger, u.slow = pressure, finger, slow
	u.high[u.runs%cuffRuns], u.low[u.runs%cuffRuns] = fillingPressure+high, fillingPressure+low
}

// cuffRuns is how many runs a cuff measures over: about three seconds.
const cuffRuns = 24

// leastCuff is the pulse pressure below which a cuff finds nothing, mmHg (common
// practice).
const leastCuff = 10

// Cuff is what a blood pressure cuff would measure now, mmHg; false where it finds no
// pulse, or where there has not been time yet.
func (p *Player) Cuff() (systolic, diastolic float64, ok bool) {
	u := p.blood
	if u.runs < cuffRuns {
		return 0, 0, false
	}
	systolic, diastolic = slices.Max(u.high[:]), slices.Min(u.low[:])
	return systolic, diastolic, systolic-diastolic >= leastCuff
}

// The reflected wave: a second, smaller push after the valve has closed, in shares
// of the ejection's duration and stroke.
const (
	reflectedAfter = 1.25
	reflectedFor   = 0.55
	reflectedShare = 0.13
)

// pump works out the flow (strokes per s) in the middle of each of the next steps, the
// first of which begins at time from (s).
func (u *pulse) pump(from float64) {
	clear(u.flow[:])
	done := 0
	for i, e := range u.ejections {
		start := (e.start-from)/u.dt - 0.5 // steps
		if start >= flows {
			break
		}
		d := e.duration / u.dt
		u.push(start, d, e.stroke/e.duration)
		u.push(start+reflectedAfter*d, reflectedFor*d, reflectedShare*e.stroke/(reflectedFor*e.duration))
		if start+(reflectedAfter+reflectedFor)*d <= flows {
			done = i + 1
		}
	}
	if done > 0 {
		u.ejections = u.ejections[:copy(u.ejections, u.ejections[done:])]
	}
}

// push adds one outflow that begins at start and lasts d, in steps.
func (u *pulse) push(start, d, height float64) {
	from, to := int(math.Ceil(max(start, 0))), int(math.Ceil(min(start+d, flows)))
	share := 1 / d
	for k := from; k < to; k++ {
		u.flow[k] += height * outflow((float64(k)-start)*share)
	}
}
