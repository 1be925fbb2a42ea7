package record

import (
	"fmt"
	"strings"
)

// Verify reads the samples of a plain WFDB record once and compares the 16-bit
// checksums, then the initial values, that its header states. A mismatch means
// that samples or header were altered; some makers of data sets write 0 for every
// checksum, so readers do not insist on it.
func Verify(path string) error {
	h, err := readHeader(strings.TrimSuffix(path, ".hea") + ".hea")
	if err != nil {
		return err
	}
	if len(h.segments) > 0 {
		return bad(h.path, 0, "segments", "verify each segment by itself")
	}
	dec, _, err := h.open(identity(len(h.signals)), len(h.signals), 1)
	if err != nil {
		return err
	}
	defer dec.close()
	var firsts []int32
	var sums []int16
	for _, g := range dec.groups {
		f, s, err := g.totals(dec.frames, dec.step)
		if err != nil {
			return err
		}
		firsts, sums = append(firsts, f...), append(sums, s...)
	}
	differs := func(i int, field string, stated, found int) error {
		return bad(h.path, h.signals[i].line, fmt.Sprintf("signal %d %s", i, field),
			"is %d in the header, %d in %s", stated, found, h.signals[i].file)
	}
	for i, s := range h.signals {
		if s.hasSum && int16(s.checksum) != sums[i] {
			return differs(i, "checksum", s.checksum, int(sums[i]))
		}
	}
	for i, s := range h.signals {
		if s.hasFirst && s.initial != int(firsts[i]) {
			return differs(i, "initial value", s.initial, int(firsts[i]))
		}
	}
	return nil
}

// totals returns the first value of each signal and the sum of all, modulo 65536.
func (g *group) totals(frames, step int) (firsts []int32, sums []int16, err error) {
	firsts, sums = make([]int32, len(g.slots)), make([]int16, len(g.slots))
	for from := 0; from < frames; from += step {
		digits, err := g.read(from, min(step, frames-from))
		if err != nil {
			return nil, nil, err
		}
		for k := 0; k < len(digits); {
			for i, s := range g.slots {
				if from == 0 && k < g.frame {
					firsts[i] = digits[k]
				}
				for range s.perFrame {
					sums[i] += int16(digits[k])
					k++
				}
			}
		}
	}
	return firsts, sums, nil
}
