package record

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"telltrace/synth/ecg"
)

// Digital range of format 16 without the value that stands for "invalid".
const (
	invalid16 = -1 << 15
	highest16 = 1<<15 - 1
)

// A row is a channel on its way into a file.
type row struct {
	name   string
	unit   string
	values []float64
	gain   float64 // steps per unit; step 0 is value 0
	lowest int16   // the step that stands for "invalid"
}

// digit is the value's step, the lowest for NaN.
func (r row) digit(i int) int16 {
	v := r.values[i]
	if math.IsNaN(v) {
		return r.lowest
	}
	return int16(math.Round(v * r.gain))
}

// WFDBFormats are the formats of signal files that are written (signal(5)): 16 bits a
// sample, two samples of 12 bits in three bytes, 8 bits with an offset.
var WFDBFormats = []int{16, 212, 80}

// bits is the width of a sample.
func bitsOf(format int) int { return map[int]int{16: 16, 212: 12, 80: 8}[format] }

// WriteWFDB writes a record as path.hea, path.dat (format 16) and path.atr, over
// what may lie there. A step is 1 uV or finer, unless a lead goes beyond 32.7 mV. The
// header is written last, so that a record cut short is not taken for whole.
func WriteWFDB(path string, rec ecg.Record) error { return WriteWFDBAs(path, rec, 16) }

// WriteWFDBAs is WriteWFDB in one of WFDBFormats; fewer bits have coarser steps.
func WriteWFDBAs(path string, rec ecg.Record, format int) error {
	base := strings.TrimSuffix(path, ".hea")
	if err := recordName(base); err != nil {
		return err
	}
	bits := bitsOf(format)
	if bits == 0 {
		return bad(base, 0, "format", "%d is not written; known are 16, 212 and 80", format)
	}
	rows, err := rowsOf(base, rec.Strip, bits)
	if err != nil {
		return err
	}
	name := filepath.Base(base)
	n := len(rows[0].values)
	head := fmt.Sprintf("%s %d %s %d\n", name, len(rows), decimal(rec.Strip.Rate), n)
	for _, r := range rows {
		sum := int16(0)
		for i := range r.values {
			sum += r.digit(i)
		}
		unit := strings.ReplaceAll(r.unit, " ", "_")
		if unit == "" {
			unit = "NU" // without a unit, mV would be meant
		}
		head += fmt.Sprintf("%s.dat %d %s(0)/%s %d 0 %d %d 0 %s\n", name, format, decimal(r.gain), unit, bits, r.digit(0), sum, r.name)
	}
	for _, c := range rec.Comments {
		head += "# " + clean(strings.ReplaceAll(c, "\n", " ")) + "\n"
	}
	if err := WriteAnnotations(base+"."+ReferenceAnnotator, rec.Annotations); err != nil {
		return err
	}
	err = create(base+".dat", func(w *bufio.Writer) error {
		half := int16(-1) // format 212: a first sample that waits for its second
		waits := false
		for i := range n {
			for _, r := range rows {
				d := r.digit(i)
				switch {
				case format == 16:
					w.WriteByte(byte(d))
					w.WriteByte(byte(d >> 8))
				case format == 80:
					w.WriteByte(byte(d + 128))
				case waits:
					w.WriteByte(byte(half))
					w.WriteByte(byte(half>>8)&0x0f | byte(d>>4)&0xf0)
					w.WriteByte(byte(d))
					waits = false
				default:
					half, waits = d, true
				}
			}
		}
		if waits {
			w.WriteByte(byte(half))
			w.WriteByte(byte(half>>8) & 0x0f)
			w.WriteByte(0)
		}
		return nil // the writer keeps the first error
	})
	if err != nil {
		return err
	}
	return create(base+".hea", func(w *bufio.Writer) error { _, err := w.WriteString(head); return err })
}

// create writes a file and reports what goes wrong up to its closing.
func create(path string, write func(*bufio.Writer) error) error {
	f, err := os.Create(path)
	if err != nil {
		return unreadable(path, "file", err)
	}
	w := bufio.NewWriter(f)
	err = write(w)
	if err == nil {
		err = w.Flush()
	}
	if closing := f.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return unreadable(path, "file", err)
	}
	return nil
}

// recordName holds a record to the names that header(5) allows, and hyphens,
// which real records have.
func recordName(base string) error {
	name := filepath.Base(base)
	for _, r := range name {
		if !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_' || r == '-') {
			return bad(base, 0, "record name", "%q: use letters, digits, _ and - only", clip(name))
		}
	}
	return nil
}

// rowsOf checks a strip and chooses a digital scale for every channel.
func rowsOf(path string, s ecg.Strip, bits int) ([]row, error) {
	if !(s.Rate >= minRate && s.Rate <= maxRate) {
		return nil, bad(path, 0, "sampling rate", "%g Hz is not from %g to %g", s.Rate, minRate, maxRate)
	}
	if len(s.MV) == 0 || len(s.MV[0]) == 0 || len(s.Leads) != len(s.MV) {
		return nil, bad(path, 0, "signals", "the strip has no samples, or not one name per lead")
	}
	var rows []row
	for i, l := range s.Leads {
		rows = append(rows, row{name: string(l), unit: "mV", values: s.MV[i]})
	}
	for _, w := range s.Witnesses {
		rows = append(rows, row{name: string(w.Kind), unit: w.Unit, values: w.Values})
	}
	for i := range rows {
		r := &rows[i]
		if len(r.values) != len(s.MV[0]) {
			return nil, bad(path, 0, "signal "+r.name, "has %d samples, the first signal %d", len(r.values), len(s.MV[0]))
		}
		if r.name == "" || r.name != clean(r.name) || r.unit != clean(r.unit) {
			return nil, bad(path, 0, fmt.Sprintf("signal %d", i), "its name %q or unit %q cannot be written", r.name, r.unit)
		}
		if err := r.scale(path, bits); err != nil {
			return nil, err
		}
	}
	return rows, nil
}

// scale chooses the finest gain at which no value overflows so many bits.
func (r *row) scale(path string, bits int) error {
	reach := 0.0
	r.lowest = -1 << (bits - 1)
	for k, v := range r.values {
		if math.IsInf(v, 0) {
			return bad(path, 0, "signal "+r.name, "sample %d is infinite", k)
		}
		if !math.IsNaN(v) {
			reach = max(reach, math.Abs(v))
		}
	}
	if r.gain = finest(reach, bits); r.gain == 0 {
		return bad(path, 0, "signal "+r.name, "values up to %g are too large", reach)
	}
	return nil
}

// finest is the largest gain of the series 10 000, 5000, 2000, 1000 … at which
// values up to reach fit into so many bits, 0 when none does. Of fewer than 16 bits no more
// than the usual 200 steps a mV are used, as by recorders of that width.
func finest(reach float64, bits int) float64 {
	high := float64(int(1)<<(bits-1) - 2)
	if bits < 16 && reach*200 <= high {
		return 200
	}
	for decade := 3; decade >= -9; decade-- {
		for _, m := range []float64{10, 5, 2} {
			gain, err := strconv.ParseFloat(fmt.Sprintf("%ge%d", m, decade), 64) // exact where a product would not be
			if err == nil && reach*gain <= high {
				return gain
			}
		}
	}
	return 0
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
