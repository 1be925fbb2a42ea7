package record

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"telltrace/synth/ecg"
)

const (
	timeColumn  = "time_s"
	maxCSVLine  = 1 << 16 // bytes
	rateWindow  = 4096    // lines from which the sampling rate is derived
	csvBlock    = 1024    // lines decoded at a time
	minDecimals = 6       // of the time column as written
)

// WriteCSV writes time_s and one column per lead in mV, an empty cell for NaN.
// Witnesses are left out: the columns of this format are leads.
func WriteCSV(w io.Writer, s ecg.Strip) error {
	if _, err := rowsOf("csv", s, 16); err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	out.WriteString(timeColumn)
	for i, l := range s.Leads {
		if strings.ContainsAny(string(l), ",\"") {
			return bad("csv", 0, fmt.Sprintf("lead %d", i), "its name %q would break the table", l)
		}
		out.WriteString("," + string(l))
	}
	out.WriteByte('\n')
	// Six decimals, more where samples lie so close that they would run together.
	fine := math.Pow(10, max(minDecimals, math.Ceil(math.Log10(s.Rate))+3))
	var line []byte
	for k := range s.MV[0] {
		line = strconv.AppendFloat(line[:0], math.Round(float64(k)/s.Rate*fine)/fine, 'f', -1, 64)
		for _, row := range s.MV {
			line = append(line, ',')
			if !math.IsNaN(row[k]) {
				line = strconv.AppendFloat(line, row[k], 'f', -1, 64)
			}
		}
		out.Write(append(line, '\n'))
	}
	return out.Flush() // bufio keeps the first error
}

func writeCSVFile(path string, rec ecg.Record) error {
	if err := create(path, func(w *bufio.Writer) error { return WriteCSV(w, rec.Strip) }); err != nil {
		var own *Error
		if errors.As(errors.Unwrap(err), &own) {
			own.Path = path
			return own
		}
		return err
	}
	return nil
}

// ReadCSV reads a table as WriteCSV writes it into memory. name is for messages.
// The time column may be rounded, but must be even: the first line that is not
// is refused.
func ReadCSV(r io.ReadSeeker, name string) (ecg.Strip, error) {
	reader, err := newCSVReader(r, name, func() error { return nil })
	if err != nil {
		return ecg.Strip{}, err
	}
	return reader.strip(name, 0, math.MaxInt)
}

// openCSV opens a table for streaming; its length is known only at its end.
func openCSV(path string) (*Reader, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, unreadable(path, "file", err)
	}
	r, err := newCSVReader(f, path, f.Close)
	if err != nil {
		f.Close()
		return nil, err
	}
	return r, nil
}

// newCSVReader reads the first lines twice: once for the sampling rate.
func newCSVReader(file io.ReadSeeker, path string, closing func() error) (*Reader, error) {
	d := &csvDecoder{path: path, file: file, closing: closing}
	channels, err := d.start()
	if err != nil {
		return nil, err
	}
	period, err := d.findPeriod()
	if err != nil {
		return nil, err
	}
	if _, err := d.start(); err != nil {
		return nil, err
	}
	name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	return newReader(Header{Name: name, Rate: 1 / period, Samples: -1}, channels, d), nil
}

// A csvDecoder reads a table line by line; going back starts it anew.
type csvDecoder struct {
	path    string
	file    io.ReadSeeker
	closing func() error
	scan    *bufio.Scanner
	line    int // number of the line read last
	columns int // without the time
	rows    [][]float64
	first   int // sample at rows[.][0]
	next    int // sample of the next line
	clock   clock
}

func (d *csvDecoder) close() error { return d.closing() }

// start goes to the first line and reads the column names.
func (d *csvDecoder) start() ([]Channel, error) {
	if _, err := d.file.Seek(0, io.SeekStart); err != nil {
		return nil, unreadable(d.path, "file", err)
	}
	d.scan = bufio.NewScanner(d.file)
	d.scan.Buffer(nil, maxCSVLine)
	d.line, d.first, d.next = 0, 0, 0
	d.clock.begin()
	cells, err := d.cells()
	if err == io.EOF {
		return nil, bad(d.path, 0, "columns", "the file is empty")
	}
	if err != nil {
		return nil, err
	}
	if name := strings.TrimPrefix(cells[0], "\ufeff"); !strings.EqualFold(name, timeColumn) {
		return nil, bad(d.path, d.line, "columns", "the first is %q: want %s, then one column per lead in mV", clip(name), timeColumn)
	}
	d.columns = len(cells) - 1
	if d.columns < 1 || d.columns > maxSignals {
		return nil, bad(d.path, d.line, "columns", "%d beside the time: want from 1 to %d", d.columns, maxSignals)
	}
	var channels []Channel
	for i, cell := range cells[1:] {
		c, _ := describe(clean(cell), "mV", i)
		if !c.Lead {
			c.Unit = "" // a table names no units
		}
		if unused(c.Name, channels) != c.Name {
			return nil, bad(d.path, d.line, "columns", "%q occurs twice", clip(cell))
		}
		channels = append(channels, c)
	}
	d.rows = make([][]float64, d.columns)
	return channels, nil
}

// cells reads the next line that is not empty.
func (d *csvDecoder) cells() ([]string, error) {
	for d.scan.Scan() {
		d.line++
		text := strings.TrimSpace(d.scan.Text())
		if text == "" {
			continue
		}
		cells := strings.Split(text, ",")
		for i, c := range cells {
			cells[i] = strings.Trim(strings.TrimSpace(c), `"`)
		}
		return cells, nil
	}
	if err := d.scan.Err(); errors.Is(err, bufio.ErrTooLong) {
		return nil, bad(d.path, d.line+1, "line", "longer than %d bytes: not a table of samples", maxCSVLine)
	} else if err != nil {
		return nil, unreadable(d.path, "file", err)
	}
	return nil, io.EOF
}

// findPeriod derives the sampling period in s from the first lines.
func (d *csvDecoder) findPeriod() (float64, error) {
	var times []float64
	var lines []int
	decimals := 0
	for len(times) < rateWindow {
		cells, err := d.cells()
		if err == io.EOF {
			break
		}
		if err != nil {
			return 0, err
		}
		t, err := d.number("time", cells[0])
		if err != nil {
			return 0, err
		}
		// The decimals tell how coarsely the times were rounded. "0" among "0.004"
		// was not rounded to whole seconds, so the most decimals count.
		_, fraction, _ := strings.Cut(cells[0], ".")
		if strings.ContainsAny(fraction, "eE") { // written with an exponent: as exact as can be
			fraction = strings.Repeat("0", 12)
		}
		decimals = max(decimals, min(len(fraction), 12))
		times, lines = append(times, t), append(lines, d.line)
	}
	if len(times) < 2 {
		return 0, bad(d.path, 0, "time", "fewer than two samples: no sampling rate can be derived")
	}
	d.clock.slack = math.Pow(10, -float64(decimals))
	d.clock.begin()
	for i, t := range times {
		if d.line = lines[i]; !d.clock.tick(i, t) {
			return 0, d.uneven(t)
		}
	}
	period := d.clock.period()
	if rate := 1 / period; !(rate >= minRate && rate <= maxRate) {
		return 0, bad(d.path, 0, "time", "gives %g samples per second: want from %g to %g; is the column in seconds?", rate, minRate, maxRate)
	}
	return period, nil
}

func (d *csvDecoder) uneven(t float64) error {
	return bad(d.path, d.line, "time", "%v s is not one sampling interval after the line before: the samples must be evenly spaced, without a gap", t)
}

func (d *csvDecoder) number(field, cell string) (float64, error) {
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, bad(d.path, d.line, field, "%q is not a number", clip(cell))
	}
	return v, nil
}

// block decodes the next lines. Going back means starting again, as lines have no
// fixed length; going on means reading what lies between.
func (d *csvDecoder) block(pos int) ([][]float64, int, error) {
	if pos < d.next {
		if _, err := d.start(); err != nil {
			return nil, 0, err
		}
	}
	for pos >= d.next {
		d.first = d.next
		for i := range d.rows {
			d.rows[i] = d.rows[i][:0]
		}
		for len(d.rows[0]) < csvBlock {
			if err := d.read(); err == io.EOF {
				break
			} else if err != nil {
				return nil, 0, err
			}
		}
		if d.next == d.first {
			return nil, 0, io.EOF
		}
	}
	return d.rows, d.first, nil
}

// read appends one line to the rows.
func (d *csvDecoder) read() error {
	cells, err := d.cells()
	if err != nil {
		return err
	}
	if len(cells) != d.columns+1 {
		return bad(d.path, d.line, "columns", "%d, but the first line names %d", len(cells), d.columns+1)
	}
	t, err := d.number("time", cells[0])
	if err != nil {
		return err
	}
	if !d.clock.tick(d.next, t) {
		return d.uneven(t)
	}
	for i, cell := range cells[1:] {
		v := math.NaN()
		if cell != "" && !strings.EqualFold(cell, "nan") {
			if v, err = d.number(fmt.Sprintf("column %d", i+2), cell); err != nil {
				return err
			}
		}
		d.rows[i] = append(d.rows[i], v)
	}
	d.next++
	return nil
}

// A clock holds the range of sampling periods that all times so far allow, given
// that each was rounded. When none is left, the samples are not evenly spaced.
type clock struct {
	slack      float64 // s by which the difference of two rounded times may be off
	low, high  float64 // s
	start, now float64
}

// begin forgets all times but keeps the slack.
func (c *clock) begin() { c.low, c.high = 0, math.Inf(1) }

// tick takes the time of sample i and reports whether it fits.
func (c *clock) tick(i int, t float64) bool {
	if i == 0 {
		c.start, c.now = t, t
		return true
	}
	slack := c.slack + 1e-12*math.Abs(t) // and by the rounding of doubles
	c.low = max(c.low, (t-c.start-slack)/float64(i))
	c.high = min(c.high, (t-c.start+slack)/float64(i))
	ok := t > c.now && c.low <= c.high
	c.now = t
	return ok
}

// period is the one for a whole number of samples per second, where it is in the
// range, else the middle.
func (c *clock) period() float64 {
	middle := (c.low + c.high) / 2
	if whole := math.Round(1 / middle); whole > 0 && 1/whole >= c.low && 1/whole <= c.high {
		return 1 / whole
	}
	return middle
}
