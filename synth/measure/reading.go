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

// reentry is the rate that parts sinus from re-entry tachycardia at the age.
func (l Limits) reentry() float64 { return min(svtFromInfant, max(svtFrom, svtOverFast*l.Fast)) }

// judge gives the reading in the order of the trade and names the rhythm.
func (r *Reading) judge(limits Limits, t tracing, s ecg.Strip, row int) {
	defer func() {
		r.disturbances(t)
		r.witnesses(s)
	}()
	if len(r.Dead) > 0 {
		r.against("no signal in %s: look at the electrodes", leadNames(r.Dead))
	}
	switch r.Kind {
	case Disconnected:
		r.Name = "disconnected-lead"
		r.reason("lead %s carries no signal", r.Lead)
	case Flat:
		r.judgeFlat(t, s, row)
	case Fibrillation:
		if r.judgeShaken(t, s, row) {
			return
		}
		r.reason("no QRS that repeats, irregular waves of %.1f a second", r.DominantFrequency)
		r.Name = "coarse-ventricular-fibrillation"
		if r.PeakToPeak < fineBelow {
			r.Name = "fine-ventricular-fibrillation"
		}
		r.reason("%.2f mV from peak to peak: %s", r.PeakToPeak, r.Name)
		r.against("movement and loose electrodes can look the same: look at the patient, feel the pulse")
	case Disturbed:
		r.Name = t.shaken()
		r.reason("waves as large as the complexes hide them")
		r.against("complexes may be hidden: look at the patient, feel the pulse")
	default:
		if r.spoiledHere(t, s, row) {
			return
		}
		r.judgeOrganised(limits, s)
	}
}

// judgeFlat tells a dead electrode from a heart that stands still, as far as the
// other leads can tell.
func (r *Reading) judgeFlat(t tracing, s ecg.Strip, row int) {
	r.reason("no QRS; %.2f mV from peak to peak: flat", r.PeakToPeak)
	for i, mv := range s.MV {
		if i == row {
			continue
		}
		if other := examine(clean(mv), s.Rate, nil); other.kind == Organised && other.features.peakToPeak > 2*flatBelow {
			r.Name = "disconnected-lead"
			r.Levels.PeakToPeak = r.PeakToPeak // its QRS are no taller
			r.reason("lead %s shows complexes at the same time: an electrode of lead %s", s.Leads[i], r.Lead)
			return
		}
	}
	if len(t.onlyP) > 0 {
		r.markOnlyP(t)
		return
	}
	r.Name = "asystole"
	r.against("a loose electrode looks the same: look at the patient and the electrodes")
}

func (r *Reading) judgeOrganised(limits Limits, s ecg.Strip) {
	if len(r.Marks.Beats) < 2 {
		r.reason("%d QRS: too few to tell a rhythm", len(r.Marks.Beats))
		return
	}
	r.otherLeads(s)
	r.nameOrganised(limits, s.Seconds())
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
	case r.Relation == Dissociated || math.IsNaN(r.PR):
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
