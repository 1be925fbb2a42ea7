package stage

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/trainer/paper"
)

// tableSeconds is how much of the strip a plain table covers, s: the six seconds of
// the paper method.
const tableSeconds = 6

// Table says in words what the last six seconds show, for a screen reader: one line
// a beat with time, P, PR, QRS, RR and whether a pulse followed; where there are any, P
// waves without a QRS and pacing spikes since the beat before. It names no rhythm.
// At most rows lines are returned.
func (s *Stage) Table(rows int) []string {
	from := math.Max(s.right()-tableSeconds, s.tape.Start())
	strip, at := s.tape.Strip(from, from+tableSeconds)
	reading, err := measure.Read(strip, s.Lead())
	if err != nil {
		return []string{"This stretch cannot be read: " + err.Error()}
	}
	var pulses []float64
	if s.HasPulse() {
		pulses = measure.PulseOnsets(strip.Witness(ecg.Pleth), strip.Rate)
	}
	if len(reading.Marks.Beats) == 0 {
		lines := []string{noBeats(reading), pulseWords(pulses, s.HasPulse())}
		if n := len(reading.Marks.P); n > 0 {
			lines = append(lines, fmt.Sprintf("%d P waves, the first at second %.2f.", n, at+reading.Marks.P[0].Peak))
		}
		if n := len(reading.Spikes); n > 0 {
			lines = append(lines, fmt.Sprintf("%d pacing spikes, the first at second %.2f.", n, at+reading.Spikes[0]))
		}
		return lines[:min(len(lines), max(rows, 0))]
	}
	beats := reading.Marks.Beats
	alone, spikes := AloneP(reading.Marks, strip.Seconds()), reading.Spikes
	head := "time s   P        PR ms   QRS ms  RR ms   pulse"
	if len(alone) > 0 {
		head += "  P alone at s "
	}
	if len(spikes) > 0 {
		head += "  spikes at s"
	}
	lines := []string{fmt.Sprintf("Lead %s, %.0f seconds from second %.0f, beat by beat.", reading.Lead, strip.Seconds(), at), strings.TrimRight(head, " ")}
	before := func(row string, from, to float64) string {
		if len(alone) > 0 {
			row = fmt.Sprintf("%-47s  %-13s", row, times(alone, from, to, at))
		}
		if len(spikes) > 0 {
			row = fmt.Sprintf("%-47s  %s", row, times(spikes, from, to, at))
		}
		return strings.TrimRight(row, " ")
	}
	last := math.NaN()
	for i, b := range beats {
		p, pr := "none", "-"
		if d, ok := b.PR(); ok {
			p, pr = "before", ms(d)
		}
		width, _ := b.QRSWidth()
		rr, since := "-", math.Inf(-1)
		if i > 0 {
			rr, since = ms(b.QRS.Onset-last), beats[i-1].QRS.Peak
		}
		last = b.QRS.Onset
		lines = append(lines, before(fmt.Sprintf("%-8.2f %-8s %-7s %-7s %-7s %s", at+b.QRS.Peak, p, pr, ms(width), rr, followed(pulses, b, s.HasPulse())),
			since, b.QRS.Peak))
	}
	if end := beats[len(beats)-1].QRS.Peak; times(alone, end, math.Inf(1), 0)+times(spikes, end, math.Inf(1), 0) != "" {
		lines = append(lines, before("then", end, math.Inf(1)))
	}
	if len(lines) > rows {
		lines = append(lines[:rows-1], fmt.Sprintf("and %d more beats", len(lines)-rows+1))
	}
	return lines
}

// AloneP are the peaks of the P waves that belong to no beat of a strip of so many
// seconds, s. A QRS may still come after the last ones, so these are left out.
func AloneP(m ecg.Marks, seconds float64) (at []float64) {
	for _, p := range m.P {
		if p.Peak > seconds-undecided {
			break
		}
		own := func(b ecg.Beat) bool {
			_, ok := b.PR()
			return ok && math.Abs(b.P.Peak-p.Peak) < sameP
		}
		if !slices.ContainsFunc(m.Beats, own) {
			at = append(at, p.Peak)
		}
	}
	return at
}

const (
	sameP     = 0.03 // s: two P waves as near as this are one
	undecided = 0.4  // s after a P in which its QRS may come: longer than a usual PR at any age
)

// times are those within from..to, in seconds of a strip that begins at start.
func times(all []float64, from, to, start float64) string {
	var out []string
	for _, t := range all {
		if t >= from && t < to {
			out = append(out, fmt.Sprintf("%.2f", start+t))
		}
	}
	if more := len(out) - timesAtMost; more > 0 {
		out = append(out[:timesAtMost], fmt.Sprintf("+%d", more))
	}
	return strings.Join(out, " ")
}

// timesAtMost is how many times stand in a row of 80 columns, before how many more.
const timesAtMost = 4

// TogglePicture changes between the table and a character graph of a plain look.
func (s *Stage) TogglePicture() { s.picture = !s.picture }

// words are the rows of a plain look: the table, or the last seconds as a graph for
// whoever asked for it.
func (s *Stage) words() []string {
	rows := s.rows + s.under
	lines := s.Table(rows)
	if s.picture {
		strip, _ := s.tape.Strip(s.right()-tableSeconds, s.right())
		lines = strings.Split(paper.Plain(strip.MV[s.lead], s.cols, rows-1), "\n")
	}
	for len(lines) < rows {
		lines = append(lines, "")
	}
	return lines[:rows]
}

func ms(seconds float64) string { return fmt.Sprintf("%.0f", 1000*seconds) }

// noBeats describes a stretch without beats.
func noBeats(r measure.Reading) string {
	if r.Kind == measure.Fibrillation {
		return fmt.Sprintf("Lead %s: no beats; irregular waves, %.1f a second, %.2f mV peak to peak.", r.Lead, r.DominantFrequency, r.PeakToPeak)
	}
	return fmt.Sprintf("Lead %s: no beats; %.2f mV peak to peak.", r.Lead, r.PeakToPeak)
}

func pulseWords(pulses []float64, has bool) string {
	switch {
	case !has:
		return "There is no pulse trace."
	case len(pulses) == 0:
		return "The pulse trace shows no pulses."
	default:
		return fmt.Sprintf("The pulse trace shows %d pulses.", len(pulses))
	}
}

// followed says whether a pulse came after a beat, in time for it.
func followed(pulses []float64, b ecg.Beat, has bool) string {
	if !has {
		return "-"
	}
	for _, p := range pulses {
		if d := p - b.QRS.Onset; d > 0.08 && d < 0.45 {
			return "yes"
		}
	}
	return "no"
}
