package paper

import (
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/hinshun/vt10x"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/trainer/look"
)

// scene is a strip with everything on it.
func scene(l *look.Look, v View) *Canvas {
	samples, m := beats(500, 12, 0.7)
	c := NewCanvas(l)
	c.Reset(v.Cols, v.Rows)
	c.Grid(v)
	c.Header("II", v)
	c.Trace(v, Reduce(v, samples, 500, 0))
	c.Marks(v, m)
	if b, ok := ChooseBeat(v, m.Beats); ok {
		for _, br := range Intervals(b) {
			c.Bracket(v, br)
		}
		c.Bracket(v, Bracket{From: b.P.Onset, To: b.P.Offset, Text: "P before each QRS", Miss: true})
	}
	return c
}

// What a terminal makes of the rows is what At says.
func TestRowsShowTheCellsOnATerminal(t *testing.T) {
	for _, p := range look.Palettes {
		for _, g := range look.GlyphSets {
			l := look.New(rendererOf(termenv.ANSI256), look.Options{Palette: p, Glyphs: g})
			v := View{Cols: 93, Rows: 15, Calibrate: true}
			c := scene(l, v)
			term := vt10x.New(vt10x.WithSize(v.Cols, v.Rows))
			_, err := term.Write([]byte(strings.ReplaceAll(c.String(), "\n", "\r\n")))
			require.NoError(t, err)
			for row := range v.Rows {
				codes := c.AppendCodes(nil, row)
				require.Len(t, codes, v.Cols)
				for col := range v.Cols {
					want, got := c.At(col, row), term.Cell(col, row)
					require.Equal(t, [2]int{int(want.Rune), PenOf(want.Ink, want.Ground)}, [2]int{int(codes[col].Rune()), codes[col].Pen()}, "%s %s: column %d, row %d", p, g, col, row)
					require.Equal(t, want.Rune, got.Char, "%s %s: column %d, row %d", p, g, col, row)
					if !l.Coloured() {
						require.Equal(t, vt10x.DefaultFG, got.FG)
						require.Equal(t, vt10x.DefaultBG, got.BG)
						continue
					}
					require.Equal(t, l.Ground(want.Ground), sgr("48", got.BG), "%s: column %d, row %d", p, col, row)
					if want.Rune != ' ' {
						require.Equal(t, l.Ink(want.Ink), sgr("38", got.FG), "%s: column %d, row %d", p, col, row)
					}
				}
			}
		}
	}
}

func sgr(layer string, c vt10x.Color) string {
	return "\x1b[" + layer + ";5;" + number(float64(c)) + "m"
}

func TestRowsAreExactlyAsWideAsTheCanvas(t *testing.T) {
	for _, g := range look.GlyphSets {
		for _, p := range []termenv.Profile{termenv.Ascii, termenv.ANSI, termenv.TrueColor} {
			for _, cols := range []int{1, 7, 80, 201} {
				c := scene(lookOf(g, p), View{Cols: cols, Rows: 11})
				for _, row := range c.Rows() {
					assert.Equal(t, cols, lipgloss.Width(row))
					assert.NotContains(t, row, "\u2800", "blanks are spaces")
					if p == termenv.Ascii {
						assert.Equal(t, ansi.Strip(row), row)
					} else {
						assert.True(t, strings.HasSuffix(row, "\x1b[0m"), "each row ends what it began")
					}
				}
				assert.Equal(t, strings.Join(c.Rows(), "\n"), c.String())
			}
		}
	}
}

// A canvas is used again for another size, another grid, less on it: nothing of
// before may stay.
func TestACanvasForgetsThePreviousFrame(t *testing.T) {
	l := lookOf(look.Braille, termenv.ANSI256)
	c := scene(l, View{Cols: 40, Rows: 20, Scale: Double})
	require.NotEmpty(t, c.String())
	for _, size := range [][2]int{{20, 40}, {80, 12}, {0, 0}, {200, 3}, {80, 12}, {80, 12}} {
		v := View{Cols: size[0], Rows: size[1]}
		fresh := NewCanvas(l)
		for _, canvas := range []*Canvas{c, fresh} {
			canvas.Reset(v.Cols, v.Rows)
			canvas.Grid(v)
			canvas.Rows()
		}
		assert.Equal(t, fresh.String(), c.String(), "%v", size)
		assert.Empty(t, c.AppendRow(nil, -1))
		assert.Empty(t, c.AppendRow(nil, size[1]))
	}
	c.Reset(80, 12)
	assert.Equal(t, NewCanvas(l).blankOf(80, 12), c.String(), "without a grid as well")
}

func (c *Canvas) blankOf(cols, rows int) string { c.Reset(cols, rows); return c.String() }

func TestDrawingDoesNotAllocate(t *testing.T) {
	c, v, samples := benchScene()
	var e Envelope
	dst := make([]byte, 0, 1<<16)
	allocs := testing.AllocsPerRun(50, func() {
		e.Reset(v, benchRate, 0)
		e.Append(samples[:4000])
		v = v.Follow(&e)
		dst = frame(c, v, &e, dst[:0])
	})
	assert.Zero(t, allocs)
}
