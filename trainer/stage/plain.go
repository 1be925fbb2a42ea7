package stage

import (
	"fmt"
	"math"
	"strings"

	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/trainer/paper"
)

// tableSeconds is how much of the strip a plain table covers, s: the six seconds of
// the paper method.
const tableSeconds = 6

// Table says in words what the last six seconds show, for a screen reader: one line
// a beat with time, P, PR, QRS, RR and whether a pulse followed. It names no rhythm.
// At most rows lines are returned.
func (s *Stage) Table(rows int) []string {
	from := math.Max(s.edge-s.pan-tableSeconds, s.tape.Start())
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
		return []string{noBeats(reading), pulseWords(pulses, s.HasPulse())}
	}
	lines := []string{fmt.Sprintf("Lead %s, %.0f seconds from second %.0f, beat by beat.", reading.Lead, strip.Seconds(), at),
		"time s   P        PR ms   QRS ms  RR ms   pulse"}
	last := math.NaN()
	for _, b := range reading.Marks.Beats {
		p, pr := "none", "-"
		if d, ok := b.PR(); ok {
			p, pr = "before", ms(d)
		}
		width, _ := b.QRSWidth()
		rr := "-"
		if !math.IsNaN(last) {
			rr = ms(b.QRS.Onset - last)
		}
		last = b.QRS.Onset
		lines = append(lines, fmt.Sprintf("%-8.2f %-8s %-7s %-7s %-7s %s", at+b.QRS.Peak, p, pr, ms(width), rr, followed(pulses, b, s.HasPulse())))
	}
	if len(lines) > rows {
		lines = append(lines[:rows-1], fmt.Sprintf("and %d more beats", len(lines)-rows+1))
	}
	return lines
}

// TogglePicture changes between the table and a character graph of a plain look.
func (s *Stage) TogglePicture() { s.picture = !s.picture }

// words are the rows of a plain look: the table, or the last seconds as a graph for
// whoever asked for it.
func (s *Stage) words() []string {
	rows := s.rows + s.under
	lines := s.Table(rows)
	if s.picture {
		strip, _ := s.tape.Strip(s.edge-s.pan-tableSeconds, s.edge-s.pan)
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
