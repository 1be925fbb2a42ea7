package synth

import (
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/norms"
)

// Limits are the bounds of usual at an age, from the published tables, for reading a
// strip back.
func Limits(age ecg.Age) measure.Limits {
	rate := norms.HeartRate(age).Accept
	return measure.Limits{Slow: rate.Low, Fast: rate.High, Wide: norms.WideQRS(age).High}
}
