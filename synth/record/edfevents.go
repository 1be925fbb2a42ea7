package record

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"telltrace/synth/ecg"
)

// Separators of time-stamped annotation lists (EDF+ specification 2003, 2.2.2).
const (
	talText     = "\x14" // after the times, and after each text
	talDuration = "\x15" // between onset and duration
	talEnd      = "\x00"
)

// An edfEvent is one annotation text of an EDF+ file.
type edfEvent struct {
	onset float64 // s from the start of the file
	text  string
}

// lists returns the annotation lists of one data record, one string per signal.
func (h *edfHeader) lists(r io.ReaderAt, record int) ([]string, error) {
	var out []string
	for _, s := range h.signals {
		if !s.annotations() {
			continue
		}
		buf := make([]byte, 2*s.perRecord)
		at := int64(h.bytes) + 2*(int64(record)*int64(h.frame)+int64(s.offset))
		if _, err := r.ReadAt(buf, at); err != nil {
			return nil, bad(h.path, 0, fmt.Sprintf("data record %d", record), "its annotations cannot be read: %v", err)
		}
		out = append(out, string(buf))
	}
	return out, nil
}

// onset is the start time of a data record, which its first list holds in s.
func (h *edfHeader) onset(r io.ReaderAt, record int) (float64, error) {
	lists, err := h.lists(r, record)
	if err != nil {
		return 0, err
	}
	if len(lists) == 0 {
		return 0, bad(h.path, 0, "signals", "an EDF+ file needs one labelled %q", edfAnnotations)
	}
	word, _, _ := strings.Cut(lists[0], talText)
	t, ok := talTime(word)
	if !ok {
		return 0, bad(h.path, 0, fmt.Sprintf("data record %d", record), "its annotations do not begin with the time of the record")
	}
	return t, nil
}

// talTime reads a signed time in s, without or with a duration after it.
func talTime(word string) (float64, bool) {
	onset, _, _ := strings.Cut(word, talDuration)
	t, err := strconv.ParseFloat(onset, 64)
	signed := strings.HasPrefix(onset, "+") || strings.HasPrefix(onset, "-")
	return t, err == nil && signed && !math.IsNaN(t) && math.Abs(t) < 1e12
}

// events reads all annotation texts of the file.
func (h *edfHeader) events(r io.ReaderAt) ([]edfEvent, error) {
	var out []edfEvent
	for record := range h.records {
		lists, err := h.lists(r, record)
		if err != nil {
			return nil, err
		}
		for _, list := range lists {
			for tal := range strings.SplitSeq(list, talEnd) {
				if tal == "" {
					continue
				}
				parts := strings.Split(tal, talText)
				t, ok := talTime(parts[0])
				if !ok || len(parts) < 2 {
					return nil, bad(h.path, 0, fmt.Sprintf("data record %d", record), "annotation %q does not begin with a time", clip(tal))
				}
				for _, text := range parts[1:] {
					if text = clean(text); text != "" {
						out = append(out, edfEvent{t, text})
					}
				}
				if len(out) > maxEDFEvents {
					return nil, bad(h.path, 0, "annotations", "more than %d", maxEDFEvents)
				}
			}
		}
	}
	return out, nil
}

// annotationsOf translates texts. A text that is a standard symbol is one; a
// symbol that is no letter may be followed by a blank and its text ("+ (VT");
// anything else is a note. start is the time of sample 0 in s.
func annotationsOf(events []edfEvent, start, rate float64) []ecg.Annotation {
	var out []ecg.Annotation
	for _, e := range events {
		at := (e.onset - start) * rate
		if at < -0.5 {
			continue // before the first sample
		}
		a := ecg.Annotation{Sample: capped(max(0, at)), Symbol: symbols[codeNote], Aux: e.text}
		symbol, aux, more := strings.Cut(e.text, " ")
		if _, known := codeOf(symbol); known && (!more || takesText(symbol)) {
			a.Symbol, a.Aux = symbol, aux
		}
		out = append(out, a)
	}
	slices.SortStableFunc(out, func(a, b ecg.Annotation) int { return a.Sample - b.Sample })
	return out
}

// takesText tells symbols that a text may follow from letters, after which it
// would be a sentence.
func takesText(symbol string) bool {
	return symbol == RhythmChange || symbol == "~" || symbol == "|" || symbol == symbols[codeNote]
}

// textsOf is the reverse: the texts to write for an annotation.
func textsOf(a ecg.Annotation) []string {
	note := symbols[codeNote] + " " + clean(a.Aux)
	switch {
	case clean(a.Aux) == "":
		return []string{a.Symbol}
	case takesText(a.Symbol):
		return []string{a.Symbol + " " + clean(a.Aux)}
	}
	return []string{a.Symbol, note}
}
