package record

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// Limits on what a header may claim. Real records stay far below them; they keep
// a lying header from costing memory.
const (
	maxHeaderBytes  = 4 << 20
	maxSignals      = 1024
	maxSegments     = 100_000
	maxFrameSamples = 1 << 18 // samples of all signals in one frame
	maxSkewSamples  = 1 << 22 // samples between the most skewed signal and its frame
	maxFrames       = 1 << 48
	minRate         = 1e-4 // Hz
	maxRate         = 1e6  // Hz
)

// Values that header(5) prescribes where the header is silent.
const (
	defaultRate = 250 // Hz
	defaultGain = 200 // units per mV
)

// wfdbHeader is a .hea file as it stands.
type wfdbHeader struct {
	path     string
	name     string
	rate     float64 // frames per second
	frames   int     // -1 when the header does not say
	signals  []wfdbSignal
	segments []wfdbSegment // of a multi-segment record; signals is then empty
	nsig     int
	comments []string
}

type wfdbSignal struct {
	line     int
	file     string
	format   int
	perFrame int // samples per frame
	skew     int // frames
	offset   int // bytes before the first sample
	gain     float64
	baseline int
	unit     string // "" when the header names none
	initial  int
	hasFirst bool // the header states the initial value; format 8 starts from it
	checksum int
	hasSum   bool
	name     string
}

type wfdbSegment struct {
	name   string // "~" is a gap
	frames int
}

// isLayout reports whether the first segment describes the signals of a record of
// variable layout instead of holding samples.
func (h wfdbHeader) isLayout() bool { return len(h.segments) > 0 && h.segments[0].frames == 0 }

// readHeader reads a header file of bounded size.
func readHeader(path string) (wfdbHeader, error) {
	f, err := os.Open(path)
	if err != nil {
		return wfdbHeader{}, unreadable(path, "header", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxHeaderBytes+1))
	if err != nil {
		return wfdbHeader{}, unreadable(path, "header", err)
	}
	return parseHeader(path, data)
}

// parseHeader reads header(5). path is for messages and for the record's name.
func parseHeader(path string, data []byte) (wfdbHeader, error) {
	h := wfdbHeader{path: path, frames: -1}
	h.name = strings.TrimSuffix(filepath.Base(path), ".hea")
	if len(data) > maxHeaderBytes {
		return h, bad(path, 0, "header", "longer than %d bytes: not a record header", maxHeaderBytes)
	}
	// A signal file named by mistake would otherwise give a puzzling message.
	if bytes.IndexByte(data, 0) >= 0 {
		return h, bad(path, 0, "header", "holds binary data: not a record header")
	}
	var lines []headerLine
	number := 0
	for text := range strings.SplitSeq(string(data), "\n") {
		number++
		text = strings.TrimSpace(text)
		if comment, ok := strings.CutPrefix(text, "#"); ok {
			if len(lines) > 0 { // a comment before the record line is about the file
				h.comments = append(h.comments, clean(comment))
			}
		} else if text != "" {
			lines = append(lines, headerLine{number, text})
		}
	}
	if len(lines) == 0 {
		return h, bad(path, 0, "header", "has no record line")
	}
	segments, err := h.parseRecordLine(lines[0])
	if err != nil {
		return h, err
	}
	lines = lines[1:]
	if segments > 0 {
		return h, h.parseSegments(lines, segments)
	}
	return h, h.parseSignals(lines)
}

type headerLine struct {
	number int
	text   string
}

// parseRecordLine reads "name[/segments] signals [rate[/counter[(base)]] [samples
// [time [date]]]]" and returns the number of segments, 0 for a plain record.
func (h *wfdbHeader) parseRecordLine(l headerLine) (segments int, err error) {
	fail := func(field, format string, args ...any) (int, error) {
		return 0, bad(h.path, l.number, field, format, args...)
	}
	words := strings.Fields(l.text)
	if len(words) < 2 {
		return fail("record line", "want at least a name and the number of signals")
	}
	if _, count, ok := strings.Cut(words[0], "/"); ok {
		segments, err = strconv.Atoi(count)
		if err != nil || segments < 1 || segments > maxSegments {
			return fail("number of segments", "%q is not a whole number from 1 to %d", clip(count), maxSegments)
		}
	}
	h.nsig, err = strconv.Atoi(words[1])
	if err != nil || h.nsig < 0 || h.nsig > maxSignals {
		return fail("number of signals", "%q is not a whole number from 0 to %d", clip(words[1]), maxSignals)
	}
	if h.nsig == 0 {
		return fail("number of signals", "the record holds no signals, so there is nothing to show")
	}
	h.rate = defaultRate
	if len(words) > 2 {
		text, _, _ := strings.Cut(words[2], "/") // the counter frequency is for tape counters
		h.rate, err = strconv.ParseFloat(text, 64)
		if err != nil || !(h.rate >= minRate && h.rate <= maxRate) {
			return fail("sampling rate", "%q is not a number of samples per second from %g to %g", clip(text), minRate, maxRate)
		}
	}
	if len(words) > 3 {
		n, err := strconv.Atoi(words[3])
		if err != nil || n < 0 || n > maxFrames {
			return fail("number of samples", "%q is not a whole number from 0 to %d", clip(words[3]), maxFrames)
		}
		if n > 0 { // 0 stands for unknown
			h.frames = n
		}
	}
	return segments, nil
}

// parseSegments reads one "name samples" line per segment. A length of 0 marks
// the layout of a record of variable layout, so only the first may have it.
func (h *wfdbHeader) parseSegments(lines []headerLine, want int) error {
	if len(lines) != want {
		return bad(h.path, 0, "segments", "the record line promises %d segments, %d are listed", want, len(lines))
	}
	total := 0
	for i, l := range lines {
		words := strings.Fields(l.text)
		field := fmt.Sprintf("segment %d", i)
		if len(words) != 2 {
			return bad(h.path, l.number, field, "want a name and a number of samples")
		}
		if words[0] != "~" {
			if err := plainName(words[0]); err != nil {
				return bad(h.path, l.number, field, "%v", err)
			}
		}
		n, err := strconv.Atoi(words[1])
		if err != nil || n < 0 || n > maxFrames || (n == 0 && i > 0) {
			return bad(h.path, l.number, field, "%q is not a number of samples", clip(words[1]))
		}
		if total += n; total > maxFrames {
			return bad(h.path, l.number, field, "the segments add up to more than %d samples", maxFrames)
		}
		h.segments = append(h.segments, wfdbSegment{words[0], n})
	}
	if h.frames >= 0 && h.frames != total {
		return bad(h.path, 0, "number of samples", "the record line promises %d, the segments add up to %d", h.frames, total)
	}
	h.frames = total
	return nil
}

// parseSignals reads one line per signal. The bounds on a frame and on skew keep
// the decoder's buffers small whatever the header says.
func (h *wfdbHeader) parseSignals(lines []headerLine) error {
	if len(lines) != h.nsig {
		return bad(h.path, 0, "signals", "the record line promises %d signals, %d are described", h.nsig, len(lines))
	}
	frame := 0
	for i, l := range lines {
		s, err := h.parseSignal(i, l)
		if err != nil {
			return err
		}
		if frame += s.perFrame; frame > maxFrameSamples {
			return bad(h.path, l.number, "samples per frame", "more than %d in all signals together", maxFrameSamples)
		}
		h.signals = append(h.signals, s)
	}
	for _, s := range h.signals {
		if s.skew > maxSkewSamples/frame {
			return bad(h.path, s.line, "skew", "%d is more than a multiplexer can cause", s.skew)
		}
	}
	return nil
}

// parseSignal reads "file format[xN][:skew][+offset] [gain[(baseline)][/unit]
// [resolution [zero [initial [checksum [block [description]]]]]]]".
func (h *wfdbHeader) parseSignal(i int, l headerLine) (wfdbSignal, error) {
	s := wfdbSignal{line: l.number, perFrame: 1, gain: defaultGain}
	fail := func(field, format string, args ...any) (wfdbSignal, error) {
		return s, bad(h.path, l.number, fmt.Sprintf("signal %d %s", i, field), format, args...)
	}
	words, rest := cutFields(l.text, 8)
	if len(words) < 2 {
		return fail("line", "want at least a file name and a format")
	}
	s.file = words[0]
	if s.file != "~" {
		if err := plainName(s.file); err != nil {
			return fail("file name", "%v", err)
		}
	}
	var err error
	if s.format, s.perFrame, s.skew, s.offset, err = parseFormat(words[1]); err != nil {
		return fail("format", "%v", err)
	}
	zero, baselineGiven := 0, false
	if len(words) > 2 {
		if baselineGiven, err = s.parseGain(words[2]); err != nil {
			return fail("gain", "%v", err)
		}
	}
	// resolution (3) and block size (7) are checked for form only: nothing depends
	// on them.
	for k, field := range []string{3: "resolution", 4: "zero", 5: "initial value", 6: "checksum", 7: "block size"} {
		if k < 3 || k >= len(words) {
			continue
		}
		n, err := strconv.ParseInt(words[k], 10, 33)
		if err != nil {
			return fail(field, "%q is not a whole number of 32 bits", clip(words[k]))
		}
		switch k {
		case 4:
			zero = int(n)
		case 5:
			s.initial, s.hasFirst = int(n), true
		case 6:
			s.checksum, s.hasSum = int(n), true
		}
	}
	if !baselineGiven {
		s.baseline = zero
	}
	if !s.hasFirst {
		s.initial = zero
	}
	s.name = clean(rest)
	return s, nil
}

// parseGain reads "200(1024)/mV". Where the baseline is left out, it equals the
// zero of the converter, which stands further on in the line.
func (s *wfdbSignal) parseGain(word string) (baselineGiven bool, err error) {
	number, unit, _ := strings.Cut(word, "/")
	s.unit = clean(unit)
	if before, after, ok := strings.Cut(number, "("); ok {
		inner, closed := strings.CutSuffix(after, ")")
		n, err := strconv.ParseInt(inner, 10, 33)
		if err != nil || !closed {
			return false, fmt.Errorf("baseline (%s is not a whole number in brackets", clip(after))
		}
		number, s.baseline, baselineGiven = before, int(n), true
	}
	s.gain, err = strconv.ParseFloat(number, 64)
	if err != nil || math.IsNaN(s.gain) || math.IsInf(s.gain, 0) {
		return false, fmt.Errorf("%q is not a number of units per millivolt", clip(number))
	}
	if s.gain == 0 { // header(5) would let it pass as the default: an amplitude nobody has vouched for
		return false, fmt.Errorf("0 says that the amplitude is not calibrated; write the units per millivolt, or leave the field out to read it as %d", defaultGain)
	}
	if g := math.Abs(s.gain); g < 1e-12 || g > 1e12 {
		return false, fmt.Errorf("%g is out of any recorder's range", s.gain)
	}
	return baselineGiven, nil
}

// parseFormat reads "212x4:3+24": four samples of format 212 in each frame, three
// frames late, after 24 bytes of something else.
func parseFormat(word string) (format, perFrame, skew, offset int, err error) {
	end := strings.IndexAny(word, "x:+")
	if end < 0 {
		end = len(word)
	}
	format, err = strconv.Atoi(word[:end])
	if err != nil {
		return 0, 0, 0, 0, fmt.Errorf("%q does not begin with a number", clip(word))
	}
	if _, known := codecs[format]; !known && format != 0 { // 0: no samples, in a layout
		return 0, 0, 0, 0, fmt.Errorf("%d is not read here; known are %s", format, knownCodecs())
	}
	perFrame = 1
	for rest := word[end:]; rest != ""; {
		mark := rest[0]
		stop := strings.IndexAny(rest[1:], "x:+")
		if stop < 0 {
			stop = len(rest) - 1
		}
		n, err := strconv.Atoi(rest[1 : stop+1])
		switch {
		case err != nil || n < 0:
			return 0, 0, 0, 0, fmt.Errorf("%q: what follows %q is not a whole number", clip(word), string(mark))
		case mark == 'x' && (n < 1 || n > maxFrameSamples):
			return 0, 0, 0, 0, fmt.Errorf("%d samples per frame are out of range", n)
		case mark == 'x':
			perFrame = n
		case mark == ':':
			skew = n
		default:
			offset = n
		}
		rest = rest[stop+1:]
	}
	return format, perFrame, skew, offset, nil
}

// plainName refuses names that lead out of the record's folder.
func plainName(name string) error {
	if strings.ContainsAny(name, `/\:`) || name == "" || name == "-" || strings.HasPrefix(name, ".") {
		return fmt.Errorf("%q is refused: a record's files lie beside its header, named without a path", clip(name))
	}
	return nil
}

// cutFields splits off the first n words and returns the rest of the line.
func cutFields(text string, n int) (words []string, rest string) {
	rest = strings.TrimSpace(text)
	for len(words) < n && rest != "" {
		end := strings.IndexAny(rest, " \t")
		if end < 0 {
			end = len(rest)
		}
		words = append(words, rest[:end])
		rest = strings.TrimLeft(rest[end:], " \t")
	}
	return words, rest
}

// clip shortens a word of a file for a message.
func clip(s string) string {
	if s = clean(s); len([]rune(s)) > 40 {
		return string([]rune(s)[:40]) + "…"
	}
	return s
}
