package practise

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
	reading, _, at, err := r.readBack(s)
	if err != nil {
		return ecg.Marks{}
	}
	return shift(reading.Marks, at)
}

// readBack reads the end of the strip in the lead shown; at is where what was read
// begins, seconds how long it is.
func (r Round) readBack(s *stage.Stage) (reading measure.Reading, seconds, at float64, err error) {
	strip, at := s.Strip(s.Edge()-stripSeconds, s.Edge())
	reading, err = measure.Read(strip, s.Lead(), measure.WithLimits(synth.Limits(r.Age)))
	return reading, strip.Seconds(), at, err
}

func shift(m ecg.Marks, dt float64) ecg.Marks {
	var out ecg.Marks
	for _, p := range m.P {
		out.P = append(out.P, p.Shift(dt))
	}
	for _, b := range m.Beats {
		out.Beats = append(out.Beats, b.Shift(dt))
	}
	return out
}

// readInOrder is the strip read back in the order of the trade: rate, regular or
// not, P for every QRS, PR, QRS, T. The reader's own names for it are left out: one
// lead and ten seconds are less than the lesson knows.
func (r Round) readInOrder(s *stage.Stage) string {
	reading, seconds, _, err := r.readBack(s)
	if err != nil {
		return "this strip cannot be read back: " + err.Error()
	}
	names := append([]string{reading.Name}, reading.Also...)
	reasons := slices.DeleteFunc(slices.Clone(reading.Reasons), func(reason string) bool {
		return slices.ContainsFunc(names, func(id string) bool { return id != "" && strings.HasSuffix(reason, ": "+id) })
	})
	return fmt.Sprintf("lead %s, last %d s: %s.", reading.Lead, int(math.Round(seconds)), strings.Join(reasons, "; "))
}
