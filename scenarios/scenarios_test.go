package scenarios

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/norms"
)

func draw(t *testing.T, w Wish, seed uint64) Exercise {
	t.Helper()
	e, err := Draw(w, rand.New(rand.NewPCG(seed, 0)))
	require.NoError(t, err)
	return e
}

func TestDrawIsAFunctionOfTheSeed(t *testing.T) {
	for seed := range uint64(50) {
		assert.Equal(t, draw(t, Wish{}, seed), draw(t, Wish{}, seed))
	}
	assert.NotEqual(t, draw(t, Wish{}, 1), draw(t, Wish{}, 2))
}

// The truth is among four different choices, the right first action among the
// actions, and looking and calling is always offered.
func TestDrawOffersTheTruth(t *testing.T) {
	for seed := range uint64(500) {
		e := draw(t, Wish{}, seed)
		require.NoError(t, e.Check())
		assert.Len(t, e.Choices, choices)
		assert.Len(t, slices.Compact(slices.Sorted(slices.Values(e.Choices))), choices, "no choice twice: %v", e.Choices)
		truth, ok := synth.Lesson(e.Strip.Subject())
		require.True(t, ok)
		assert.Contains(t, e.Actions, truth.Care(e.Strip.Age, e.Strip.State).First, e.Strip)
		assert.Contains(t, e.Actions, lesson.LookCall)
		assert.Len(t, slices.Compact(slices.Sorted(slices.Values(e.Actions))), len(e.Actions), "no action twice: %v", e.Actions)
		assert.Contains(t, truth.States, e.Strip.State)
	}
}

// A learner who looks at the choices alone must not do better than chance: among all
// exercises with the same four choices every one of them is the truth about as often.
func TestChoicesDoNotTellTheTruth(t *testing.T) {
	const n = 12000
	offered, shown := map[string]map[string]int{}, map[string]int{}
	for seed := range uint64(n) {
		e := draw(t, Wish{}, seed)
		set := slices.Sorted(slices.Values(e.Choices))
		key := set[0] + set[1] + set[2] + set[3]
		if offered[key] == nil {
			offered[key] = map[string]int{}
		}
		offered[key][e.Strip.Subject()]++
		shown[key]++
	}
	for key, subjects := range offered {
		if shown[key] < 300 {
			continue
		}
		for id, k := range subjects {
			assert.InDelta(t, 1.0/choices, float64(k)/float64(shown[key]), 0.09, "%s among %s", id, key)
		}
	}
}

// At least three in ten strips need nothing but a note in the chart or a hand at the
// electrodes, and about one in three is an arrest or urgent (the plan of the course).
func TestPrevalence(t *testing.T) {
	const n = 4000
	quiet, grave := 0, 0
	for seed := range uint64(n) {
		e := draw(t, Wish{}, seed)
		truth, _ := synth.Lesson(e.Strip.Subject())
		switch truth.Care(e.Strip.Age, e.Strip.State).Urgency {
		case lesson.Routine:
			quiet++
		case lesson.Urgent, lesson.ArrestNow:
			grave++
		}
	}
	t.Logf("nothing to do %.2f, urgent or arrest %.2f", float64(quiet)/n, float64(grave)/n)
	assert.GreaterOrEqual(t, float64(quiet)/n, 0.30)
	assert.InDelta(t, 0.40, float64(grave)/n, 0.10, "more than the third of the plan: two of three entries are urgent")
}

func TestDrawFollowsAWish(t *testing.T) {
	age := ecg.Days(10)
	for seed := range uint64(200) {
		e := draw(t, Wish{Subjects: []string{"sinus-rhythm", "asystole"}, Age: &age}, seed)
		assert.Contains(t, []string{"sinus-rhythm", "asystole"}, e.Strip.Subject())
		assert.Equal(t, age, e.Strip.Age)
	}
	// Any two entries can be put side by side, in one set or not.
	for _, a := range synth.Lessons() {
		for _, b := range synth.Lessons() {
			e := draw(t, Wish{Subjects: []string{a.ID}, With: b.ID}, 7)
			assert.Equal(t, a.ID, e.Strip.Subject())
			assert.Contains(t, e.Choices, a.ID)
			assert.Contains(t, e.Choices, b.ID)
		}
	}
}

func TestDrawRefusesWhatIsNot(t *testing.T) {
	_, err := Draw(Wish{Subjects: []string{"sinus-rythm"}}, rand.New(rand.NewPCG(1, 0)))
	assert.ErrorContains(t, err, `did you mean "sinus-rhythm"?`)
	_, err = Draw(Wish{With: "vtach"}, rand.New(rand.NewPCG(1, 0)))
	assert.ErrorContains(t, err, "vtach")
}

// Every entry can be asked about, among four that are real.
func TestEveryEntryIsDrawn(t *testing.T) {
	drawn := map[string]int{}
	for seed := range uint64(6000) {
		e := draw(t, Wish{}, seed)
		drawn[e.Strip.Subject()]++
		for _, id := range e.Choices {
			_, ok := synth.Lesson(id)
			assert.True(t, ok, id)
		}
	}
	for _, l := range synth.Lessons() {
		assert.Greater(t, drawn[l.ID], 5, l.ID)
	}
}

// What the bedside shows fits the state and the age: pressures and rates against
// the published tables of synth/norms.
func TestBedsideFitsState(t *testing.T) {
	for seed := range uint64(400) {
		id := draw(t, Wish{}, seed).Strip
		b, err := At(id)
		require.NoError(t, err)
		again, err := At(id)
		require.NoError(t, err)
		assert.Equal(t, b, again, "the bedside follows from the identity")
		for _, line := range []string{b.Child, b.Pulse, b.Electrodes} {
			assert.LessOrEqual(t, len(line), 69, "one line of an 80-column window: %s", line)
		}
		n := b.Numbers
		switch id.State {
		case ecg.NoSignsOfLife:
			assert.Equal(t, "None felt in ten seconds.", b.Pulse, id)
			assert.Zero(t, n.SpO2, id)
			assert.Zero(t, n.Breaths, id)
		case ecg.PoorPerfusion:
			assert.Less(t, float64(n.Systolic), norms.Hypotension(id.Age), "low pressure for age (PALS 2015): %s", id)
			assert.Contains(t, b.Pulse, "Weak", id)
		case ecg.Stable:
			assert.True(t, norms.Systolic(id.Age).Accept.Low-12 <= float64(n.Systolic) && float64(n.Systolic) <= norms.Systolic(id.Age).Accept.High+12, "%s: systolic %d", id, n.Systolic)
			assert.Greater(t, n.SpO2, 94, id)
			assert.Contains(t, b.Pulse, "Strong", id)
		case ecg.NotSure:
			assert.Contains(t, b.Pulse, "Not felt for certain", id)
		}
		assert.Less(t, n.Diastolic, n.Systolic)
	}
}

// The words of the bedside must not name what is asked.
func TestBedsideDoesNotGiveTheNameAway(t *testing.T) {
	for _, l := range synth.Lessons() {
		for seed := range uint64(10) {
			id := ecg.Synthetic(l.ID, ecg.Years(6), seed)
			if l.Family == lesson.Artifact {
				id.Rhythm, id.Artifact = "sinus-rhythm", l.ID
			}
			b, err := At(id)
			require.NoError(t, err)
			for _, line := range []string{b.Patient, b.Child, b.Pulse, b.Electrodes} {
				assert.NotContains(t, line, l.Name)
			}
		}
	}
}
