package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"telltrace/scoring/report/pdf"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/record"
	"telltrace/trainer/figure"
	"telltrace/trainer/look"
	"telltrace/trainer/paper"
	"telltrace/trainer/stage"
)

// writeStrip writes a strip in one of the formats.
func (c *console) writeStrip(o stripOrder, format string, m made) error {
	switch format {
	case "wfdb":
		return record.WriteWFDBAs(o.out, m.record, o.wfdb)
	case "edf":
		return record.WriteEDF(o.out, m.record)
	case "csv":
		return c.writeTo(o.out, func(w io.Writer) error { return record.WriteCSV(w, tableOf(m.strip)) })
	case "json":
		return c.writeTo(o.out, func(w io.Writer) error { return json.NewEncoder(w).Encode(samplesOf(m)) })
	case "svg":
		return c.writeTo(o.out, m.figure(o).SVG)
	case "png":
		return c.writeTo(o.out, m.figure(o).PNG)
	case "pdf":
		sheet := figure.Sheet{Title: "telltrace", Paper: figure.Paper(o.paper), Size: pdf.Size(o.page), Key: o.answers,
			Items: []figure.Item{m.item("")}, Foot: m.caution(), Made: c.now()}
		return c.writeTo(o.out, sheet.PDF)
	default:
		return c.writeTo(o.out, func(w io.Writer) error {
			_, err := io.WriteString(w, c.textOf(o, m))
			return err
		})
	}
}

// figure is the strip as a printed page.
func (m made) figure(o stripOrder) *figure.Figure {
	return figure.New(figure.Paper(o.paper), m.strip, m.drawn, []string{m.id.String()}, []string{m.caution()})
}

// item is the strip on a sheet of paper: what may be known, then lines to write on. The
// number stands before it where the sheet has several.
func (m made) item(number string) figure.Item {
	known, answer := "Recording", []string{m.id.String()}
	if !m.rec {
		known = m.id.Age.Words()
		if m.id.State != "" {
			known += ", " + strings.ReplaceAll(string(m.id.State), "-", " ")
		}
		l, _ := synth.Lesson(m.id.Rhythm)
		shows := l.Name
		if over, ok := synth.Lesson(m.id.Artifact); ok {
			shows = over.Name + ", over " + l.Name
		}
		answer = append([]string{shows}, append(slices.Clone(l.LookFor), m.id.String())...)
	}
	return figure.Item{Strip: m.strip, Leads: m.drawn, Answer: answer,
		Above: []string{number + known, "It shows: ______________________________   Done first: ______________________________"}}
}

// recordFiles are the files of a WFDB record as it is written.
func recordFiles(path string) []string {
	base := strings.TrimSuffix(path, ".hea")
	return []string{base + ".hea", base + ".dat", base + "." + record.ReferenceAnnotator}
}

// caution is the line that belongs under the strip.
func (m made) caution() string {
	if m.rec {
		return readingCaution
	}
	return look.Caution
}

// fine is the step to which printed samples are rounded: 10 nV, far below any noise,
// and short to write.
const fine = 1e5

func roundedRow(row []float64) []float64 {
	out := make([]float64, len(row))
	for i, x := range row {
		out[i] = math.Round(x*fine) / fine
	}
	return out
}

// tableOf is the strip as CSV has it: the pulse trace stands beside the leads as a
// column of its own, by a name that readers know for no lead.
func tableOf(s ecg.Strip) ecg.Strip {
	t := ecg.Strip{Rate: s.Rate, Leads: slices.Clone(s.Leads)}
	for _, row := range s.MV {
		t.MV = append(t.MV, roundedRow(row))
	}
	if pulse := s.Witness(ecg.Pleth); pulse != nil {
		t.Leads = append(t.Leads, ecg.Lead(strings.ToLower(string(ecg.Pleth))))
		t.MV = append(t.MV, roundedRow(pulse))
	}
	return t
}

// The samples of a strip as strip --format json prints them.
type (
	samples struct {
		Identity  string        `json:"identity"`
		Caution   string        `json:"caution"`
		RateHz    float64       `json:"rate_hz"`
		Leads     []leadJSON    `json:"leads"`
		Witnesses []witnessJSON `json:"witnesses"`
	}
	leadJSON struct {
		Lead ecg.Lead `json:"lead"`
		MV   []number `json:"samples_mv"`
	}
	witnessJSON struct {
		Kind   ecg.WitnessKind `json:"kind"`
		Unit   word            `json:"unit"`
		Values []number        `json:"samples"`
	}
)

func samplesOf(m made) samples {
	numbers := func(row []float64) []number {
		out := make([]number, len(row))
		for i, x := range row {
			out[i] = rounded(x, fine)
		}
		return out
	}
	s := samples{Identity: m.id.String(), Caution: m.caution(), RateHz: m.strip.Rate, Witnesses: []witnessJSON{}}
	for i, l := range m.strip.Leads {
		s.Leads = append(s.Leads, leadJSON{l, numbers(m.strip.MV[i])})
	}
	for _, w := range m.strip.Witnesses {
		s.Witnesses = append(s.Witnesses, witnessJSON{w.Kind, word(w.Unit), numbers(w.Values)})
	}
	return s
}

// textOf is the identity, the caution, and the strip as paper or as a table.
func (c *console) textOf(o stripOrder, m made) string {
	head := m.id.String() + "\n" + m.caution() + "\n\n"
	if o.plain {
		return head + plainTable(m)
	}
	width := o.width
	var terminal *lipgloss.Renderer
	if c.columns > 0 && (o.out == "" || o.out == "-") {
		terminal = lipgloss.NewRenderer(c.out)
		if width == 0 {
			width = max(c.columns, 20)
		}
	}
	if width == 0 {
		width = textWidth
	}
	return head + drawing(look.New(terminal, look.Options{}), m, width)
}

// Rows of cells for a lead and for the pulse trace: 2.5 mV at 10 mm/mV.
const (
	leadRows  = 10
	pulseRows = 3
)

// drawing draws the leads, and the pulse trace under them, one width after the
// other as paper is cut and pasted.
func drawing(l *look.Look, m made, width int) string {
	var envelopes []*paper.Envelope
	for _, lead := range m.drawn {
		envelopes = append(envelopes, paper.Reduce(paper.View{}, m.strip.Row(lead), m.strip.Rate, 0))
	}
	pulse := m.strip.Witness(ecg.Pleth)
	pulseEnvelope := paper.Reduce(paper.View{}, pulse, m.strip.Rate, 0)
	canvas := paper.NewCanvas(l)
	view := paper.View{Cols: width, Rows: leadRows}
	perLine, whole := view.Seconds(), m.strip.Seconds()
	var b strings.Builder
	for ; view.Left < whole-1e-6; view.Left += perLine {
		v := view
		if view.Left > 0 {
			b.WriteByte('\n')
		}
		v.Cols = min(width, int(math.Ceil((whole-v.Left)/perLine*float64(width)-1e-6)))
		for i, e := range envelopes {
			v = v.Follow(e)
			canvas.Reset(v.Cols, v.Rows)
			canvas.Grid(v)
			canvas.Trace(v, e)
			canvas.Header(m.drawn[i], v)
			b.WriteString(canvas.String() + "\n")
			v.Baseline = 0
		}
		if pulse != nil {
			lo, hi, _ := pulseEnvelope.Range(0, whole)
			canvas.Reset(v.Cols, pulseRows)
			canvas.Pulse(v, pulseEnvelope, lo, max(hi, lo+leastPulse), look.Pulse)
			b.WriteString(canvas.String() + "\n")
		}
	}
	return b.String()
}

// leastPulse is the least range of a drawn pulse trace, so that the noise of a flat
// one does not grow into waves.
const leastPulse = 0.8

// plainTable gives the beats in words: the engine's own for a synthetic strip, as
// read back for a recording.
func plainTable(m made) string {
	lead, marks := m.drawn[0], m.marks
	var b strings.Builder
	fmt.Fprintf(&b, "Lead %s, %.4g s.\n", lead, m.strip.Seconds())
	if m.rec {
		r, err := measure.Read(m.strip, lead)
		if err != nil {
			return b.String() + err.Error() + "\n"
		}
		marks = r.Marks
	}
	beats := marks.Beats
	if len(beats) == 0 {
		b.WriteString("No QRS.\n")
	}
	pulses := measure.PulseOnsets(m.strip.Witness(ecg.Pleth), m.strip.Rate)
	for i, beat := range beats {
		fmt.Fprintf(&b, "Beat %d at %.2f s: ", i+1, beat.QRS.Peak)
		if pr, ok := beat.PR(); ok {
			fmt.Fprintf(&b, "P, PR %.0f ms, ", 1000*pr)
		} else {
			b.WriteString("no P before it, ")
		}
		width, _ := beat.QRSWidth()
		fmt.Fprintf(&b, "QRS %.0f ms, ", 1000*width)
		if m.strip.Witness(ecg.Pleth) != nil {
			b.WriteString(pulseAfter(beats, i, pulses) + ", ")
		}
		if i > 0 {
			fmt.Fprintf(&b, "%.2f s after the one before.\n", beat.QRS.Peak-beats[i-1].QRS.Peak)
		} else {
			b.WriteString("the first.\n")
		}
	}
	for _, t := range stage.AloneP(marks, m.strip.Seconds()) {
		fmt.Fprintf(&b, "P without a QRS at %.2f s.\n", t)
	}
	return b.String()
}

// pulseAfter says whether a pulse arrives after beat i and before the pulse of the
// next one can.
func pulseAfter(beats []ecg.Beat, i int, pulses []float64) string {
	const soonest = 0.1 // s from QRS to the finger at the least
	from, to := beats[i].QRS.Onset+soonest, math.Inf(1)
	if i+1 < len(beats) {
		to = beats[i+1].QRS.Onset + soonest
	}
	for _, t := range pulses {
		if t >= from && t < to {
			return "pulse"
		}
	}
	return "no pulse seen"
}
