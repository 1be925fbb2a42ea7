package rhythm

import (
	"math/rand/v2"

	"telltrace/synth/dipole"
	"telltrace/synth/heart"
)

func couplets(p Patient, s *Setup, rng *rand.Rand) {
	w := ectopic(p, s, rng)
	c := coupling(p, s, rng)
	s.addFocus(heart.Focus{Site: heart.Ventricle, Coupling: c, Cycle: c * 0.98, Jitter: 0.015, Gap: s.rarer(4, 7), Run: [2]int{2, 2}}, w)
}

// multiform: two foci, two shapes.
func multiform(p Patient, s *Setup, rng *rand.Rand) {
	first := ectopic(p, s, rng)
	second := first
	second.Degrees, second.Front, second.MV = first.Degrees+s.toward(150, 110), -first.Front, first.MV*0.85
	for i, w := range []dipole.Ectopic{first, second} {
		s.addFocus(heart.Focus{Site: heart.Ventricle, Coupling: coupling(p, s, rng), Jitter: 0.015,
			Gap: s.rarer(4+i, 7+i), Run: [2]int{1, 1}}, w)
	}
}

// acceleratedIdioventricular: a ventricular pacemaker a little faster than the sinus
// node takes over and gives back, with fusion beats where they meet.
func acceleratedIdioventricular(p Patient, s *Setup, rng *rand.Rand) {
	rate := p.RestRate * s.toward(uniform(rng, 1.08, 1.14), 1.08)
	s.Heart.Sinus.Tide = 0.04
	s.addFocus(heart.Focus{Site: heart.Ventricle, Cycle: 60 / rate, Jitter: 0.008}, ectopic(p, s, rng))
}

// escapes: the sinus node is silent and the ventricles beat for themselves, at a
// rate in beats/min drawn between the two that rates gives.
func escapes(rates func(Patient) (low, high float64), jitter, width float64) func(Patient, *Setup, *rand.Rand) {
	return func(p Patient, s *Setup, rng *rand.Rand) {
		s.Heart.Sinus.Rate = 0
		w := ectopic(p, s, rng)
		w.Duration *= width
		w.MV *= 0.75
		low, high := rates(p)
		s.addFocus(heart.Focus{Site: heart.Ventricle, Cycle: 60 / s.toward(uniform(rng, low, high), high), Escape: true, Jitter: jitter}, w)
	}
}

// idioventricularRate is the range of a ventricular escape: 20-40 in the adult, in
// the child below the escape of the junction (infant 50-80, child 45-60, from
// memory), the guard band kept on both sides.
func idioventricularRate(p Patient) (low, high float64) {
	usual := ventricularEscape(p)
	return 0.80 * usual, usual
}

// agonalRate is the range of dying beats: below 20 (standard texts, from memory), so
// far below that irregular ones stay there, and enough for two in ten seconds.
func agonalRate(Patient) (low, high float64) { return 12.5, 15 }

// polymorphic: a tachycardia that never looks the same twice.
func polymorphic(p Patient, s *Setup, rng *rand.Rand) {
	s.Heart.Sinus.Rate = 0
	w := ectopic(p, s, rng)
	w.Vary = s.toward(55, 40)
	w.MV *= 0.9
	s.Heart.Ventricles.QTc = min(s.Heart.Ventricles.QTc, 0.36)
	s.addFocus(heart.Focus{Site: heart.Ventricle, Cycle: 60 / uniform(rng, 200, 245), Jitter: 0.07}, w)
}

// torsades: long QT, then runs whose axis turns.
func torsades(p Patient, s *Setup, rng *rand.Rand) {
	longQT(p, s, rng)
	w := ectopic(p, s, rng)
	w.Turn = s.toward(uniform(rng, 16, 24), 14)
	w.Duration = min(w.Duration, 0.13)
	qtc, rr := s.Heart.Ventricles.QTc, 60/s.Heart.Sinus.Rate
	c := qtc * sqrt(rr) * 0.84
	cycle := max(60/uniform(rng, 205, 240), 0.77*qtc*sqrt(c)/1.12)
	s.Heart.Ventricles.Steady = true
	s.addFocus(heart.Focus{Site: heart.Ventricle, Coupling: c, Cycle: cycle, Jitter: 0.03,
		WarmUp: 0.12, Gap: [2]int{5, 6}, Run: [2]int{10, 16}}, w)
}

func pulselessActivity(p Patient, s *Setup, rng *rand.Rand) {
	s.atSinusRate(p, p.RestRate*s.toward(uniform(rng, 0.55, 0.8), 0.86))
	s.Heart.Pump.Strength = 0
}
