// Package pdf starts PDF documents that are the same bytes for the same contents: A4 or
// Letter, lengths in mm, one embedded font, the date handed in, words made harmless.
// What is drawn on the pages is the business of whoever asks (trainer/figure, scoring/report).
package pdf

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// A Size is that of the paper. Chosen by name on the command line.
type Size string

// Sizes: 210 x 297 mm (ISO 216) and 8.5 x 11 in (ANSI A).
const (
	A4     Size = "a4"
	Letter Size = "letter"
)

// Sizes lists the sizes, the usual one first.
var Sizes = []Size{A4, Letter}

// MM is width and height upright, mm.
func (s Size) MM() (w, h float64) {
	if s == Letter {
		return 215.9, 279.4
	}
	return 210, 297
}

// A Doc is a document under way: what fpdf draws, in mm from the upper left corner.
type Doc struct {
	*fpdf.Fpdf
	W, H float64 // of a page, mm
}

// New starts a document without a page. made is its date, which the caller hands in.
func New(size Size, landscape bool, title string, made time.Time) *Doc {
	w, h := size.MM()
	if landscape {
		w, h = h, w
	}
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: w, Ht: h}})
	f.SetCatalogSort(true)
	f.SetCreationDate(made.UTC())
	f.SetModificationDate(made.UTC())
	f.SetProducer("telltrace", true)
	f.SetTitle(Harmless(title, 200), true)
	f.SetLang("en")
	f.AddUTF8FontFromBytes("go", "", goregular.TTF)
	f.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.SetCellMargin(0)
	return &Doc{Fpdf: f, W: w, H: h}
}

// Face sets the size of what is written next, mm from base line to base line of its
// letters' height, in bold or not.
func (d *Doc) Face(tall float64, bold bool) {
	style := ""
	if bold {
		style = "B"
	}
	const pointsPerMM = 72 / 25.4
	d.SetFont("go", style, tall*pointsPerMM)
}

// At writes words with the left end of their base line at a place.
func (d *Doc) At(x, y float64, words string) { d.Text(x, y, Harmless(words, 1000)) }

// Wrapped breaks words to a width, in the face that is set.
func (d *Doc) Wrapped(words string, wide float64) []string {
	var lines []string
	for _, line := range d.SplitText(Harmless(words, 1000), wide) {
		lines = append(lines, strings.TrimRight(line, " "))
	}
	return lines
}

// Close writes the document. Printers are told not to scale it.
func (d *Doc) Close(w io.Writer) error {
	var b bytes.Buffer
	if err := d.Output(&b); err != nil {
		return fmt.Errorf("pdf: %w", err)
	}
	out, err := unscaled(b.Bytes())
	if err != nil {
		return err
	}
	_, err = w.Write(out)
	return err
}

// unscaled asks viewers to print at true size (ISO 32000-1, table 150, PrintScaling).
// The catalogue is the last object, so that only the place of the table after it moves.
func unscaled(doc []byte) ([]byte, error) {
	const catalogue, mark, wish = "/Type /Catalog\n", "startxref\n", "/ViewerPreferences <</PrintScaling /None>>\n"
	at, start := bytes.LastIndex(doc, []byte(catalogue)), bytes.LastIndex(doc, []byte(mark))
	if at < 0 || start < at {
		return nil, fmt.Errorf("pdf: no catalogue at its end")
	}
	at += len(catalogue)
	digits, tail, _ := bytes.Cut(doc[start+len(mark):], []byte("\n"))
	table, err := strconv.Atoi(string(digits))
	if err != nil || table < at {
		return nil, fmt.Errorf("pdf: its table stands before its catalogue")
	}
	out := append([]byte{}, doc[:at]...)
	out = append(append(out, wish...), doc[at:start]...)
	return append(fmt.Appendf(out, "%s%d\n", mark, table+len(wish)), tail...), nil
}

// Harmless is text that can stand anywhere on a page: one line, nothing that turns the
// direction of reading or cannot be seen, and at most so many letters, an ellipsis
// where it was cut.
func Harmless(s string, most int) string {
	var b strings.Builder
	n, space := 0, false
	for _, r := range s {
		if unicode.IsSpace(r) {
			space = n > 0
			continue
		}
		if unicode.In(r, unicode.Cc, unicode.Cf, unicode.Co, unicode.Cs) {
			continue
		}
		if r > 0xffff { // beyond the embedded fonts, which fpdf reads in 16 bits
			r = unicode.ReplacementChar
		}
		if n >= most-1 {
			b.WriteRune('…')
			break
		}
		if space {
			b.WriteByte(' ')
			n++
		}
		space = false
		b.WriteRune(r)
		n++
	}
	return b.String()
}
