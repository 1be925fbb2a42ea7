package lesson

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

func sound() Lesson {
	return Lesson{
		ID: "a-rhythm", Name: "a rhythm", Family: Sinus,
		LookFor: []string{"Rate: usual."}, LookFirst: "The patient.",
		LookAlikes: []LookAlike{{ID: "b-rhythm", Difference: "It differs.", Bedside: "Look.", Source: "s"}},
		Criteria:   []Criterion{{Rate, func(ecg.Age) Range { return Range{1, 2, "s"} }}},
		States:     []ecg.State{ecg.Stable},
		Care: ByState(NotShockable(), func(ecg.Age, ecg.State) Care {
			return Care{Urgency: Routine, First: Chart, Then: "Chart.", Caution: "None.", Source: "s"}
		}),
	}
}

func TestValidate(t *testing.T) {
	ages := []ecg.Age{ecg.Years(6)}
	require.NoError(t, sound().Validate(ages))
	care := func(c Care) func(*Lesson) {
		return func(l *Lesson) { l.Care = func(ecg.Age, ecg.State) Care { return c } }
	}
	for want, spoil := range map[string]func(*Lesson){
		"lower case with hyphens": func(l *Lesson) { l.ID = "A_Rhythm" },
		"name or family":          func(l *Lesson) { l.Name = "" },
		"states are missing":      func(l *Lesson) { l.States = nil },
		"full stop":               func(l *Lesson) { l.LookFor = []string{"Rate: usual"} },
		"names a dose":            func(l *Lesson) { l.LookFirst = "Give 0.1 mg/kg." },
		"look-alike b-rhythm has": func(l *Lesson) { l.LookAlikes[0].Source = " " },
		"runs from 2 to 1":        func(l *Lesson) { l.Criteria[0].At = func(ecg.Age) Range { return Range{2, 1, "s"} } },
		"no first action":         care(Care{Urgency: Routine, First: "sing", Then: "x.", Caution: "x.", Source: "s"}),
		"silences the alarm":      care(Care{Urgency: Routine, First: Silence, Then: "x.", Caution: "x.", Source: "s"}),
		"not compressions alone":  care(Care{Urgency: ArrestNow, First: Support, Then: "x.", Caution: "x.", Source: "s"}),
	} {
		l := sound()
		spoil(&l)
		assert.ErrorContains(t, l.Validate(ages), want)
	}
}

func TestMutual(t *testing.T) {
	a, b := sound(), sound()
	b.ID, b.LookAlikes = "b-rhythm", []LookAlike{{ID: "a-rhythm"}}
	require.NoError(t, Mutual([]Lesson{a, b}))
	assert.ErrorContains(t, Mutual([]Lesson{a}), "not in the catalogue")
	assert.ErrorContains(t, Mutual([]Lesson{a, b, b}), "stands twice")
	b.LookAlikes = nil
	assert.ErrorContains(t, Mutual([]Lesson{a, b}), "name it back")
}
