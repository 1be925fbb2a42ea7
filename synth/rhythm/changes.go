package rhythm

import (
	"math"
	"math/rand/v2"

	"telltrace/synth/dipole"
	"telltrace/synth/heart"
	"telltrace/synth/norms"
)

// atSinusRate gives the sinus node another rate and lets the node and the atria
// follow it, PR shortening a little as the rate rises.
func (s *Setup) atSinusRate(p Patient, rate float64) {
	s.Heart.Sinus.Rate = rate
	rr, rest := 60/rate, 60/p.RestRate
	pr := p.PR * clamp(1+0.25*(rr/rest-1), 0.82, 1.12)
	s.Heart.Atria = min(0.30*rr, 0.35)
	s.Heart.Node.Refractory = 0.30 * rr
	s.Heart.Node = s.Heart.Node.AtRate(pr, rate)
}

func slowSinus(p Patient, s *Setup, rng *rand.Rand) {
	low := norms.HeartRate(p.Age).Accept.Low
	s.atSinusRate(p, s.toward(low*uniform(rng, 0.72, 1-rateGuard), low*(1-rateGuard)))
	s.Heart.Sinus.RSA *= 0.6
}

func fastSinus(p Patient, s *Setup, rng *rand.Rand) {
	high := norms.HeartRate(p.Age).Accept.High
	top := sinusOrReentry(p) * (1 - rateGuard)
	rate := uniform(rng, min(high*(1+rateGuard+0.02), top-1), top) // breath and drift take up to two in a hundred
	if p.Age.Years() < 1 {
		top = infantOverlap // a crying infant: the rate settles nothing, the P waves do
	}
	s.atSinusRate(p, s.toward(rate, top))
	s.Heart.Sinus.RSA = 0.012
	s.Heart.Sinus.Tide = 0.022
	s.Heart.Ventricles.QTc = min(s.Heart.Ventricles.QTc, 0.385) // so that P stays clear of the T before it
}

// sinusOrReentry is the rate that parts sinus from re-entry tachycardia: 220 in the
// infant, 180 in the child (AHA PALS 2020), 150 in the adult (standard texts, from
// memory).
func sinusOrReentry(p Patient) float64 {
	switch y := p.Age.Years(); {
	case y < 1:
		return 220
	case y < 16:
		return 180
	default:
		return 150
	}
}

// infantOverlap is a rate, beats/min, at which an infant's sinus node and a re-entry
// tachycardia both run: rates overlap (AHA PALS 2020), up to about 225 in sinus rhythm
// and down to about 200 in re-entry (from memory).
const infantOverlap = 212

func reentry(p Patient, s *Setup, rng *rand.Rand) {
	low := sinusOrReentry(p) * (1 + rateGuard)
	rate, hardest := uniform(rng, low, low+45), low
	if p.Age.Years() < 1 {
		hardest = infantOverlap
	}
	cycle := 60 / s.toward(rate, hardest)
	s.Heart.Foci = []heart.Focus{{Site: heart.Junction, Cycle: cycle, Jitter: 0.002, ToAtria: max(0.07+0.10*cycle, p.QRS+0.02)}} // a P that can be told from the QRS
	s.Heart.Node.Refractory = 0.3 * cycle
	s.Heart.Sinus.RSA, s.Heart.Sinus.Tide = 0, 0
}

func completeBlock(p Patient, s *Setup, rng *rand.Rand) {
	escape := apart(byAge(p.Age, 66, 58, 48, 38)*uniform(rng, 0.92, 1.08), s.Heart.Sinus.Rate)
	s.Heart.Node.Blocked = true
	s.Heart.Foci = []heart.Focus{{Site: heart.Junction, Cycle: 60 / escape, Jitter: 0.006, Escape: true}}
}

// apart moves a slow rate until a fast one beside it is no whole multiple of it: P and
// QRS in step over a strip would look conducted, or hide one in the other.
func apart(slow, fast float64) float64 {
	const least = 0.12
	ratio := fast / slow
	whole := math.Round(ratio)
	if off := ratio - whole; math.Abs(off) < least {
		ratio = whole + math.Copysign(least, off)
	}
	return fast / ratio
}

// ectopic is the shape of a beat from one place in the ventricles.
func ectopic(p Patient, s *Setup, rng *rand.Rand) dipole.Ectopic {
	return dipole.Ectopic{Wave: dipole.Wave{
		MV:       s.Dipole.QRS.MV * s.toward(uniform(rng, 1.5, 1.9), 1.2), // taller than the usual beats
		Degrees:  []float64{-75, 85, -100, 100}[rng.IntN(4)] + uniform(rng, -12, 12),
		Front:    uniform(rng, -0.9, 0.9),
		Duration: s.toward(max(p.QRS*1.65, norms.WideQRS(p.Age).High*1.25), max(p.QRS*1.4, norms.WideQRS(p.Age).High+dotGuard)),
	}}
}

func (s *Setup) addFocus(f heart.Focus, w dipole.Ectopic) {
	for len(s.Dipole.Ectopic) < len(s.Heart.Foci) {
		s.Dipole.Ectopic = append(s.Dipole.Ectopic, dipole.Ectopic{})
	}
	s.Heart.Foci = append(s.Heart.Foci, f)
	s.Dipole.Ectopic = append(s.Dipole.Ectopic, w)
}

// dotGuard keeps an interval a drawn dot of the double scale away from a limit, s.
const dotGuard = 0.0135

func coupling(p Patient, s *Setup, rng *rand.Rand) float64 {
	rr := 60 / p.RestRate
	return max(s.toward(uniform(rng, 0.58, 0.68), 0.72)*rr, p.QTc*0.86*sqrt(rr))
}

func ectopicsEvery(fewest, most int) func(Patient, *Setup, *rand.Rand) {
	return func(p Patient, s *Setup, rng *rand.Rand) {
		w, gap := ectopic(p, s, rng), [2]int{fewest, most}
		if fewest < most { // neither bigeminy nor trigeminy
			gap = s.rarer(fewest, most)
		}
		s.addFocus(heart.Focus{Site: heart.Ventricle, Coupling: coupling(p, s, rng), Jitter: 0.015,
			Gap: gap, Run: [2]int{1, 1}}, w)
	}
}

func runs(p Patient, s *Setup, rng *rand.Rand) {
	w := ectopic(p, s, rng)
	cycle := 60 / ventricularRate(p, s, rng)
	s.addFocus(heart.Focus{Site: heart.Ventricle, Coupling: coupling(p, s, rng), Cycle: cycle, Jitter: 0.02,
		Gap: s.rarer(4, 7), Run: [2]int{3, 6 - int(2*s.Dial)}}, w)
	s.Heart.Ventricles.QTc = min(s.Heart.Ventricles.QTc, 1.15*cycle/sqrt(60/p.RestRate))
}

// ventricularRate is the rate of a ventricular tachycardia: clearly above the
// patient's own and above 120.
func ventricularRate(p Patient, s *Setup, rng *rand.Rand) float64 {
	rate := max(p.RestRate*uniform(rng, 1.35, 1.6), uniform(rng, 150, 185))
	return s.toward(rate, max(p.RestRate*1.3, 134))
}

func ventricularCircuit(p Patient, s *Setup, rng *rand.Rand) {
	w := ectopic(p, s, rng)
	s.addFocus(heart.Focus{Site: heart.Ventricle, Cycle: 60 / ventricularRate(p, s, rng), Jitter: 0.004}, w)
}

func fibrillation(lowMV, highMV, lowHz, highHz float64) func(Patient, *Setup, *rand.Rand) {
	return func(_ Patient, s *Setup, rng *rand.Rand) {
		s.Heart.Sinus.Rate = 0
		s.Heart.Ventricles.Fibrillating = true
		s.Dipole.Fibrillate = dipole.Fibrillation{MV: s.toward(uniform(rng, lowMV, highMV), lowMV), Hz: uniform(rng, lowHz, highHz), Decay: 400}
	}
}

func standstill(_ Patient, s *Setup, _ *rand.Rand) {
	s.Heart.Sinus.Rate = 0
}
