// Package rhythm is the catalogue of rhythms: each is a set of parameters of the
// one heart, with what is taught about it. No rhythm has waveform code of its own.
// Read sinus_rhythm.go first; All lists the rest.
package rhythm

import (
	"fmt"
	"math/rand/v2"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// A Rhythm is one entry of the catalogue.
type Rhythm struct {
	lesson.Lesson

	// Change turns the resting patient into one with this rhythm. Chances are
	// drawn from rng only, so that the same identity gives the same heart.
	Change func(p Patient, s *Setup, rng *rand.Rand)

	// Shows is the least that must have been on screen before the rhythm can be
	// told.
	Shows Evidence
}

// Evidence says when a rhythm has shown itself.
type Evidence uint8

// Kinds of evidence.
const (
	AfterBeats   Evidence = iota // three beats, or two seconds without any
	AfterEctopic                 // the first beat from another place has ended
	AfterRun                     // the first three such beats in a row have ended
)

// All is the catalogue, in the order of teaching.
func All() []Rhythm {
	return []Rhythm{
		sinusRhythm,
		sinusBradycardia,
		sinusTachycardia,
		supraventricularTachycardia,
		thirdDegreeAVBlock,
		prematureVentricularBeats,
		ventricularBigeminy,
		ventricularRun,
		monomorphicVentricularTachycardia,
		coarseVentricularFibrillation,
		fineVentricularFibrillation,
		asystole,
	}
}

// ByID finds a rhythm.
func ByID(id string) (Rhythm, bool) {
	for _, r := range All() {
		if r.ID == id {
			return r, true
		}
	}
	return Rhythm{}, false
}

// Build makes the heart of an identity's rhythm, drawing the patient and the
// rhythm's chances from rng. The patient depends on age and rng alone, so the same
// seed gives the same patient with another rhythm.
func (r Rhythm) Build(age ecg.Age, state ecg.State, rng *rand.Rand) (Patient, Setup, error) {
	p := NewPatient(age, rng)
	s := p.Resting()
	r.Change(p, &s, rng)
	switch state {
	case ecg.NoSignsOfLife:
		s.Heart.Pump.Strength = 0
	case ecg.PoorPerfusion:
		s.Heart.Pump.Strength *= 0.6
	}
	if err := s.Heart.Validate(); err != nil {
		return p, s, fmt.Errorf("rhythm %s at %s: %w", r.ID, age, err)
	}
	return p, s, nil
}
