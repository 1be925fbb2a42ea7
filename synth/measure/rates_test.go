package measure

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/synth/ecg"
)

// pulseOf is a pulse with a dicrotic wave, squeezed as the cycle shortens.
func pulseOf(cycle float64) []bell {
	f := min(1, cycle/0.8)
	return []bell{{0.15 * f, 0.06 * f, 1}, {0.42 * f, 0.07 * f, 0.35}}
}

// An oximeter counts 30-240/min within 3/min (common practice of makers' data
// sheets, from memory).
func TestPulseRate(t *testing.T) {
	for _, fs := range []float64{125, 250, 500} {
		for _, bpm := range []float64{30, 45, 60, 80, 120, 160, 200, 240} {
			times := every(0.1, 60/bpm, 12)
			x := bells(12, fs, times, always(pulseOf(60/bpm)))
			got, ok := PulseRate(x, fs)
			assert.True(t, ok, "%g/min at %g Hz", bpm, fs)
			assert.InDelta(t, bpm, got, 3, "at %g Hz", fs)
			_, fn, fp := compare(PulseOnsets(x, fs), times)
			assert.LessOrEqual(t, fn+fp, 2, "%g/min at %g Hz: at the ends at most", bpm, fs)
		}
	}
}

func TestNoPulse(t *testing.T) {
	flat := make([]float64, 5000)
	for i := range flat {
		flat[i] = 0.5 + 0.003*math.Sin(float64(i)/30)
	}
	_, ok := PulseRate(flat, 500)
	assert.False(t, ok, "flat")
	stops := bells(12, 500, every(0.1, 0.8, 6), always(pulseOf(0.8)))
	_, ok = PulseRate(stops, 500)
	assert.False(t, ok, "the last pulse is 6 s ago")
	for _, none := range [][]float64{nil, {1}, make([]float64, 5000)} {
		_, ok = PulseRate(none, 500)
		assert.False(t, ok)
	}
	_, ok = PulseRate(stops, nan)
	assert.False(t, ok, "no sampling rate")
}

func TestNoHeartRate(t *testing.T) {
	stops := bells(12, 500, every(0.3, 0.8, 6), always(sinusBeat()))
	_, ok := HeartRate(stops, 500)
	assert.False(t, ok, "no QRS for 6 s: asystole is 4 s (PhysioNet/CinC Challenge 2015)")
	for _, none := range [][]float64{nil, {1}, make([]float64, 5000)} {
		_, ok = HeartRate(none, 500)
		assert.False(t, ok)
	}
	_, ok = HeartRate(stops, 0)
	assert.False(t, ok, "no sampling rate")
}

// Averages by hand from the rule: mean of the last 12 RR without the largest and
// smallest; of the last 4 when three in a row are above 1.2 s.
func TestCounterRR(t *testing.T) {
	assert.InDelta(t, 0.8, counterRR([]float64{0.8, 0.8, 0.8, 0.4, 1.2, 0.8}), 1e-9)
	assert.InDelta(t, 1.35, counterRR([]float64{0.5, 0.5, 0.5, 1.5, 1.3, 1.3, 1.3}), 1e-9)
	assert.InDelta(t, 0.7, counterRR([]float64{0.7}), 1e-9)
}

// Where the heart beats in earnest the two counters agree: records of the
// PhysioNet/CinC Challenge 2015 (Clifford et al., Comput Cardiol 2015;42:273) with a
// clean lead and a pulse trace, seconds 10 to 20.
func TestCountersAgreeOnRecordings(t *testing.T) {
	dir := filepath.Join(recordings(t), "icu-alarms")
	for _, name := range []string{"b216s", "b456s", "b516s", "t150s", "v102s", "v122s", "v158s", "v164s", "v318s"} {
		s := readRecord(t, filepath.Join(dir, name))
		s = s.Cut(int(10*s.Rate), int(20*s.Rate))
		heart, ok := HeartRate(s.MV[0], s.Rate)
		assert.True(t, ok, name)
		pulse, ok := PulseRate(s.Row(ecg.Lead(ecg.Pleth)), s.Rate)
		assert.True(t, ok, name)
		assert.InDelta(t, heart, pulse, max(5, 0.1*heart), name)
	}
}
