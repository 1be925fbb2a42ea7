package artifact

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

func TestLessonsAreSound(t *testing.T) {
	ages := []ecg.Age{ecg.Days(10), ecg.Months(6), ecg.Years(2), ecg.Years(4), ecg.Years(8), ecg.Years(14), ecg.Years(40)}
	for _, k := range All() {
		assert.NoError(t, k.Lesson.Validate(ages))
		if k.ID == "compressions" { // the one artifact of an arrest
			assert.Equal(t, []ecg.State{ecg.NoSignsOfLife}, k.States)
			assert.Equal(t, lesson.Compress, k.Care(ages[0], ecg.NoSignsOfLife).First)
			continue
		}
		assert.NotContains(t, k.States, ecg.NoSignsOfLife, "%s: the heart beats on under an artifact", k.ID)
		for _, age := range ages {
			// The patient before the cable: only a stable one lets the tracing come first
			// (common practice; urgent help for poor perfusion AHA 2020, from memory).
			assert.Equal(t, lesson.Routine, k.Care(age, ecg.Stable).Urgency, k.ID)
			assert.Equal(t, lesson.LookCall, k.Care(age, ecg.NotSure).First, k.ID)
			assert.Equal(t, lesson.Support, k.Care(age, ecg.PoorPerfusion).First, k.ID)
		}
	}
}

func TestStableArtifactsAreMendedAtTheirCause(t *testing.T) {
	age := ecg.Years(8)
	assert.Equal(t, lesson.Reattach, disconnectedLeadLesson.Care(age, ecg.Stable).First)
	assert.Equal(t, lesson.Settle, movementLesson.Care(age, ecg.Stable).First)
}
