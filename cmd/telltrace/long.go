package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/synth/record"
)

// A recording longer than an hour is read minute by minute, each with some seconds on either
// side, so that beats at a seam are seen whole and counted once. Memory does not grow with
// its length. One of several minutes is read as a whole, so that each beat is told by all
// others, and named minute by minute, as rhythms change.
const (
	pieceSeconds = 60.0
	besideIt     = 5.0
)

// A part of a recording to be read in pieces, from one time to another, each with so much on
// either side, s.
type part struct{ from, to, beside float64 }

// A minute is what a piece of a long recording shows.
type minute struct {
	From, To float64 // s
	Reading  measure.Reading
	Beats    []ecg.Beat // those of the piece itself, times from the start of the recording
}

// eachMinute reads a part of a recording piece by piece; lead "" takes the best of each piece.
func eachMinute(path string, lead ecg.Lead, limits measure.Limits, p part, use func(minute) error) error {
	r, err := record.Open(path)
	if err != nil {
		return err
	}
	defer r.Close()
	h := r.Header()
	leads := h.Leads()
	if leads == 0 {
		return fmt.Errorf("%s: it holds no lead", path)
	}
	rows := make([][]float64, len(h.Channels))
	most := int((pieceSeconds+leastSeconds+2*p.beside)*h.Rate) + 1
	for i := range rows {
		rows[i] = make([]float64, most)
	}
	strip := ecg.Strip{Rate: h.Rate}
	for _, c := range h.Channels[:leads] {
		strip.Leads = append(strip.Leads, ecg.Lead(c.Name))
	}
	for from, to := p.from, 0.0; from < p.to; from = to {
		if to = from + pieceSeconds; p.to-to < leastSeconds { // what is left is too short to be read
			to = p.to
		}
		first := int(max(p.from, from-p.beside) * h.Rate)
		if err := r.Seek(first); err != nil {
			return err
		}
		want := int(math.Round(min(p.to, to+p.beside)*h.Rate)) - first
		n, err := fill(r, rows, want)
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		start := float64(first) / h.Rate
		to = min(to, start+float64(n)/h.Rate)
		if to-start < leastSeconds || to <= from {
			return nil
		}
		strip.MV = strip.MV[:0]
		for _, row := range rows[:leads] {
			strip.MV = append(strip.MV, row[:n])
		}
		reading, err := measure.Read(strip, lead, measure.WithLimits(limits))
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		m := minute{From: from, To: to, Reading: reading}
		for _, b := range reading.Marks.Beats {
			if at := b.QRS.Peak + start; at >= from && at < to {
				b.P, b.QRS, b.T = later(b.P, start), later(b.QRS, start), later(b.T, start)
				m.Beats = append(m.Beats, b)
			}
		}
		if p.beside > 0 && to-from >= leastSeconds { // what is beside it has no part in its name
			own := strip.Cut(int(from*h.Rate)-first, min(n, int(to*h.Rate)-first))
			if m.Reading, err = measure.Read(own, reading.Lead, measure.WithLimits(limits)); err != nil {
				return fmt.Errorf("%s: %w", path, err)
			}
		}
		if err := use(m); err != nil {
			return err
		}
		if n < want {
			return nil
		}
	}
	return nil
}

func later(s ecg.Span, by float64) ecg.Span {
	if !s.Present() {
		return s
	}
	return ecg.Span{Onset: s.Onset + by, Peak: s.Peak + by, Offset: s.Offset + by}
}

// fill reads n samples, or as many as there are.
func fill(r *record.Reader, rows [][]float64, n int) (int, error) {
	part := make([][]float64, len(rows))
	for got := 0; got < n; {
		for i := range rows {
			part[i] = rows[i][got:n]
		}
		k, err := r.Fill(part)
		got += k
		if errors.Is(err, io.EOF) {
			return got, nil
		}
		if err != nil {
			return got, err
		}
		if k == 0 {
			return got, nil
		}
	}
	return n, nil
}

// A stretch is minutes in a row that show the same.
type stretch struct {
	From        float64 `json:"from_s"`
	To          float64 `json:"to_s"`
	Lead        word    `json:"lead"`
	Rhythm      word    `json:"rhythm"`
	Slowest     number  `json:"slowest_bpm"`
	Fastest     number  `json:"fastest_bpm"`
	Beats       int     `json:"beats"`
	Ventricular int     `json:"ventricular"`
	LongestRR   number  `json:"longest_rr_s"`
}

// stretches are those of a recording so far.
type stretches struct {
	list []stretch
	last float64 // the last beat, s; NaN before the first
}

// add takes a minute and the beats in it; where it shows none by itself, they are waves of
// fibrillation.
func (l *stretches) add(m minute, beats []ecg.Beat) {
	if len(m.Reading.Marks.Beats) == 0 {
		beats = nil
	}
	s := stretch{From: m.From, To: m.To, Lead: word(m.Reading.Lead), Rhythm: word(m.Reading.Name),
		Slowest: number(m.Reading.Rate), Fastest: number(m.Reading.Rate), Beats: len(beats), LongestRR: number(math.NaN())}
	for _, b := range beats {
		if b.Origin == ecg.OriginVentricular {
			s.Ventricular++
		}
		if rr := b.QRS.Peak - l.last; rr > 0 && !(rr <= float64(s.LongestRR)) {
			s.LongestRR = number(rr)
		}
		l.last = b.QRS.Peak
	}
	if n := len(l.list) - 1; n >= 0 && l.list[n].Rhythm == s.Rhythm && l.list[n].Lead == s.Lead {
		was := &l.list[n]
		was.To, was.Beats, was.Ventricular = s.To, was.Beats+s.Beats, was.Ventricular+s.Ventricular
		was.Slowest, was.Fastest = number(math.Min(float64(was.Slowest), float64(s.Slowest))), number(math.Max(float64(was.Fastest), float64(s.Fastest)))
		was.LongestRR = number(math.Max(float64(was.LongestRR), float64(s.LongestRR)))
		return
	}
	l.list = append(l.list, s)
}

// table is a line for each stretch, and the sum of beats.
func (l *stretches) table() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%-19s %-6s %-10s %7s %5s %8s  %s\n", "from to", "lead", "rate", "beats", "V", "gap s", "reading")
	beats, ventricular := 0, 0
	for _, s := range l.list {
		name := string(s.Rhythm)
		if name == "" {
			name = "cannot be told from one lead"
		}
		rate, gap := "-", "-"
		if !math.IsNaN(float64(s.Slowest)) {
			rate = fmt.Sprintf("%.0f-%.0f", s.Slowest, s.Fastest)
		}
		if !math.IsNaN(float64(s.LongestRR)) {
			gap = fmt.Sprintf("%.2f", s.LongestRR)
		}
		fmt.Fprintf(&b, "%-19s %-6s %-10s %7d %5d %8s  %s\n", clock(s.From)+" "+clock(s.To), s.Lead, rate, s.Beats, s.Ventricular, gap, name)
		beats, ventricular = beats+s.Beats, ventricular+s.Ventricular
	}
	fmt.Fprintf(&b, "\n%d beats, %d of ventricular shape\n", beats, ventricular)
	return b.String()
}

// byMinutes names a recording that was read as a whole from a time on (s) minute by minute;
// nil where it is hardly longer than one.
func byMinutes(path string, r measure.Reading, limits measure.Limits, at, seconds float64) (*stretches, error) {
	if seconds < 1.5*pieceSeconds {
		return nil, nil
	}
	l := &stretches{last: math.NaN()}
	return l, eachMinute(path, r.Lead, limits, part{at, at + seconds, 0}, func(m minute) error {
		var beats []ecg.Beat
		for _, b := range r.Marks.Beats {
			if t := b.QRS.Peak + at; t >= m.From && t < m.To {
				beats = append(beats, b)
			}
		}
		l.add(m, beats)
		return nil
	})
}

// measureLong reads a recording of more than an hour and says which stretches show what.
func (c *console) measureLong(o measureOrder, path, format string, lead ecg.Lead, limits measure.Limits, rate, whole float64) error {
	l := stretches{last: math.NaN()}
	var labels []ecg.Annotation
	err := eachMinute(path, lead, limits, part{0, math.Inf(1), besideIt}, func(m minute) error {
		if hours := m.To / 3600; math.Floor(hours) > math.Floor(m.From/3600) {
			c.say("read %.0f of %.1f hours", hours, whole/3600)
		}
		if o.beats != "" {
			labels = append(labels, annotationsOf(m.Beats, rate, 0)...)
		}
		l.add(m, m.Beats)
		return nil
	})
	if err != nil {
		return err
	}
	if o.beats != "" {
		if err := record.WriteAnnotations(o.beats, labels); err != nil {
			return err
		}
	}
	if format == "json" {
		return writeJSON(c.out, map[string]any{"stretches": l.list, "caution": readingCaution})
	}
	_, err = fmt.Fprintf(c.out, "%s: %s, read minute by minute\n\n%s%s\n", path, clock(whole), l.table(), readingCaution)
	return err
}

// clock is a time as hours, minutes, seconds.
func clock(s float64) string {
	t := int(math.Round(s))
	return fmt.Sprintf("%02d:%02d:%02d", t/3600, t/60%60, t%60)
}
