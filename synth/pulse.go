package synth

import (
	"math"

	"telltrace/synth/heart"
)

// pulse is the circulation behind the heart: a two-element windkessel (Otto Frank
// 1899) filled by the ejections of the heart, seen at a finger after the pulse's travel.
// It is an ecg.Source of one row, the pulse oximeter's trace: 0 without blood flow,
// about 1 from foot to peak at rest.
type pulse struct {
	p     heart.Pump
	rate  float64
	frame int64

	gain, decay float64 // of the windkessel, per frame
	smooth      float64 // of the finger, per frame
	mean        float64 // of the slow mean taken out, per frame
	perMMHg     float64

	pressure, finger, slow float64
	ejections              []ejection // in time order, at the finger
	line                   []float64  // where the next Fill also writes the arterial pressure, mmHg; nil for nowhere
	flow                   [pulseBlock]float64
	at                     int64 // read position in the noise table
	noise                  []float64
}

type ejection struct{ start, duration, stroke float64 }

// fillingPressure is what remains when nothing flows, mmHg (from memory).
const fillingPressure = 10

// reflex is how far the vessels make up for a rate slower than the resting one, as
// the power of the RR ratio by which run-off slows: between none (0) and a mean
// pressure that does not depend on the rate (1).
const reflex = 0.6

// newPulse makes the circulation for a heart that usually beats every rr seconds.
func newPulse(p heart.Pump, rr, rate float64, noiseAt int) *pulse {
	rest := 60 / p.RestRate
	eject := heart.EjectionTime(rest)
	up, down := p.Systolic-fillingPressure, p.Diastolic-fillingPressure
	tau := (rest - eject) / math.Log(up/down)
	unit := unitStroke(up, down, eject, tau)
	tau *= math.Pow(math.Min(math.Max(rr/rest, 1), 2.5), reflex)
	u := &pulse{
		p: p, rate: rate,
		gain: unit / rate, decay: math.Exp(-1 / (tau * rate)),
		smooth: 1 - math.Exp(-1/(0.016*rate)), mean: 1 - math.Exp(-1/(1.2*rate)),
		perMMHg: 1 / (p.Systolic - p.Diastolic),
		at:      int64(noiseAt), noise: noiseTable(),
	}
	if p.Strength > 0 {
		u.pressure = down
		u.finger, u.slow = down, 0.5*(up+down)
	}
	return u
}

// eject notes a beat; beats come in time order and before their frame is filled.
// It returns when the pulse reaches the finger, false when nothing is ejected.
func (u *pulse) eject(a heart.Activation) (foot float64, ok bool) {
	if a.Stroke < 0.02 {
		return 0, false
	}
	foot = a.At + u.p.Transit
	u.ejections = append(u.ejections, ejection{foot, heart.EjectionTime(a.RR), a.Stroke})
	return foot, a.Stroke > leastPulse
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
	for i := 1; i <= steps; i++ {
		risen += (outflow((float64(i)-0.5)/steps)/eject - risen/tau) * dt
		unit = math.Min(unit, (up-down*math.Exp(-float64(i)*dt/tau))/risen)
	}
	return unit
}

// leastPulse is the stroke below which no pulse is felt or counted at the finger.
const leastPulse = 0.28

// skipTo lets time pass without writing: the circulation settles before the strip
// begins.
func (u *pulse) skipTo(from, to float64) {
	last := int64(to * u.rate)
	for frame := int64(from * u.rate); frame < last; {
		n := int(min(last-frame, pulseBlock))
		u.pump(frame, n)
		for _, flow := range u.flow[:n] {
			u.step(flow)
		}
		frame += int64(n)
	}
}

// pulseBlock is how many frames the flow is worked out for at a time.
const pulseBlock = 250

// Fill writes the finger's trace, and the arterial pressure where one is asked for:
// the line shows the same wave without the finger's damping.
func (u *pulse) Fill(dst [][]float64) (int, error) {
	out := dst[0]
	for i := 0; i < len(out); {
		n := min(len(out)-i, pulseBlock)
		u.pump(u.frame, n)
		at := (u.at + u.frame) % noiseLength
		noise := u.noise[at : at+int64(n)]
		for k, flow := range u.flow[:n] {
			u.step(flow)
			out[i+k] = (u.finger-u.slow)*u.perMMHg + 0.006*noise[k]
			if u.line != nil {
				u.line[i+k] = fillingPressure + u.pressure + 0.4*noise[k]
			}
		}
		i += n
		u.frame += int64(n)
	}
	u.line = nil
	return len(out), nil
}

// The reflected wave: a second, smaller push after the valve has closed, in shares
// of the ejection's duration and stroke.
const (
	reflectedAfter = 1.25
	reflectedFor   = 0.55
	reflectedShare = 0.13
)

// pump works out the flow (strokes per s) of n frames from the given one.
func (u *pulse) pump(first int64, n int) {
	clear(u.flow[:n])
	done := 0
	for i, e := range u.ejections {
		start, d := e.start*u.rate, e.duration*u.rate // frames
		if start >= float64(first+int64(n)) {
			break
		}
		u.push(first, n, start, d, e.stroke/e.duration)
		end := u.push(first, n, start+reflectedAfter*d, reflectedFor*d, reflectedShare*e.stroke/(reflectedFor*e.duration))
		if end <= float64(first+int64(n)) && done == i { // and those before it are over too
			done = i + 1
		}
	}
	if done > 0 {
		u.ejections = u.ejections[:copy(u.ejections, u.ejections[done:])]
	}
}

// push adds one outflow that begins at frame start and lasts d frames to the block
// of n frames from first, and returns the frame it ends at. Times count from the
// start of the strip, so that rounding does not depend on where blocks lie.
func (u *pulse) push(first int64, n int, start, d, height float64) float64 {
	from := max(int64(math.Ceil(start)), first)
	to := min(int64(math.Ceil(start+d)), first+int64(n))
	for frame := from; frame < to; frame++ {
		u.flow[frame-first] += height * outflow((float64(frame)-start)/d)
	}
	return start + d
}

func (u *pulse) step(flow float64) {
	u.pressure = u.pressure*u.decay + u.gain*flow
	u.finger += (u.pressure - u.finger) * u.smooth
	u.slow += (u.finger - u.slow) * u.mean
}
