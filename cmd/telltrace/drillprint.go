package main

import (
	"fmt"
	"io"
	"strings"

	"telltrace/scoring/drill"
	"telltrace/scoring/report/pdf"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/trainer/figure"
	"telltrace/trainer/look"
)

// A printOrder is how a drill is put on paper.
type printOrder struct {
	out, page, paper string
	answers          bool
	form             int
}

// printedSeconds is how much of each strip is printed: the usual length on paper.
const printedSeconds = 10

// printDrill writes the strips of a drill on true-scale paper, with their choices as boxes to
// tick, and the answers on pages of their own.
func (c *console) printDrill(d drill.Drill, o printOrder) error {
	if _, err := oneOf("paper", o.paper, figure.Papers); err != nil {
		return err
	}
	if _, err := oneOf("page", o.page, pdf.Sizes); err != nil {
		return err
	}
	if o.out == "-" && c.columns > 0 {
		return fmt.Errorf("a terminal cannot show a pdf: give --print the name of a file")
	}
	if o.form < 1 || o.form > 100 {
		return fmt.Errorf("--form %d: want 1 to 100", o.form)
	}
	list, err := d.Draw(fmt.Sprint("paper ", o.form), o.form-1)
	if err != nil {
		return err
	}
	sheet := figure.Sheet{Title: d.Title, Paper: figure.Paper(o.paper), Size: pdf.Size(o.page), Key: o.answers, Foot: look.Caution, Made: c.now()}
	if o.form > 1 {
		sheet.Title += fmt.Sprintf(", form %d", o.form)
	}
	for i, e := range list {
		strip, marks, err := synth.Render(e.Strip, printedSeconds)
		if err != nil {
			return err
		}
		m := made{id: e.Strip, strip: strip, drawn: []ecg.Lead{strip.Leads[min(1, len(strip.Leads)-1)]}, marks: marks}
		item := m.item(fmt.Sprintf("%d.  ", i+1))
		var boxes []string
		for k, id := range e.Choices {
			l, _ := synth.Lesson(id)
			boxes = append(boxes, fmt.Sprintf("(%c) %s", 'A'+k, l.Name))
		}
		boxes = append(boxes, fmt.Sprintf("(%c) %s", 'A'+len(e.Choices), look.NotSure))
		item.Above = append(item.Above, strings.Join(boxes, ",  "))
		sheet.Items = append(sheet.Items, item)
	}
	return c.writeTo(o.out, func(w io.Writer) error { return sheet.PDF(w) })
}
