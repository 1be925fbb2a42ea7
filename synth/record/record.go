package record

import (
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"telltrace/synth/ecg"
)

// A Format is one kind of file.
type Format struct {
	Name       string   // as the trade writes it
	Extensions []string // in lower case, with the dot
	Open       func(path string) (*Reader, error)
	Write      func(path string, rec ecg.Record) error
}

// Formats lists the formats in the order in which Open tries them for a path
// without a known extension. Do not change it.
var Formats = []Format{
	{"WFDB", []string{".hea", ".dat", ".mat"}, openWFDB, WriteWFDB},
	{"EDF+", []string{".edf"}, openEDF, WriteEDF},
	{"CSV", []string{".csv"}, openCSV, writeCSVFile},
}

// A Header says what a recording holds.
type Header struct {
	Name     string    // of the record: its file's name without extension
	Format   string    // name of one of Formats
	Rate     float64   // samples per second of what Fill writes
	Samples  int       // length of each row, -1 when only reading on can tell
	Channels []Channel // in the order of the rows: leads, then witnesses
	Comments []string  // the header's free text
}

// Seconds is the length of the recording, false when it is not known.
func (h Header) Seconds() (float64, bool) { return float64(h.Samples) / h.Rate, h.Samples >= 0 }

// Leads is how many of the channels are leads; they come first.
func (h Header) Leads() int {
	n := 0
	for n < len(h.Channels) && h.Channels[n].Lead {
		n++
	}
	return n
}

// A Channel is one signal of a recording.
type Channel struct {
	Name     string  // lead or kind of witness: "II", "MLII", "PLETH", "ABP"
	Unit     string  // of the values Fill writes: "mV" for a lead, "" for none
	Lead     bool    // an ECG lead, else a witness
	Gain     float64 // digital steps per Unit in the file, 0 where the file holds text
	Baseline float64 // digital value of 0 Unit
}

// A decoder turns part of a file into rows, in the order of the file's channels.
type decoder interface {
	// block returns decoded rows of equal length that hold sample pos, and the
	// index of their first sample; io.EOF when pos is at or beyond the end. The
	// rows are valid until the next call.
	block(pos int) (rows [][]float64, first int, err error)
	close() error
}

// A Reader streams a recording. It is an [ecg.Source] whose rows are the channels
// of its header, and needs the same memory for an hour as for a week.
type Reader struct {
	header      Header
	rows        []int // for each channel of the header, its row in the decoder
	dec         decoder
	block       [][]float64
	first, pos  int
	err         error
	annotations func(annotator string) ([]ecg.Annotation, error)
}

// Open opens a recording, by the extension of path or by what lies there: a WFDB
// record may be named without extension, or by its header or signal file.
func Open(path string) (*Reader, error) {
	f, full, err := find(path)
	if err != nil {
		return nil, err
	}
	r, err := f.Open(full)
	if err != nil {
		return nil, err
	}
	r.header.Format = f.Name
	return r, nil
}

// find decides on a format and returns the path that it opens.
func find(path string) (Format, string, error) {
	ext := strings.ToLower(filepath.Ext(path))
	for _, f := range Formats {
		if slices.Contains(f.Extensions, ext) {
			return f, path, nil
		}
	}
	// Names such as "100" or "a.b" (record without extension), then "100.atr" (a
	// file beside the header).
	for _, base := range []string{path, strings.TrimSuffix(path, filepath.Ext(path))} {
		for _, f := range Formats {
			if full := base + f.Extensions[0]; isFile(full) {
				return f, full, nil
			}
		}
	}
	known := strings.Join(allExtensions(), ", ")
	if info, err := os.Stat(path); err != nil {
		return Format{}, "", bad(path, 0, "", "no such recording: neither this file nor one with %s", known)
	} else if info.IsDir() {
		return Format{}, "", bad(path, 0, "", "is a folder: name a record inside it")
	}
	return Format{}, "", bad(path, 0, "", "not a kind of recording that is read; known are %s", known)
}

func allExtensions() []string {
	var all []string
	for _, f := range Formats {
		all = append(all, f.Extensions...)
	}
	return all
}

func isFile(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular()
}

// newReader puts leads before witnesses and makes names unique.
func newReader(h Header, channels []Channel, dec decoder) *Reader {
	r := &Reader{dec: dec}
	for _, lead := range []bool{true, false} {
		for i, c := range channels {
			if c.Lead == lead {
				c.Name = unused(c.Name, h.Channels)
				h.Channels = append(h.Channels, c)
				r.rows = append(r.rows, i)
			}
		}
	}
	r.header = h
	return r
}

// Header returns what the recording holds. Do not change its slices.
func (r *Reader) Header() Header { return r.header }

// Fill implements [ecg.Source]; dst has one row per channel of the header.
func (r *Reader) Fill(dst [][]float64) (int, error) {
	if len(dst) != len(r.rows) {
		panic("record: Fill needs one row per channel")
	}
	if r.err != nil {
		return 0, r.err
	}
	n := 0
	for n < len(dst[0]) {
		if r.block == nil || r.pos < r.first || r.pos >= r.first+len(r.block[0]) {
			if r.block, r.first, r.err = r.dec.block(r.pos); r.err != nil {
				r.block = nil
				if n > 0 {
					return n, nil
				}
				return 0, r.err
			}
		}
		from, k := r.pos-r.first, 0
		for i, row := range r.rows {
			k = copy(dst[i][n:], r.block[row][from:])
		}
		n += k
		r.pos += k
	}
	return n, nil
}

// Seek makes sample the next one that Fill writes. A sample beyond the end is no
// error: Fill then returns io.EOF.
func (r *Reader) Seek(sample int) error {
	if sample < 0 {
		return bad(r.header.Name, 0, "position", "sample %d is before the start", sample)
	}
	r.pos, r.err = sample, nil
	return nil
}

// Close releases the files.
func (r *Reader) Close() error {
	r.err = os.ErrClosed
	return r.dec.close()
}

// Annotations reads the labels of one annotator ("atr" is the reference one), at
// samples of the rows that Fill writes. EDF+ keeps its labels in the same file;
// the name of the annotator does not matter there. A recording without labels has
// none, which is no error.
func (r *Reader) Annotations(annotator string) ([]ecg.Annotation, error) {
	if r.annotations == nil {
		return nil, nil
	}
	return r.annotations(annotator)
}

// MaxHeld is the largest number of values, all channels together, that ReadAll
// and ReadSegment put into memory (2 GB).
const MaxHeld = 1 << 28

// ReadAll reads a whole recording into memory, with its reference labels.
func ReadAll(path string) (ecg.Record, error) {
	return readPart(path, func(Header) (int, int, error) { return 0, math.MaxInt, nil })
}

// ReadSegment reads seconds of a recording from the time at (s from its start), or
// as much of that as there is. Annotations of the reference annotator ("atr") are
// counted from the first sample of the strip; a rhythm that was already running
// is repeated at sample 0.
func ReadSegment(path string, at, seconds float64) (ecg.Record, error) {
	return readPart(path, func(h Header) (from, n int, err error) {
		if !(at >= 0) || math.IsInf(at, 0) {
			return 0, 0, bad(path, 0, "start", "%g s is not a time in the recording", at)
		}
		if !(seconds > 0) {
			return 0, 0, bad(path, 0, "length", "%g s: want more than nothing", seconds)
		}
		if whole, ok := h.Seconds(); ok && at >= whole {
			return 0, 0, bad(path, 0, "start", "%g s is beyond the end: the recording lasts %.4g s", at, whole)
		}
		return capped(at * h.Rate), max(1, capped(seconds*h.Rate)), nil
	})
}

// capped rounds to a sample index that additions cannot overflow.
func capped(samples float64) int { return int(math.Round(min(samples, 1<<52))) }

// readPart reads the stretch that span chooses once the header is known.
func readPart(path string, span func(Header) (from, n int, err error)) (ecg.Record, error) {
	r, err := Open(path)
	if err != nil {
		return ecg.Record{}, err
	}
	defer r.Close()
	from, n, err := span(r.header)
	if err != nil {
		return ecg.Record{}, err
	}
	strip, err := r.strip(path, from, n)
	if err != nil {
		return ecg.Record{}, err
	}
	if strip.Seconds() == 0 {
		return ecg.Record{}, bad(path, 0, "start", "there are no samples at %g s or later", float64(from)/r.header.Rate)
	}
	anns, err := r.Annotations(ReferenceAnnotator)
	if err != nil {
		return ecg.Record{}, err
	}
	length := int(math.Round(strip.Seconds() * strip.Rate))
	return ecg.Record{Name: r.header.Name, Strip: strip, Start: from,
		Annotations: cutAnnotations(anns, from, length), Comments: r.header.Comments}, nil
}

// strip reads at most n samples from sample from, growing as they come so that no
// number in a header decides how much is allocated.
func (r *Reader) strip(path string, from, n int) (ecg.Strip, error) {
	channels := r.header.Channels
	rows, buf := make([][]float64, len(channels)), make([][]float64, len(channels))
	const chunk = 4096
	for i := range buf {
		buf[i] = make([]float64, chunk)
	}
	if err := r.Seek(from); err != nil {
		return ecg.Strip{}, err
	}
	for got := 0; got < n; {
		want := min(chunk, n-got)
		for i := range buf {
			buf[i] = buf[i][:want]
		}
		k, err := r.Fill(buf)
		if err == io.EOF {
			break
		}
		if err != nil { // also what cut the frames before it short
			return ecg.Strip{}, err
		}
		for i := range rows {
			rows[i] = append(rows[i], buf[i][:k]...)
		}
		if got += k; got > MaxHeld/len(channels) {
			return ecg.Strip{}, bad(path, 0, "length", "too long to hold at once: read a part of it")
		}
	}
	s := ecg.Strip{Rate: r.header.Rate}
	for i, c := range channels {
		if c.Lead {
			s.Leads = append(s.Leads, ecg.Lead(c.Name))
			s.MV = append(s.MV, rows[i])
		} else {
			s.Witnesses = append(s.Witnesses, ecg.Witness{Kind: ecg.WitnessKind(c.Name), Unit: c.Unit, Values: rows[i]})
		}
	}
	if len(s.MV) == 0 {
		return ecg.Strip{}, bad(path, 0, "signals", "none is an ECG lead (measured in mV); found %s", channelNames(channels))
	}
	return s, nil
}

func channelNames(channels []Channel) string {
	names := make([]string, len(channels))
	for i, c := range channels {
		names[i] = c.Name
	}
	return strings.Join(names, ", ")
}

// cutAnnotations returns the annotations within n samples from sample from,
// counted from there, with the last rhythm before them repeated at 0.
func cutAnnotations(anns []ecg.Annotation, from, n int) []ecg.Annotation {
	var out []ecg.Annotation
	var running *ecg.Annotation
	for _, a := range anns {
		switch {
		case a.Sample < from || a.Sample >= from+n:
			if a.Sample < from && a.Symbol == RhythmChange {
				running = &a
			}
		default:
			a.Sample -= from
			out = append(out, a)
		}
	}
	startsOwn := slices.ContainsFunc(out, func(a ecg.Annotation) bool { return a.Sample == 0 && a.Symbol == RhythmChange })
	if running == nil || startsOwn {
		return out
	}
	first := *running
	first.Sample = 0
	return slices.Insert(out, 0, first)
}
