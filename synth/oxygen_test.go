package synth_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/ecg"
)

// oxygenAfter plays seconds of an identity and asks for the saturation.
func oxygenAfter(t *testing.T, id ecg.Identity, seconds float64) (float64, bool) {
	t.Helper()
	p, err := synth.Open(id)
	require.NoError(t, err)
	_, err = p.Fill(buffer(len(id.Leads)+1, int(seconds*float64(id.Rate))))
	require.NoError(t, err)
	return p.Oxygen()
}

// With flow the number is the patient's; when flow stops it stands for seconds, then
// falls, then is lost (common practice: a good number is no proof of a pulse).
func TestSaturationLagsFlow(t *testing.T) {
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(6), 3)
	fallen, found := oxygenAfter(t, id, 20)
	assert.True(t, found)
	assert.Zero(t, fallen)

	id.Then = []ecg.Step{{At: 20, Rhythm: "asystole"}}
	_, found = oxygenAfter(t, id, 24)
	assert.True(t, found, "four seconds after the heart stopped the number still stands")
	fallen, found = oxygenAfter(t, id, 33)
	assert.True(t, found)
	assert.Greater(t, fallen, 1.0)
	_, found = oxygenAfter(t, id, 50)
	assert.False(t, found, "half a minute later there is none")

	_, found = oxygenAfter(t, ecg.Synthetic("coarse-ventricular-fibrillation", ecg.Years(6), 3), 1)
	assert.False(t, found, "none in a patient who has been without a pulse for long")
}

// The number needs a pulse at the probe: without one it is lost though the heart beats, and
// it comes back when a cuff on the same limb lets go (common practice).
func TestSaturationNeedsTheProbe(t *testing.T) {
	t.Parallel()
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(6), 3)
	id.Artifact = "pulse-probe-fault"
	for place, found := range map[string][3]bool{ // after 5, 28 and 50 s
		"probe-off": {false, false, false},
		"gain":      {false, false, false},
		"cold-hand": {true, true, true},
		"cuff-up":   {true, false, true},
	} {
		for i, seconds := range []float64{5, 28, 50} {
			id.Place = place
			_, got := oxygenAfter(t, id, seconds)
			assert.Equal(t, found[i], got, "%s after %g s", place, seconds)
		}
	}
	id.Place, id.From, id.To = "probe-off", 10, 20
	_, got := oxygenAfter(t, id, 16)
	assert.True(t, got, "six seconds after the probe came off the number still stands")
	_, got = oxygenAfter(t, id, 25)
	assert.True(t, got, "put back")
}
