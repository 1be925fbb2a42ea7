package practise

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/trainer/stage"
)

// stripSeconds is how much of the end of a strip is read back, s: the usual length
// of a printed strip.
const stripSeconds = 10

// Truth is what is marked on a held strip: the engine's own truth, or what can be
// read from the samples of a recording. Times are strip times.
func (r Round) Truth(s *stage.Stage) ecg.Marks {
	if r.Marks != nil {
		return r.Marks(0, s.Edge())
	}
	reading, at, err := r.readBack(s)
	if err != nil {
		return ecg.Marks{}
	}
	return reading.Marks.Shift(at)
}

// readBack reads the end of the strip in the lead shown; at is where what was read
// begins.
func (r Round) readBack(s *stage.Stage) (reading measure.Reading, at float64, err error) {
	strip, at := s.Strip(s.Edge()-stripSeconds, s.Edge())
	reading, err = measure.Read(strip, s.Lead(), measure.WithLimits(synth.Limits(r.Age)))
	return reading, at, err
}

// readInOrder is the end of the strip in the order of the trade: rate, regular or
// not, P, PR, QRS, QT. The figures are those of the marks on the page, so that the
// two agree; where nothing is marked, what can be read from the samples.
func (r Round) readInOrder(s *stage.Stage) string {
	to := s.Edge()
	from := max(to-stripSeconds, 0)
	where := fmt.Sprintf("lead %s, last %.0f s: ", s.Lead(), to-from)
	marks := s.Marked(r.Truth(s)).Marks
	first := slices.IndexFunc(marks.Beats, func(b ecg.Beat) bool { return b.QRS.Onset >= from })
	if first >= 0 && len(marks.Beats)-first > 2 {
		return where + strings.Join(inOrder(marks.Beats[first:], marks.P, synth.Limits(r.Age)), "; ") + "."
	}
	reading, _, err := r.readBack(s)
	if err != nil {
		return "this strip cannot be read back: " + err.Error()
	}
	names := append([]string{reading.Name}, reading.Also...)
	reasons := slices.DeleteFunc(slices.Clone(reading.Reasons), func(reason string) bool {
		return slices.ContainsFunc(names, func(id string) bool { return id != "" && strings.HasSuffix(reason, ": "+id) })
	})
	if len(reasons) == 0 {
		reasons = []string{"nothing that can be measured"}
	}
	return where + strings.Join(reasons, "; ") + "."
}

// regularBelow is the spread of RR, as a share of its mean, below which a strip is
// called regular (sinus rhythm 0.02 to 0.08, from memory).
const regularBelow = 0.08

// inOrder says what three beats or more and the P waves among them show.
func inOrder(beats []ecg.Beat, p []ecg.Span, usual measure.Limits) []string {
	var rr, pr, qrs, qt []float64
	for i, b := range beats {
		if i > 0 {
			rr = append(rr, b.QRS.Onset-beats[i-1].QRS.Onset)
		}
		for _, x := range []struct {
			of  func() (float64, bool)
			out *[]float64
		}{{b.PR, &pr}, {b.QRSWidth, &qrs}, {b.QT, &qt}} {
			if d, ok := x.of(); ok {
				*x.out = append(*x.out, d)
			}
		}
	}
	mean, deviation := stat.PopMeanStdDev(rr, nil)
	rate, word := 60/mean, "usual"
	if rate > usual.Fast {
		word = "fast"
	} else if rate < usual.Slow {
		word = "slow"
	}
	out := []string{fmt.Sprintf("rate %.0f a minute: %s for %.0f-%.0f", rate, word, usual.Slow, usual.Fast)}
	word = "irregular"
	if deviation/mean < regularBelow {
		word = "regular"
	}
	out = append(out, fmt.Sprintf("%s: RR varies by %.0f %%", word, 100*deviation/mean))

	waves := 0
	for _, w := range p {
		if w.Onset >= beats[0].QRS.Onset && w.Onset < beats[len(beats)-1].QRS.Onset {
			waves++
		}
	}
	perQRS := fmt.Sprintf("%.2g P for each QRS", float64(waves)/float64(len(rr)))
	switch {
	case waves == 0:
		out = append(out, "no P")
	case len(pr) == 0:
		out = append(out, perQRS+", none leads to it")
	default:
		out = append(out, perQRS, "PR "+spread(pr))
	}
	word = "narrow"
	if middle(qrs) >= usual.Wide {
		word = "wide"
	}
	out = append(out, "QRS "+spread(qrs)+": "+word)
	if len(qt) > 0 {
		out = append(out, fmt.Sprintf("QT %.0f ms, corrected %.0f ms (Bazett)", 1000*middle(qt), 1000*measure.Bazett(middle(qt), mean)))
	}
	return out
}

// spread is the median of some times (s) in ms, with the shortest and the longest
// where they lie apart by more than a dot of the strip.
func spread(x []float64) string {
	const dot = 0.025
	words := fmt.Sprintf("%.0f ms", 1000*middle(x))
	if lo, hi := slices.Min(x), slices.Max(x); hi-lo > 2*dot {
		words += fmt.Sprintf(" (%.0f to %.0f)", 1000*lo, 1000*hi)
	}
	return words
}

// middle is the median of some values; NaN of none.
func middle(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	sorted := slices.Sorted(slices.Values(x))
	return stat.Quantile(0.5, stat.Empirical, sorted, nil)
}
