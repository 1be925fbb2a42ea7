package screentest

import (
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/hinshun/vt10x"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// A cell of a picture, in dots, and where in it letters stand.
const (
	cellWide = 8
	cellTall = 16
	baseLine = 12
	letters  = 13.0 // size of the face: 0.6 of it is the width of a letter
)

// A window is the terminal's own colours.
type window struct{ front, back color.RGBA }

var (
	darkWindow  = window{color.RGBA{0xe4, 0xe4, 0xe4, 0xff}, color.RGBA{0x10, 0x10, 0x10, 0xff}}
	lightWindow = window{color.RGBA{0x20, 0x20, 0x20, 0xff}, color.RGBA{0xff, 0xff, 0xff, 0xff}}
)

// Picture writes the page as it looks on a dark or a light terminal to an image file.
// Braille is drawn dot by dot, as fonts with it do.
func (d *Driver) Picture(path string, light bool) {
	d.t.Helper()
	require.NoError(d.t, os.MkdirAll(filepath.Dir(path), 0o755))
	f, err := os.Create(path)
	require.NoError(d.t, err)
	defer f.Close()
	win := darkWindow
	if light {
		win = lightWindow
	}
	require.NoError(d.t, picture(f, d.View(), d.cols, d.rows, win))
}

func picture(w io.Writer, view string, cols, rows int, win window) error {
	term := vt10x.New(vt10x.WithSize(cols, rows))
	_, _ = io.WriteString(term, "\x1b[?7l"+strings.ReplaceAll(view, "\n", "\r\n"))
	parsed, err := opentype.Parse(gomono.TTF)
	if err != nil {
		return err
	}
	face, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: letters, DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		return err
	}
	defer face.Close()
	img := image.NewRGBA(image.Rect(0, 0, cols*cellWide, rows*cellTall))
	for y := range rows {
		for x := range cols {
			cell := term.Cell(x, y)
			area := image.Rect(x*cellWide, y*cellTall, (x+1)*cellWide, (y+1)*cellTall)
			front, back := win.rgb(cell.FG, win.front), win.rgb(cell.BG, win.back)
			draw.Draw(img, area, image.NewUniform(back), image.Point{}, draw.Src)
			glyph(img, area, cell.Char, front, face)
		}
	}
	return png.Encode(w, img)
}

// glyph draws one character.
func glyph(img *image.RGBA, area image.Rectangle, r rune, front color.RGBA, face font.Face) {
	fill := func(x0, y0, x1, y1 int) {
		draw.Draw(img, image.Rect(x0, y0, x1, y1).Add(area.Min), image.NewUniform(front), image.Point{}, draw.Src)
	}
	switch {
	case r == 0 || r == ' ':
	case r >= 0x2800 && r <= 0x28ff:
		// Unicode's order: dots 1-3 and 7 on the left, 4-6 and 8 on the right.
		for bit, at := range [8][2]int{{0, 0}, {0, 1}, {0, 2}, {1, 0}, {1, 1}, {1, 2}, {0, 3}, {1, 3}} {
			if (r-0x2800)>>bit&1 == 1 {
				x, y := at[0]*cellWide/2, at[1]*cellTall/4
				fill(x, y, x+cellWide/2-1, y+cellTall/4-1)
			}
		}
	case r == '█':
		fill(0, 0, cellWide, cellTall)
	case r == '▀':
		fill(0, 0, cellWide, cellTall/2)
	case r == '▄':
		fill(0, cellTall/2, cellWide, cellTall)
	default:
		d := font.Drawer{Dst: img, Src: image.NewUniform(front), Face: face, Dot: fixed.P(area.Min.X, area.Min.Y+baseLine)}
		d.DrawString(string(r))
	}
}

// rgb is a colour of xterm's 256 (256colres.pl: a cube of levels 0, 95, 135 ... 255,
// then greys 8, 18 ... 238; below 16 its usual settings).
func (w window) rgb(c vt10x.Color, usual color.RGBA) color.RGBA {
	base := [16][3]uint8{{0, 0, 0}, {205, 0, 0}, {0, 205, 0}, {205, 205, 0}, {0, 0, 238}, {205, 0, 205}, {0, 205, 205}, {229, 229, 229},
		{127, 127, 127}, {255, 0, 0}, {0, 255, 0}, {255, 255, 0}, {92, 92, 255}, {255, 0, 255}, {0, 255, 255}, {255, 255, 255}}
	level := func(k vt10x.Color) uint8 {
		if k == 0 {
			return 0
		}
		return uint8(55 + 40*k)
	}
	switch {
	case c < 16:
		return color.RGBA{base[c][0], base[c][1], base[c][2], 255}
	case c < 232:
		c -= 16
		return color.RGBA{level(c / 36), level(c / 6 % 6), level(c % 6), 255}
	case c < 256:
		grey := uint8(8 + 10*(c-232))
		return color.RGBA{grey, grey, grey, 255}
	case c == vt10x.DefaultFG:
		return w.front
	case c == vt10x.DefaultBG:
		return w.back
	default:
		return usual
	}
}
