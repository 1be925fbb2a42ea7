package paper

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
	"telltrace/trainer/look"
)

// marked draws a strip with all its marks and the brackets of one beat, and returns
// the dots of the wave as they were before.
func marked(t *testing.T, v View, g look.Glyphs, rr float64) (c *Canvas, wave []uint8, unplaced int) {
	t.Helper()
	samples, m := beats(500, 30, rr)
	c = NewCanvas(lookOf(g, termenv.ANSI256))
	c.Reset(v.Cols, v.Rows)
	c.Grid(v)
	c.Trace(v, Reduce(v, samples, 500, 0))
	wave = slices.Clone(c.dots)
	unplaced = c.Marks(v, m)
	if b, ok := ChooseBeat(v, m.Beats); ok {
		for _, br := range Intervals(b) {
			if !c.Bracket(v, br) {
				unplaced++
			}
		}
		if !c.Bracket(v, Bracket{From: b.T.Offset, To: b.P.Onset + rr, Text: "flat here", Miss: true}) {
			unplaced++
		}
	}
	return c, wave, unplaced
}

func TestMarksNeverCoverTheWave(t *testing.T) {
	for _, g := range look.GlyphSets {
		for _, rr := range []float64{0.6, 0.7, 1.0, 2.0} {
			for _, rows := range []int{3, 5, 8, 12, 20} {
				for _, v := range []View{{Cols: 80}, {Cols: 120, Left: 1.33, Calibrate: true}, {Cols: 80, Scale: Double}, {Cols: 80, Gain: 20}} {
					v.Rows = rows
					c, wave, _ := marked(t, v, g, rr)
					require.Equal(t, wave, c.dots)
					for row := range c.rows {
						for col := range c.cols {
							dots := wave[row*c.stride+col]
							if dots == 0 {
								continue
							}
							cell := c.At(col, row)
							require.Equal(t, glyphsOf(g)[dots].r, cell.Rune)
							require.Equal(t, look.InkTrace, cell.Ink)
							// nor does the wave hide a mark: it was placed where it is free
							ink := c.words[row*c.cols+col].ink
							require.False(t, ink == look.InkMark || ink == look.InkMiss, "column %d, row %d", col, row)
						}
					}
				}
			}
		}
	}
}

func TestEveryMarkFindsAPlaceOnAUsualStrip(t *testing.T) {
	for _, v := range []View{{Cols: 80, Rows: 14}, {Cols: 120, Rows: 14}, {Cols: 200, Rows: 20}, {Cols: 120, Rows: 22, Scale: Double}} {
		c, _, unplaced := marked(t, v, look.Braille, 0.8)
		shown := text(c)
		assert.Zero(t, unplaced, "%d x %d\n%s", v.Cols, v.Rows, shown)
		beatsShown := strings.Count(shown, "QRS") - 1 // one is a bracket's
		assert.InDelta(t, v.Seconds()/0.8, beatsShown, 1)
		// the beat of the helper: PR 205 - 45, QRS 297 - 205, QT 593 - 205
		for _, words := range []string{"PR 160 ms", "QRS 92 ms", "QT 388 ms", "flat here"} {
			assert.Contains(t, shown, words)
		}
	}
}

func TestALabelStandsByItsWave(t *testing.T) {
	v := View{Cols: 80, Rows: 14}
	c, _, _ := marked(t, v, look.Braille, 1)
	for _, tt := range []struct {
		text string
		at   float64
	}{{"P", 0.10}, {"T", 0.48}, {"QRS", 0.25}} {
		col := v.Column(1 + tt.at)
		found := false
		for row := range v.Rows {
			from := col - len(tt.text)/2
			var word string
			for k := range len(tt.text) {
				word += string(c.At(from+k, row).Rune)
			}
			found = found || word == tt.text
		}
		assert.True(t, found, "%s over column %d\n%s", tt.text, col, text(c))
	}
}

func TestAWaveThatPointsDownIsLabelledBelow(t *testing.T) {
	v := View{Cols: 60, Rows: 12}
	samples := make([]float64, 1000)
	for i := range samples {
		d := (float64(i)/500 - 1) / 0.08
		samples[i] = -0.5 * math.Exp(-d*d/2)
	}
	c := NewCanvas(lookOf(look.Braille, termenv.Ascii))
	c.Reset(v.Cols, v.Rows)
	c.Trace(v, Reduce(v, samples, 500, 0))
	wave := ecg.Span{Onset: 0.8, Peak: 1, Offset: 1.2}
	require.Zero(t, c.Marks(v, ecg.Marks{Beats: []ecg.Beat{{T: wave}}}))
	_, foot, _ := c.reach(v.Column(1), v.Column(1))
	assert.Equal(t, 'T', c.At(v.Column(1), foot+1).Rune)
}

// A P wave hidden in a T wave has both its labels.
func TestTwoWavesAtOneTimeAreBothLabelled(t *testing.T) {
	v := View{Cols: 60, Rows: 12}
	c := NewCanvas(lookOf(look.Braille, termenv.Ascii))
	c.Reset(v.Cols, v.Rows)
	c.Trace(v, Reduce(v, make([]float64, 1000), 500, 0))
	wave := ecg.Span{Onset: 0.8, Peak: 1, Offset: 1.2}
	require.Zero(t, c.Marks(v, ecg.Marks{P: []ecg.Span{wave}, Beats: []ecg.Beat{{T: wave}}}))
	assert.Contains(t, text(c), "P")
	assert.Contains(t, text(c), "T")
}

func TestWavesOutsideOrMissingGetNoLabel(t *testing.T) {
	v := View{Cols: 40, Rows: 10, Left: 1}
	samples, m := beats(500, 10, 0.7)
	for i := range samples {
		if i > 600 {
			samples[i] = math.NaN()
		}
	}
	c := NewCanvas(lookOf(look.Braille, termenv.ANSI256))
	c.Reset(v.Cols, v.Rows)
	c.Trace(v, Reduce(v, samples, 500, 0))
	assert.Zero(t, c.Marks(v, m))
	assert.NotContains(t, text(c), "QRS", "the beats of the gap are not there")
}

// A bracket's legs stand on the dots of its ends.
func TestBracketLegsAreExactToTheDot(t *testing.T) {
	for _, scale := range []Scale{Base, Double} {
		v := View{Cols: 100, Rows: 12, Scale: scale}
		for from := 0.1; from < 0.3; from += 0.0125 {
			c := NewCanvas(lookOf(look.Braille, termenv.ANSI256))
			c.Reset(v.Cols, v.Rows)
			require.True(t, c.Bracket(v, Bracket{From: from, To: from + 0.25, Text: "x"}))
			first, last := -1, -1
			for i, w := range c.words {
				for x := range cellDotsX {
					if w.r >= 0x2800 && uint8(w.r-0x2800)&columnBits[x][0][3] != 0 {
						at := i%c.cols*cellDotsX + x
						if first < 0 {
							first = at
						}
						last = at
					}
				}
			}
			assert.Equal(t, v.Dot(from), first)
			assert.Equal(t, v.Dot(from+0.25), last)
		}
	}
}

func TestBracketsThatDoNotFitSaySo(t *testing.T) {
	v := View{Cols: 40, Rows: 8, Left: 1}
	c := NewCanvas(lookOf(look.ASCII, termenv.Ascii))
	c.Reset(v.Cols, v.Rows)
	for _, b := range []Bracket{
		{From: 0.5, To: 1.5, Text: "begins before"},
		{From: 2.5, To: 3.5, Text: "ends after"},
		{From: 2, To: 1.5, Text: "backwards"},
		{From: 1.2, To: 1.5, Text: strings.Repeat("too long ", 9)},
	} {
		assert.False(t, c.Bracket(v, b), b.Text)
	}
	assert.Equal(t, strings.Repeat(strings.Repeat(" ", 40)+"\n", 8), text(c), "nothing is drawn in part")
	assert.True(t, c.Bracket(v, Bracket{From: 1.2, To: 1.5, Text: "fits", Miss: true}))
	assert.Contains(t, text(c), "|-----| ! fits")
}

func TestIntervalsAreThoseThatCanBeMeasured(t *testing.T) {
	b := ecg.Beat{QRS: ecg.Span{Onset: 1, Peak: 1.04, Offset: 1.08}}
	assert.Equal(t, []Bracket{{From: 1, To: 1.08, Text: "QRS 80 ms"}}, Intervals(b))
	b.P = ecg.Span{Onset: 0.88, Peak: 0.92, Offset: 0.96}
	b.T = ecg.Span{Onset: 1.12, Peak: 1.2, Offset: 1.28}
	var words []string
	for _, br := range Intervals(b) {
		words = append(words, br.Text)
	}
	assert.Equal(t, []string{"PR 120 ms", "QRS 80 ms", "QT 280 ms"}, words)
}

func TestChooseBeatPrefersAWholeBeatInTheMiddle(t *testing.T) {
	_, m := beats(500, 20, 1)
	v := View{Cols: 120, Left: 5}
	b, ok := ChooseBeat(v, m.Beats)
	require.True(t, ok)
	assert.InDelta(t, 8, b.QRS.Peak, 0.5)
	m.Beats[7].P, m.Beats[8].P = ecg.Span{}, ecg.Span{}
	b, _ = ChooseBeat(v, m.Beats)
	assert.True(t, b.P.Present(), "a beat with all its waves teaches more")
	_, ok = ChooseBeat(View{Cols: 120, Left: 500}, m.Beats)
	assert.False(t, ok)
}

func TestTicksCountSeconds(t *testing.T) {
	for _, v := range []View{{Cols: 200, Rows: 6}, {Cols: 200, Rows: 6, Scale: Double}, {Cols: 200, Rows: 6, Speed: 50}} {
		c := NewCanvas(lookOf(look.ASCII, termenv.ANSI256))
		c.Reset(v.Cols, v.Rows)
		c.Grid(v)
		second := int(v.DotsPerSecond() / 2)
		for s := 1; s*second < v.Cols; s++ {
			want := '\''
			if s%3 == 0 {
				want = '|'
				assert.Contains(t, text(c), fmt.Sprintf("|%d s", s))
			}
			assert.Equal(t, want, c.At(s*second, v.Rows-1).Rune, "second %d", s)
		}
	}
}

// The legs stand at their dots, the held one unbroken, and never on the trace or a
// word; marched out, they repeat at the same distance.
func TestLegsStandAtTheirDotsAndCoverNothing(t *testing.T) {
	samples, _ := beats(500, 10, 0.8)
	v := View{Cols: 120, Rows: 16, Scale: Double}
	for _, glyphs := range look.GlyphSets {
		c := NewCanvas(lookOf(glyphs, termenv.ANSI256))
		draw := func(l *Legs) []Code {
			c.Reset(v.Cols, v.Rows)
			c.Trace(v, Reduce(v, samples, 500, 0))
			require.True(t, c.Bracket(v, Bracket{From: 0.5, To: 0.9, Text: "400 ms"}))
			if l != nil {
				c.Legs(v, *l)
			}
			var cells []Code
			for row := range v.Rows {
				cells = c.AppendCodes(cells, row)
			}
			return cells
		}
		bare := draw(nil)
		const from, seconds = 0.9, 0.5
		drawn := draw(&Legs{At: [2]float64{from, from + seconds}, Held: 1, March: true})
		legs := map[int]map[rune]bool{}
		for i := range bare {
			if bare[i].Rune() != ' ' {
				require.Equal(t, bare[i], drawn[i], "what was there is not covered")
			} else if drawn[i].Rune() != ' ' {
				col := i % v.Cols
				if legs[col] == nil {
					legs[col] = map[rune]bool{}
				}
				legs[col][drawn[i].Rune()] = true
			}
		}
		want := map[int]bool{}
		for at := from - seconds; at < v.Seconds(); at += seconds {
			want[v.Column(at)] = true
		}
		for col, runes := range legs {
			assert.True(t, want[col], "%s: no leg belongs in column %d", glyphs, col)
			assert.Len(t, runes, 1)
		}
		assert.Len(t, legs, len(want), glyphs)
		assert.NotEqual(t, legs[v.Column(from)], legs[v.Column(from+seconds)], "held and not held")
	}
}
