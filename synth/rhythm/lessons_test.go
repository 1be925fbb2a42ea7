package rhythm

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

func middles() []ecg.Age {
	var out []ecg.Age
	for _, b := range norms.Bands() {
		out = append(out, b.Middle)
	}
	return out
}

// edges are ages at which limits step.
func edges() []ecg.Age {
	return []ecg.Age{ecg.Days(0), ecg.Days(27), ecg.Days(28), ecg.Months(11), ecg.Years(1), ecg.Years(4),
		ecg.Years(12), ecg.Years(15), ecg.Years(16), ecg.Years(90)}
}

func TestLessonsAreSound(t *testing.T) {
	for _, r := range All() {
		assert.NoError(t, r.Lesson.Validate(append(middles(), edges()...)))
		assert.NotEmpty(t, r.Criteria, r.ID)
		assert.Regexp(t, "^Rate: ", r.LookFor[0], r.ID)
		assert.Contains(t, r.States, ecg.NoSignsOfLife, "%s: every rhythm may be without a pulse", r.ID)
	}
}

func TestLookAlikesAreMutual(t *testing.T) {
	var lessons []lesson.Lesson
	for _, r := range All() {
		lessons = append(lessons, r.Lesson)
	}
	for _, k := range artifact.All() {
		lessons = append(lessons, k.Lesson)
	}
	assert.NoError(t, lesson.Mutual(lessons))
}

// What to look for comes in the order in which strips are read in the trade: rate,
// regular or not, P, PR, QRS, T, then what is special.
func TestLookForIsInTheOrderOfReading(t *testing.T) {
	order := []string{"Rate", "Rhythm", "P wave", "PR", "QRS", "T wave", "Special"}
	for _, r := range All() {
		var got []string
		for _, line := range r.LookFor {
			got = append(got, regexp.MustCompile(`^[^:]*`).FindString(line))
		}
		assert.Equal(t, order, got, r.ID)
	}
}

// First actions by rhythm, state and age. Sources: AHA 2020 paediatric and adult
// guidelines, from memory, where nothing else is said.
func TestCare(t *testing.T) {
	infant, child, adult := ecg.Months(6), ecg.Years(8), ecg.Years(40)
	for _, tt := range []struct {
		id    string
		age   ecg.Age
		state ecg.State
		first lesson.Action
		how   lesson.Urgency
	}{
		{"sinus-rhythm", child, ecg.Stable, lesson.Chart, lesson.Routine},
		{"sinus-rhythm", child, ecg.NoSignsOfLife, lesson.Compress, lesson.ArrestNow}, // pulseless activity
		{"sinus-bradycardia", infant, ecg.PoorPerfusion, lesson.Support, lesson.Urgent},
		{"sinus-bradycardia", child, ecg.Stable, lesson.AssessTell, lesson.Watch},
		{"sinus-tachycardia", child, ecg.Stable, lesson.AssessTell, lesson.Watch},
		{"supraventricular-tachycardia", infant, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{"third-degree-av-block", child, ecg.PoorPerfusion, lesson.Support, lesson.Urgent},
		{"third-degree-av-block", adult, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{"ventricular-bigeminy", child, ecg.Stable, lesson.AssessTell, lesson.Watch}, // common practice
		{"ventricular-run", child, ecg.Stable, lesson.CallStay, lesson.Urgent},       // common practice
		{"monomorphic-ventricular-tachycardia", adult, ecg.Stable, lesson.CallStay, lesson.Urgent},
		{"monomorphic-ventricular-tachycardia", adult, ecg.NoSignsOfLife, lesson.Compress, lesson.ArrestNow},
		{"coarse-ventricular-fibrillation", child, ecg.NotSure, lesson.Compress, lesson.ArrestNow},
		{"asystole", child, ecg.Stable, lesson.LookCall, lesson.Urgent}, // then a lead is off
	} {
		r, ok := ByID(tt.id)
		require.True(t, ok, tt.id)
		c := r.Care(tt.age, tt.state)
		assert.Equal(t, tt.first, c.First, "%s, %s, %s", tt.id, tt.age, tt.state)
		assert.Equal(t, tt.how, c.Urgency, "%s, %s, %s", tt.id, tt.age, tt.state)
	}
}

// Compressions in a slow child with a pulse belong below 60 a minute and after
// oxygen and ventilation (AHA 2020, from memory); adults have no such rule.
func TestSlowAndPoorlyPerfused(t *testing.T) {
	for _, id := range []string{"sinus-bradycardia", "third-degree-av-block"} {
		r, _ := ByID(id)
		for _, age := range middles() {
			c := r.Care(age, ecg.PoorPerfusion)
			assert.Equal(t, lesson.Support, c.First, "%s at %s", id, age)
			assert.Equal(t, isChild(age), c.Then == "Below 60 a minute and still poorly perfused although oxygen and ventilation are good: start compressions.", "%s at %s", id, age)
		}
	}
}

// Criteria that must exclude each other at every age do, so no strip is marked on a
// name that another would fit as well.
func TestCriteriaExcludeEachOther(t *testing.T) {
	at := func(id string, m lesson.Measure, age ecg.Age) lesson.Range {
		r, _ := ByID(id)
		for _, c := range r.Criteria {
			if c.Measure == m {
				return c.At(age)
			}
		}
		t.Fatalf("%s has no criterion %s", id, m)
		return lesson.Range{}
	}
	for _, age := range append(middles(), edges()...) {
		for _, pair := range []struct {
			m        lesson.Measure
			low, top string
		}{
			{lesson.Rate, "sinus-bradycardia", "sinus-rhythm"},
			{lesson.Rate, "sinus-rhythm", "sinus-tachycardia"},
			{lesson.PPerQRS, "sinus-rhythm", "third-degree-av-block"},
			{lesson.Ectopics, "premature-ventricular-beats", "ventricular-bigeminy"},
			{lesson.LongestRun, "premature-ventricular-beats", "ventricular-run"},
			{lesson.QRSTime, "supraventricular-tachycardia", "monomorphic-ventricular-tachycardia"},
			{lesson.PeakToPeak, "asystole", "fine-ventricular-fibrillation"},
			{lesson.PeakToPeak, "fine-ventricular-fibrillation", "coarse-ventricular-fibrillation"},
		} {
			assert.LessOrEqual(t, at(pair.low, pair.m, age).High, at(pair.top, pair.m, age).Low,
				"%s of %s and %s at %s", pair.m, pair.low, pair.top, age)
		}
	}
}
