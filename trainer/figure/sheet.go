package figure

import (
	"fmt"
	"io"
	"math"
	"time"

	"telltrace/scoring/report/pdf"
	"telltrace/synth/ecg"
)

// A Sheet is strips on paper, one below the other at their true size, and if wanted the
// answers on pages of their own at the end.
type Sheet struct {
	Title string
	Paper Paper
	Size  pdf.Size
	Items []Item
	Key   bool      // with the answers
	Foot  string    // the caution, on every page
	Made  time.Time // the date of the document
}

// An Item is a strip of a sheet.
type Item struct {
	Strip  ecg.Strip
	Leads  []ecg.Lead
	Above  []string // what may be known before the answer, with lines to write on
	Answer []string // for the pages at the end, the first line in bold
}

// Layout of a page, mm.
const (
	edge     = 7.0  // that printers leave white
	headTall = 9.0  // title and number of the page
	footTall = 20.0 // ruler and caution
	cardWide = 85.6 // of a bank card (ISO/IEC 7810, ID-1): everybody has this ruler on them
	rulerMM  = 100
)

// PDF writes the sheet: 25 mm of paper are a second and 10 mm a millivolt, on every page
// a ruler by which to see whether the printer kept to it. Pages stand upright where the
// strips are short enough. It returns an error when a strip has no lead to draw.
func (s Sheet) PDF(w io.Writer) error {
	figures, wide := make([]*Figure, len(s.Items)), 0.0
	for i, item := range s.Items {
		if len(item.Leads) == 0 {
			return fmt.Errorf("strip %d of the sheet has no lead to draw", i+1)
		}
		figures[i] = New(s.Paper, item.Strip, item.Leads, item.Above, nil)
		wide = max(wide, figures[i].width-2*margin)
	}
	upright, _ := s.Size.MM()
	d := &sheetDoc{Doc: pdf.New(s.Size, wide+2*edge > upright, s.Title, s.Made), sheet: s}
	for _, f := range figures {
		d.figure(f)
	}
	if s.Key {
		d.key()
	}
	return d.Close(w)
}

// A sheetDoc is a sheet being written; y is how far down its page is filled.
type sheetDoc struct {
	*pdf.Doc
	sheet Sheet
	y     float64
}

func (d *sheetDoc) bottom() float64 { return d.H - footTall }

// next begins a page: title, ruler, caution.
func (d *sheetDoc) next() {
	d.AddPage()
	d.SetTextColor(16, 16, 16)
	d.Face(textTall*1.1, true)
	d.At(edge+1, edge+textTall, pdf.Harmless(d.sheet.Title, 80))
	d.Face(textTall, false)
	number := fmt.Sprint(d.PageNo())
	d.At(d.W-edge-1-d.GetStringWidth(number), edge+textTall, number)
	d.ruler(edge+1, d.bottom()+4)
	d.Face(textTall*0.8, false)
	for i, line := range d.Wrapped(d.sheet.Foot, d.W-2*edge-2) {
		d.At(edge+1, d.bottom()+13+float64(i)*3, line)
	}
	d.y = headTall + edge/2
}

// ruler draws ten centimetres and the width of a bank card.
func (d *sheetDoc) ruler(x, y float64) {
	d.SetDrawColor(16, 16, 16)
	d.SetLineWidth(0.15)
	d.Line(x, y, x+rulerMM, y)
	d.Face(textTall*0.75, false)
	for mm := 0; mm <= rulerMM; mm++ {
		tall := 1.2
		if mm%5 == 0 {
			tall = 2
		}
		if mm%10 == 0 {
			tall = 3
			label := fmt.Sprint(mm / 10)
			d.At(x+float64(mm)-d.GetStringWidth(label)/2, y+tall+2.4, label)
		}
		d.Line(x+float64(mm), y, x+float64(mm), y+tall)
	}
	d.SetLineWidth(0.3)
	d.Line(x+cardWide, y-2.5, x+cardWide, y)
	d.Face(textTall*0.8, false)
	for i, line := range d.Wrapped("The ruler is 10 cm long; a bank card laid at 0 ends at the mark above it. If not, print again at 100 %, actual size. A small square is 1 mm: 0.04 s and 0.1 mV.", d.W-x-rulerMM-edge-6) {
		d.At(x+rulerMM+5, y+1+float64(i)*3, line)
	}
}

// A band is what must not be torn apart by the end of a page: words, or the paper of a
// lead with its trace.
type band struct{ top, bottom float64 }

// bands are those of a figure from the top down; between them is nothing.
func (f *Figure) bands() (bands []band) {
	grid := 0
	add := func(t text) { bands = append(bands, band{t.at.y - lineTall*0.75, t.at.y + lineTall/4}) }
	for _, t := range f.texts {
		for ; grid < len(f.grids) && f.grids[grid].y <= t.at.y; grid++ {
			bands = append(bands, band{f.grids[grid].y, f.grids[grid].y + f.grids[grid].h})
		}
		if grid == 0 || t.at.y > bands[len(bands)-1].bottom {
			add(t)
		}
	}
	return bands
}

// figure puts a figure on the page, on the next where it fits there alone, or over
// several in whole bands.
func (d *sheetDoc) figure(f *Figure) {
	bands := f.bands()
	first, last := bands[0].top, bands[len(bands)-1].bottom
	room := d.bottom() - headTall - edge/2
	if d.PageNo() == 0 || d.y+last-first > d.bottom() && (last-first <= room || d.y > headTall+edge) {
		d.next()
	}
	left := (d.W-(f.width-2*margin))/2 - margin
	for i, b := range bands {
		if d.y+b.bottom-b.top > d.bottom() {
			d.next()
		}
		d.band(f, b, left, d.y-b.top)
		d.y += b.bottom - b.top
		if i+1 < len(bands) {
			d.y += bands[i+1].top - b.bottom
		}
	}
	d.y += box
}

// band draws what of a figure lies in a band, moved by dx and dy.
func (d *sheetDoc) band(f *Figure, b band, dx, dy float64) {
	inside := func(y float64) bool { return y >= b.top-1e-6 && y <= b.bottom+1e-6 }
	c := f.paper.colours()
	for _, g := range f.grids {
		if !inside(g.y) || !inside(g.y+g.h) {
			continue
		}
		set(d.SetFillColor, c.paper)
		d.Rect(g.x+dx, g.y+dy, g.w, g.h, "F")
	}
	for _, rule := range []struct {
		step, width float64
		colour      string
	}{{1, thinLine, c.thin}, {box, thickLine, c.thick}} {
		set(d.SetDrawColor, rule.colour)
		d.SetLineWidth(rule.width)
		for _, l := range f.ruled(rule.step) {
			if inside(l[0].y) && inside(l[1].y) {
				d.Line(l[0].x+dx, l[0].y+dy, l[1].x+dx, l[1].y+dy)
			}
		}
	}
	set(d.SetDrawColor, c.ink)
	d.SetLineWidth(traceLine)
	d.SetLineJoinStyle("round")
	for _, line := range f.lines {
		if !inside(line[0].y) {
			continue
		}
		d.MoveTo(line[0].x+dx, line[0].y+dy)
		for _, p := range line[1:] {
			d.LineTo(p.x+dx, p.y+dy)
		}
		d.DrawPath("D")
	}
	set(d.SetTextColor, c.ink)
	d.Face(textTall, false)
	for _, t := range f.texts {
		if inside(t.at.y) {
			d.At(t.at.x+dx, t.at.y+dy, t.text)
		}
	}
}

// key writes the answers, on pages of their own.
func (d *sheetDoc) key() {
	d.next()
	write := func(words string, indent float64, bold bool) {
		d.Face(textTall, bold)
		for _, line := range d.Wrapped(words, d.W-2*edge-2-indent) {
			if d.y+lineTall > d.bottom() {
				d.next()
				d.Face(textTall, bold)
			}
			d.y += lineTall
			d.At(edge+1+indent, d.y, line)
		}
	}
	write("Answers", 0, true)
	for i, item := range d.sheet.Items {
		d.y += lineTall / 3
		for j, words := range item.Answer {
			if j == 0 {
				words = fmt.Sprintf("%d. %s", i+1, words)
			}
			write(words, math.Min(float64(j), 1)*5, j == 0)
		}
	}
}

func set(colour func(r, g, b int), hex string) {
	c := rgb(hex)
	colour(int(c.R), int(c.G), int(c.B))
}
