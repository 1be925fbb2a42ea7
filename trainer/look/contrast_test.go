package look

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// xterm's colours: the 6 x 6 x 6 cube has levels 0, 95, 135 ... 255, the greys
// 8, 18 ... 238 (xterm, 256colres.pl); entries 0-15 are its default settings, which
// a user may have changed.
func rgb(n uint8) [3]float64 {
	base := [16][3]float64{{0, 0, 0}, {205, 0, 0}, {0, 205, 0}, {205, 205, 0}, {0, 0, 238}, {205, 0, 205}, {0, 205, 205}, {229, 229, 229},
		{127, 127, 127}, {255, 0, 0}, {0, 255, 0}, {255, 255, 0}, {92, 92, 255}, {255, 0, 255}, {0, 255, 255}, {255, 255, 255}}
	switch {
	case n < 16:
		return base[n]
	case n >= 232:
		g := 8 + 10*float64(n-232)
		return [3]float64{g, g, g}
	}
	level := func(k uint8) float64 {
		if k == 0 {
			return 0
		}
		return 55 + 40*float64(k)
	}
	n -= 16
	return [3]float64{level(n / 36), level(n / 6 % 6), level(n % 6)}
}

// linear undoes the sRGB transfer curve (WCAG 2.1, "relative luminance").
func linear(c [3]float64) (out [3]float64) {
	for i, x := range c {
		if x /= 255; x <= 0.03928 {
			out[i] = x / 12.92
		} else {
			out[i] = math.Pow((x+0.055)/1.055, 2.4)
		}
	}
	return out
}

type matrix [3][3]float64

// Complete colour deficiencies on linear RGB: Machado, Oliveira, Fernandes 2009,
// IEEE Trans Vis Comput Graph 15:1291, severity 1.0 (from memory).
var visions = []struct {
	name string
	m    matrix
}{
	{"usual", matrix{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}},
	{"protanopia", matrix{{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}},
	{"deuteranopia", matrix{{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}},
	{"tritanopia", matrix{{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}},
}

func luminance(n uint8, m matrix) float64 {
	c := linear(rgb(n))
	var seen [3]float64
	for i := range seen {
		for j := range c {
			seen[i] += m[i][j] * c[j]
		}
		seen[i] = min(max(seen[i], 0), 1)
	}
	return 0.2126*seen[0] + 0.7152*seen[1] + 0.0722*seen[2]
}

// contrast is the WCAG 2.1 contrast ratio, 1 to 21.
func contrast(a, b uint8, m matrix) float64 {
	x, y := luminance(a, m), luminance(b, m)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func TestContrastFormula(t *testing.T) {
	usual := visions[0].m
	assert.InDelta(t, 21, contrast(16, 231, usual), 1e-9, "black on white: 21:1, WCAG 2.1")
	assert.InDelta(t, 4.54, contrast(231, 243, usual), 0.06, "#767676 on white is 4.54:1 (WebAIM contrast checker); 243 is #767676")
	for _, v := range visions {
		for _, row := range v.m {
			assert.InDelta(t, 1, row[0]+row[1]+row[2], 2e-6, "%s: grey stays grey", v.name)
		}
	}
}

// Ratios: WCAG 2.1 success criteria 1.4.11 (graphics, 3:1), 1.4.3 (text, 4.5:1)
// and 1.4.6 (enhanced, 7:1).
func TestContrast(t *testing.T) {
	const graphics, text, enhanced = 3.0, 4.5, 7.0
	// The terminal's own background is known only to be light or dark.
	backgrounds := map[Palette][]uint8{Dark: {16, 233, 234}, Light: {231, 255}, HighContrast: {16, 234}}
	depths := map[string]func(colour) uint8{
		"256": func(c colour) uint8 { return c.x256 },
		"16":  func(c colour) uint8 { return c.x16 },
	}
	for _, p := range []Palette{Dark, Light, HighContrast} {
		s := schemeOf(p)
		for depth, of := range depths {
			for _, v := range visions {
				at := fmt.Sprintf("%s, %s colours, %s", p, depth, v.name)
				hold := func(what string, front, back uint8, least float64) {
					if p == HighContrast && depth == "256" && least == text {
						least = enhanced
					}
					got := contrast(front, back, v.m)
					assert.GreaterOrEqual(t, got, least, "%s: %s, %d on %d", at, what, front, back)
				}
				for _, tint := range []Ground{PaperA, PaperB} {
					back := of(s.ground[tint])
					hold("trace", of(s.ink[InkTrace]), back, graphics)
					for name, ink := range map[string]Ink{"marks": InkMark, "text": InkText, "faint": InkFaint} {
						least := text
						if depth == "16" { // the second tint can only be mid-grey there
							least = graphics
						}
						hold(name, of(s.ink[ink]), back, least)
					}
				}
				hold("must not be missed", of(s.ink[InkMiss]), of(s.ground[GroundMiss]), text)
				if depth == "16" {
					continue // the terminal's own shades, chosen for its background
				}
				for _, back := range backgrounds[p] {
					for name, c := range map[string]colour{"faint": s.text.faint, "key": s.text.key,
						"chosen": s.text.chosen, "right": s.text.right, "wrong": s.text.wrong} {
						hold(name, of(c), back, text)
					}
				}
				a, b := of(s.ground[PaperA]), of(s.ground[PaperB])
				assert.GreaterOrEqual(t, contrast(a, b, v.m), 1.08, "%s: the chequer can be seen", at)
				assert.LessOrEqual(t, contrast(a, b, v.m), 1.5, "%s: the chequer is quiet", at)
			}
		}
	}
}
