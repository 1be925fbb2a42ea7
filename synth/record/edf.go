package record

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"telltrace/synth/ecg"
)

// Widths of the fixed part of an EDF header and of the part of each signal.
const (
	edfFixed     = 256
	edfPerSignal = 256

	edfAnnotations  = "EDF Annotations" // label of an annotation signal
	maxEDFRuns      = 100_000           // stretches of a discontinuous file
	maxEDFEvents    = 1 << 20
	maxRecordLength = 86400 // s
)

// edfHeader is the header of an EDF or EDF+ file as it stands.
type edfHeader struct {
	path          string
	plus          bool // has annotations
	discontinuous bool
	records       int
	duration      float64 // s of one data record
	bytes         int     // of the header
	frame         int     // samples in one data record
	signals       []edfSignal
}

type edfSignal struct {
	label, unit string
	low, high   float64 // physical
	digitalLow  int
	digitalHigh int
	perRecord   int
	offset      int // samples from the start of a data record
}

// annotations reports whether the signal holds annotations instead of samples.
func (s edfSignal) annotations() bool { return s.label == edfAnnotations }

// fields cuts fixed-width text and keeps the first error.
type fields struct {
	path string
	data []byte
	err  error
}

func (f *fields) text(n int) string {
	s := f.data[:n]
	f.data = f.data[n:]
	return clean(string(s))
}

func (f *fields) number(field string, n int) float64 {
	s := f.text(n)
	v, err := strconv.ParseFloat(s, 64)
	if (err != nil || math.IsNaN(v) || math.IsInf(v, 0)) && f.err == nil {
		f.err = bad(f.path, 0, field, "%q is not a number", clip(s))
	}
	return v
}

// whole reads a whole number within limits. After an error it returns low, so that
// callers may go on to the end of the header.
func (f *fields) whole(field string, n, low, high int) int {
	v := f.number(field, n)
	if f.err == nil && (v != math.Trunc(v) || v < float64(low) || v > float64(high)) {
		f.err = bad(f.path, 0, field, "%g is not a whole number from %d to %d", v, low, high)
	}
	if f.err != nil {
		return low
	}
	return int(v)
}

// readEDFHeader reads the fixed part (256 bytes) and that of the signals (256 each).
func readEDFHeader(path string, r io.ReaderAt) (edfHeader, error) {
	h := edfHeader{path: path}
	fixed := make([]byte, edfFixed)
	if n, err := r.ReadAt(fixed, 0); n < edfFixed {
		if err != nil && err != io.EOF {
			return h, unreadable(path, "header", err)
		}
		return h, bad(path, 0, "header", "the file ends after %d bytes of the 256-byte header", n)
	}
	f := &fields{path: path, data: fixed}
	if version := f.text(8); version != "0" {
		return h, bad(path, 0, "version", "%q: not an EDF file", clip(version))
	}
	f.text(80 + 80 + 8 + 8) // patient, recording, date and time: not used, often private
	h.bytes = f.whole("header size", 8, edfFixed, edfFixed+maxSignals*edfPerSignal)
	kind := f.text(44)
	h.plus = strings.HasPrefix(kind, "EDF+")
	h.discontinuous = strings.HasPrefix(kind, "EDF+D")
	h.records = f.whole("number of data records", 8, -1, 99_999_999)
	h.duration = f.number("duration of a data record", 8)
	count := f.whole("number of signals", 4, 1, maxSignals)
	// Duration 0 is legal in a file of annotations alone; samples need more.
	switch {
	case f.err != nil:
		return h, f.err
	case h.bytes != edfFixed+count*edfPerSignal:
		return h, bad(path, 0, "header size", "is %d, but %d signals take %d", h.bytes, count, edfFixed+count*edfPerSignal)
	case h.duration < 0 || h.duration > maxRecordLength:
		return h, bad(path, 0, "duration of a data record", "%g s is not from 0 to %d", h.duration, maxRecordLength)
	}
	f.data = make([]byte, count*edfPerSignal)
	if n, err := r.ReadAt(f.data, edfFixed); n < len(f.data) {
		if err != nil && err != io.EOF {
			return h, unreadable(path, "header", err)
		}
		return h, bad(path, 0, "header", "the file ends inside the header, which is to have %d bytes", h.bytes)
	}
	return h, h.parseSignals(f, count)
}

// parseSignals reads the columns of the second part: all labels, then all
// transducers, and so on.
func (h *edfHeader) parseSignals(f *fields, count int) error {
	h.signals = make([]edfSignal, count)
	each := func(read func(name string, s *edfSignal)) {
		for i := range h.signals {
			read(fmt.Sprintf("signal %d ", i), &h.signals[i])
		}
	}
	each(func(_ string, s *edfSignal) { s.label = f.text(16) })
	each(func(string, *edfSignal) { f.text(80) }) // transducer
	each(func(_ string, s *edfSignal) { s.unit = f.text(8) })
	each(func(name string, s *edfSignal) { s.low = f.number(name+"physical minimum", 8) })
	each(func(name string, s *edfSignal) { s.high = f.number(name+"physical maximum", 8) })
	each(func(name string, s *edfSignal) { s.digitalLow = f.whole(name+"digital minimum", 8, -1<<15, 1<<15-1) })
	each(func(name string, s *edfSignal) { s.digitalHigh = f.whole(name+"digital maximum", 8, -1<<15, 1<<15-1) })
	each(func(string, *edfSignal) { f.text(80) }) // filters
	each(func(name string, s *edfSignal) {
		s.perRecord = f.whole(name+"samples per data record", 8, 1, maxFrameSamples)
	})
	if f.err != nil {
		return f.err
	}
	for i := range h.signals {
		s := &h.signals[i]
		s.offset = h.frame
		if h.frame += s.perRecord; h.frame > maxFrameSamples {
			return bad(h.path, 0, "samples per data record", "more than %d in all signals together", maxFrameSamples)
		}
		if !s.annotations() && (s.digitalLow >= s.digitalHigh || s.low == s.high) {
			return bad(h.path, 0, fmt.Sprintf("signal %d", i), "its physical or digital minimum is not below its maximum")
		}
	}
	return nil
}

// openEDF opens an EDF or EDF+ file. Stretches missing from a discontinuous file
// come out as NaN.
func openEDF(path string) (*Reader, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, unreadable(path, "file", err)
	}
	r, err := newEDFReader(path, file)
	if err != nil {
		file.Close()
		return nil, err
	}
	return r, nil
}

func newEDFReader(path string, file *os.File) (*Reader, error) {
	h, err := readEDFHeader(path, file)
	if err != nil {
		return nil, err
	}
	g := &group{path: path, file: file, codec: codecs[16], offset: int64(h.bytes)}
	var channels []Channel
	perRecord := 1
	for i, s := range h.signals {
		slot := slot{row: -1, perFrame: s.perRecord}
		if !s.annotations() {
			c, factor := describe(s.label, s.unit, i)
			// The header gives two points of a straight line.
			steps := float64(s.digitalHigh-s.digitalLow) / (s.high - s.low)
			c.Gain, c.Baseline = steps/factor, float64(s.digitalLow)-s.low*steps
			slot.row, slot.gain, slot.baseline = len(channels), c.Gain, c.Baseline
			slot.low, slot.high = int32(s.digitalLow), int32(s.digitalHigh)
			channels = append(channels, c)
			perRecord = max(perRecord, s.perRecord)
		}
		g.slots = append(g.slots, slot)
	}
	if len(channels) == 0 {
		return nil, bad(path, 0, "signals", "the file holds annotations only, no samples")
	}
	rate := float64(perRecord) / h.duration
	if !(rate >= minRate && rate <= maxRate) {
		return nil, bad(path, 0, "duration of a data record", "%g s give %g samples per second: want from %g to %g", h.duration, rate, minRate, maxRate)
	}
	if err := tooWide(path, len(channels), perRecord); err != nil {
		return nil, err
	}
	frames := newFrameDecoder([]*group{g}, 0, len(channels), perRecord)
	if err := h.settleRecords(g); err != nil {
		return nil, err
	}
	frames.frames = h.records
	var dec decoder = frames
	total := h.records * perRecord
	// The header's start time has whole seconds; the first data record says how
	// much later (under a second) it begins.
	start := 0.0
	if h.plus {
		if start, err = h.onset(file, 0); err != nil {
			return nil, err
		}
	}
	if h.discontinuous {
		runs, err := h.runs(file, perRecord, start)
		if err != nil {
			return nil, err
		}
		// All runs lie in one file, which is opened once and closed at the end.
		for i := range runs {
			runs[i].open = func() (decoder, error) { return shared{frames}, nil }
		}
		last := runs[len(runs)-1]
		total = last.start + last.n
		dec = closing{newStretchDecoder(runs, total, len(channels)), frames}
	}
	name := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	r := newReader(Header{Name: name, Rate: rate, Samples: total}, channels, dec)
	if h.plus {
		r.annotations = func(string) ([]ecg.Annotation, error) {
			events, err := h.events(file)
			if err != nil {
				return nil, err
			}
			return annotationsOf(events, start, rate), nil
		}
	}
	return r, nil
}

// settleRecords compares the promised number of data records with the file.
func (h *edfHeader) settleRecords(g *group) error {
	held, err := g.size()
	if err != nil {
		return err
	}
	switch {
	case h.records < 0: // the recorder did not finish: take what is there
		h.records = held
	case held < h.records:
		return bad(h.path, 0, "number of data records", "the header promises %d, the file holds %d: it was cut short, or the header is wrong", h.records, held)
	}
	if h.records == 0 {
		return bad(h.path, 0, "number of data records", "the file holds none")
	}
	return nil
}

// runs lists the stretches of consecutive data records of a discontinuous file.
func (h *edfHeader) runs(r io.ReaderAt, perRecord int, start float64) ([]stretch, error) {
	var list []stretch
	rate := float64(perRecord) / h.duration
	for i := range h.records {
		onset, err := h.onset(r, i)
		if err != nil {
			return nil, err
		}
		at := capped((onset - start) * rate)
		if last := len(list) - 1; last >= 0 {
			end := list[last].start + list[last].n
			if at < end {
				return nil, bad(h.path, 0, fmt.Sprintf("data record %d", i), "begins at %g s, before the one before it ends", onset)
			}
			if at == end {
				list[last].n += perRecord
				continue
			}
		}
		if len(list) == maxEDFRuns {
			return nil, bad(h.path, 0, "data records", "more than %d gaps between them", maxEDFRuns)
		}
		list = append(list, stretch{name: h.path, start: at, n: perRecord, skip: i * perRecord})
	}
	return list, nil
}

// shared lends a decoder that another owner closes.
type shared struct{ decoder }

func (shared) close() error { return nil }

// closing adds the closing of what a decoder reads from.
type closing struct {
	decoder
	file decoder
}

func (c closing) close() error { return c.file.close() }
