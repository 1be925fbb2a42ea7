package record

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"telltrace/synth/ecg"
)

// openWFDB opens a record by its header or by a signal file that lies beside it.
func openWFDB(path string) (*Reader, error) {
	base := strings.TrimSuffix(path, filepath.Ext(path))
	h, err := readHeader(base + ".hea")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &Error{Path: base + ".hea", Field: "header", What: "no such file: a WFDB record needs its header beside its samples", Err: err}
	}
	if err != nil {
		return nil, err
	}
	layout := h
	if len(h.segments) > 0 {
		if layout, err = h.layout(); err != nil {
			return nil, err
		}
	}
	channels, perFrame := layout.channels()
	if err := tooWide(h.path, len(channels), perFrame); err != nil {
		return nil, err
	}
	var dec decoder
	frames := h.frames
	if len(h.segments) > 0 {
		dec, err = h.openSegments(layout, channels, perFrame)
	} else {
		dec, frames, err = h.open(identity(len(channels)), len(channels), perFrame)
	}
	if err != nil {
		return nil, err
	}
	r := newReader(Header{Name: h.name, Rate: h.rate * float64(perFrame), Samples: frames * perFrame,
		Comments: h.comments}, channels, dec)
	r.annotations = func(annotator string) ([]ecg.Annotation, error) {
		return readBeside(base, annotator, h.rate, r.header.Rate)
	}
	return r, nil
}

// channels describes the signals of a header, and the number of output samples
// per frame: that of the fastest signal.
func (h wfdbHeader) channels() (channels []Channel, perFrame int) {
	perFrame = 1
	for i, s := range h.signals {
		c, factor := describe(s.name, s.unitOrMV(), i)
		if !c.Lead && s.unit == "" {
			c.Unit = ""
		}
		c.Gain, c.Baseline = s.gain/factor, float64(s.baseline)
		channels = append(channels, c)
		perFrame = max(perFrame, s.perFrame)
	}
	return channels, perFrame
}

// unitOrMV is the unit by header(5), which takes mV where none is named.
func (s wfdbSignal) unitOrMV() string {
	if s.unit == "" {
		return "mV"
	}
	return s.unit
}

// identity maps every signal to the row of its own number.
func identity(n int) []int {
	m := make([]int, n)
	for i := range m {
		m[i] = i
	}
	return m
}

// open opens the signal files of a plain record. rowOf gives the output row of
// each signal, -1 for none; rows is their number. It returns the number of frames
// the files hold for certain.
func (h wfdbHeader) open(rowOf []int, rows, perFrame int) (dec *frameDecoder, frames int, err error) {
	groups, err := h.groups(rowOf)
	defer func() {
		if err != nil {
			for _, g := range groups {
				g.file.Close()
			}
		}
	}()
	if err != nil {
		return nil, 0, err
	}
	dec = newFrameDecoder(groups, 0, rows, perFrame)
	held := math.MaxInt
	for _, g := range groups {
		n, err := g.size()
		if err != nil {
			return nil, 0, err
		}
		if h.frames >= 0 {
			if err := promise(g.path, h.frames, n); err != nil {
				return nil, 0, err
			}
		}
		held = min(held, n)
	}
	// A header may leave the length open; then the shortest file decides.
	if dec.frames = h.frames; h.frames < 0 {
		dec.frames = held
	}
	if dec.frames == 0 {
		return nil, 0, bad(h.path, 0, "number of samples", "the record holds none")
	}
	return dec, dec.frames, nil
}

// groups opens the files, one group for each run of signals in the same file.
// What it opened is returned even with an error.
func (h wfdbHeader) groups(rowOf []int) (groups []*group, err error) {
	for i, s := range h.signals {
		fail := func(field, format string, args ...any) ([]*group, error) {
			return groups, bad(h.path, s.line, fmt.Sprintf("signal %d %s", i, field), format, args...)
		}
		if s.file == "~" || s.format == 0 {
			return fail("file name", "a signal without samples: only the first segment of a record may say that")
		}
		c := codecs[s.format]
		if c.differential && s.skew > 0 {
			return fail("skew", "is not read with format %d", s.format)
		}
		path := filepath.Join(filepath.Dir(h.path), s.file)
		if i == 0 || h.signals[i-1].file != s.file {
			if slices.ContainsFunc(groups, func(g *group) bool { return g.path == path }) {
				return fail("file name", "signals of one file must stand together")
			}
			file, err := os.Open(path)
			if err != nil {
				return groups, unreadable(path, "samples", err)
			}
			groups = append(groups, &group{path: path, file: file, codec: c, offset: int64(s.offset)})
		} else if s.format != h.signals[i-1].format || s.offset != h.signals[i-1].offset {
			return fail("format", "signals of one file must share format and offset")
		}
		g := groups[len(groups)-1]
		// Only the lowest value of the format is invalid.
		low, high := int32(math.MinInt32), int32(math.MaxInt32)
		if c.hasInvalid {
			low = c.invalid + 1
		}
		_, factor := describe(s.name, s.unitOrMV(), i)
		g.slots = append(g.slots, slot{row: rowOf[i], perFrame: s.perFrame, skew: s.skew,
			gain: s.gain / factor, baseline: float64(s.baseline), low: low, high: high, initial: int32(s.initial)})
	}
	return groups, nil
}

// layout is the header that describes the signals of a multi-segment record: the
// first segment (variable layout), or the first that is no gap (fixed layout).
func (h wfdbHeader) layout() (wfdbHeader, error) {
	for _, s := range h.segments {
		if s.name == "~" {
			continue
		}
		layout, err := h.segmentHeader(s)
		if err == nil && len(layout.signals) != h.nsig {
			err = bad(h.path, 0, "number of signals", "the record line promises %d, %s describes %d", h.nsig, layout.path, len(layout.signals))
		}
		return layout, err
	}
	return h, bad(h.path, 0, "segments", "all are gaps")
}

// segmentHeader reads the header of a segment, which lies in the same folder. One
// level is all that header(5) allows, so a record cannot contain itself.
func (h wfdbHeader) segmentHeader(s wfdbSegment) (wfdbHeader, error) {
	path := filepath.Join(filepath.Dir(h.path), s.name+".hea")
	sub, err := readHeader(path)
	switch {
	case err != nil:
		return sub, err
	case len(sub.segments) > 0:
		return sub, bad(path, 0, "segments", "a segment cannot have segments itself")
	case math.Abs(sub.rate-h.rate) > 1e-9*h.rate:
		return sub, bad(path, 0, "sampling rate", "is %g, but %s says %g", sub.rate, h.path, h.rate)
	}
	return sub, nil
}

// openSegments checks every segment once and opens them one at a time as reading
// reaches them.
func (h wfdbHeader) openSegments(layout wfdbHeader, channels []Channel, perFrame int) (decoder, error) {
	var list []stretch
	start := 0
	for i, s := range h.segments {
		if s.name != "~" && s.frames > 0 {
			open := func() (decoder, error) { return h.openSegment(s, layout, channels, perFrame) }
			dec, err := open()
			if err != nil {
				return nil, err
			}
			if err := dec.close(); err != nil {
				return nil, unreadable(h.path, fmt.Sprintf("segment %d", i), err)
			}
			list = append(list, stretch{name: filepath.Join(filepath.Dir(h.path), s.name+".hea"),
				start: start * perFrame, n: s.frames * perFrame, open: open})
		}
		start += s.frames
	}
	if start == 0 {
		return nil, bad(h.path, 0, "number of samples", "the record holds none")
	}
	return newStretchDecoder(list, start*perFrame, len(channels)), nil
}

// openSegment opens one segment with its signals in the rows of the whole record:
// by their order in a fixed layout, by their names in a variable one. Gains may
// differ between segments, units may not.
func (h wfdbHeader) openSegment(s wfdbSegment, layout wfdbHeader, channels []Channel, perFrame int) (decoder, error) {
	sub, err := h.segmentHeader(s)
	if err != nil {
		return nil, err
	}
	if sub.frames >= 0 && sub.frames != s.frames {
		return nil, bad(sub.path, 0, "number of samples", "is %d, but %s says %d", sub.frames, h.path, s.frames)
	}
	sub.frames = s.frames
	if !h.isLayout() && len(sub.signals) != len(layout.signals) {
		return nil, bad(sub.path, 0, "number of signals", "is %d, in the first segment %d", len(sub.signals), len(layout.signals))
	}
	have, _ := sub.channels()
	rowOf := make([]int, len(have))
	used := make([]bool, len(channels))
	for i, c := range have {
		row := i
		if h.isLayout() {
			row = -1
			for k, s := range layout.signals {
				if !used[k] && s.name == sub.signals[i].name {
					row = k
					break
				}
			}
		}
		if rowOf[i] = row; row < 0 {
			continue // a signal the layout does not show
		}
		used[row] = true
		if c.Unit != channels[row].Unit {
			return nil, bad(sub.path, sub.signals[i].line, fmt.Sprintf("signal %d unit", i), "is %q, elsewhere in the record %q", c.Unit, channels[row].Unit)
		}
	}
	dec, _, err := sub.open(rowOf, len(channels), perFrame)
	if err != nil {
		return nil, err
	}
	for row, ok := range used {
		if !ok {
			dec.missing = append(dec.missing, row)
		}
	}
	return dec, nil
}
