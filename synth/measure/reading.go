package measure

import (
	"fmt"
	"math"
	"strings"

	"telltrace/synth/ecg"
)

// Limits of the rules that do not depend on age.
const (
	regularCV = 0.08 // RRCV below this is regular (sinus 0.02-0.08, from memory)
	// A supraventricular tachycardia is faster than 1.4 of the age's fast limit,
	// within these bounds: about 150 adult, 180 child, 220 infant (AHA PALS 2020,
	// from a second-hand copy; adult from memory).
	svtFrom, svtFromInfant, svtOverFast = 150, 220, 1.4
	// A ventricular tachycardia is faster than this (ACC/AHA, from memory).
	vtFrom = 100
	// and nearly regular: one beat more or less found at the strip's end counts.
	vtCV = 0.20
)

// judge gives the reading in the order of the trade and names the rhythm.
func (r *Reading) judge(limits Limits, s ecg.Strip, row int) {
	if len(r.Dead) > 0 {
		r.against("no signal in %s: look at the electrodes", leadNames(r.Dead))
	}
	switch r.Kind {
	case Disconnected:
		r.Name = "disconnected-lead"
		r.reason("lead %s carries no signal", r.Lead)
	case Flat:
		r.judgeFlat(s, row)
	case Fibrillation:
		r.reason("no QRS that repeats, irregular waves of %.1f a second", r.DominantFrequency)
		r.Name = "coarse-ventricular-fibrillation"
		if r.PeakToPeak < fineBelow {
			r.Name = "fine-ventricular-fibrillation"
		}
		r.reason("%.2f mV from peak to peak: %s", r.PeakToPeak, r.Name)
		r.against("movement and loose electrodes can look the same: look at the patient, feel the pulse")
	case Disturbed:
		r.Name = "movement"
		r.reason("waves as large as the complexes hide them")
		r.against("complexes may be hidden: look at the patient, feel the pulse")
	default:
		r.judgeOrganised(limits)
	}
}

// judgeFlat tells a dead electrode from a heart that stands still, as far as the
// other leads can tell.
func (r *Reading) judgeFlat(s ecg.Strip, row int) {
	r.reason("no QRS; %.2f mV from peak to peak: flat", r.PeakToPeak)
	for i, mv := range s.MV {
		if i == row {
			continue
		}
		if t := examine(clean(mv), s.Rate); t.kind == Organised && t.features.peakToPeak > 2*flatBelow {
			r.Name = "disconnected-lead"
			r.reason("lead %s shows complexes at the same time: an electrode of lead %s", s.Leads[i], r.Lead)
			return
		}
	}
	r.Name = "asystole"
	r.against("a loose electrode looks the same: look at the patient and the electrodes")
}

func (r *Reading) judgeOrganised(limits Limits) {
	if len(r.Marks.Beats) < 2 {
		r.reason("%d QRS: too few to tell a rhythm", len(r.Marks.Beats))
		return
	}
	fast, slow := r.Rate > limits.Fast, r.Rate < limits.Slow
	regular, wide := r.RRCV < regularCV || len(r.RR) == 1, r.QRS >= limits.Wide
	r.describe(limits, fast, slow, regular, wide)

	ectopic := r.ectopics(limits)
	run, count := longestRun(ectopic)
	ownP := r.PPerQRS >= 0.5 && !math.IsNaN(r.PR)
	dissociated := len(r.Marks.P) > 0 && math.IsNaN(r.PR)
	switch {
	case count > 0 && count < len(ectopic):
		r.nameEctopics(ectopic, run, count)
	case dissociated && r.PPerQRS > 1.15:
		r.Name = "third-degree-av-block"
		r.reason("P and QRS each keep their own time, %.1f P for each QRS: %s", r.PPerQRS, r.Name)
	case wide && r.Rate > vtFrom && r.RRCV < vtCV && !ownP:
		r.Name = "monomorphic-ventricular-tachycardia"
		r.origin(ecg.OriginVentricular)
		r.reason("wide, regular, of one shape, no P before QRS: %s", r.Name)
		r.against("a supraventricular tachycardia with a wide QRS can look the same: treat as ventricular until shown otherwise")
	case !wide && regular && !ownP && r.Rate > min(svtFromInfant, max(svtFrom, svtOverFast*limits.Fast)):
		r.Name = "supraventricular-tachycardia"
		r.reason("narrow, regular, %.0f a minute, no P before QRS: %s", r.Rate, r.Name)
	case ownP && r.invertedP && (r.Lead == ecg.I || r.Lead == ecg.II || r.Lead == ecg.AVF):
		r.reason("P is inverted in %s: not from the sinus node, or electrodes are swapped", r.Lead)
	case ownP && r.PPerQRS < 1.3:
		r.nameSinus(fast, slow, wide)
	case !regular && !ownP:
		r.reason("irregular without P: cannot be told from one lead; atrial fibrillation is likely")
		r.against("a lead with clearer P, or a 12-lead recording, would settle it")
	default:
		r.reason("no P that can be seen: cannot be told from one lead")
		r.against("a lead with clearer P, or a 12-lead recording, would settle it")
	}
}

// describe says rate, regularity, P, PR, QRS and T.
func (r *Reading) describe(limits Limits, fast, slow, regular, wide bool) {
	word := "usual"
	if fast {
		word = "fast"
	} else if slow {
		word = "slow"
	}
	r.reason("rate %.0f a minute: %s for %.0f-%.0f", r.Rate, word, limits.Slow, limits.Fast)
	word = "irregular"
	if regular {
		word = "regular"
	}
	if math.IsNaN(r.RRCV) {
		r.reason("two beats only: regularity cannot be told")
	} else {
		r.reason("%s: RR varies by %.0f %%", word, 100*r.RRCV)
	}
	switch {
	case len(r.Marks.P) == 0:
		r.reason("no P before QRS can be seen")
	case math.IsNaN(r.PR):
		r.reason("P waves march on their own, %.1f for each QRS", r.PPerQRS)
	default:
		r.reason("%.2g P for each QRS, PR %.2f s", r.PPerQRS, r.PR)
	}
	word = "narrow"
	if wide {
		word = "wide"
	}
	r.reason("QRS %.2f s: %s", r.QRS, word)
	if math.IsNaN(r.QT) {
		r.reason("no T that can be told from the rest")
	} else {
		r.reason("QT %.2f s, corrected %.2f s (Bazett)", r.QT, r.QTcB)
	}
}

func (r *Reading) nameSinus(fast, slow, wide bool) {
	switch {
	case fast:
		r.Name = "sinus-tachycardia"
	case slow:
		r.Name = "sinus-bradycardia"
	default:
		r.Name = "sinus-rhythm"
	}
	r.reason("a P before each QRS: %s", r.Name)
	if wide {
		r.against("the QRS is wide: conduction in the ventricles is slow")
	}
}

func (r *Reading) nameEctopics(ectopic []bool, run, count int) {
	pairs := 0
	for i := 1; i < len(ectopic); i++ {
		if ectopic[i] != ectopic[i-1] {
			pairs++
		}
	}
	switch {
	case run >= 3:
		r.Name = "ventricular-run"
		r.reason("%d beats of another shape in a row, without P: %s", run, r.Name)
	case run == 1 && count >= 3 && float64(pairs) >= 0.8*float64(len(ectopic)-1):
		r.Name = "ventricular-bigeminy"
		r.reason("every second beat early, of another shape, without P: %s", r.Name)
	default:
		r.Name = "premature-ventricular-beats"
		r.reason("%d early beats of another shape without P: %s", count, r.Name)
	}
}

// ectopics marks the beats of ventricular origin among beats of another: of another
// shape, wider than the usual ones or wide for the age, and without P. It sets the
// beats' origins.
func (r *Reading) ectopics(limits Limits) []bool {
	out := make([]bool, len(r.Marks.Beats))
	for i := range out {
		b := &r.Marks.Beats[i]
		width, _ := b.QRSWidth()
		switch {
		case r.Groups[i] != 0 && !b.P.Present() &&
			(width > ectopicWidth*r.QRS || width >= limits.Wide && width > 1.1*r.QRS):
			b.Origin = ecg.OriginVentricular
			out[i] = true
		case b.P.Present():
			b.Origin = ecg.OriginSinus
		}
	}
	return out
}

func (r *Reading) origin(o ecg.Origin) {
	for i := range r.Marks.Beats {
		r.Marks.Beats[i].Origin = o
	}
}

func longestRun(is []bool) (run, count int) {
	now := 0
	for _, b := range is {
		if !b {
			now = 0
			continue
		}
		now++
		count++
		run = max(run, now)
	}
	return run, count
}

func (r *Reading) reason(format string, args ...any) {
	r.Reasons = append(r.Reasons, fmt.Sprintf(format, args...))
}

func (r *Reading) against(format string, args ...any) {
	r.Against = append(r.Against, fmt.Sprintf(format, args...))
}

func leadNames(leads []ecg.Lead) string {
	words := make([]string, len(leads))
	for i, l := range leads {
		words[i] = string(l)
	}
	return strings.Join(words, ", ")
}
