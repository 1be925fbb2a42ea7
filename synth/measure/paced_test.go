package measure

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// Records 34 and 90 of LUDB are paced (Kalyakulina et al., IEEE Access
// 2020;8:186181): 34 with a unipolar spike that shows in every beat, 90 with a
// bipolar one that shows in some. No other record of it has spikes, nor have the
// unpaced MIT-BIH records.
func TestSpikesOnRecordings(t *testing.T) {
	if testing.Short() {
		t.Skip("figures alone, no goroutine: the whole run has them")
	}
	dir := recordings(t)
	files, err := filepath.Glob(filepath.Join(dir, "ludb", "*.hea"))
	require.NoError(t, err)
	for _, file := range files {
		s := readRecord(t, file[:len(file)-4])
		r, err := Read(s, "ii")
		require.NoError(t, err)
		switch filepath.Base(file) {
		case "34.hea":
			require.Len(t, r.Spikes, 10)
			for i, at := range r.Spikes { // one a second, by eye
				assert.InDelta(t, 0.44+float64(i), at, 0.02)
			}
			assert.Equal(t, "ventricular-pacing", r.Name, "%v", r.Reasons)
			for _, b := range r.Marks.Beats[:9] {
				assert.Equal(t, ecg.OriginPaced, b.Origin)
			}
		case "90.hea":
			assert.GreaterOrEqual(t, len(r.Spikes), 2)
			assert.Equal(t, "ventricular-pacing", r.Name, "%v", r.Reasons)
		default:
			assert.Empty(t, r.Spikes, file)
		}
	}
	for _, name := range mitdbRecords() {
		s := readRecord(t, filepath.Join(dir, "mitdb", name))
		for at := 0.0; at+10 <= s.Seconds(); at += 10 {
			assert.Empty(t, spikes(s.MV[0][int(at*s.Rate):int((at+10)*s.Rate)], s.Rate), "%s at %g s", name, at)
		}
	}
}

// pacedBeat is a spike of 2 ms and, 20 ms on, a wide complex with an opposite T.
func pacedBeat() []bell {
	return append(spike(-0.09), wideBeat()...)
}

func spike(at float64) []bell { return []bell{{at, 0.001, 1.2}} }

// Paced rhythms by their definitions (standard texts, from memory): a spike before
// each P, before each wide QRS, or both; spikes without answer; spikes sooner after
// the heart's own beats than the set interval; no spike when one is due.
func TestPacedNames(t *testing.T) {
	steady := every(0.5, 0.8, 10)
	atrial := append(sinusBeat(), spike(-0.23)...)
	both := append(pacedBeat(), append(spike(-0.26), bell{-0.20, 0.02, 0.12})...)
	own := []float64{0.5, 1.5, 2.5, 3.5, 4.5, 5.5, 6.5, 7.5, 8.5, 9.5}
	for _, tt := range []struct {
		want  string
		times []float64
		shape func(int) []bell
	}{
		{"ventricular-pacing", steady, always(pacedBeat())},
		{"atrial-pacing", steady, always(atrial)},
		{"dual-chamber-pacing", steady, always(both)},
		{"failure-to-capture", steady, func(b int) []bell {
			if b%4 == 2 {
				return spike(-0.09)
			}
			return pacedBeat()
		}},
		{"failure-to-sense", own, func(b int) []bell {
			if b%3 == 1 { // early in the T wave of its own beat
				return append(sinusBeat(), spike(0.20)...)
			}
			return sinusBeat()
		}},
		{"failure-to-pace", steady, func(b int) []bell {
			if b == 4 || b == 5 || b == 10 {
				return nil
			}
			return pacedBeat()
		}},
	} {
		r, err := Read(row(made(tt.times, tt.shape), 500), "")
		require.NoError(t, err)
		assert.Equal(t, tt.want, r.Name, "%v; %d spikes", r.Reasons, len(r.Spikes))
	}
}

// A counter must not count pacing spikes (IEC 60601-2-27 asks for it; from memory).
func TestSpikesAreNotCounted(t *testing.T) {
	for _, fs := range []float64{250, 500, 1000} {
		x := bells(10, fs, every(0.5, 0.8, 10), always(append(pacedBeat(), spike(-0.25)...)))
		bpm, ok := HeartRate(x, fs)
		assert.True(t, ok)
		assert.InDelta(t, 75, bpm, 2, "%g Hz", fs)
	}
}

// Every spike is found, wherever it stands in the blocks that are looked at together, the last
// and shorter one among them.
func TestSpikesInEveryPlace(t *testing.T) {
	for _, fs := range []float64{250, 360, 500} {
		for shift := range 2 * spikeBlock {
			n := int(6*fs) + shift
			x := make([]float64, n)
			var want []int
			for at := int(fs/2) + shift; at < n-int(0.03*fs); at += int(0.9 * fs) {
				want = append(want, at)
				x[at] = 1
			}
			last := n - 3*max(1, int(math.Round(spikeHalf*fs))) - 1 // where a spike can be judged
			want, x[last] = append(want, last), 1
			assert.Equal(t, want, spikes(x, fs), "%g Hz, %d samples", fs, n)
		}
	}
}
