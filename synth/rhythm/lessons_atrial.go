package rhythm

import "telltrace/synth/lesson"

// Sources that the atrial, junctional and shape lessons share.
const (
	healthyNewborns = "Southall 1980, Br Heart J 43:14 (read)"
	termList        = "NCI term definition (read)"
	fetalBigeminy   = "Wiggins 2013, Heart Rhythm 10:1192, fetal figures (read)"
	junctionalPost  = "review of junctional ectopic tachycardia, PMC8457265 (read)"
	potassiumTable  = "Emerg Med J, table of potassium and ECG (read)"
	compensatory    = "rules of the compensatory pause, teaching page (read)"
	repolarisation  = "Rautaharju 2009, AHA/ACCF/HRS ECG standards part IV (from memory)"
)

// earlyBeats is the criterion of single early beats with the patient's own QRS.
func earlyBeats() lesson.Criterion {
	return everyAge(lesson.EarlyBeats, 0.02, 0.30, "now and then, less than every third beat ("+bySense+")")
}

// ownShape is the criterion that every QRS has the patient's own shape.
func ownShape() lesson.Criterion {
	return everyAge(lesson.Ectopics, 0, 0, "no QRS of another shape ("+bySense+")")
}

// criterionOf is another rhythm's criterion for a measure.
func criterionOf(r Rhythm, m lesson.Measure) lesson.Criterion {
	for _, c := range r.Criteria {
		if c.Measure == m {
			return c
		}
	}
	panic("rhythm " + r.ID + " has no criterion " + string(m))
}
