package form

import (
	"fmt"

	"telltrace/scenarios/task"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/trainer/look"
	"telltrace/trainer/paper"
	"telltrace/trainer/stage"
)

// shownFor is how much of a strip has run when a page shows it, s.
const shownFor = 12

// Rows of a strip on a page: a line of lead, speed and gain above it.
const (
	leastStrip = 7
	mostStrip  = 13
	leastTable = 11 // of the table of beats in a plain look
)

// StripPage is a page with the task's strip as its picture: lead II, or the lead that comes
// first, held; in words in a plain look.
func StripPage(l *look.Look, t task.Task) (Page, error) {
	p, err := synth.Open(t.Strip)
	if err != nil {
		return Page{}, err
	}
	s := stage.New(l, p, shownFor)
	least := leastStrip
	if l.Plain {
		least = leastTable
	}
	return Page{Task: t, Least: least, Most: mostStrip, Draw: func(cols, rows int, _ []task.Value, _ bool) []string {
		s.Resize(cols, (rows-1)/2*2, 0)
		return append([]string{l.Faint.Render(s.Header())}, s.Draw(nil)...)
	}}, nil
}

// Printed draws the first lead of a strip at a speed (mm/s) and gain (mm/mV).
func Printed(l *look.Look, strip ecg.Strip, cols, rows int, speed, gain float64) []string {
	v := paper.View{Cols: cols, Rows: max((rows-1)/2*2, 2), Speed: speed, Gain: gain}
	v.Left = strip.Seconds() - v.Seconds()
	return append([]string{l.Faint.Render(paper.HeaderText(strip.Leads[0], v))}, trace(l, strip, 0, v)...)
}

// Traces draws leads one below the other, each by its name, under a line with speed and gain.
// Leads that get few rows are drawn at half the gain, four with fewer still in two columns
// where these are wide enough.
func Traces(l *look.Look, strip ecg.Strip, cols, rows int) []string {
	const full, least = 6, 4 // rows of a lead
	const wide = 30          // columns of a lead, 1.5 s: below it a slow rhythm may show no beat
	n, side := len(strip.Leads), 1
	if (rows-1)/n < least && n > 3 && cols/2-nameCols >= wide {
		side = 2
	}
	down := (n + side - 1) / side
	each := (rows - 1) / down
	if each >= least {
		each = each / 2 * 2 // then the middle line lies on a box line
	}
	v := paper.View{Cols: cols/side - nameCols, Rows: max(each, 2), Gain: paper.DefaultGain}
	if v.Rows < full {
		v.Gain /= 2
	}
	v.Left = strip.Seconds() - v.Seconds()
	lines := []string{l.Faint.Render(fmt.Sprintf("%.0f mm/s   %.0f mm/mV", paper.DefaultSpeed, v.Gain))}
	for at := 0; at < n; at += side {
		part := named(l, strip, at, v)
		if side == 2 && at+1 < n {
			for i, more := range named(l, strip, at+1, v) {
				part[i] += more
			}
		}
		lines = append(lines, part...)
	}
	return lines[:min(len(lines), rows)]
}

// nameCols are left of a lead for its name, which a trace would run into.
const nameCols = 5

// named draws one lead beside its name.
func named(l *look.Look, strip ecg.Strip, row int, v paper.View) []string {
	lines := trace(l, strip, row, v)
	for i := range lines {
		name := ""
		if i == len(lines)/2-1 {
			name = string(strip.Leads[row])
		}
		lines[i] = fmt.Sprintf(" %-*s", nameCols-1, name) + lines[i]
	}
	return lines
}

// trace draws one lead.
func trace(l *look.Look, strip ecg.Strip, row int, v paper.View) []string {
	e := new(paper.Envelope)
	e.Reset(v, strip.Rate, 0)
	e.Append(strip.MV[row])
	v = v.Follow(e)
	c := paper.NewCanvas(l)
	c.Reset(v.Cols, v.Rows)
	c.Grid(v)
	c.Trace(v, e)
	return c.Rows()
}
