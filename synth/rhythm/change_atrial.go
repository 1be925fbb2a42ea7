package rhythm

import (
	"math/rand/v2"

	"telltrace/synth/dipole"
	"telltrace/synth/heart"
)

// addAtrialFocus adds a focus in the atria with its own P wave.
func (s *Setup) addAtrialFocus(f heart.Focus, w dipole.Wave) {
	for len(s.Dipole.Atrial) < len(s.Heart.Foci) {
		s.Dipole.Atrial = append(s.Dipole.Atrial, dipole.Wave{})
	}
	s.Heart.Foci = append(s.Heart.Foci, f)
	s.Dipole.Atrial = append(s.Dipole.Atrial, w)
}

// otherP is a P wave from another place than the sinus node: another axis, often
// lower or inverted in lead II.
func otherP(p Patient, s *Setup, rng *rand.Rand) dipole.Wave {
	w := s.Dipole.P
	w.Degrees = []float64{-70, 100, -20}[rng.IntN(3)] + uniform(rng, -10, 10)
	w.MV *= s.toward(uniform(rng, 0.9, 1.2), 0.85)
	w.Duration = p.PWave * 0.9
	return w
}

func prematureAtrial(p Patient, s *Setup, rng *rand.Rand) {
	rr := 60 / p.RestRate
	n := &s.Heart.Node // that conducts the earliest of them
	n.Refractory = min(n.Refractory, 0.55*rr-p.PR)
	*n = n.AtRate(p.PR, p.RestRate)
	s.addAtrialFocus(heart.Focus{Site: heart.Atrium, Coupling: s.toward(uniform(rng, 0.62, 0.70), 0.73) * rr, Jitter: 0.02,
		Gap: s.rarer(4, 8), Run: [2]int{1, 1}}, otherP(p, s, rng))
}

// blockedAtrialBigeminy: every second P comes so early that the node is still
// refractory.
func blockedAtrialBigeminy(p Patient, s *Setup, rng *rand.Rand) {
	rr := 60 / p.RestRate
	coupling := max(uniform(rng, 0.40, 0.45)*rr, s.Heart.Node.Delay+0.09)
	s.Heart.Atria = 0.8 * coupling
	s.Heart.Node.Refractory = coupling - p.PR + 0.25*rr
	w := otherP(p, s, rng)
	w.MV *= s.toward(1.4, 1.1) // it has to show in the T it sits on
	s.addAtrialFocus(heart.Focus{Site: heart.Atrium, Coupling: coupling, Jitter: 0.012,
		Gap: [2]int{1, 1}, Run: [2]int{1, 1}}, w)
}

// aberrantAtrial: early atrial beats that find the right bundle refractory.
func aberrantAtrial(p Patient, s *Setup, rng *rand.Rand) {
	rr := 60 / p.RestRate
	s.addAtrialFocus(heart.Focus{Site: heart.Atrium, Coupling: uniform(rng, 0.54, 0.60) * rr, Jitter: 0.015,
		Gap: s.rarer(4, 8), Run: [2]int{1, 1}}, otherP(p, s, rng))
	s.Heart.Bundles.Tired = 0.82
	n := &s.Heart.Node // that conducts the earliest: after a pause the bundle would be tired for a usual beat
	n.Refractory = min(n.Refractory, 0.48*rr-p.PR)
	*n = n.AtRate(p.PR, p.RestRate)
}

func atrialTachycardia(p Patient, s *Setup, rng *rand.Rand) {
	rate := max(byAge(p.Age, 215, 190, 165, 145)*uniform(rng, 0.95, 1.08), p.RestRate*1.3)
	w := otherP(p, s, rng)
	w.Degrees = s.toward(uniform(rng, 100, 130), 90)
	w.MV *= 1.2
	s.atSinusRate(p, rate)
	s.Heart.Sinus.Rate = 0.5 * p.RestRate // overdriven
	s.addAtrialFocus(heart.Focus{Site: heart.Atrium, Cycle: 60 / rate, Jitter: 0.008}, w)
	s.Heart.Ventricles.QTc = min(s.Heart.Ventricles.QTc, 0.385)
}

// wideReentry: re-entry with a bundle branch that does not keep up.
func wideReentry(p Patient, s *Setup, rng *rand.Rand) {
	reentry(p, s, rng)
	s.Heart.Foci[0].ToAtria = 0.07 // P lies in the wide QRS
	s.Heart.Bundles.Right = rng.IntN(2) == 0
	s.Heart.Bundles.Left = !s.Heart.Bundles.Right
}

// quiver makes the atria fibrillate.
func (s *Setup) quiver(p Patient, rng *rand.Rand) {
	s.Heart.Sinus.Rate = 0
	s.Heart.Quiver = uniform(rng, 6.5, 8)
	s.Dipole.Flicker = dipole.Fibrillation{MV: s.toward(byAge(p.Age, 0.07, 0.08, 0.09, 0.10)*uniform(rng, 0.8, 1.2), 0.055), Hz: uniform(rng, 6, 7.2)} // 350-600 f waves a minute (from memory)
}

func atrialFibrillation(p Patient, s *Setup, rng *rand.Rand) {
	s.quiver(p, rng)
	mean := 60 / (max(p.RestRate*1.2, 125) * uniform(rng, 1.0, 1.25))
	s.Heart.Node = heart.Node{Delay: 0.9 * p.PR, Decrement: 0.10, Tau: 0.12, Refractory: 0.42 * mean, Conceal: 0.95}
}

func preExcitedFibrillation(p Patient, s *Setup, rng *rand.Rand) {
	atrialFibrillation(p, s, rng)
	s.Heart.Path = heart.Path{Delay: 0.04, Refractory: uniform(rng, 0.19, 0.23)}
	s.Heart.Ventricles.QTc = 0.36
	s.Dipole.Delta = deltaWave(p, s)
}

// atrialFlutter: a circuit in the atria; the node lets every second to fourth wave
// through, or now this and now that.
func atrialFlutter(p Patient, s *Setup, rng *rand.Rand) {
	cycle := 60 / (byAge(p.Age, 420, 370, 310, 295) * uniform(rng, 0.95, 1.05))
	s.Heart.Sinus.Rate = 0
	s.Heart.Atria = 0.6 * cycle
	w := s.Dipole.P
	w.MV, w.Degrees, w.Front, w.Duration = s.toward(0.17, 0.12), -95, 0.10, cycle
	s.Dipole.Saw = true
	s.addAtrialFocus(heart.Focus{Site: heart.Atrium, Cycle: cycle, Jitter: 0.002}, w)
	ratio := []float64{2, 2, 3, 4}[rng.IntN(4)]
	if p.Age.Years() < 1 {
		ratio = 2
	}
	delay := min(0.9*p.PR, 0.8*cycle)
	s.Heart.Node = heart.Node{Delay: delay, Refractory: (ratio-0.5)*cycle - delay, Decrement: 0}
	if rng.IntN(3) == 0 && p.Age.Years() >= 1 { // variable: the node tires
		s.Heart.Node.Decrement, s.Heart.Node.Tau = 0.6*cycle, 0.5*cycle
	}
	if s.Heart.Node.Refractory < 0.3*cycle {
		s.Heart.Node.Refractory = 0.3 * cycle
	}
}

func places(s *Setup, n int, rng *rand.Rand) {
	for i := 1; i < n; i++ {
		w := s.Dipole.P
		w.Degrees = []float64{60, -60, 105, -110, 20}[i%5] + uniform(rng, -8, 8)
		w.MV *= []float64{1, 1.1, 0.8, 1.3, 0.6}[i%5]
		w.Duration *= []float64{1, 0.9, 1.05, 0.85, 0.95}[i%5]
		s.Dipole.Places = append(s.Dipole.Places, w)
	}
}

func multifocal(p Patient, s *Setup, rng *rand.Rand) {
	rate := max(p.RestRate*1.3, 115)
	s.atSinusRate(p, rate)
	s.Heart.Sinus.Jitter, s.Heart.Sinus.RSA = 0.15, 0
	s.Heart.Sinus.Shapes, s.Heart.Sinus.Stay, s.Heart.Sinus.Nearer = 4, 0, min(0.012, p.PR/12)
	s.Heart.Node.Decrement = 0.05
	places(s, 4, rng)
}

func wandering(p Patient, s *Setup, rng *rand.Rand) {
	s.atSinusRate(p, p.RestRate*0.95)
	s.Heart.Sinus.RSA *= 1.5
	s.Heart.Sinus.Shapes, s.Heart.Sinus.Stay, s.Heart.Sinus.Nearer = 3, s.toward(0.55, 0.7), min(0.010, p.PR/12)
	places(s, 3, rng)
}

func respiratoryArrhythmia(p Patient, s *Setup, rng *rand.Rand) {
	s.Heart.Breaths = min(p.Breaths, p.RestRate/4.5)
	s.atSinusRate(p, p.RestRate)
	s.Heart.Sinus.RSA, s.Heart.Sinus.Tide = s.toward(uniform(rng, 0.14, 0.20), 0.12), 0.01
}

func sinusPause(p Patient, s *Setup, rng *rand.Rand) {
	rr := 60 / p.RestRate
	s.Heart.Sinus.Gap, s.Heart.Sinus.Pause = s.rarer(3, 6), s.toward(uniform(rng, 2.3, 2.75), 2.05)*rr
	s.Heart.Sinus.RSA *= 0.6
}

func prematureJunctional(p Patient, s *Setup, rng *rand.Rand) {
	rr := 60 / p.RestRate
	s.addAtrialFocus(heart.Focus{Site: heart.Junction, Coupling: s.toward(uniform(rng, 0.60, 0.68), 0.72) * rr, Jitter: 0.02,
		Gap: s.rarer(4, 8), Run: [2]int{1, 1}, ToAtria: uniform(rng, 0.05, 0.09)}, dipole.Wave{})
}

func junctional(low, high func(Patient) float64) func(Patient, *Setup, *rand.Rand) {
	return func(p Patient, s *Setup, rng *rand.Rand) {
		rate := s.toward(uniform(rng, low(p), high(p)), high(p))
		s.Heart.Sinus.Rate = 0
		s.addAtrialFocus(heart.Focus{Site: heart.Junction, Cycle: 60 / rate, Jitter: 0.01,
			ToAtria: []float64{0.02, 0.08, 0.10}[rng.IntN(3)]}, dipole.Wave{})
	}
}

func junctionalEctopic(p Patient, s *Setup, rng *rand.Rand) {
	rate := max(byAge(p.Age, 210, 200, 185, 150)*uniform(rng, 0.95, 1.08), p.RestRate*1.25)
	rate = s.toward(rate, max(0.88*rate, p.RestRate*1.25))
	s.Heart.Sinus.Rate = apart(min(p.RestRate, 0.72*rate), rate)
	s.addAtrialFocus(heart.Focus{Site: heart.Junction, Cycle: 60 / rate, Jitter: 0.008}, dipole.Wave{})
	s.Heart.Ventricles.QTc = min(s.Heart.Ventricles.QTc, 0.385)
}
