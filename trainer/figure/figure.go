// Package figure draws a strip as a printed page: in millimetres, on squared paper,
// with the calibration pulse and the name of each lead. A Figure is lines and words
// where they stand; SVG and PNG write it, a Sheet puts several on pages. Cells on a terminal are trainer/paper's.
package figure

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"telltrace/synth/ecg"
	"telltrace/trainer/paper"
)

// A Paper is the colour of the squares. Chosen by name on the command line.
type Paper string

// The papers.
const (
	Pink Paper = "pink"
	Grey Paper = "grey"
)

// Papers lists the papers, the usual one first.
var Papers = []Paper{Pink, Grey}

// Sizes on the page, mm.
const (
	margin    = 8.0
	box       = 5.0   // a big box: 0.2 s and 0.5 mV
	widest    = 250.0 // of a line of trace: 10 s
	lead      = 15.0  // before the trace, for the calibration pulse
	least     = 20.0  // height of a lead
	most      = 60.0
	pulseTall = 15.0
	textTall  = 3.2
	lineTall  = 5.0
)

// calibration pulse: 1 mV for 0.2 s, the convention of recorders.
const (
	calibrationMV      = 1.0
	calibrationSeconds = 0.2
)

// A Figure is a page of a strip, in mm from its upper left corner.
type Figure struct {
	paper         Paper
	width, height float64
	grids         []rect
	lines         [][]point
	texts         []text
}

type point struct{ x, y float64 }

type rect struct{ x, y, w, h float64 }

type text struct {
	at   point // left end of the base line
	text string
}

// New draws the leads of a strip, and its pulse trace under them, at 25 mm/s and 10
// mm/mV, ten seconds a line. above and below are words round it.
func New(p Paper, s ecg.Strip, leads []ecg.Lead, above, below []string) *Figure {
	const perLine = widest / paper.DefaultSpeed // s
	f := &Figure{paper: p, height: margin}
	f.width = 2*margin + lead + math.Ceil(min(s.Seconds(), perLine)*paper.DefaultSpeed/box)*box
	f.words(above)
	samples, each := len(s.Row(leads[0])), int(perLine*s.Rate)
	for from := 0; from < samples; from += each {
		part := s.Cut(from, min(from+each, samples))
		f.height += box / 2
		for _, l := range leads {
			f.lead(part, l)
		}
		if pulse := part.Witness(ecg.Pleth); pulse != nil {
			f.pulse(pulse, s.Rate)
		}
	}
	f.height += box / 2
	f.words(append([]string{fmt.Sprintf("%g mm/s   %g mm/mV", paper.DefaultSpeed, paper.DefaultGain)}, below...))
	f.height += margin / 2
	return f
}

// words writes lines one below the other, broken to the width of the page.
func (f *Figure) words(lines []string) {
	const perLetter = textTall * 0.55 // of a sans-serif face, about
	room := int((f.width - 2*margin) / perLetter)
	for _, s := range lines {
		for _, line := range strings.Split(ansi.Wordwrap(s, room, ""), "\n") {
			f.height += lineTall
			f.texts = append(f.texts, text{point{margin, f.height - lineTall/4}, line})
		}
	}
}

// grid lays squared paper of a height over the width of the page and returns its top.
func (f *Figure) grid(tall float64) (top float64) {
	top = f.height
	f.grids = append(f.grids, rect{margin, top, f.width - 2*margin, tall})
	f.height += tall
	return top
}

// lead draws one lead with its calibration pulse. What is taller than the paper is cut
// at its edge.
func (f *Figure) lead(s ecg.Strip, l ecg.Lead) {
	row := s.Row(l)
	lo, hi := 0.0, calibrationMV
	for _, x := range row {
		if !math.IsNaN(x) {
			lo, hi = min(lo, x), max(hi, x)
		}
	}
	tall := min(max(math.Ceil((hi-lo)*paper.DefaultGain/box+1)*box, least), most)
	top := f.grid(tall)
	// The base line lies on a box line, with the trace in the middle as far as that goes.
	zero := top + math.Round((tall/2+(hi+lo)/2*paper.DefaultGain)/box)*box
	y := func(mv float64) float64 { return min(max(zero-mv*paper.DefaultGain, top), top+tall) }
	f.trace(row, s.Rate, y)
	wide := calibrationSeconds * paper.DefaultSpeed
	x := margin + box/2
	f.lines = append(f.lines, []point{{x - 1, y(0)}, {x, y(0)}, {x, y(calibrationMV)}, {x + wide, y(calibrationMV)}, {x + wide, y(0)}, {x + wide + 1, y(0)}})
	f.texts = append(f.texts, text{point{margin + 1, top + textTall + 0.5}, string(l)})
}

// pulse draws the pulse trace over the height it has.
func (f *Figure) pulse(row []float64, rate float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, x := range row {
		if !math.IsNaN(x) {
			lo, hi = min(lo, x), max(hi, x)
		}
	}
	top := f.grid(pulseTall)
	const leastRange = 0.8 // so that the noise of a flat one does not grow into waves
	scale := (pulseTall - 2) / max(hi-lo, leastRange)
	f.trace(row, rate, func(x float64) float64 { return top + pulseTall - 1 - (x-lo)*scale })
	f.texts = append(f.texts, text{point{margin + 1, top + textTall + 0.5}, "pulse"})
}

// trace adds a row of samples as lines, broken where samples are missing.
func (f *Figure) trace(row []float64, rate float64, y func(float64) float64) {
	var line []point
	flush := func() {
		if len(line) > 1 {
			f.lines = append(f.lines, line)
		}
		line = nil
	}
	for i, v := range row {
		if math.IsNaN(v) {
			flush()
			continue
		}
		line = append(line, point{margin + lead + float64(i)/rate*paper.DefaultSpeed, y(v)})
	}
	flush()
}
