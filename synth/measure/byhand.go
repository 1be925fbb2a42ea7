package measure

import (
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// Paper at 25 mm/s: a small box is 0.04 s, so 1500 of them are a minute.
const paperBox = 0.04

// SixSeconds is the rate by the six-second method: the QRS in the first six seconds of the
// strip, times ten (common practice). ok is false for a shorter strip of seconds.
func SixSeconds(beats []ecg.Beat, seconds float64) (bpm float64, ok bool) {
	const window = 6
	if seconds < window {
		return 0, false
	}
	n := 0
	for _, b := range beats {
		if b.QRS.Peak < window {
			n++
		}
	}
	return float64(10 * n), true
}

// SmallBoxes is the rate by the small boxes between two R: 1500 over their number, of the
// median RR read to half a box (common practice). NaN with fewer than two beats. boxes is
// that number.
func SmallBoxes(rr []float64) (bpm, boxes float64) {
	boxes = math.Round(2*median(rr)/paperBox) / 2
	return 1500 / boxes, boxes
}

// Displayed is the rate that a counter shows at the end of the strip: the mean of its last
// RR, as HeartRate has it; NaN with fewer than two beats.
func (r Reading) Displayed() float64 {
	if len(r.RR) == 0 {
		return math.NaN()
	}
	return 60 / counterRR(r.RR)
}

// correctedAt is the RR that QT is corrected for, s: it belongs to QTcB.
func (r Reading) correctedAt() float64 { return (r.QT / r.QTcB) * (r.QT / r.QTcB) }

// QTc is QT corrected by all four formulas, s; NaN where there is no QT.
func (r Reading) QTc() (bazett, fridericia, framingham, hodges float64) {
	rr := r.correctedAt()
	return r.QTcB, r.QTcF, Framingham(r.QT, rr), Hodges(r.QT, rr)
}

// Settle says what would settle a reading that a lead alone leaves open; nothing for one
// that it does not. The patient and the pulse come first.
func (r Reading) Settle() []string {
	const (
		patient = "the patient: signs of life, breathing, a central pulse for at most ten seconds"
		leads   = "another lead"
		twelve  = "a 12-lead recording"
		pulse   = "the pulse trace, or a pressure line: does it go on?"
		contact = "the electrodes: contact, gel, clips"
	)
	switch {
	case r.Kind == Flat || r.Kind == Disconnected:
		return []string{patient, pulse, leads, contact}
	case r.Kind == Fibrillation || r.Kind == Disturbed:
		return []string{patient, pulse, leads, contact}
	case r.Name == "":
		return []string{patient, leads, twelve}
	}
	if len(r.RR) > 0 && !(r.QRS < r.limits.Wide) && r.Rate > r.limits.Fast && len(r.Spikes) == 0 { // wide and fast, or no width at all
		return []string{patient, twelve + ", while the patient allows it: P against QRS"}
	}
	switch r.Name {
	case "supraventricular-tachycardia", "atrial-flutter", "atrial-tachycardia", "junctional-ectopic-tachycardia":
		return []string{twelve + ": the P waves in all leads", leads}
	case "two-to-one-av-block", "second-degree-av-block-type-1", "second-degree-av-block-type-2", "blocked-atrial-bigeminy", "third-degree-av-block":
		return []string{"a longer strip: two conducted beats in a row, and where P falls", twelve}
	case "pre-excited-atrial-fibrillation", "aberrantly-conducted-atrial-beats":
		return []string{twelve, leads}
	case "hyperkalaemic-sine-wave":
		return []string{patient, "potassium", twelve}
	}
	if slices.Contains(r.Also, "st-elevation") || slices.Contains(r.Also, "st-depression") {
		return []string{twelve + ": ST in one lead settles nothing"}
	}
	return nil
}
