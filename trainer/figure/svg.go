package figure

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
)

// colours of a page.
type colours struct{ paper, thin, thick, ink string }

func (p Paper) colours() colours {
	if p == Grey {
		return colours{"#ffffff", "#e0e0e0", "#b4b4b4", "#101010"}
	}
	return colours{"#fff8f7", "#f8d2cd", "#e8a49c", "#101010"}
}

// Widths of lines, mm.
const (
	thinLine  = 0.08
	thickLine = 0.16
	traceLine = 0.3
)

// SVG writes the figure as a vector image in its true size (SVG 1.1; 1 mm of paper is
// 1 mm of the page).
func (f *Figure) SVG(w io.Writer) error {
	b := bufio.NewWriter(w)
	c := f.paper.colours()
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s">`+"\n",
		mm(f.width), mm(f.height), mm(f.width), mm(f.height))
	fmt.Fprintf(b, `<rect width="100%%" height="100%%" fill="%s"/>`+"\n", c.paper)
	f.svgGrid(b, 1, thinLine, c.thin)
	f.svgGrid(b, box, thickLine, c.thick)
	fmt.Fprintf(b, `<g fill="none" stroke="%s" stroke-width="%s" stroke-linejoin="round">`+"\n", c.ink, mm(traceLine))
	for _, line := range f.lines {
		b.WriteString(`<polyline points="`)
		for i, p := range line {
			if i > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(mm(p.x) + "," + mm(p.y))
		}
		b.WriteString(`"/>` + "\n")
	}
	fmt.Fprintf(b, "</g>\n"+`<g fill="%s" font-family="sans-serif" font-size="%s">`+"\n", c.ink, mm(textTall))
	for _, t := range f.texts {
		fmt.Fprintf(b, `<text x="%s" y="%s">`, mm(t.at.x), mm(t.at.y))
		if err := xml.EscapeText(b, []byte(t.text)); err != nil {
			return err
		}
		b.WriteString("</text>\n")
	}
	b.WriteString("</g>\n</svg>\n")
	return b.Flush()
}

func (f *Figure) svgGrid(b *bufio.Writer, step, width float64, colour string) {
	fmt.Fprintf(b, `<path fill="none" stroke="%s" stroke-width="%s" d="`, colour, mm(width))
	for _, l := range f.ruled(step) {
		fmt.Fprintf(b, "M%s %sL%s %s", mm(l[0].x), mm(l[0].y), mm(l[1].x), mm(l[1].y))
	}
	b.WriteString(`"/>` + "\n")
}

// ruled are the lines of the squared paper, step mm apart.
func (f *Figure) ruled(step float64) (lines [][2]point) {
	for _, g := range f.grids {
		for x := 0.0; x <= g.w+1e-9; x += step {
			lines = append(lines, [2]point{{g.x + x, g.y}, {g.x + x, g.y + g.h}})
		}
		for y := 0.0; y <= g.h+1e-9; y += step {
			lines = append(lines, [2]point{{g.x, g.y + y}, {g.x + g.w, g.y + y}})
		}
	}
	return lines
}

// mm writes a length to the hundredth of a millimetre.
func mm(x float64) string { return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64) }
