package rhythm

import (
	"math"
	"math/rand/v2"

	"telltrace/synth/dipole"
	"telltrace/synth/heart"
)

func peakedT(_ Patient, s *Setup, rng *rand.Rand) {
	s.Dipole.T = dipole.Wave{MV: s.toward(max(0.78, s.Dipole.QRS.MV*0.72)*uniform(rng, 1, 1.12), 0.74), Degrees: 55, Front: 0.25}
	s.Dipole.TWidth = s.toward(0.62, 0.75)
}

// sineWave: no P, a QRS so wide that it runs into the T.
func sineWave(p Patient, s *Setup, rng *rand.Rand) {
	s.Heart.Sinus.Rate = 0
	rate := uniform(rng, 80, 112)
	s.addFocus(heart.Focus{Site: heart.Ventricle, Cycle: 60 / rate, Jitter: 0.006}, dipole.Ectopic{Wave: dipole.Wave{
		MV: s.Dipole.QRS.MV * 0.95, Degrees: uniform(rng, 40, 90), Front: 0.4, Duration: s.toward(uniform(rng, 0.20, 0.24), 0.195)}})
	s.Heart.Ventricles.QTc = 0.50
}

func invertedT(_ Patient, s *Setup, _ *rand.Rand) {
	s.Dipole.T.MV = s.toward(max(s.Dipole.T.MV, 0.24), 0.18)
	s.Dipole.T.Degrees += 180
}

func st(low, high float64) func(Patient, *Setup, *rand.Rand) {
	return func(_ Patient, s *Setup, rng *rand.Rand) {
		s.Dipole.ST = dipole.Frontal(s.toward(uniform(rng, low, high), math.Copysign(0.155, low)), 75, 0)
	}
}

func longQT(p Patient, s *Setup, rng *rand.Rand) {
	s.atSinusRate(p, min(p.RestRate*0.88, 116)) // slow enough for a long QT to end before the next P
	rr := 60 / s.Heart.Sinus.Rate
	room := (rr - p.PR - 0.03) / sqrt(rr) // T must end before the next P
	hardest := 0.49
	if p.Age.Years() < 1 {
		hardest = 0.515
	}
	s.Heart.Ventricles.QTc = min(s.toward(uniform(rng, 0.52, 0.58), hardest), room)
}

func lowVoltage(_ Patient, s *Setup, rng *rand.Rand) {
	by := uniform(rng, 0.30, 0.36) / s.Dipole.QRS.MV
	for _, w := range []*dipole.Wave{&s.Dipole.QRS, &s.Dipole.T} {
		w.MV, w.Front = w.MV*by, w.Front*by
	}
	s.Dipole.P.MV *= 0.6
}
