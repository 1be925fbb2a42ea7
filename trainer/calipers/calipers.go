// Package calipers measures on a strip that is held: two legs, moved by keys or the
// mouse, and what lies between them in milliseconds, small boxes and as a rate. A
// Tool belongs to the screen that has the strip.
package calipers

import (
	"fmt"
	"math"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/synth/ecg"
	"telltrace/trainer/paper"
	"telltrace/trainer/stage"
)

// Steps of a leg, s: the arrow keys and, with shift, a small box at 25 mm/s.
const (
	step    = 0.01
	bigStep = 0.04
)

// reach is how far a leg may be from a fiducial to snap to it, s.
const reach = 0.06

// A Tool is a pair of calipers.
type Tool struct {
	Keys Keys

	stage *stage.Stage
	legs  *paper.Legs // nil while they are put away
}

// Keys are the bindings of the calipers. Those that only act while they are out are
// disabled otherwise.
type Keys struct{ Out, Move, Other, Snap, March key.Binding }

// New makes calipers that are put away.
func New() *Tool {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	t := &Tool{Keys: Keys{
		Out:   bind("k", "calipers out or away", "k"),
		Move:  bind("left/right", "move the leg by 10 ms", "left", "right", "shift+left", "shift+right"),
		Other: bind("tab", "take the other leg", "tab"),
		Snap:  bind("s", "snap to the nearest wave", "s"),
		March: bind("m", "march the interval out", "m"),
	}}
	t.enable()
	return t
}

func (t *Tool) enable() {
	for _, b := range []*key.Binding{&t.Keys.Move, &t.Keys.Other, &t.Keys.Snap, &t.Keys.March} {
		b.SetEnabled(t.legs != nil)
	}
}

// Out reports whether the calipers stand on a strip.
func (t *Tool) Out() bool { return t.legs != nil }

// apart is how far the legs stand from each other when they are taken out, s: a PR or
// a QT is not far from that.
const apart = 0.4

// TakeOut puts the legs on a strip that is held, in the middle of the window, and asks
// for the mouse.
func (t *Tool) TakeOut(s *stage.Stage) tea.Cmd {
	from, to := s.Window()
	t.stage = s
	t.legs = &paper.Legs{At: [2]float64{tidy((from + to - apart) / 2), tidy((from + to + apart) / 2)}}
	t.changed()
	t.enable()
	return tea.EnableMouseCellMotion
}

// PutAway takes the legs off the strip and gives the mouse back.
func (t *Tool) PutAway() tea.Cmd {
	if t.legs == nil {
		return nil
	}
	t.legs = nil
	t.changed()
	t.enable()
	return tea.DisableMouse
}

// tidy rounds a time to the step of the legs.
func tidy(at float64) float64 { return math.Round(at/step) * step }

func (t *Tool) changed() { t.stage.SetLegs(t.legs) }

// Press moves the legs by a key, false when it is not one of the calipers'. fiducials
// gives the marks that a leg can snap to; nil for none.
func (t *Tool) Press(msg tea.KeyMsg, fiducials func() ecg.Marks) bool {
	switch k := t.Keys; {
	case key.Matches(msg, k.Move):
		by := map[string]float64{"left": -step, "right": step, "shift+left": -bigStep, "shift+right": bigStep}[msg.String()]
		t.place(t.legs.Held, t.legs.At[t.legs.Held]+by)
	case key.Matches(msg, k.Other):
		t.legs.Held = 1 - t.legs.Held
		t.place(t.legs.Held, t.legs.At[t.legs.Held])
	case key.Matches(msg, k.Snap):
		if fiducials != nil {
			t.snap(fiducials())
		}
	case key.Matches(msg, k.March):
		t.legs.March = !t.legs.March
		t.changed()
	default:
		return false
	}
	return true
}

// Mouse puts the nearer leg where the button is pressed, and drags it.
func (t *Tool) Mouse(msg tea.MouseMsg) {
	if t.legs == nil || msg.Button != tea.MouseButtonLeft {
		return
	}
	at := t.stage.View().Time(msg.X)
	if msg.Action == tea.MouseActionPress {
		t.legs.Held = 0
		if math.Abs(at-t.legs.At[1]) < math.Abs(at-t.legs.At[0]) {
			t.legs.Held = 1
		}
	}
	if msg.Action != tea.MouseActionRelease {
		t.place(t.legs.Held, tidy(at))
	}
}

// place moves a leg and brings it into the window.
func (t *Tool) place(leg int, at float64) {
	from, to := t.stage.Reach()
	t.legs.At[leg] = min(max(at, from), to)
	t.stage.Bring(t.legs.At[leg])
	t.changed()
}

// snap moves the held leg to the nearest edge or peak of a wave, if one is near.
func (t *Tool) snap(m ecg.Marks) {
	leg := &t.legs.At[t.legs.Held]
	best, found := 0.0, false
	for _, at := range fiducials(m) {
		if d := math.Abs(at - *leg); d <= reach && (!found || d < math.Abs(best-*leg)) {
			best, found = at, true
		}
	}
	if found {
		t.place(t.legs.Held, best)
	}
}

// fiducials are the onsets, peaks and offsets of all waves, s.
func fiducials(m ecg.Marks) []float64 {
	var out []float64
	add := func(w ecg.Span) {
		if w.Present() {
			out = append(out, w.Onset, w.Peak, w.Offset)
		}
	}
	for _, p := range m.P {
		add(p)
	}
	for _, b := range m.Beats {
		add(b.QRS)
		add(b.T)
	}
	return out
}

// Span is what lies between the legs, the earlier first, s; false while they are put
// away.
func (t *Tool) Span() (from, to float64, ok bool) {
	if t.legs == nil {
		return 0, 0, false
	}
	return min(t.legs.At[0], t.legs.At[1]), max(t.legs.At[0], t.legs.At[1]), true
}

// Words say what lies between the legs, "" while they are put away.
func (t *Tool) Words() string {
	from, to, ok := t.Span()
	if !ok {
		return ""
	}
	return "Calipers: " + Measured(to-from, t.stage.Speed())
}

// Measured says a length of time (s) in milliseconds, in small boxes of 1 mm at a
// paper speed (mm/s), and as the rate of an interval so long.
func Measured(seconds, speed float64) string {
	s := fmt.Sprintf("%.0f ms, %.3g small boxes at %g mm/s", 1000*seconds, seconds*speed, speed)
	if seconds >= step {
		s += fmt.Sprintf("; as RR %.0f a minute", 60/seconds)
	}
	return s + "."
}
