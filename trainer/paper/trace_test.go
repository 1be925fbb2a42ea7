package paper

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/trainer/look"
)

func lookOf(g look.Glyphs, p termenv.Profile) *look.Look {
	return look.New(rendererOf(p), look.Options{Glyphs: g})
}

func drawn(v View, e *Envelope) *Canvas {
	c := NewCanvas(lookOf(look.Braille, termenv.ANSI256))
	c.Reset(v.Cols, v.Rows)
	c.Grid(v)
	c.Trace(v, e)
	return c
}

// Worked by hand. One sample a dot column, two rows of cells: the baseline is dot
// row 4, a dot is 1/16 mV. The samples lie on rows 4, 3, 0, 4. Rows 1-2 between the
// second and the third column are halved, rows 1-3 after it give the later one two:
// columns 4, 2-3, 0-1, 2-4.
func TestFourColumnsByHand(t *testing.T) {
	v := View{Cols: 2, Rows: 2}
	c := drawn(v, Reduce(v, []float64{0, 1.0 / 16, 4.0 / 16, 0}, 40, 0))
	var got [8]string
	for y := range got {
		for x := range 4 {
			if c.Dot(x, y) {
				got[y] += "#"
			} else {
				got[y] += "."
			}
		}
	}
	assert.Equal(t, [8]string{
		"..#.",
		"..#.",
		".#.#",
		".#.#",
		"#..#",
		"....",
		"....",
		"....",
	}, got)
	// Braille bits of the block U+2800: left 1 2 4 40, right 8 10 20 80, from the top.
	assert.Equal(t, []rune{0x28A0, 0x28A3, 0x2801, 0x2808},
		[]rune{c.At(0, 0).Rune, c.At(1, 0).Rune, c.At(0, 1).Rune, c.At(1, 1).Rune})
}

func TestEveryExtremeIsDrawn(t *testing.T) {
	samples := noise(5000, 4)
	for _, v := range []View{{Cols: 80, Rows: 24}, {Cols: 80, Rows: 40, Scale: Double}, {Cols: 81, Rows: 31, Gain: 5, Speed: 50}} {
		e := Reduce(v, samples, 500, 0)
		c := drawn(v, e)
		for x := range 2 * v.Cols {
			col := e.cols[x]
			assert.True(t, c.Dot(x, v.row(float64(col.hi))), "maximum of column %d", x)
			assert.True(t, c.Dot(x, v.row(float64(col.lo))), "minimum of column %d", x)
		}
	}
}

func TestAPeakOfOneSampleIsSeenAtEveryScrollPhase(t *testing.T) {
	samples := make([]float64, 5000)
	const at = 2611
	samples[at] = 1
	v := View{Cols: 80, Rows: 12}
	e := Reduce(v, samples, 500, 0)
	peak := v.Dot(at / 500.0)
	for dot := peak - 159; dot <= peak; dot++ {
		v.Left = float64(dot) / v.DotsPerSecond()
		c := drawn(v, e)
		for y := v.row(1); y <= v.row(0); y++ {
			// its neighbours may carry the lower half of the join
			require.True(t, c.Dot(peak-dot, y) || c.Dot(peak-dot-1, y) || c.Dot(peak-dot+1, y), "row %d, phase %d", y, dot)
		}
		require.True(t, c.Dot(peak-dot, v.row(1)), "phase %d", dot)
	}
}

func TestColumnsAreJoined(t *testing.T) {
	v := View{Cols: 100, Rows: 30}
	c := drawn(v, Reduce(v, noise(200, 5), 40, 0)) // one sample a column: steps are high
	prevTop, prevFoot, _ := c.dotReach(0)
	for x := 1; x < 200; x++ {
		top, foot, ok := c.dotReach(x)
		require.True(t, ok)
		for y := top; y <= foot; y++ {
			require.True(t, c.Dot(x, y), "column %d is one stroke", x)
		}
		require.LessOrEqual(t, top, prevFoot+1, "column %d touches the one before", x)
		require.GreaterOrEqual(t, foot, prevTop-1, "column %d touches the one before", x)
		prevTop, prevFoot = top, foot
	}
}

func TestMovingByOneDotMovesThePictureByOneDot(t *testing.T) {
	samples := noise(8000, 6)
	v := View{Cols: 60, Rows: 20}
	e := Reduce(v, samples, 500, 0)
	for dot := range 40 {
		v.Left = 2 + float64(dot)/v.DotsPerSecond()
		here := drawn(v, e)
		v.Left = 2 + float64(dot+1)/v.DotsPerSecond()
		next := drawn(v, e)
		for x := 1; x < 2*v.Cols; x++ {
			for y := range 4 * v.Rows {
				require.Equal(t, here.Dot(x, y), next.Dot(x-1, y), "dot %d, column %d", dot, x)
			}
		}
	}
}

// 25 mm/s for a minute is 1500 mm, 2400 dots of 0.625 mm, whatever frames were
// dropped. A spike every second shows where the paper is.
func TestAMinuteMoves1500Millimetres(t *testing.T) {
	const rate = 500
	samples := make([]float64, 70*rate)
	for i := 0; i < len(samples); i += rate {
		samples[i] = 1
	}
	v := View{Cols: 80, Rows: 10}
	var e Envelope
	e.Reset(v, rate, 0)
	c := NewCanvas(lookOf(look.Braille, termenv.ANSI256))
	spike := func() int { // window dot column of the first spike but one
		for x := 1; x < 2*v.Cols; x++ {
			if c.Dot(x, v.row(1)) {
				return x
			}
		}
		return -1
	}
	moved, known := 0, 0
	prev := -1
	for k := 0; k <= 1800; k++ {
		now := float64(k) / 30
		if k%7 == 3 || k > 900 && k < 910 { // frames that were dropped
			continue
		}
		upTo := min(int((now+v.Seconds()+0.1)*rate), len(samples))
		e.Append(samples[known:upTo])
		known = upTo
		v.Left = now
		e.Forget(now - 0.5)
		c.Reset(v.Cols, v.Rows)
		c.Trace(v, &e)
		x := spike()
		require.GreaterOrEqual(t, x, 0)
		if prev >= 0 {
			step := (prev - x + 40) % 40 // spikes are 40 dots apart, steps shorter
			moved += step
		}
		prev = x
	}
	assert.Equal(t, 2400, moved)
	assert.InDelta(t, 1500, float64(moved)*0.625, 1e-9)
}

func TestWavesBeyondTheWindowRunAlongItsEdge(t *testing.T) {
	v := View{Cols: 10, Rows: 4}
	c := drawn(v, Reduce(v, []float64{50, 50, 50, -50, -50, 1e300, math.Inf(1)}, 40, 0))
	assert.True(t, c.Dot(1, 0))
	assert.True(t, c.Dot(4, 15))
	assert.False(t, c.Dot(5, 0) && c.Dot(6, 0), "what is not a voltage is a gap")
}

func TestGapsAreNamedWhereThereIsRoom(t *testing.T) {
	samples := make([]float64, 5000)
	for i := 1000; i < 1800; i++ {
		samples[i] = math.NaN()
	}
	v := View{Cols: 120, Rows: 8}
	c := drawn(v, Reduce(v, samples, 500, 0))
	assert.Contains(t, text(c), look.NoSignal)
	for x := v.Dot(2); x < v.Dot(3.6); x++ {
		_, _, ok := c.dotReach(x)
		assert.False(t, ok)
	}
	short := Reduce(v, samples[:1100], 500, 0)
	assert.NotContains(t, text(drawn(v, short)), look.NoSignal, "the end of what is known is no gap")
	for _, c := range []*Canvas{drawn(v, &Envelope{}), drawn(v, Reduce(v, nil, 500, 0))} {
		assert.NotContains(t, text(c), look.NoSignal)
	}
}

// text is what a canvas shows, without colour.
func text(c *Canvas) string {
	var b strings.Builder
	cols, rows := c.Size()
	for row := range rows {
		for col := range cols {
			b.WriteRune(c.At(col, row).Rune)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func TestCalibrationPulseIsOneMillivoltFor200Milliseconds(t *testing.T) {
	for _, v := range []View{{Cols: 60, Rows: 12, Calibrate: true}, {Cols: 60, Rows: 20, Calibrate: true, Scale: Double},
		{Cols: 60, Rows: 20, Calibrate: true, Speed: 50, Gain: 20}, {Cols: 60, Rows: 12, Calibrate: true, Baseline: 3}} {
		c := drawn(v, Reduce(v, make([]float64, 5000), 500, 0))
		top, foot, ok := c.dotReach(1)
		require.True(t, ok)
		assert.InDelta(t, 1.0, float64(foot-top)/v.DotsPerMV(), 1e-9)
		legs := 0
		for x := 2; x < v.inset(); x++ {
			if a, b, ok := c.dotReach(x); ok && a == top && b == foot {
				legs = x - 1
			}
		}
		assert.InDelta(t, 0.2, float64(legs)/v.DotsPerSecond(), 1/v.DotsPerSecond())
		_, _, ok = c.dotReach(v.inset() - 1)
		assert.False(t, ok, "there is a space before the trace")
		_, _, ok = c.dotReach(v.inset())
		assert.True(t, ok, "and then the trace")
	}
}

func TestPulseFillsItsBandAndIsHeavierAndNamed(t *testing.T) {
	samples := make([]float64, 2000)
	for i := range samples {
		samples[i] = 80 + 40*math.Sin(2*math.Pi*float64(i)/500)
	}
	v := View{Cols: 60, Rows: 4}
	c := NewCanvas(lookOf(look.Braille, termenv.ANSI256))
	c.Reset(v.Cols, v.Rows)
	c.Pulse(v, Reduce(v, samples, 500, 0), 40, 120, look.Pulse)
	assert.Contains(t, text(c), look.Pulse)
	top, foot := 99, 0
	for x := 2 * len(" pulse "); x < 2*v.Cols; x++ {
		a, b, ok := c.dotReach(x)
		require.True(t, ok)
		assert.GreaterOrEqual(t, b-a, 1, "two dots thick at least")
		top, foot = min(top, a), max(foot, b)
	}
	assert.Equal(t, []int{0, 15}, []int{top, foot})

	c.Reset(v.Cols, v.Rows)
	c.Pulse(v, Reduce(v, samples, 500, 0), 5, 5, look.Pulse)
	a, b, _ := c.dotReach(30)
	assert.Equal(t, []int{14, 15}, []int{a, b}, "no range: at the foot")
}

func TestNoSizeAndNoInputPanics(t *testing.T) {
	samples, m := beats(500, 4, 0.7)
	samples[700], samples[701] = math.NaN(), math.Inf(1)
	nan := math.NaN()
	for _, g := range look.GlyphSets {
		for _, p := range []termenv.Profile{termenv.Ascii, termenv.ANSI256} {
			c := NewCanvas(lookOf(g, p))
			for cols := -1; cols < 14; cols++ {
				for rows := -1; rows < 7; rows++ {
					for _, v := range []View{{}, {Calibrate: true}, {Scale: Double, Left: -1}, {Left: nan}, {Left: math.Inf(1)},
						{Gain: nan, Speed: math.Inf(1)}, {Speed: -3, Scale: -4, Calibrate: true}, {Baseline: nan}, {Scale: 1 << 40}} {
						v.Cols, v.Rows = cols, rows
						for _, e := range []*Envelope{Reduce(v, samples, 500, 0), Reduce(v, nil, 500, 0), {}} {
							c.Reset(cols, rows)
							c.Grid(v)
							c.Header("II", v)
							c.Trace(v.Follow(e), e)
							c.Marks(v, m)
							for _, b := range Intervals(m.Beats[0]) {
								c.Bracket(v, b)
							}
							assert.Len(t, c.Rows(), max(rows, 0))
							c.Reset(cols, rows)
							c.Pulse(v, e, 0, 1, "pulse")
							c.Rows()
						}
					}
				}
			}
		}
	}
}

// What is kept between frames must not show: a strip that has grown by pieces of any
// size, with its past dropped, is drawn as one that is drawn at once.
func TestAStripThatGrowsIsDrawnAsAtOnce(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	samples, _ := beats(benchRate, 60, 0.7)
	for i := range samples {
		samples[i] += 0.3 * rng.NormFloat64()
		if i > 4000 && i < 4200 {
			samples[i] = math.NaN()
		}
	}
	l := lookOf(look.Braille, termenv.ANSI256)
	v := View{Cols: 60, Rows: 12}
	var grown Envelope
	grown.Reset(v, benchRate, 0)
	kept, anew := NewCanvas(l), NewCanvas(l)
	for at := 0; at < len(samples); {
		n := min(1+rng.IntN(90), len(samples)-at)
		grown.Append(samples[at : at+n])
		at += n
		v.Left = grown.End() - v.Seconds()
		if rng.IntN(4) == 0 {
			v.Baseline = rng.Float64() - 0.5 // the columns move up or down
		}
		grown.Forget(v.Left - 1)
		for c, e := range map[*Canvas]*Envelope{kept: &grown, anew: Reduce(v, samples[:at], benchRate, 0)} {
			c.Reset(v.Cols, v.Rows)
			c.Trace(v, e)
		}
		require.Equal(t, anew.String(), kept.String(), "after %d samples", at)
	}
}
