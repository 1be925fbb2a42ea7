// Package rhythm is the catalogue of rhythms: each is a set of parameters of the
// one heart, with what is taught about it. No rhythm has waveform code of its own.
// Read sinus_rhythm.go first; All lists the rest.
package rhythm

import (
	"fmt"
	"math/rand/v2"

	"telltrace/synth/dipole"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// A Rhythm is one entry of the catalogue.
type Rhythm struct {
	lesson.Lesson

	// Change turns the resting patient into one with this rhythm. Chances are
	// drawn from rng only, so that the same identity gives the same heart.
	Change func(p Patient, s *Setup, rng *rand.Rand)

	// Ages says at which ages it is shown; nil for all.
	Ages func(ecg.Age) bool

	// Shows is the least that must have been on screen before the rhythm can be
	// told.
	Shows Evidence
}

// Evidence says when a rhythm has shown itself.
type Evidence uint8

// Kinds of evidence.
const (
	AfterBeats    Evidence = iota // three beats, or two seconds without any
	AfterEctopic                  // the first beat from another place has ended
	AfterRun                      // the first three such beats in a row have ended
	AfterPause                    // the beat after the first long interval has ended
	AfterPair                     // the first two such beats in a row have ended
	AfterTwo                      // the second such beat has ended, wherever it stands
	AfterBlockedP                 // two P waves have passed without a QRS between them
)

// All is the catalogue: sinus, atrial, junctional, block, ventricular, arrest, paced,
// shape. Nobody changes it.
func All() []Rhythm { return catalogue }

var catalogue = []Rhythm{
	sinusRhythm,
	sinusBradycardia,
	sinusTachycardia,
	respiratorySinusArrhythmia,
	sinusPauses,
	prematureAtrialBeats,
	blockedBigeminy,
	aberrantlyConductedAtrialBeats,
	focalAtrialTachycardia,
	supraventricularTachycardia,
	wideComplexSupraventricularTachycardia,
	fibrillatingAtria,
	preExcitedAtrialFibrillation,
	flutter,
	multifocalAtrialTachycardia,
	wanderingAtrialPacemaker,
	prematureJunctionalBeats,
	junctionalRhythm,
	acceleratedJunctionalRhythm,
	junctionalEctopicTachycardia,
	firstDegreeAVBlock,
	secondDegreeAVBlockType1,
	secondDegreeAVBlockType2,
	twoToOneAVBlock,
	highGradeAVBlock,
	thirdDegreeAVBlock,
	rightBundleBranchBlock,
	leftBundleBranchBlock,
	preExcitation,
	prematureVentricularBeats,
	ventricularBigeminy,
	ventricularTrigeminy,
	ventricularCouplets,
	multiformVentricularBeats,
	ventricularRun,
	acceleratedIdioventricularRhythm,
	idioventricularRhythm,
	monomorphicVentricularTachycardia,
	polymorphicVentricularTachycardia,
	torsadesDePointes,
	coarseVentricularFibrillation,
	fineVentricularFibrillation,
	asystole,
	pWaveAsystole,
	agonalRhythm,
	pulselessElectricalActivity,
	atrialPacingRhythm,
	ventricularPacingRhythm,
	dualChamberPacing,
	failureToCaptureRhythm,
	failureToSenseRhythm,
	failureToPaceRhythm,
	peakedTWaves,
	hyperkalaemicSineWave,
	invertedTWaves,
	stElevation,
	stDepression,
	longQTInterval,
	lowVoltageComplexes,
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

// Build makes the heart of a rhythm, drawing the patient and the rhythm's chances
// from rng. The patient depends on age and rng alone, so the same seed gives the
// same patient with another rhythm.
func (r Rhythm) Build(age ecg.Age, state ecg.State, rng *rand.Rand) (Patient, Setup, error) {
	p := NewPatient(age, rng)
	s, err := r.For(p, state, ecg.Plain, rng)
	return p, s, err
}

// For makes the heart of a rhythm for a patient in a state, as plain or subtle as
// asked, drawing the rhythm's chances from rng.
func (r Rhythm) For(p Patient, state ecg.State, severity ecg.Severity, rng *rand.Rand) (Setup, error) {
	if r.Ages != nil && !r.Ages(p.Age) {
		return Setup{}, fmt.Errorf("rhythm %s is not shown at %s", r.ID, p.Age)
	}
	s := p.Resting()
	s.Dial = dial(severity)
	s.fade()
	r.Change(p, &s, rng)
	switch state {
	case ecg.NoSignsOfLife:
		s.Heart.Pump.Strength = 0
	case ecg.PoorPerfusion:
		s.Heart.Pump.Strength *= 0.6
	}
	if err := s.Heart.Validate(); err != nil {
		return s, fmt.Errorf("rhythm %s at %s: %w", r.ID, p.Age, err)
	}
	return s, nil
}

// dial is how subtle a severity is, 0 to 1.
func dial(s ecg.Severity) float64 {
	switch s {
	case ecg.Middle:
		return 0.5
	case ecg.Subtle:
		return 1
	default:
		return 0
	}
}

// fade is what every rhythm has in common when it is made less plain: smaller
// complexes in more noise. What makes this one hard is in its own Change, by toward and
// rarer.
func (s *Setup) fade() {
	size := 1 - 0.28*s.Dial
	for _, w := range []*dipole.Wave{&s.Dipole.P, &s.Dipole.P2, &s.Dipole.QRS, &s.Dipole.T} {
		w.MV, w.Front = w.MV*size, w.Front*size
	}
	s.Noise = 1 + 1.2*s.Dial
}
