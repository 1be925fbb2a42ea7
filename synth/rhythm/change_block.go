package rhythm

import (
	"math"
	"math/rand/v2"

	"telltrace/synth/dipole"
	"telltrace/synth/heart"
	"telltrace/synth/norms"
)

// firstDegree: every P conducts, late.
func firstDegree(p Patient, s *Setup, rng *rand.Rand) {
	rate := p.RestRate * 0.85
	s.atSinusRate(p, rate)
	high, rr := norms.PR(p.Age).Accept.High, 60/rate
	afterT := rr - p.QTc*sqrt(rr) // a P on the T before cannot be measured
	pr := min(high*s.toward(uniform(rng, 1.22, 1.45), 1.15), max(afterT, 1.15*high))
	s.Heart.Node.Refractory = 0.2 * rr
	s.Heart.Node = s.Heart.Node.AtRate(pr, rate)
}

// wenckebach: the node tires. Delay grows the sooner it is asked again, by steps
// that shrink, until a P wave finds it refractory.
func wenckebach(p Patient, s *Setup, rng *rand.Rand) {
	rr := 60 / p.RestRate
	s.Heart.Sinus.RSA, s.Heart.Sinus.Tide = 0.005, 0.005
	s.Heart.Node.Refractory = uniform(rng, 0.50, 0.56) * rr
	s.Heart.Node.Decrement = s.toward(uniform(rng, 0.30, 0.38), 0.27) * rr
	s.Heart.Node.Tau = 0.22 * rr
	s.Heart.Node.Delay = p.PR * 1.05
	// Where delay and recovery settle, nothing would ever drop: the node must stay
	// refractory for longer than that.
	n := &s.Heart.Node
	settled := rr - n.Delay - n.Tau*(1+math.Log(n.Decrement/n.Tau))
	n.Refractory = max(n.Refractory, settled+uniform(rng, 0.04, 0.08)*rr)
}

// dropped: the node conducts evenly, the bundle now and then not at all.
func dropped(gap, drop [2]int) func(Patient, *Setup, *rand.Rand) {
	return func(p Patient, s *Setup, rng *rand.Rand) {
		s.Heart.Node.Decrement = 0
		s.Heart.Node.Delay = p.PR * 1.05
		s.Heart.Sinus.RSA, s.Heart.Sinus.Tide = 0.008, 0.008
		s.Heart.His = heart.His{Gap: gap, Drop: drop}
		if gap[0] > 2 {
			s.Heart.His.Gap = s.rarer(gap[0], gap[1])
		}
		s.Heart.Bundles.Right = gap[1] > 1 && rng.IntN(2) == 0
		s.Heart.Foci = []heart.Focus{{Site: heart.Ventricle, Cycle: 60 / ventricularEscape(p), Escape: true, Jitter: 0.02}}
		s.Dipole.Ectopic = []dipole.Ectopic{ectopic(p, s, rng)}
	}
}

// ventricularEscape is the rate of the last resort, beats/min.
func ventricularEscape(p Patient) float64 { return byAge(p.Age, 44, 40, 35, 31) }

func bundleBlock(right bool) func(Patient, *Setup, *rand.Rand) {
	return func(p Patient, s *Setup, _ *rand.Rand) {
		s.Heart.Bundles = heart.Bundles{Right: right, Left: !right}
		s.Dipole.Block = s.toward(s.Dipole.Block, max(p.QRS*1.35, norms.WideQRS(p.Age).High+dotGuard))
	}
}

// deltaWave is the slow start of a beat by an accessory path.
func deltaWave(p Patient, s *Setup) dipole.Wave {
	w := s.Dipole.QRS
	w.MV *= s.toward(0.42, 0.34)
	w.Degrees -= 15
	w.Duration = max(p.QRS*1.7, norms.WideQRS(p.Age).High*1.2)
	return w
}

// preExcited: an accessory path beside the node begins the beat early, the node's
// wave joins and ends it.
func preExcited(p Patient, s *Setup, rng *rand.Rand) {
	early := max(norms.WideQRS(p.Age).High+0.017-p.QRS, uniform(rng, 0.035, 0.045)) // one drawn dot and more above the limit
	short := 0.09                                                                   // PR below it is short (Surawicz 2009, from memory)
	if p.Age.Years() >= 16 {
		short = 0.12
	}
	pr := max(min(p.PR*0.95, short-0.0125+early), early+0.055)
	s.Heart.Node = s.Heart.Node.AtRate(pr, p.RestRate)
	s.Heart.Path = heart.Path{Delay: pr - early, Refractory: 0.24}
	s.Dipole.Delta = deltaWave(p, s)
	s.Dipole.P.Duration = min(s.Dipole.P.Duration, pr-early-0.004)
}

// standstillBelow: P waves go on, nothing answers.
func standstillBelow(_ Patient, s *Setup, _ *rand.Rand) { s.Heart.Node.Blocked = true }
