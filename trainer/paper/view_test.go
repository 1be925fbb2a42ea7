package paper

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

// One big box is 5 mm: 0.2 s at 25 mm/s and 0.5 mV at 10 mm/mV (standard
// calibration of recorders: Kligfield et al. 2007, Circulation 115:1306, common
// practice). On this paper it is 4 x 2 cells, at the double scale 8 x 4.
func TestGeometry(t *testing.T) {
	for _, tt := range []struct {
		name            string
		v               View
		perSecond, ofMV float64
		columns         int // cells in one second
	}{
		{"base", View{}, 40, 16, 20},
		{"double", View{Scale: Double}, 80, 32, 40},
		{"50 mm/s", View{Speed: 50}, 80, 16, 40},
		{"20 mm/mV", View{Gain: 20}, 40, 32, 20},
		{"5 mm/mV, double", View{Gain: 5, Scale: Double}, 80, 16, 40},
	} {
		t.Run(tt.name, func(t *testing.T) {
			assert.InDelta(t, tt.perSecond, tt.v.DotsPerSecond(), 1e-9)
			assert.InDelta(t, tt.ofMV, tt.v.DotsPerMV(), 1e-9)
			assert.Equal(t, tt.columns, tt.v.Column(1))
		})
	}
	v := View{Cols: 120, Rows: 8}
	assert.InDelta(t, 6, v.Seconds(), 1e-9, "six seconds fit 120 columns")
	assert.InDelta(t, 2, v.Height(), 1e-9)
	assert.InDelta(t, 0.025, 1/v.DotsPerSecond(), 1e-12, "a dot is 25 ms")
	assert.InDelta(t, 0.0625, 1/v.DotsPerMV(), 1e-12, "and 0.0625 mV")
	assert.Equal(t, "aVF  25 mm/s  10 mm/mV", HeaderText(ecg.AVF, v))
}

func TestColumnAndTimeAgree(t *testing.T) {
	v := View{Cols: 80, Rows: 8, Left: 3.2}
	for col := range v.Cols {
		assert.Equal(t, col, v.Column(v.Time(col)))
	}
	assert.Equal(t, -1, v.Column(v.Left-0.01), "before the window, not column 0")
}

func TestPanToBringsASpanIntoTheWindow(t *testing.T) {
	for _, from := range []float64{-3, 0, 1.1, 7.77, 40} {
		v := View{Cols: 80, Left: 2, Calibrate: true}.PanTo(from, from+0.4)
		assert.GreaterOrEqual(t, from, v.Left+v.insetSeconds()-1e-9)
		assert.LessOrEqual(t, from+0.4, v.Left+v.Seconds()+1e-9)
	}
	v := View{Cols: 80, Left: 2}
	assert.Equal(t, v, v.PanTo(2.5, 3), "no move where none is needed")
}

func TestFollowKeepsTheTraceInTheWindow(t *testing.T) {
	const rate = 500
	samples, _ := beats(rate, 60, 0.7)
	for i := range samples { // respiration and a slow drift of several millivolts
		s := float64(i) / rate
		samples[i] += 0.3*math.Sin(2*math.Pi*0.25*s) + 0.1*s
	}
	v := View{Cols: 120, Rows: 14}
	e := Reduce(v, samples, rate, 0)
	moves := 0
	for frame := range 54 * 30 {
		v.Left = float64(frame) / 30
		before := v.Baseline
		v = v.Follow(e)
		if v.Baseline != before {
			moves++
			assert.Equal(t, v, v.Follow(e), "a baseline that was just chosen stays")
		}
		lo, hi, ok := e.extent(v.Dot(v.Left), v.Dot(v.Left)+2*v.Cols)
		require.True(t, ok)
		require.GreaterOrEqual(t, v.row(hi), 0, "at %g s", v.Left)
		require.Less(t, v.row(lo), 4*v.Rows, "at %g s", v.Left)
	}
	assert.Positive(t, moves)
	assert.Less(t, moves, 20, "the picture may not jump at every breath")
}

func TestFollowKeepsTheMedianWhereAllCannotFit(t *testing.T) {
	samples, _ := beats(500, 10, 0.7)
	for i := range samples {
		samples[i] = 6*samples[i] + 4
	}
	v := View{Cols: 120, Rows: 8}
	e := Reduce(v, samples, 500, 0)
	v = v.Follow(e)
	row := v.row(e.median(0, 240))
	assert.Greater(t, row, 0)
	assert.Less(t, row, 4*v.Rows)
}

func TestFollowOfNothingChangesNothing(t *testing.T) {
	v := View{Cols: 80, Rows: 8, Baseline: 0.5}
	assert.Equal(t, v, v.Follow(&Envelope{}))
	assert.Equal(t, v, v.Follow(Reduce(v, []float64{math.NaN(), math.NaN()}, 500, 0)))
}
