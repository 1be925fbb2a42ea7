package call_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/call"
	"telltrace/scenarios/task"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// rightest is the first right choice of each slot.
func rightest(t task.Task) (v []task.Value) {
	for _, f := range t.Fields {
		for i, c := range f.Choices {
			if c.Right {
				v = append(v, task.Value(i))
				break
			}
		}
	}
	return v
}

// Every page can be drawn at every seed; who, where, what is seen, numbers, thought, need and
// read-back stand in that order, a right call takes at most twenty seconds at 150 words a
// minute, and what is asked for fits the urgency of the catalogue.
func TestEveryCall(t *testing.T) {
	states := map[ecg.State]bool{}
	for page := range call.Pages {
		for seed := range uint64(20) {
			c, err := call.Draw(page, rand.New(rand.NewPCG(seed, uint64(page))))
			require.NoError(t, err)
			require.NoError(t, c.Check(), "%s", c.Strip)
			require.Len(t, c.Fields, len(call.Slots))
			for i, f := range c.Fields {
				assert.Equal(t, call.Slots[i], f.Name)
				for _, o := range f.Choices {
					assert.LessOrEqual(t, len(o.Words), 76, "%q fits the page", o.Words)
				}
			}
			v := rightest(c)
			for i, m := range c.Mark(v) {
				assert.True(t, m.Right, "%s: %s", c.Strip, c.Fields[i].Name)
			}
			assert.LessOrEqual(t, call.Spoken(c, v), float64(call.Seconds), "%s", c.Strip)

			states[c.Strip.State] = true
			l, err := synth.FindLesson(c.Subject)
			require.NoError(t, err)
			need := c.Fields[5].Words(v[5])
			switch l.Care(c.Strip.Age, c.Strip.State).Urgency {
			case lesson.ArrestNow:
				assert.Contains(t, need, "Resuscitation team")
				assert.Contains(t, strings.Join(c.After(v), " "), "compressions come before any call")
			case lesson.Urgent:
				assert.Contains(t, need, "now")
			case lesson.Watch:
				assert.Contains(t, need, "half an hour")
			default:
				t.Errorf("%s needs no call", c.Strip)
			}
		}
	}
	assert.Len(t, states, 3)
}

// Less than is needed is unsafe, more is not; the wrong bed is unsafe; to say that one is not
// sure is right.
func TestSlots(t *testing.T) {
	c, err := call.Draw(2, rand.New(rand.NewPCG(1, 1))) // an arrest
	require.NoError(t, err)
	for _, o := range c.Fields[5].Choices {
		assert.Equal(t, !o.Right, o.Unsafe, o.Words)
	}
	for _, o := range c.Fields[2].Choices {
		if strings.Contains(o.Words, "good pulse") {
			assert.True(t, o.Unsafe)
		}
	}
	unsure := 0
	for _, o := range c.Fields[4].Choices {
		if strings.Contains(o.Words, "Not sure") {
			assert.True(t, o.Right)
			unsure++
		}
	}
	assert.Equal(t, 1, unsure)
	c, err = call.Draw(0, rand.New(rand.NewPCG(1, 1))) // no haste
	require.NoError(t, err)
	for _, o := range c.Fields[5].Choices {
		assert.False(t, o.Unsafe, o.Words)
	}
}
