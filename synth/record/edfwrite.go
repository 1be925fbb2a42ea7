package record

import (
	"bufio"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"telltrace/synth/ecg"
)

// The digital range that is written; -32768, outside it, stands for "invalid".
const (
	edfDigitalLow  = -highest16
	edfDigitalHigh = highest16
	maxEDFSeconds  = 1000 // longest data record tried to hold a whole number of samples
)

// WriteEDF writes a record as EDF+C, or, where nothing was recorded for a whole data record
// or more, as EDF+D without those; over what may lie there. The file says
// nothing of who was recorded and when. Its last data record is filled up with
// invalid samples. Annotations become texts (a symbol, or "+ (VT"); subtype,
// channel and number, and the record's comments, have no place in EDF+.
func WriteEDF(path string, rec ecg.Record) error {
	rows, err := rowsOf(path, rec.Strip, 16)
	if err != nil {
		return err
	}
	duration, perRecord, ok := edfRecord(rec.Strip.Rate)
	if !ok {
		return bad(path, 0, "sampling rate", "%g Hz: EDF needs a whole number of samples in at most %d whole seconds", rec.Strip.Rate, maxEDFSeconds)
	}
	n := len(rows[0].values)
	records := edfRecords(rows, perRecord)
	lists, listSize, err := edfLists(path, rec, records, duration, n)
	if err != nil {
		return err
	}
	head, err := edfHead(path, rows, records, duration, perRecord, listSize)
	if err != nil {
		return err
	}
	return create(path, func(w *bufio.Writer) error {
		w.WriteString(head)
		for at, k := range records {
			for _, r := range rows {
				for i := k * perRecord; i < (k+1)*perRecord; i++ {
					d := int16(invalid16)
					if i < n {
						d = r.digit(i)
					}
					w.WriteByte(byte(d))
					w.WriteByte(byte(d >> 8))
				}
			}
			w.WriteString(lists[at] + strings.Repeat(talEnd, listSize-len(lists[at])))
		}
		return nil // the writer keeps the first error
	})
}

// edfRecords lists the data records to write, by their place in time: all in which a sample is
// valid, and the first and the last, which say where the record begins and ends.
func edfRecords(rows []row, perRecord int) (records []int) {
	n := len(rows[0].values)
	last := (n - 1) / perRecord
	for k := 0; k <= last; k++ {
		from, to := k*perRecord, min((k+1)*perRecord, n)
		valid := func(r row) bool {
			return slices.ContainsFunc(r.values[from:to], func(v float64) bool { return !math.IsNaN(v) })
		}
		if k == 0 || k == last || slices.ContainsFunc(rows, valid) {
			records = append(records, k)
		}
	}
	return records
}

// edfRecord finds the shortest data record of whole seconds that holds a whole
// number of samples.
func edfRecord(rate float64) (seconds, samples int, ok bool) {
	for seconds = 1; seconds <= maxEDFSeconds; seconds++ {
		n := rate * float64(seconds)
		if whole := math.Round(n); whole >= 1 && math.Abs(n-whole) < 1e-9*whole {
			return seconds, int(whole), true
		}
	}
	return 0, 0, false
}

// edfLists makes the annotation list of every data record and the even number of
// bytes that holds the longest. What is marked in a gap stands in the list before it.
func edfLists(path string, rec ecg.Record, records []int, duration, n int) (lists []string, size int, err error) {
	lists = make([]string, len(records))
	for at, k := range records {
		lists[at] = fmt.Sprintf("+%d", k*duration) + talText + talText + talEnd
	}
	for i, a := range rec.Annotations {
		if _, known := codeOf(a.Symbol); !known || a.Sample < 0 || a.Sample >= n {
			return nil, 0, bad(path, 0, fmt.Sprintf("annotation %d", i), "%q at sample %d: not a standard symbol, or outside the strip", clip(a.Symbol), a.Sample)
		}
		seconds := float64(a.Sample) / rec.Strip.Rate
		onset := "+" + decimal(math.Round(seconds*1e7)/1e7)
		at, in := slices.BinarySearch(records, int(seconds)/duration)
		if !in {
			at--
		}
		for _, text := range textsOf(a) {
			lists[at] += onset + talText + text + talText + talEnd
		}
	}
	for _, l := range lists {
		size = max(size, len(l))
	}
	return lists, size + size%2, nil
}

// edfHead writes the header: the fixed part, then each field for all signals in
// turn, the annotation signal last.
func edfHead(path string, rows []row, records []int, duration, perRecord, listSize int) (string, error) {
	var b strings.Builder
	var err error
	put := func(width int, text string) {
		for _, r := range text {
			if (r < ' ' || r > '~') && err == nil {
				err = bad(path, 0, "header", "%q has letters that EDF cannot hold", text)
			}
		}
		if len(text) > width && err == nil {
			err = bad(path, 0, "header", "%q is longer than the %d letters EDF has for it", text, width)
		}
		fmt.Fprintf(&b, "%-*s", width, text)
	}
	put(8, "0")
	put(80, "X X X X") // patient, and the recording: unknown, as the EDF+ specification writes it
	put(80, "Startdate X X X X")
	put(8, "01.01.85")
	put(8, "00.00.00")
	put(8, strconv.Itoa(edfFixed+(len(rows)+1)*edfPerSignal))
	kind := "EDF+C"
	if len(records) <= records[len(records)-1] {
		kind = "EDF+D"
	}
	put(44, kind)
	put(8, strconv.Itoa(len(records)))
	put(8, strconv.Itoa(duration))
	put(4, strconv.Itoa(len(rows)+1))
	column := func(width int, of func(r row) string, ofAnnotations string) {
		for _, r := range rows {
			put(width, of(r))
		}
		put(width, ofAnnotations)
	}
	fixed := func(text string) func(row) string { return func(row) string { return text } }
	edge := func(digital int) func(row) string {
		return func(r row) string { return decimal(float64(digital) / r.gain) }
	}
	column(16, edfLabel, edfAnnotations)
	column(80, fixed(""), "")
	column(8, func(r row) string { return r.unit }, "")
	column(8, edge(edfDigitalLow), "-1")
	column(8, edge(edfDigitalHigh), "1")
	column(8, fixed(strconv.Itoa(edfDigitalLow)), "-32768")
	column(8, fixed(strconv.Itoa(edfDigitalHigh)), "32767")
	column(80, fixed(""), "")
	column(8, fixed(strconv.Itoa(perRecord)), strconv.Itoa(listSize/2))
	column(32, fixed(""), "")
	if err != nil {
		return "", err
	}
	return b.String(), nil
}

// edfLabel writes a standard lead with its signal type, as EDF+ asks.
func edfLabel(r row) string {
	if r.unit == "mV" && leadName("ECG "+r.name) == r.name {
		return "ECG " + r.name
	}
	return r.name
}
