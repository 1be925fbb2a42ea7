package heart

import (
	"math"

	"telltrace/synth/ecg"
)

// pumpState is the left ventricle between beats, in stroke volumes at rest.
type pumpState struct {
	end  float64 // volume at the end of the last ejection
	full float64 // of an endlessly long diastole
	tau  float64 // s, of filling
	rest float64 // s, the RR at rest
}

const (
	ejectionFraction = 0.62 // of the end-diastolic volume; common practice 0.55-0.70
	withoutAtria     = 0.82 // filling reached without the atrial contribution; it gives 15-25 % (from memory)
	dyssynchrony     = 0.78 // strength of a beat that spreads from muscle to muscle
	fillingShare     = 0.55 // time constant of filling as a share of the resting diastole
)

// systole is the time the ventricles eject, s, by the square root of RR as QT does.
func systole(rr float64) float64 { return 0.30 * math.Sqrt(rr) }

// EjectionTime is how long a beat with the given RR (s) ejects, s.
func EjectionTime(rr float64) float64 { return systole(min(max(rr, 0.2), 1.5)) }

// filled is the share of the way from end to full reached in the given diastole.
func (s *pumpState) filled(diastole float64) float64 {
	return 1 - math.Exp(-max(diastole, 0)/s.tau)
}

// restPump is the ventricle of a heart at rest. full is such that its stroke is 1: in
// the steady state end = (1-EF) d and d = end + (full-end) f with EF d = 1.
func restPump(p Pump) pumpState {
	rest := 60 / p.RestRate
	d := 1 / ejectionFraction
	s := pumpState{end: d - 1, tau: fillingShare * (rest - systole(rest)), rest: rest}
	s.full = s.end + (d-s.end)/s.filled(rest-systole(rest))
	return s
}

// beat ejects one beat and returns its stroke. A beat too early to fill opens the
// valve little or not at all; the blood it leaves behind makes the next one larger.
func (s *pumpState) beat(p *Pump, a *Activation, atriaHelped bool) float64 {
	diastole := a.RR - systole(min(a.RR, s.rest))
	volume := s.end + (s.full-s.end)*s.filled(diastole)
	if !atriaHelped {
		volume = s.end + (volume-s.end)*withoutAtria
	}
	strength := p.Strength
	if a.Origin == ecg.OriginVentricular {
		strength *= dyssynchrony
	}
	stroke := min(ejectionFraction*strength, 0.9) * volume
	stroke *= opening(stroke)
	s.end = volume - stroke
	return stroke
}

// opening is the share of a stroke that gets past the aortic valve: a weak beat
// does not reach the pressure behind it.
func opening(stroke float64) float64 {
	x := min(max((stroke-0.30)/0.45, 0), 1)
	return x * x * (3 - 2*x)
}
