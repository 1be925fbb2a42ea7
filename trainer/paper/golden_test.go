package paper

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/trainer/look"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares a text with testdata/name.golden.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name+".golden")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run the test with -update to make it")
	assert.Equal(t, string(want), got)
}

// cells writes glyphs, then inks (t trace, m mark, ! miss, w text, f faint), then
// grounds (a and b the chequer, ! miss), each as a picture.
func cells(c *Canvas) string {
	var b strings.Builder
	cols, rows := c.Size()
	layer := func(of func(Cell) rune) {
		for row := range rows {
			var line strings.Builder
			for col := range cols {
				line.WriteRune(of(c.At(col, row)))
			}
			b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
		}
		b.WriteString("\n")
	}
	layer(func(cell Cell) rune { return cell.Rune })
	layer(func(cell Cell) rune {
		if cell.Rune == ' ' {
			return ' '
		}
		return rune("tm!wf"[cell.Ink])
	})
	layer(func(cell Cell) rune { return rune("ab!"[cell.Ground]) })
	return b.String()
}

func TestGoldenCells(t *testing.T) {
	for _, tt := range []struct {
		name    string
		glyphs  look.Glyphs
		profile termenv.Profile
		v       View
	}{
		{"base-80", look.Braille, termenv.ANSI256, View{Cols: 80, Rows: 12, Calibrate: true}},
		{"base-120", look.Braille, termenv.ANSI256, View{Cols: 120, Rows: 14}},
		{"base-200", look.Braille, termenv.ANSI256, View{Cols: 200, Rows: 16, Left: 0.525}},
		{"double-80", look.Braille, termenv.ANSI256, View{Cols: 80, Rows: 18, Scale: Double}},
		{"double-120", look.Braille, termenv.ANSI256, View{Cols: 120, Rows: 20, Scale: Double, Calibrate: true}},
		{"double-200", look.Braille, termenv.ANSI256, View{Cols: 200, Rows: 20, Scale: Double}},
		{"half-block-80", look.HalfBlock, termenv.ANSI256, View{Cols: 80, Rows: 12, Calibrate: true}},
		{"half-block-double-120", look.HalfBlock, termenv.ANSI256, View{Cols: 120, Rows: 20, Scale: Double}},
		{"ascii-80", look.ASCII, termenv.ANSI256, View{Cols: 80, Rows: 12, Calibrate: true}},
		{"ascii-double-120", look.ASCII, termenv.ANSI256, View{Cols: 120, Rows: 20, Scale: Double}},
		{"no-colour-80", look.Braille, termenv.Ascii, View{Cols: 80, Rows: 12, Calibrate: true}},
		{"no-colour-ascii-double-80", look.ASCII, termenv.Ascii, View{Cols: 80, Rows: 18, Scale: Double}},
		{"fast-paper-120", look.Braille, termenv.ANSI256, View{Cols: 120, Rows: 18, Speed: 50, Gain: 20}},
	} {
		t.Run(tt.name, func(t *testing.T) { golden(t, tt.name, cells(scene(lookOf(tt.glyphs, tt.profile), tt.v))) })
	}
}

// The bytes themselves, for one small window; escape is written as ^.
func TestGoldenBytes(t *testing.T) {
	c := scene(lookOf(look.Braille, termenv.ANSI256), View{Cols: 20, Rows: 8})
	golden(t, "bytes-20", strings.ReplaceAll(c.String(), "\x1b", "^")+"\n")
}
