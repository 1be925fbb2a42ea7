// Package stage is a strip that runs: it plays a feed by the clock, keeps it on
// tape, and draws the leads and the pulse trace as paper. Held, it can be panned.
// The practise screen puts one on, its explanation two.
package stage

import (
	"math"
	"slices"
	"time"

	"telltrace/synth/counter"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/trainer/glass"
	"telltrace/trainer/look"
	"telltrace/trainer/paper"
	"telltrace/trainer/tape"
)

// memory is how much of the past stays on the tape, s.
const memory = 60

// A Stage is one running strip. The clock comes in with Advance; everything shown
// follows from it.
type Stage struct {
	tape  *tape.Tape
	view  paper.View
	lead  int
	leads []*paper.Envelope
	pulse *paper.Envelope

	look        *look.Look
	plain       bool // words instead of dots
	picture     bool // in a plain look a character graph instead of words
	cells       []paper.Code
	empty       []string // lines in place of a strip that is painted
	together    int      // leads shown one below the other
	tracks      []track
	band        *paper.Canvas
	cols        int
	rows, under int // rows of the strip and of the pulse band

	began   time.Time
	moving  time.Duration // how long it has been moving before began
	running bool
	frozen  bool    // the page stands while the strip is recorded on
	start   float64 // strip time at the right edge when it first showed
	edge    float64 // strip time at the right edge
	stands  float64 // strip time at the right of the page while it stands still
	played  float64 // strip time already in the envelopes

	legs    *paper.Legs // of calipers, on a held strip
	rates   Rates
	ratesAt float64
}

// Rates are the two numbers of the traces.
type Rates struct {
	Heart, Pulse     float64 // beats/min
	HeartOK, PulseOK bool    // false: nothing to count
}

// New puts a feed on stage, with start seconds of it already played when it shows,
// and lead II in front where there is one.
func New(l *look.Look, feed tape.Feed, start float64) *Stage {
	s := &Stage{tape: tape.New(feed, memory), look: l, plain: l.Plain, together: 1, band: paper.NewCanvas(l), start: start, edge: start, stands: start, ratesAt: -1}
	for i, lead := range s.tape.Leads() {
		s.leads = append(s.leads, new(paper.Envelope))
		if lead == ecg.II {
			s.lead = i
		}
	}
	s.pulse = new(paper.Envelope)
	s.rescale(paper.Base)
	return s
}

// Resize gives the strip and the pulse band their cells.
func (s *Stage) Resize(cols, rows, under int) {
	if cols, rows = max(cols, 0), max(rows, 0); cols != s.cols || rows != s.rows {
		s.cols, s.rows, s.tracks = cols, rows, nil // what was on the page before must leave no trace
	}
	s.under, s.view.Cols = max(under, 0), s.cols
	s.view.Calibrate = s.cols >= calibrateFrom
	s.place()
}

// calibrateFrom is the width, cells, from which a strip has room for the calibration pulse at
// its left.
const calibrateFrom = 100

// rescale changes the scale and reduces what is on the tape anew.
func (s *Stage) rescale(scale paper.Scale) {
	s.view.Scale = scale
	for _, e := range s.leads {
		e.Reset(s.view, s.tape.Rate(), s.tape.Start())
	}
	s.pulse.Reset(s.view, s.tape.Rate(), s.tape.Start())
	s.played = s.tape.Start()
	s.play()
}

// SetScale chooses the scale.
func (s *Stage) SetScale(scale paper.Scale) {
	if scale != s.view.Scale {
		s.rescale(scale)
	}
}

// Scale is the scale drawn at.
func (s *Stage) Scale() paper.Scale { return s.view.Scale }

// NextLead shows the next lead.
func (s *Stage) NextLead() { s.front((s.lead + 1) % len(s.leads)) }

// ShowLead shows the given lead where the strip has it.
func (s *Stage) ShowLead(l ecg.Lead) {
	if i := slices.Index(s.tape.Leads(), l); i >= 0 && i != s.lead {
		s.front(i)
	}
}

// front makes a lead the first.
func (s *Stage) front(lead int) {
	s.lead, s.tracks, s.ratesAt = lead, nil, -1
	s.place()
}

// Lead is the lead shown.
func (s *Stage) Lead() ecg.Lead { return s.tape.Leads()[s.lead] }

// HasPulse reports whether the feed has a pulse trace.
func (s *Stage) HasPulse() bool { return s.tape.Has(ecg.Pleth) }

// Leads is how many leads there are to show.
func (s *Stage) Leads() int { return len(s.leads) }

// Advance moves the strip to where the clock says, whatever came between.
func (s *Stage) Advance(now time.Time) {
	if s.running {
		s.edge = s.start + (s.moving + now.Sub(s.began)).Seconds()
	}
	s.play()
	if s.frozen {
		s.bringTo(s.stands) // as long as the tape has it
	}
}

func (s *Stage) play() {
	s.tape.PlayTo(s.edge)
	if s.tape.Ended() {
		s.edge = math.Min(s.edge, s.tape.End())
	}
	if fresh, _ := s.tape.Strip(s.played, s.tape.End()); len(fresh.MV) > 0 {
		for i, e := range s.leads {
			e.Append(fresh.MV[i])
			e.Forget(s.edge - memory)
		}
		s.pulse.Append(fresh.Witness(ecg.Pleth))
		s.pulse.Forget(s.edge - memory)
	}
	s.played = s.tape.End()
	s.place()
}

// place puts the window where it belongs and follows the baselines.
func (s *Stage) place() {
	if s.tracks == nil {
		s.lay()
	}
	s.view.Left = s.right() - s.view.Seconds()
	for i := range s.tracks {
		t := &s.tracks[i]
		t.baseline = s.viewOf(t).Follow(s.leads[t.lead]).Baseline
	}
	s.view = s.viewOf(&s.tracks[0])
}

// right is the strip time at the right of the page, s.
func (s *Stage) right() float64 {
	if s.Held() {
		return math.Min(s.stands, s.edge)
	}
	return s.edge
}

// Run lets the strip move from now on; one that is frozen shows what came meanwhile.
func (s *Stage) Run(now time.Time) {
	if !s.running {
		s.running, s.began = true, now
	}
	s.frozen = false
	s.place()
}

// Freeze lets the page stand while the strip is recorded on, as one that is torn off while
// the recorder runs.
func (s *Stage) Freeze(now time.Time) {
	s.Advance(now)
	if s.running {
		s.frozen, s.stands = true, s.edge
	}
}

// Skip lets a time pass in which nothing ran.
func (s *Stage) Skip(gap time.Duration) { s.began = s.began.Add(gap) }

// Hold stops the strip at now.
func (s *Stage) Hold(now time.Time) {
	if s.running {
		s.Advance(now)
		s.moving += now.Sub(s.began)
		s.running, s.frozen, s.stands = false, false, s.right()
	}
}

// Held reports whether the page stands still.
func (s *Stage) Held() bool { return !s.running || s.frozen }

// Ended reports whether the feed has no more to show.
func (s *Stage) Ended() bool { return s.tape.Ended() }

// Err is what went wrong with the feed, nil if nothing did.
func (s *Stage) Err() error { return s.tape.Err() }

// Edge is the strip time up to which it has run, s.
func (s *Stage) Edge() float64 { return s.edge }

// Window is the visible stretch of strip time, s.
func (s *Stage) Window() (from, to float64) {
	return math.Max(s.view.Left, s.tape.Start()), math.Min(s.view.Left+s.view.Seconds(), s.tape.End())
}

// Strip is what the tape has between two strip times; at is where it begins.
func (s *Stage) Strip(from, to float64) (strip ecg.Strip, at float64) { return s.tape.Strip(from, to) }

// rateWindow is how far back the rates look, s; common monitors average over 5 to
// 12 beats.
const rateWindow = 8

// ratesEvery is how often the rates are read, s: reading takes as long as drawing
// dozens of frames.
const ratesEvery = 3

// Rates are what a display would show of the traces, its counter at work, every few
// seconds of strip time.
func (s *Stage) Rates() Rates {
	if at := math.Floor(s.edge/ratesEvery) * ratesEvery; at != s.ratesAt {
		s.ratesAt = at
		strip, _ := s.tape.Strip(at-rateWindow, at)
		s.rates.Heart, s.rates.HeartOK = counter.Of(strip.MV[s.lead], strip.Rate)
		s.rates.Pulse, s.rates.PulseOK = measure.PulseRate(strip.Witness(ecg.Pleth), strip.Rate)
	}
	return s.rates
}

// An Overlay is what is written on a held strip: marks and brackets by strip time.
type Overlay struct {
	Marks    ecg.Marks
	Brackets []paper.Bracket
}

// bare is the height below which a trace is a line at every scale, mV: less than a
// dot at the double one.
const bare = 0.03

// Marked is an overlay of marks (strip times) with the intervals of one beat on the
// page bracketed; empty where the lead shows a bare line, as with a clip that came
// off: what is marked must be visible.
func (s *Stage) Marked(marks ecg.Marks) *Overlay {
	from, to := s.Window()
	if lo, hi, ok := s.leads[s.lead].Range(from, to); ok && hi-lo < bare {
		return &Overlay{}
	}
	o := &Overlay{Marks: marks}
	if b, ok := paper.ChooseBeat(s.view, marks.Beats); ok {
		o.Brackets = paper.Intervals(b)
	}
	return o
}

// Draw draws the strip, and the pulse trace under it, as rows of exact width; in a
// plain look it says in words what they show.
func (s *Stage) Draw(o *Overlay) []string {
	switch {
	case s.rows == 0:
		return nil
	case s.plain:
		return s.words()
	}
	s.raster(o)
	var rows []string
	for _, t := range s.tracks {
		rows = append(rows, t.canvas.Rows()...)
	}
	if s.under > 0 {
		rows = append(rows, s.band.Rows()...)
	}
	return rows
}

// Paint is Draw without overlay as a band from a row of the page on, with empty rows
// in its place; in a plain look there is no band.
func (s *Stage) Paint(row int) (rows []string, bands []glass.Band) {
	if s.plain || s.rows == 0 {
		return s.Draw(nil), nil
	}
	s.raster(nil)
	s.cells = s.cells[:0]
	for _, t := range s.tracks {
		for i := range t.rows {
			s.cells = t.canvas.AppendCodes(s.cells, i)
		}
	}
	for i := range s.under {
		s.cells = s.band.AppendCodes(s.cells, i)
	}
	if len(s.empty) != s.rows+s.under {
		s.empty = make([]string, s.rows+s.under)
	}
	return s.empty, []glass.Band{{Row: row, Cols: s.cols, Cells: s.cells, Look: s.look}}
}

// raster draws on the canvases.
func (s *Stage) raster(o *Overlay) {
	for i := range s.tracks {
		t := &s.tracks[i]
		c, v := t.canvas, s.viewOf(t)
		c.Reset(v.Cols, v.Rows)
		c.Grid(v)
		c.Trace(v, s.leads[t.lead])
		if o != nil && i == 0 {
			c.Marks(v, o.Marks)
			for _, b := range o.Brackets {
				c.Bracket(v, b)
			}
		}
		if s.legs != nil {
			c.Legs(v, *s.legs)
		}
		if len(s.tracks) > 1 {
			c.Name(string(s.tape.Leads()[t.lead]))
		}
	}
	if s.under > 0 {
		p := s.band
		p.Reset(s.cols, s.under)
		lo, hi := s.pulseRange()
		p.Pulse(s.view, s.pulse, lo, hi, look.Pulse)
	}
}

// Turn lets a strip that stands still go on by one window, as turning a page.
func (s *Stage) Turn() {
	if !s.running {
		s.moving += time.Duration(s.view.Seconds() * float64(time.Second))
		s.edge = s.start + s.moving.Seconds()
		s.stands = s.edge
		s.play()
	}
}

// pulseRange is the scale of the pulse band. It keeps a floor under it, so that
// the probe's noise does not grow into waves.
func (s *Stage) pulseRange() (lo, hi float64) {
	lo, hi, ok := s.pulse.Range(s.edge-rateWindow, s.edge)
	const least = 0.8
	if !ok || hi-lo < least {
		middle := (lo + hi) / 2
		return middle - least/2, middle + least/2
	}
	return lo, hi
}

// Header names the lead in front, the speed and the gain, as paper does.
func (s *Stage) Header() string { return paper.HeaderText(s.Lead(), s.view) }

// View is the present view, for placing brackets.
func (s *Stage) View() paper.View { return s.view }
