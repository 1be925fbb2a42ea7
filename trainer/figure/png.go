package figure

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// dotsPerMM is the resolution of the image: 203 dots per inch.
const dotsPerMM = 8.0

// PNG writes the figure as an image of 8 dots a millimetre.
func (f *Figure) PNG(w io.Writer) error {
	face, err := textFace(textTall * dotsPerMM)
	if err != nil {
		return err
	}
	defer face.Close()
	c := f.paper.colours()
	img := image.NewRGBA(image.Rect(0, 0, int(math.Ceil(f.width*dotsPerMM)), int(math.Ceil(f.height*dotsPerMM))))
	draw.Draw(img, img.Bounds(), image.NewUniform(rgb(c.paper)), image.Point{}, draw.Src)
	for _, rule := range []struct {
		step, width float64
		colour      string
	}{{1, thinLine, c.thin}, {box, thickLine, c.thick}} {
		for _, l := range f.ruled(rule.step) {
			stroke(img, l[:], max(rule.width*dotsPerMM, 1), rgb(rule.colour))
		}
	}
	for _, line := range f.lines {
		stroke(img, line, traceLine*dotsPerMM, rgb(c.ink))
	}
	for _, t := range f.texts {
		d := font.Drawer{Dst: img, Src: image.NewUniform(rgb(c.ink)), Face: face, Dot: fixed.P(int(t.at.x*dotsPerMM), int(t.at.y*dotsPerMM))}
		d.DrawString(t.text)
	}
	return png.Encode(w, img)
}

func textFace(tall float64) (font.Face, error) {
	parsed, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("figure: the font: %w", err)
	}
	return opentype.NewFace(parsed, &opentype.FaceOptions{Size: tall, DPI: 72, Hinting: font.HintingFull})
}

// rgb reads a colour such as "#f8d2cd".
func rgb(s string) color.RGBA {
	c := color.RGBA{A: 255}
	_, _ = fmt.Sscanf(s, "#%02x%02x%02x", &c.R, &c.G, &c.B)
	return c
}

// stroke draws a line of a width (dots) through points (mm).
func stroke(img *image.RGBA, line []point, width float64, c color.RGBA) {
	lo, hi := line[0], line[0]
	for _, p := range line {
		lo, hi = point{min(lo.x, p.x), min(lo.y, p.y)}, point{max(hi.x, p.x), max(hi.y, p.y)}
	}
	area := image.Rect(int(lo.x*dotsPerMM-width)-1, int(lo.y*dotsPerMM-width)-1, int(hi.x*dotsPerMM+width)+2, int(hi.y*dotsPerMM+width)+2)
	v := vector.NewRasterizer(area.Dx(), area.Dy())
	at := func(x, y float64) (float32, float32) {
		return float32(x - float64(area.Min.X)), float32(y - float64(area.Min.Y))
	}
	for i := 1; i < len(line); i++ {
		ax, ay := line[i-1].x*dotsPerMM, line[i-1].y*dotsPerMM
		bx, by := line[i].x*dotsPerMM, line[i].y*dotsPerMM
		length := math.Hypot(bx-ax, by-ay)
		if length == 0 {
			continue
		}
		// Along and across the segment by half the width: square ends close the joints,
		// and all quadrilaterals turn the same way, so that overlaps add up.
		ux, uy := (bx-ax)/length*width/2, (by-ay)/length*width/2
		v.MoveTo(at(ax-ux-uy, ay-uy+ux))
		v.LineTo(at(bx+ux-uy, by+uy+ux))
		v.LineTo(at(bx+ux+uy, by+uy-ux))
		v.LineTo(at(ax-ux+uy, ay-uy-ux))
		v.ClosePath()
	}
	v.Draw(img, area, image.NewUniform(c), image.Point{})
}
