package spacing_test

import (
	"math"
	"math/rand/v2"
	"slices"

	"telltrace/scoring/spacing"
	"telltrace/synth/ecg"
)

// A law is how a simulated learner forgets. None is the scheduler's own.
type law interface {
	// recall is the chance to remember an entry at a moment, in days.
	recall(at float64) float64
	// practise takes in a strip with its explanation.
	practise(at float64)
}

// powerLaw: strength falls with a power of time (Wickelgren 1974, Mem Cognit 2:775),
// and every further practice makes the fall slower, the more so the more had been
// forgotten.
type powerLaw struct {
	strength, stability, last float64
	speed                     float64
}

func (m *powerLaw) recall(at float64) float64 {
	if m.strength == 0 {
		return 0
	}
	return m.strength * math.Pow(1+(at-m.last)/m.stability, -0.5)
}

func (m *powerLaw) practise(at float64) {
	r := m.recall(at)
	if m.strength == 0 {
		m.stability = 0.3
	}
	m.strength += 0.35 * m.speed * (1 - m.strength)
	m.strength = min(m.strength, 0.995)
	m.stability *= 1 + 1.5*m.speed*(1-r/max(m.strength, 0.01)) + 0.05
	m.last = at
}

// activation: base-level activation with a decay that depends on the activation at
// each practice, which gives the spacing effect (Pavlik and Anderson 2005, Cogn Sci
// 29:559; their parameters, from memory; time between sittings is scaled by 0.025).
type activation struct {
	at, decay []float64 // s, of each practice
	speed     float64
}

const (
	decayScale, decayIntercept = 0.217, 0.177
	threshold, noise           = -0.704, 0.255
	betweenSittings            = 0.025
	longest                    = 60 // practices remembered one by one
)

func (m *activation) level(now float64) float64 {
	sum := 0.0
	for i, t := range m.at {
		sum += math.Pow(max(now-t, 1), -m.decay[i])
	}
	return math.Log(sum) + math.Log(m.speed)
}

// seconds scales the time away.
func seconds(days float64) float64 {
	whole, part := math.Modf(days)
	return 86400 * (whole*betweenSittings + part)
}

func (m *activation) recall(at float64) float64 {
	if len(m.at) == 0 {
		return 0
	}
	return 1 / (1 + math.Exp((threshold-m.level(seconds(at)))/noise))
}

func (m *activation) practise(at float64) {
	now := seconds(at)
	d := decayIntercept
	if len(m.at) > 0 {
		d += decayScale * math.Exp(m.level(now))
	}
	if len(m.at) == longest {
		m.at, m.decay = m.at[1:], m.decay[1:]
	}
	m.at, m.decay = append(m.at, now), append(m.decay, min(d, 2))
}

// A student knows entries by memory and tells look-alikes apart by having seen them
// against each other. Invented, for the simulation alone.
type student struct {
	memory map[string]law
	apart  map[[2]string]float64 // 0 not at all, 1 surely
	speed  float64
}

func newStudent(order []string, newLaw func(speed float64) law, rng *rand.Rand) *student {
	s := &student{memory: map[string]law{}, apart: map[[2]string]float64{}, speed: math.Exp(0.25 * rng.NormFloat64())}
	for _, id := range order {
		s.memory[id] = newLaw(s.speed)
	}
	return s
}

func pairOf(a, b string) [2]string {
	if a > b {
		a, b = b, a
	}
	return [2]string{a, b}
}

// strain is how much a severity adds to being taken in by a look-alike.
var strain = map[ecg.Severity]float64{ecg.Plain: 0.15, ecg.Middle: 0.3, ecg.Subtle: 0.5}

// name answers a strip: what is remembered may still be taken for a look-alike among
// the choices; what is not remembered is guessed from the choices that cannot be
// ruled out.
func (s *student) name(c *spacing.Course, subject string, choices []string, sev ecg.Severity, at float64, rng *rand.Rand) (chosen string, sure bool) {
	topic, _ := c.Topic(subject)
	if rng.Float64() < s.memory[subject].recall(at) {
		for _, other := range choices {
			if other != subject && slices.Contains(topic.LookAlikes, other) &&
				rng.Float64() < strain[sev]*(1-s.apart[pairOf(subject, other)]) {
				return other, rng.IntN(2) == 0
			}
		}
		return subject, rng.IntN(5) > 0
	}
	var left []string
	for _, other := range choices {
		if other == subject || rng.Float64() > 0.8*s.memory[other].recall(at) {
			left = append(left, other)
		}
	}
	return left[rng.IntN(len(left))], rng.IntN(4) == 0
}

// learn takes in the explanation.
func (s *student) learn(subject, chosen string, choices []string, at float64) {
	s.memory[subject].practise(at)
	for _, other := range choices {
		if other == subject {
			continue
		}
		rate := 0.06
		if other == chosen || len(choices) == 2 {
			rate = 0.18 // set side by side, the difference bracketed
		}
		p := pairOf(subject, other)
		s.apart[p] += rate * s.speed * (1 - s.apart[p])
		s.apart[p] = min(s.apart[p], 0.995)
	}
}
