package synth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
)

// swing is the height of a trace between two times, peak to peak.
func swing(trace []float64, rate, from, to float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range trace[int(from*rate):int(to*rate)] {
		low, high = min(low, v), max(high, v)
	}
	return high - low
}

// The pulse trace has faults of its own; the leads show the same beats as without them.
// What each looks like is common practice: a probe that is off draws a line, a cold hand
// a small round wave, a cuff on the same limb takes the pulse away for about half a
// minute, and gain makes waves of noise that follow no beat.
func TestProbeFaults(t *testing.T) {
	t.Parallel()
	seen := map[string]int{}
	apart, n := 0.0, 0.0 // of the rate that noise shows from the heart's
	for seed := range uint64(40) {
		id := ecg.Synthetic("sinus-rhythm", ecg.Years(6), seed)
		clean, truth := render(t, id, 60)
		id.Artifact = "pulse-probe-fault"
		kind, _ := artifact.ByID(id.Artifact)
		s, _ := render(t, id, 60)
		for row := range clean.MV {
			assert.Equal(t, clean.MV[row], s.MV[row], "the leads are as they were")
		}
		usual, trace := clean.Witness(ecg.Pleth), s.Witness(ecg.Pleth)
		pulse := swing(usual, s.Rate, 20, 30)
		fault := kind.Place(id)
		seen[fault]++
		rate, found := measure.PulseRate(trace[int(12*s.Rate):int(24*s.Rate)], s.Rate)
		truly := 60 * float64(len(truth.Beats)-1) / (truth.Beats[len(truth.Beats)-1].QRS.Onset - truth.Beats[0].QRS.Onset)
		switch fault {
		case artifact.ProbeOff:
			assert.Less(t, swing(trace, s.Rate, 20, 30), 0.08*pulse)
			assert.False(t, found)
		case artifact.ColdHand:
			assert.InDelta(t, 0.14*pulse, swing(trace, s.Rate, 20, 30), 0.12*pulse, "small")
		case artifact.CuffUp:
			assert.Greater(t, swing(trace, s.Rate, 0, 2), 0.8*pulse, "before")
			assert.Less(t, swing(trace, s.Rate, 10, 25), 0.08*pulse, "while it is up")
			assert.Greater(t, swing(trace, s.Rate, 45, 60), 0.8*pulse, "after")
		case artifact.Gain:
			assert.Greater(t, swing(trace, s.Rate, 20, 30), 0.25*pulse, "waves")
			if found {
				apart, n = apart+math.Abs(rate-truly), n+1
			}
		}
	}
	assert.Len(t, seen, 4)
	assert.Greater(t, apart, 10*n, "noise has a rate of its own")
}
