package rhythm

import (
	"math/rand/v2"

	"telltrace/synth/dipole"
	"telltrace/synth/heart"
	"telltrace/synth/norms"
)

// pacedWave is a QRS begun at the apex of the right ventricle: up, left, wide.
func pacedWave(p Patient, s *Setup) dipole.Wave {
	return dipole.Wave{MV: s.Dipole.QRS.MV * 1.15, Degrees: -68, Front: -0.7,
		Duration: max(p.QRS*1.75, norms.WideQRS(p.Age).High*1.3)}
}

// pacerRate is the set rate: above the patient's own.
func pacerRate(p Patient, rng *rand.Rand) float64 { return p.RestRate * uniform(rng, 1.02, 1.12) }

// pace gives the patient a pacer. The heart's own sinus node is too slow.
func pace(p Patient, s *Setup, rng *rand.Rand, pacer heart.Pacer) {
	pacer.Rate = pacerRate(p, rng)
	s.Heart.Pacer = pacer
	s.Dipole.Paced = pacedWave(p, s)
	s.Dipole.Spike = dipole.Frontal(s.toward(uniform(rng, 0.9, 1.3), 0.6), 75, 0.4)
	s.Heart.Sinus.Rate = 0
}

func atrialPacing(p Patient, s *Setup, rng *rand.Rand) {
	s.atSinusRate(p, p.RestRate)
	pace(p, s, rng, heart.Pacer{Atrium: true})
	s.Heart.Node = s.Heart.Node.AtRate(p.PR, s.Heart.Pacer.Rate)
}

func ventricularPacing(p Patient, s *Setup, rng *rand.Rand) {
	pace(p, s, rng, heart.Pacer{Chamber: true})
	s.Heart.Node.Blocked = true
}

func dualPacing(p Patient, s *Setup, rng *rand.Rand) {
	pace(p, s, rng, heart.Pacer{Atrium: true, Chamber: true, AV: p.PR * 1.05})
	s.Heart.Node.Blocked = true
}

// ownEscape is what beats when the pacer fails.
func ownEscape(p Patient, s *Setup, rng *rand.Rand) {
	s.addFocus(heart.Focus{Site: heart.Ventricle, Cycle: 60 / ventricularEscape(p), Escape: true, Jitter: 0.02}, ectopic(p, s, rng))
}

func failureToCapture(p Patient, s *Setup, rng *rand.Rand) {
	pace(p, s, rng, heart.Pacer{Chamber: true, Loss: s.rarer(2, 4), Lost: [2]int{1, 3}})
	s.Heart.Node.Blocked = true
	ownEscape(p, s, rng)
}

// failureToSense: the pacer's spikes fall where they should not, because it does not
// hear the heart's own beats.
func failureToSense(p Patient, s *Setup, rng *rand.Rand) {
	own := s.Heart.Sinus
	pace(p, s, rng, heart.Pacer{Chamber: true, Deaf: true})
	s.Heart.Sinus = own
	s.Heart.Pacer.Rate = p.RestRate * uniform(rng, 0.72, 0.82)
}

func failureToPace(p Patient, s *Setup, rng *rand.Rand) {
	pace(p, s, rng, heart.Pacer{Chamber: true, Silence: s.rarer(3, 5), Silenced: [2]int{2, 3}})
	s.Heart.Node.Blocked = true
	ownEscape(p, s, rng)
}
