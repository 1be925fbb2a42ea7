package artifact

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// furtherLessons are the artifacts beside a lead that is off and movement.
func furtherLessons() []lesson.Lesson {
	return []lesson.Lesson{
		looseElectrodeLesson, chestPercussionLesson, shiveringLesson, compressionsLesson, mainsHumLesson,
		baselineWanderLesson, lowAmplitudeLesson, swappedElectrodesLesson, pulseProbeFaultLesson,
	}
}

func bandMiddlesAndEdges() []ecg.Age {
	return []ecg.Age{ecg.Days(0), ecg.Days(10), ecg.Days(28), ecg.Months(6), ecg.Years(1), ecg.Years(2), ecg.Years(4),
		ecg.Years(8), ecg.Years(12), ecg.Years(14), ecg.Years(16), ecg.Years(40), ecg.Years(90)}
}

func TestFurtherLessonsAreSound(t *testing.T) {
	for _, l := range furtherLessons() {
		assert.NoError(t, l.Validate(bandMiddlesAndEdges()))
		assert.Equal(t, lesson.Artifact, l.Family, l.ID)
		assert.True(t, strings.HasPrefix(l.LookFor[0], "Rate: "), l.ID)
		assert.True(t, strings.HasPrefix(l.LookFor[len(l.LookFor)-1], "Special: "), l.ID)
	}
}

// Artifacts of this list name each other back. The rhythms they are taken for are
// checked where all lessons meet.
func TestFurtherLookAlikesAreMutual(t *testing.T) {
	byID := map[string]lesson.Lesson{}
	for _, l := range furtherLessons() {
		assert.NotContains(t, byID, l.ID)
		byID[l.ID] = l
	}
	for _, l := range byID {
		for _, a := range l.LookAlikes {
			if other, here := byID[a.ID]; here {
				_, back := other.LookAlike(l.ID)
				assert.True(t, back, "%s: %s does not name it back", l.ID, a.ID)
			}
		}
	}
}

// The patient before the cable (common practice; urgent help for poor perfusion AHA
// 2020, from memory): only a stable one lets the tracing come first.
func TestFurtherArtifactsAreMendedAfterTheLook(t *testing.T) {
	settled := []string{chestPercussionLesson.ID, shiveringLesson.ID}
	for _, l := range furtherLessons() {
		if l.ID == compressionsLesson.ID {
			continue
		}
		assert.NotContains(t, l.States, ecg.NoSignsOfLife, "%s: the heart beats on under it", l.ID)
		for _, age := range bandMiddlesAndEdges() {
			stable := l.Care(age, ecg.Stable)
			want := lesson.Reattach
			if slices.Contains(settled, l.ID) {
				want = lesson.Settle
			}
			assert.Equal(t, want, stable.First, l.ID)
			assert.Equal(t, lesson.Routine, stable.Urgency, l.ID)
			assert.Equal(t, lesson.LookCall, l.Care(age, ecg.NotSure).First, l.ID)
			assert.Equal(t, lesson.Support, l.Care(age, ecg.PoorPerfusion).First, l.ID)
		}
	}
}

// Compressions are shown over an arrest only, and nobody stops them to read (AHA
// 2020, from memory).
func TestCompressionsGoOn(t *testing.T) {
	assert.Equal(t, []ecg.State{ecg.NoSignsOfLife}, compressionsLesson.States)
	for _, age := range bandMiddlesAndEdges() {
		c := compressionsLesson.Care(age, ecg.NoSignsOfLife)
		assert.Equal(t, lesson.Compress, c.First)
		assert.Contains(t, c.Then, "Do not stop to read")
		assert.Equal(t, lesson.Compress, compressionsLesson.Care(age, ecg.NotSure).First)
		assert.Equal(t, lesson.LookCall, compressionsLesson.Care(age, ecg.Stable).First, "with signs of life they end")
	}
}
