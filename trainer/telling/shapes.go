package telling

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"telltrace/synth/ecg"
	"telltrace/trainer/paper"
)

// height is the deflection of a wave from where it begins, of the beat in the middle
// by height.
func (s Side) height(name string, wave func(ecg.Beat) ecg.Span) finding {
	return median(s.heights(name, wave))
}

// heights are the deflections of a wave on all beats that have it.
func (s Side) heights(name string, wave func(ecg.Beat) ecg.Span) []finding {
	var all []finding
	for _, b := range s.Marks.Beats {
		w := wave(b)
		if !w.Present() {
			continue
		}
		lo, hi := s.span(w.Onset, w.Offset)
		base := s.mv(w.Onset)
		size := hi - base
		if base-lo > size {
			size = lo - base
		}
		if !math.IsNaN(size) {
			all = append(all, finding{size: size, at: paper.Bracket{From: w.Onset, To: w.Offset, Text: fmt.Sprintf("%s %.1f mV", name, size)}})
		}
	}
	return all
}

// pChange is the lowest P, by as much as it is lower than the tallest.
func (s Side) pChange() finding {
	return change(s.heights("P", func(b ecg.Beat) ecg.Span { return b.P }))
}

// earlyChange is the lowest QRS of the early beats, by as much as it is lower than the
// tallest of them.
func (s Side) earlyChange() finding {
	s.Marks.Beats = s.earlyBeats()
	return change(s.heights("QRS", func(b ecg.Beat) ecg.Span { return b.QRS }))
}

// change is the lowest of some heights, by as much as it is lower than the tallest.
func change(all []finding) finding {
	if len(all) < 2 {
		return finding{none: true}
	}
	least := slices.MinFunc(all, func(a, b finding) int { return compare(a.size, b.size) })
	most := slices.MaxFunc(all, func(a, b finding) int { return compare(a.size, b.size) })
	name, _, _ := strings.Cut(least.at.Text, " ")
	least.at.Text = fmt.Sprintf("%s %.1f to %.1f mV", name, least.size, most.size)
	least.size = most.size - least.size
	return least
}

func median(all []finding) finding {
	if len(all) == 0 {
		return finding{none: true}
	}
	slices.SortFunc(all, func(a, b finding) int { return compare(a.size, b.size) })
	return all[len(all)/2]
}

// qrsHeight is how tall a QRS is from its lowest to its highest point.
func qrsHeight(s Side) finding {
	var all []finding
	for _, b := range s.Marks.Beats {
		if !b.QRS.Present() {
			continue
		}
		if lo, hi := s.span(b.QRS.Onset, b.QRS.Offset); !math.IsNaN(hi - lo) {
			all = append(all, finding{size: hi - lo, at: paper.Bracket{From: b.QRS.Onset, To: b.QRS.Offset, Text: fmt.Sprintf("QRS %.1f mV", hi-lo)}})
		}
	}
	f := median(all)
	if f.none {
		f.at = s.stretch(1, "no QRS")
	}
	return f
}

// afterJ is where ST is measured after the end of QRS, s (60 ms, common practice).
const afterJ = 0.06

// st is the level 60 ms after QRS against the level before it.
func st(s Side) finding {
	var all []finding
	for _, b := range s.Marks.Beats {
		size := s.mv(b.QRS.Offset+afterJ) - s.mv(b.QRS.Onset)
		if !math.IsNaN(size) {
			all = append(all, finding{size: size, at: paper.Bracket{From: b.QRS.Offset, To: b.QRS.Offset + afterJ, Text: fmt.Sprintf("ST %.1f mV", size)}})
		}
	}
	return median(all)
}

// between is how tall the trace is where no wave should be: from the end of T to the
// next P or QRS.
func between(s Side) finding {
	var all []finding
	for i, b := range s.Marks.Beats {
		if i == 0 {
			continue
		}
		last := s.Marks.Beats[i-1]
		from, to := max(last.QRS.Offset, last.T.Offset), b.QRS.Onset
		if b.P.Present() {
			to = b.P.Onset
		}
		if lo, hi := s.span(from, to); to > from && !math.IsNaN(hi-lo) {
			all = append(all, finding{size: hi - lo, at: paper.Bracket{From: from, To: to, Text: fmt.Sprintf("%.1f mV where it is flat", hi-lo)}})
		}
	}
	return median(all)
}

// whole is how tall the trace is over two seconds in its middle.
func whole(s Side) finding {
	f := finding{at: s.stretch(2, "")}
	lo, hi := s.span(f.at.From, f.at.To)
	if f.size = hi - lo; math.IsNaN(f.size) {
		return finding{none: true}
	}
	f.at.Text = fmt.Sprintf("%.1f mV", f.size)
	return f
}

// spikeInPause is the steepest step from sample to sample in the longest RR, away from
// the beats at its ends and their T: a pacing spike stands out of everything else.
func (s Side) spikeInPause() finding {
	pause := s.rr(-1)
	if pause.none {
		return pause
	}
	from, to := pause.at.From+pause.size/3, pause.at.To-pause.size/6
	f := finding{none: true}
	for at := from; at < to; at += 1 / s.Rate {
		if step := math.Abs(s.mv(at+1/s.Rate) - s.mv(at)); step > f.size {
			f = finding{size: step, at: paper.Bracket{From: at, To: at + 0.02, Text: fmt.Sprintf("steepest step %.1f mV", step)}}
		}
	}
	return f
}
