package record

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"

	"telltrace/synth/ecg"
)

// ReferenceAnnotator is the extension of the annotation file that the makers of a
// data set regard as the truth.
const ReferenceAnnotator = "atr"

// RhythmChange is the symbol whose text names the rhythm from here on: "(VT".
const RhythmChange = "+"

// symbols are the standard codes of annot(5) by number; "" is not assigned. A code
// without symbol is written as its number in brackets, "[42]".
var symbols = [50]string{
	1: "N", 2: "L", 3: "R", 4: "a", 5: "V", 6: "F", 7: "J", 8: "A", 9: "S",
	10: "E", 11: "j", 12: "/", 13: "Q", 14: "~", 16: "|", 18: "s", 19: "T",
	20: "*", 21: "D", 22: `"`, 23: "=", 24: "p", 25: "B", 26: "^", 27: "t", 28: "+", 29: "u",
	30: "?", 31: "!", 32: "[", 33: "]", 34: "e", 35: "n", 36: "@", 37: "x", 38: "f", 39: "(",
	40: ")", 41: "r",
}

// Pseudo-codes and the note of annot(5).
const (
	codeNote = 22
	codeSkip = 59
	codeNum  = 60
	codeSub  = 61
	codeChn  = 62
	codeAux  = 63

	maxCode            = 49
	maxAnnotationBytes = 16 << 20 // a day has some 200 kB
	maxInterval        = 1<<10 - 1
	maxAux             = 1<<10 - 1
)

// symbolOf and codeOf translate between codes and symbols.
func symbolOf(code int) string {
	if code < len(symbols) && symbols[code] != "" {
		return symbols[code]
	}
	return fmt.Sprintf("[%d]", code)
}

func codeOf(symbol string) (int, bool) {
	if symbol == "" {
		return 0, false
	}
	if i := slices.Index(symbols[:], symbol); i >= 0 {
		return i, true
	}
	inner, ok := strings.CutPrefix(symbol, "[")
	inner, ok2 := strings.CutSuffix(inner, "]")
	n, err := strconv.Atoi(inner)
	return n, ok && ok2 && err == nil && n >= 1 && n <= maxCode
}

// ReadAnnotations reads a MIT annotation file. Sample counts frames of the record
// unless the file states its own time resolution; Reader.Annotations converts
// that, this function does not.
func ReadAnnotations(path string) ([]ecg.Annotation, error) {
	anns, _, err := readAnnotationFile(path)
	return anns, err
}

// readAnnotationFile also returns the file's time resolution in Hz, 0 for none.
func readAnnotationFile(path string) ([]ecg.Annotation, float64, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, unreadable(path, "annotations", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxAnnotationBytes+1))
	if err != nil {
		return nil, 0, unreadable(path, "annotations", err)
	}
	return parseAnnotations(path, data)
}

// readBeside reads an annotator's file of a record and converts its times from
// frames to samples. No file means no annotations.
func readBeside(base, annotator string, frameRate, rate float64) ([]ecg.Annotation, error) {
	if err := plainName("x." + annotator); err != nil || annotator == "" {
		return nil, bad(base, 0, "annotator", "%q is not the extension of an annotation file", clip(annotator))
	}
	anns, resolution, err := readAnnotationFile(base + "." + annotator)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	if resolution == 0 {
		resolution = frameRate
	}
	if resolution == rate {
		return anns, nil
	}
	for i := range anns {
		anns[i].Sample = capped(float64(anns[i].Sample) * rate / resolution)
	}
	return anns, nil
}

// parseAnnotations reads annot(5): 16-bit words, low byte first, of a 6-bit code
// and a 10-bit interval from the annotation before.
func parseAnnotations(path string, data []byte) (anns []ecg.Annotation, resolution float64, err error) {
	fail := func(at int, format string, args ...any) ([]ecg.Annotation, float64, error) {
		return nil, 0, bad(path, 0, fmt.Sprintf("annotation %d (byte %d)", len(anns), at), format, args...)
	}
	if len(data) > maxAnnotationBytes {
		return fail(0, "the file is longer than %d bytes: not an annotation file", maxAnnotationBytes)
	}
	const cutShort = "the file was cut short here"
	own := map[int]string{} // symbols that the file defines
	sample, channel, number := 0, 0, 0
	for at := 0; ; {
		if at+2 > len(data) {
			return fail(at, "%s: no end mark", cutShort)
		}
		word := int(binary.LittleEndian.Uint16(data[at:]))
		code, low := word>>10, word&maxInterval
		at += 2
		if word == 0 {
			anns, resolution = settle(anns, own)
			return anns, resolution, nil
		}
		switch {
		case code == codeSkip: // a long interval before the next annotation
			if at+4 > len(data) {
				return fail(at, "%s, in a long interval", cutShort)
			}
			// High word first, each low byte first.
			high := uint32(binary.LittleEndian.Uint16(data[at:]))
			sample += int(int32(high<<16 | uint32(binary.LittleEndian.Uint16(data[at+2:]))))
			at += 4
		case code <= maxCode:
			sample += low
			if last := len(anns) - 1; sample < 0 || last >= 0 && sample < anns[last].Sample {
				return fail(at-2, "its time, sample %d, is before that of the one before it", sample)
			}
			anns = append(anns, ecg.Annotation{Sample: sample, Symbol: symbolOf(code), Channel: channel, Number: number})
		case len(anns) == 0:
			return fail(at-2, "code %d belongs to an annotation, but none came before it: not an annotation file", code)
		default:
			last := &anns[len(anns)-1]
			switch code {
			case codeNum: // holds for those that follow, as does the channel
				number = int(int8(low))
				last.Number = number
			case codeSub:
				last.Subtype = int(int8(low))
			case codeChn:
				channel = int(uint8(low))
				last.Channel = channel
			case codeAux:
				if at+low > len(data) {
					return fail(at, "%s: its text promises %d bytes, %d are left", cutShort, low, len(data)-at)
				}
				text, _, _ := strings.Cut(string(data[at:at+low]), "\x00")
				last.Aux = clean(text)
				at += low + low%2 // padded to whole words
			default:
				return fail(at-2, "code %d is not assigned: not an annotation file", code)
			}
		}
	}
}

// settle takes the notes at sample 0 that describe the file itself out of the
// list: its time resolution and the symbols it defines.
func settle(anns []ecg.Annotation, own map[int]string) ([]ecg.Annotation, float64) {
	resolution, defining, k := 0.0, false, 0
	for ; k < len(anns) && anns[k].Sample == 0 && anns[k].Symbol == symbols[codeNote]; k++ {
		text := anns[k].Aux
		if value, ok := strings.CutPrefix(text, "## time resolution: "); ok {
			if hz, err := strconv.ParseFloat(value, 64); err == nil && hz >= minRate && hz <= maxRate {
				resolution = hz
			}
		} else if text == "## annotation type definitions" {
			defining = true
		} else if text == "## end of definitions" {
			defining = false
		} else if words := strings.Fields(text); defining && len(words) >= 2 {
			if code, err := strconv.Atoi(words[0]); err == nil {
				own[code] = words[1]
			}
		} else {
			break
		}
	}
	anns = anns[k:]
	for i, a := range anns {
		if code, ok := codeOf(a.Symbol); ok && own[code] != "" {
			anns[i].Symbol = own[code]
		}
	}
	return anns, resolution
}

// WriteAnnotations writes a MIT annotation file. Times must not go backwards;
// symbols are the standard ones, or a number from 1 to 49 in brackets.
func WriteAnnotations(path string, anns []ecg.Annotation) error {
	data, err := formatAnnotations(path, anns)
	if err != nil {
		return err
	}
	if err := os.WriteFile(path, data, 0o666); err != nil {
		return unreadable(path, "annotations", err)
	}
	return nil
}

// formatAnnotations is the reverse of parseAnnotations.
func formatAnnotations(path string, anns []ecg.Annotation) ([]byte, error) {
	var out []byte
	word := func(code, low int) { out = binary.LittleEndian.AppendUint16(out, uint16(code<<10|low&maxInterval)) }
	sample, channel, number := 0, 0, 0
	for i, a := range anns {
		fail := func(format string, args ...any) ([]byte, error) {
			return nil, bad(path, 0, fmt.Sprintf("annotation %d", i), format, args...)
		}
		code, ok := codeOf(a.Symbol)
		step := a.Sample - sample
		switch {
		case !ok:
			return fail("%q is not a standard symbol", clip(a.Symbol))
		case step < 0:
			return fail("its time, sample %d, is before that of the one before it", a.Sample)
		case step > math.MaxInt32:
			return fail("more than %d samples after the one before it", math.MaxInt32)
		case a.Subtype != int(int8(a.Subtype)) || a.Number != int(int8(a.Number)) || a.Channel != int(uint8(a.Channel)):
			return fail("subtype and number must be from -128 to 127, channel from 0 to 255")
		case len(a.Aux) > maxAux || strings.ContainsRune(a.Aux, 0):
			return fail("its text is longer than %d bytes or holds a zero byte", maxAux)
		}
		if step > maxInterval {
			word(codeSkip, 0)
			out = binary.LittleEndian.AppendUint16(out, uint16(step>>16))
			out = binary.LittleEndian.AppendUint16(out, uint16(step))
			step = 0
		}
		word(code, step)
		if a.Number != number {
			word(codeNum, a.Number&0xff)
		}
		if a.Subtype != 0 {
			word(codeSub, a.Subtype&0xff)
		}
		if a.Channel != channel {
			word(codeChn, a.Channel)
		}
		if a.Aux != "" {
			word(codeAux, len(a.Aux))
			out = append(out, a.Aux...)
			if len(a.Aux)%2 == 1 {
				out = append(out, 0)
			}
		}
		sample, channel, number = a.Sample, a.Channel, a.Number
	}
	return append(out, 0, 0), nil
}
