package rhythm

import (
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

// Sources that the lessons on block, ventricular beats and pacing share.
const (
	kusumoto  = "Kusumoto 2018, ACC/AHA/HRS bradycardia guideline (from memory)"
	surawicz  = "Surawicz 2009, AHA/ACCF/HRS ECG standards part III (read second-hand)"
	southall  = "Southall 1981, Br Heart J 45:281 (read)"
	freire    = "Freire and Dubrow 2008, Pediatr Cardiol 29:457 (abstract read)"
	textbooks = "standard texts (from memory)"
	twoDrops  = "difference of 0.04 s or more in type 1, 0.01 s or less in type 2: training cut-offs after Kusumoto 2018 (from memory)"
)

// wideQRS is the criterion that the usual beats are wide for age, up to a limit in
// seconds.
func wideQRS(high float64) lesson.Criterion {
	return lesson.Criterion{Measure: lesson.QRSTime, At: func(age ecg.Age) lesson.Range {
		wide := norms.WideQRS(age)
		return lesson.Range{Low: wide.High, High: high, Source: wide.Source + "; upper limit common practice"}
	}}
}

// noP is the criterion that no P wave belongs to the beats, with room for one bump
// that is taken for a P.
func noP(source string) lesson.Criterion { return everyAge(lesson.PPerQRS, 0, 0.2, source) }

// slowCare is the care of a slow rhythm that may carry a pulse: perfusion decides as
// in any other slow rhythm, and stable is its own answer.
func slowCare(stable func(ecg.Age) lesson.Care) func(ecg.Age, ecg.State) lesson.Care {
	return lesson.ByState(lesson.NotShockable(), func(age ecg.Age, state ecg.State) lesson.Care {
		switch state {
		case ecg.PoorPerfusion:
			return slowAndPoor(age)
		case ecg.NotSure:
			return lesson.Unsure()
		default:
			return stable(age)
		}
	})
}

// tachycardiaCare is the care of a tachycardia of the ventricles that mostly takes
// the pulse away: whoever is in doubt counts it as lost.
func tachycardiaCare(poor string, stable lesson.Care) func(ecg.Age, ecg.State) lesson.Care {
	return lesson.ByState(lesson.Shockable(), func(_ ecg.Age, state ecg.State) lesson.Care {
		switch state {
		case ecg.PoorPerfusion:
			return lesson.Poor(poor)
		case ecg.NotSure:
			c := lesson.Unsure()
			c.Also = append(c.Also, lesson.Compress) // the worse of two signs is no pulse
			return c
		default:
			return stable
		}
	})
}

// pacedCare is the care of pacing that does its work: nothing to mend while every
// spike has its answer.
func pacedCare(watch string) func(ecg.Age, ecg.State) lesson.Care {
	return livingCare(lesson.NotShockable(),
		"Check that each spike has its beat and each beat its pulse; if so, look for another cause; box, battery and connections stay as they are.",
		func(ecg.Age) lesson.Care {
			return lesson.Care{
				Urgency: lesson.Routine, First: lesson.Chart,
				Then:    "Chart the settings and the patient's own rhythm by local policy; threshold checks are for those authorised.",
				Caution: watch,
				Source:  common,
			}
		})
}

// pacingFailure is the care of a pacer that does not do its work.
func pacingFailure(poor string, stable lesson.Care) func(ecg.Age, ecg.State) lesson.Care {
	arrest := lesson.NotShockable()
	arrest.Then = "Pads on for pacing through the skin by the team, every connection from box to skin checked while compressions go on; look aloud for the cause."
	return livingCare(arrest, poor, func(ecg.Age) lesson.Care { return stable })
}
