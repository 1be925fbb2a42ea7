package report

import (
	"fmt"
	"io"
	"slices"

	"telltrace/scoring/report/pdf"
)

// Layout of the printed report, mm.
const (
	edge = 15.0
	tall = 2.8 // of letters
	line = 4.2
)

// PDF writes the report on paper, each orientation record on pages of its own.
func (r *Report) PDF(w io.Writer, size pdf.Size) error {
	p := &printed{Doc: pdf.New(size, true, r.Title(), r.set.Made), foot: r.set.Caution}
	p.next()
	p.write(0, p.W-2*edge, true, r.Title())
	for _, s := range r.Sections() {
		if s.Apart || p.y > p.H-60 {
			p.next()
		}
		p.y += line
		p.write(0, p.W-2*edge, true, s.Title)
		for _, words := range s.Lines {
			p.write(0, p.W-2*edge, false, words)
		}
		if len(s.Rows) > 0 {
			p.table(s)
		}
		for _, words := range s.After {
			p.room(2)
			p.y += line
			p.write(0, p.W-2*edge, false, words)
		}
	}
	return p.Close(w)
}

type printed struct {
	*pdf.Doc
	foot string
	y    float64
}

func (p *printed) next() {
	p.AddPage()
	p.Face(tall*0.8, false)
	p.At(edge, p.H-edge/2, p.foot)
	p.At(p.W-edge-8, p.H-edge/2, fmt.Sprint(p.PageNo()))
	p.y = edge
}

func (p *printed) room(lines int) {
	if p.y+float64(lines)*line > p.H-edge {
		p.next()
	}
}

func (p *printed) write(x, wide float64, bold bool, words string) {
	p.Face(tall, bold)
	for _, l := range p.Wrapped(words, wide) {
		p.room(1)
		p.Face(tall, bold)
		p.y += line
		p.At(edge+x, p.y, l)
	}
}

// table writes rows in columns whose widths follow the longest word in them, within bounds.
func (p *printed) table(s Section) {
	const least, most = 12.0, 70.0
	widths, sum := make([]float64, len(s.Head)), 0.0
	for i, h := range s.Head {
		p.Face(tall, true)
		widths[i] = min(max(least, p.GetStringWidth(h)+4), most)
		p.Face(tall, false)
		for _, row := range s.Rows[:min(len(s.Rows), 200)] {
			widths[i] = min(max(widths[i], p.GetStringWidth(pdf.Harmless(row[i], 200))+3), most)
		}
		sum += widths[i]
	}
	for i := range widths {
		widths[i] *= min(1, (p.W-2*edge)/sum)
	}
	if spare := p.W - 2*edge - sum; spare > 0 && slices.Max(widths) == most { // for what is long
		widths[slices.Index(widths, most)] += spare
	}
	p.row(s.Head, widths, true)
	for _, row := range s.Rows {
		p.row(row, widths, false)
	}
}

func (p *printed) row(cells []string, widths []float64, bold bool) {
	p.Face(tall, bold)
	wrapped, lines := make([][]string, len(cells)), 1
	for i, c := range cells {
		wrapped[i] = p.Wrapped(c, widths[i]-2)
		lines = max(lines, len(wrapped[i]))
	}
	p.room(lines)
	p.Face(tall, bold)
	x := edge
	for i := range cells {
		for j, l := range wrapped[i] {
			p.At(x, p.y+float64(j+1)*line, l)
		}
		x += widths[i]
	}
	p.y += float64(lines) * line
	p.SetLineWidth(0.1)
	p.Line(edge, p.y+1, x, p.y+1)
}
