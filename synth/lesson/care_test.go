package lesson

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/ecg"
)

// Without signs of life the rhythm does not matter (AHA 2020, from memory): an entry
// that teaches nothing but charting must still answer with compressions.
func TestTheStateComesBeforeTheRhythm(t *testing.T) {
	calm := Care{Urgency: Routine, First: Chart, Also: []Action{Silence}, Then: "x"}
	care := ByState(calm, func(ecg.Age, ecg.State) Care { return calm })
	for _, age := range []ecg.Age{ecg.Days(0), ecg.Months(6), ecg.Years(90)} {
		got := care(age, ecg.NoSignsOfLife)
		assert.Equal(t, Care{Urgency: ArrestNow, First: Compress, Then: "x"}, got)
		assert.Equal(t, calm, care(age, ecg.Stable))
	}
	assert.Equal(t, Chart, calm.First, "the caller's value is left alone")
}

func TestActionsHaveShortWordsOfTheirOwn(t *testing.T) {
	said := map[string]Action{}
	for _, a := range Actions() {
		w := a.Words()
		assert.NotEqual(t, string(a), w)
		assert.LessOrEqual(t, utf8.RuneCountInString(w), 70, w)
		assert.NotContains(t, said, w)
		said[w] = a
	}
	assert.Len(t, said, 9, "every action above is listed")
	assert.Equal(t, "unheard-of", Action("unheard-of").Words())
}
