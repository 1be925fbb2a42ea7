package drill

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"telltrace/synth"
)

// Worksheet writes the sheet with which judges set the pass mark of a drill after Angoff
// (1971, in Thorndike, Educational Measurement, 2nd ed.; from memory): comma-separated, a
// row for each entry, a column for each judge. A judge thinks of a hundred nurses who are
// only just safe to practise, and writes how many of them would name a strip of this entry.
func (d Drill) Worksheet(w io.Writer, judges int) error {
	out := csv.NewWriter(w)
	head := []string{"id", "name", "strips"}
	for j := range judges {
		head = append(head, fmt.Sprintf("judge %d", j+1))
	}
	if err := out.Write(head); err != nil {
		return err
	}
	count := map[string]int{}
	for _, id := range d.spread() {
		count[id]++
	}
	for _, id := range d.shown() {
		l, _ := synth.Lesson(id)
		if err := out.Write(append([]string{id, l.Name, strconv.Itoa(count[id])}, make([]string, judges)...)); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// A PassMark is what the judges' estimates come to, in percent.
type PassMark struct {
	Judges []float64 // the mark by each judge alone
	Mark   float64   // their mean
	SD     float64   // between judges; 0 with one
	SE     float64   // of the mean: SD over the root of their number
}

// Angoff reads a worksheet that judges have filled in: each judge's mark is the mean of the
// estimates weighted by the number of strips, the pass mark the mean over judges. A column
// that is empty all down is no judge. An error names the file and the line.
func Angoff(file string, r io.Reader) (PassMark, error) {
	var p PassMark
	in := csv.NewReader(r)
	rows, err := in.ReadAll()
	if err != nil {
		return p, fmt.Errorf("%s: %w", file, err)
	}
	if len(rows) < 2 || len(rows[0]) < 4 || rows[0][2] != "strips" {
		return p, fmt.Errorf("%s:1: this is no worksheet: want the columns id, name, strips and one for each judge", file)
	}
	for j := 3; j < len(rows[0]); j++ {
		sum, strips, filled := 0.0, 0.0, 0
		for i, row := range rows[1:] {
			n, err := strconv.Atoi(strings.TrimSpace(row[2]))
			if err != nil || n < 1 {
				return p, fmt.Errorf("%s:%d: strips: want a whole number from 1, not %q", file, i+2, row[2])
			}
			cell := strings.TrimSpace(row[j])
			if cell == "" {
				continue
			}
			filled++
			v, err := strconv.ParseFloat(strings.TrimSuffix(cell, "%"), 64)
			if err != nil || !(v >= 0 && v <= 100) {
				return p, fmt.Errorf("%s:%d: %s: want a number from 0 to 100, not %q", file, i+2, rows[0][j], row[j])
			}
			sum, strips = sum+v*float64(n), strips+float64(n)
		}
		switch filled {
		case 0:
		case len(rows) - 1:
			p.Judges = append(p.Judges, sum/strips)
		default:
			return p, fmt.Errorf("%s: %s left %d of %d entries empty; a mark needs them all", file, rows[0][j], len(rows)-1-filled, len(rows)-1)
		}
	}
	if len(p.Judges) == 0 {
		return p, errors.New(file + ": no judge has filled it in")
	}
	n := float64(len(p.Judges))
	for _, v := range p.Judges {
		p.Mark += v / n
	}
	if n > 1 {
		for _, v := range p.Judges {
			p.SD += (v - p.Mark) * (v - p.Mark) / (n - 1)
		}
		p.SD = math.Sqrt(p.SD)
		p.SE = p.SD / math.Sqrt(n)
	}
	return p, nil
}
