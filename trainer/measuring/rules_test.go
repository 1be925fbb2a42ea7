package measuring

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth"
	"telltrace/synth/ecg"
)

func at(from, seconds float64) span { return span{from, from + seconds} }

// Within 20 ms is right, for a rate in its interval; a QRS must fall on the right
// side of wide besides (issue 5: the exercise's own rule).
func TestWithinTwentyMilliseconds(t *testing.T) {
	const wide = 0.120
	for _, tt := range []struct {
		q               quantity
		measured, truth float64
		right           bool
		words, why      string
	}{
		{q: pr, measured: 0.180, truth: 0.160, right: true, words: "PR 160 ms; yours: 180 ms, within 20 ms."},
		{q: pr, measured: 0.190, truth: 0.160, words: "PR 160 ms; yours: 190 ms, more than 20 ms off."},
		{q: qt, measured: 0.360, truth: 0.380, right: true, words: "QT 380 ms; yours: 360 ms, within 20 ms."},
		{q: qrs, measured: 0.110, truth: 0.090, right: true, words: "It is narrow: wide begins at 120 ms"},
		{q: qrs, measured: 0.115, truth: 0.125, words: "Yours falls on the other side", why: "10 ms off, but narrow for wide"},
		{q: qrs, measured: 0.120, truth: 0.115, words: "Yours falls on the other side", why: "5 ms off, but wide for narrow"},
		{q: rate, measured: 0.600, truth: 0.620, right: true, words: "97 a minute (RR 620 ms); yours: 100 a minute (600 ms)"},
		{q: rate, measured: 0.600, truth: 0.630, words: "more than 20 ms off"},
		{q: rate, measured: 0.300, truth: 0.320, right: true, words: "188 a minute (RR 320 ms); yours: 200 a minute"},
	} {
		j := tt.q.judge(at(3, tt.measured), at(2.9, tt.truth), wide)
		assert.Equal(t, tt.right, j.right, "%v %v: %s", tt.q, tt, tt.why)
		assert.Contains(t, j.words, tt.words)
	}
}

func TestTheNearestPlaceIsTheOneThatWasMeasured(t *testing.T) {
	beats := []ecg.Beat{
		{P: ecg.Span{Onset: 0.9, Peak: 0.95, Offset: 1.0}, QRS: ecg.Span{Onset: 1.06, Peak: 1.1, Offset: 1.14}},
		{P: ecg.Span{Onset: 1.9, Peak: 1.95, Offset: 2.0}, QRS: ecg.Span{Onset: 2.1, Peak: 2.14, Offset: 2.2}},
	}
	assert.Equal(t, beats[1].P.Onset, nearest(pr.spans(beats), at(1.85, 0.2)).from)
	assert.Equal(t, beats[0].P.Onset, nearest(pr.spans(beats), at(0.8, 0.2)).from)
	assert.InDelta(t, 1.04, nearest(rate.spans(beats), at(1, 1)).seconds(), 1e-9)
	assert.Empty(t, qt.spans(beats), "no T, no QT")
}

// QT 380 ms at an RR of 600 ms: 0.38/√0.6 = 0.491, 0.38/∛0.6 = 0.451 (Bazett 1920,
// Fridericia 1920, by hand). Above 150 a minute there is none.
func TestCorrectedByTwoFormulasUpTo150(t *testing.T) {
	assert.Equal(t, "Corrected at 100 a minute: 491 ms (Bazett), 451 ms (Fridericia).", corrected(0.380, 0.600))
	assert.Contains(t, corrected(0.260, 0.4), "Corrected at 150")
	assert.Contains(t, corrected(0.250, 0.39), "not corrected")
}

// Every strip of the exercise can be measured: it has beats, and its questions an
// answer within the strip.
func TestEverySubjectCanBeMeasured(t *testing.T) {
	require.Len(t, subjects, Strips)
	for _, id := range subjects {
		p, err := synth.Open(ecg.Synthetic(id, ecg.Years(6), 1))
		require.NoError(t, err)
		row := make([][]float64, 0)
		leads, witnesses := p.Channels()
		for range len(leads) + len(witnesses) {
			row = append(row, make([]float64, int(played*p.SampleRate())))
		}
		_, err = p.Fill(row)
		require.NoError(t, err)
		beats := p.Marks(0, played).Beats
		for _, q := range []quantity{rate, qrs, qt} {
			assert.NotEmpty(t, q.spans(beats), "%s: %v", id, q)
		}
	}
}
