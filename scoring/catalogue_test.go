package scoring_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/rhythm"
)

func lessons() map[string]lesson.Lesson {
	all := map[string]lesson.Lesson{}
	for _, r := range rhythm.All() {
		all[r.ID] = r.Lesson
	}
	for _, k := range artifact.All() {
		all[k.ID] = k.Lesson
	}
	return all
}

// The rules hold over the real catalogue, in every state an entry is shown in, at
// every kind of age.
func TestCatalogue(t *testing.T) {
	all := lessons()
	find := func(id string) (lesson.Lesson, bool) { l, ok := all[id]; return l, ok }
	critical := 0
	for id, l := range all {
		for _, state := range l.States {
			for _, age := range []ecg.Age{ecg.Days(2), ecg.Months(6), ecg.Years(6), ecg.Years(40)} {
				c := scoring.Case{Subject: id, Age: age, State: state}
				care := l.Care(age, state)
				for other, o := range all {
					m, err := scoring.MarkRhythm(c, other, find)
					require.NoError(t, err)
					sentences(t, m)
					if other == id {
						assert.Equal(t, ledger.Right, m.Verdict)
						continue
					}
					assert.NotEqual(t, ledger.Right, m.Verdict)
					isArrest := state == ecg.NoSignsOfLife || care.Urgency == lesson.ArrestNow
					calm := o.Family == lesson.Artifact || o.Care(age, o.States[0]).Urgency == lesson.Routine
					assert.Equal(t, isArrest && calm, m.Verdict == ledger.Critical, "%s %s called %s", id, state, other)
					if isArrest && calm {
						critical++
					}
				}
				c.Looked = []string{ledger.LookChild, ledger.LookPulse}
				for _, a := range append([]lesson.Action{care.First}, care.Also...) {
					m, err := scoring.MarkFirstAction(c, a, find)
					require.NoError(t, err)
					assert.Equal(t, ledger.Right, m.Verdict, "%s %s %s: %s", id, state, age, a)
					assert.Equal(t, string(care.First), m.Right[0])
				}
				m, err := scoring.MarkFirstAction(c, lesson.Silence, find)
				require.NoError(t, err)
				assert.NotEqual(t, ledger.Right, m.Verdict, "%s %s", id, state)
			}
		}
	}
	assert.Positive(t, critical)
}
