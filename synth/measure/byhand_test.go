package measure

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// By hand: 8 QRS in six seconds are 80 a minute; 20 small boxes are 75, 15 are 100, 10 are
// 150 (the usual table of strip reading, common practice).
func TestRatesByHand(t *testing.T) {
	var beats []ecg.Beat
	for _, at := range every(0.3, 0.75, 14) {
		beats = append(beats, ecg.Beat{QRS: ecg.Span{Onset: at - 0.04, Peak: at, Offset: at + 0.04}})
	}
	bpm, ok := SixSeconds(beats, 10)
	assert.True(t, ok)
	assert.Equal(t, 80.0, bpm)
	_, ok = SixSeconds(beats, 5.9)
	assert.False(t, ok)
	for rr, want := range map[float64][2]float64{0.8: {75, 20}, 0.6: {100, 15}, 0.4: {150, 10}, 0.61: {60000.0 / 620, 15.5}, 0.5: {120, 12.5}} {
		bpm, boxes := SmallBoxes([]float64{rr, rr, rr})
		assert.InDelta(t, want[0], bpm, 1e-9)
		assert.InDelta(t, want[1], boxes, 1e-9)
	}
	bpm, _ = SmallBoxes(nil)
	assert.True(t, math.IsNaN(bpm))
}

// QT 400 ms at RR 0.8 s: Bazett 447, Fridericia 431, Framingham 431, Hodges 426 ms (by the
// formulas).
func TestFourCorrections(t *testing.T) {
	r := Reading{QT: 0.4, QTcB: Bazett(0.4, 0.8), QTcF: Fridericia(0.4, 0.8)}
	b, f, fr, h := r.QTc()
	for i, want := range []float64{0.4472, 0.4309, 0.4308, 0.42625} {
		assert.InDelta(t, want, []float64{b, f, fr, h}[i], 5e-5)
	}
}

// What one lead cannot settle says what would; what it can says nothing.
func TestSettle(t *testing.T) {
	flat, err := Read(row(make([]float64, 5000), 500), "")
	require.NoError(t, err)
	require.NotEmpty(t, flat.Settle())
	assert.Contains(t, flat.Settle()[0], "the patient")
	fast, err := Read(row(made(every(0.3, 0.33, 28), func(int) []bell { return wideBeat() }), 500), "")
	require.NoError(t, err)
	require.NotEmpty(t, fast.Settle(), fast.Name)
	assert.Contains(t, fast.Settle()[1], "12-lead")
	plain, err := Read(row(made(every(0.3, 0.8, 12), func(int) []bell { return sinusBeat() }), 500), "")
	require.NoError(t, err)
	assert.Equal(t, "sinus-rhythm", plain.Name)
	assert.Empty(t, plain.Settle())
}
