package report

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	_ "embed"

	"telltrace/scoring/report/pdf"
)

// A Format is chosen by name on the command line.
type Format string

// Formats.
const (
	Text Format = "text"
	HTML Format = "html"
	PDF  Format = "pdf"
	CSV  Format = "csv"
	JSON Format = "json"
	XAPI Format = "xapi"
)

// Formats lists the formats, the usual one first.
var Formats = []Format{Text, HTML, PDF, CSV, JSON, XAPI}

// Write writes the report in a format.
func (r *Report) Write(f Format, w io.Writer) error {
	switch f {
	case Text:
		return r.Text(w)
	case HTML:
		return r.HTML(w)
	case PDF:
		return r.PDF(w, pdf.A4)
	case CSV:
		return r.CSV(w)
	case JSON:
		return r.JSON(w)
	case XAPI:
		return r.XAPI(w)
	}
	return fmt.Errorf("unknown format %q", f)
}

//go:embed report.html
var page string

var htmlPage = template.Must(template.New("report").Funcs(template.FuncMap{
	"bar": func(s Section, i int) *float64 {
		if i >= len(s.Bars) || math.IsNaN(s.Bars[i]) {
			return nil
		}
		v := math.Round(1000*s.Bars[i]) / 10
		return &v
	},
}).Parse(page))

// A document is the report as the formats take it.
type document struct {
	Title    string    `json:"title"`
	Made     time.Time `json:"made"`
	Caution  string    `json:"caution"`
	Sections []Section `json:"sections"`
}

func (r *Report) document() document {
	return document{r.Title(), r.set.Made.UTC(), r.set.Caution, r.Sections()}
}

// HTML writes one page that needs nothing else: no script, no request.
func (r *Report) HTML(w io.Writer) error { return htmlPage.Execute(w, r.document()) }

// JSON writes the sections with their tables; cells are text, as people read them.
func (r *Report) JSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	return e.Encode(r.document())
}

// CSV writes a row for each line and each row of a table, after the title of its section.
// What a spreadsheet would take for a formula has an apostrophe before it.
func (r *Report) CSV(w io.Writer) error {
	out := csv.NewWriter(w)
	for _, s := range r.Sections() {
		for _, line := range slices.Concat(s.Lines, s.After) {
			if err := out.Write([]string{inert(s.Title), inert(line)}); err != nil {
				return err
			}
		}
		for i := -1; i < len(s.Rows); i++ {
			cells := s.Head
			if i >= 0 {
				cells = s.Rows[i]
			} else if len(s.Rows) == 0 {
				continue
			}
			row := []string{inert(s.Title)}
			for _, c := range cells {
				row = append(row, inert(c))
			}
			if err := out.Write(row); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

func inert(cell string) string {
	if cell == "" || !strings.ContainsAny(cell[:1], "=+-@\t\r\n|%") {
		return cell
	}
	if _, err := strconv.ParseFloat(cell, 64); err == nil {
		return cell
	}
	return "'" + cell
}

// Text writes the report for a terminal or a mail.
func (r *Report) Text(w io.Writer) error {
	var b strings.Builder
	b.WriteString(r.Title() + "\n")
	for _, s := range r.Sections() {
		b.WriteString("\n" + s.Title + "\n")
		for _, line := range s.Lines {
			b.WriteString("  " + line + "\n")
		}
		for _, row := range s.Rows {
			for i, cell := range row {
				switch {
				case i == 0:
					b.WriteString("  " + cell)
				case cell != "":
					fmt.Fprintf(&b, " | %s: %s", s.Head[i], cell)
				}
			}
			b.WriteByte('\n')
		}
		for _, line := range s.After {
			b.WriteString("  " + line + "\n")
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}
