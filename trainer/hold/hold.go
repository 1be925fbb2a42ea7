// Package hold is what a screen with a patient lets be done to the strip while the patient
// goes on: hold the page, move along it, measure on it with calipers, change lead, scale and
// speed. A Tool belongs to the screen.
package hold

import (
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/measure"
	"telltrace/trainer/calipers"
	"telltrace/trainer/paper"
	"telltrace/trainer/screen"
	"telltrace/trainer/stage"
)

// A Tool holds the strip of one screen.
type Tool struct {
	env      *screen.Env
	calipers *calipers.Tool
	stage    *stage.Stage
	age      ecg.Age
	keys     struct{ hold, pan, lead, scale, speed, away key.Binding }
}

// New makes a tool for a screen.
func New(env *screen.Env) *Tool {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	t := &Tool{env: env, calipers: calipers.New()}
	t.keys.hold = bind("space", "hold or release", " ")
	t.keys.pan = bind("left/right", "move along", "left", "right")
	t.keys.lead = bind("l", "next lead", "l")
	t.keys.scale = bind("z", "double scale on or off", "z")
	t.keys.speed = bind("v", "25 or 50 mm/s", "v")
	t.keys.away = bind("q", "calipers away", "q", "esc")
	t.Enable(false, false)
	return t
}

// On puts the tool on a strip of a patient of the given age; what stood on the one before is
// put away.
func (t *Tool) On(s *stage.Stage, age ecg.Age) tea.Cmd {
	away := t.PutAway()
	t.stage, t.age = s, age
	return away
}

// Enable says whether there is a strip now, and whether it may be held and moved along.
func (t *Tool) Enable(shown, along bool) {
	shown = shown && t.stage != nil
	plain, out := t.env.Look.Plain, t.calipers.Out()
	t.keys.hold.SetEnabled(shown && along && !t.env.Still)
	t.keys.pan.SetEnabled(shown && along && t.stage.Held() && !out)
	t.keys.lead.SetEnabled(shown && t.stage.Leads() > 1)
	t.keys.scale.SetEnabled(shown && !plain)
	t.keys.speed.SetEnabled(shown && !plain)
	t.calipers.Keys.Out.SetEnabled(shown && !plain)
	t.keys.away.SetEnabled(out)
}

// Short are the bindings for the hint line: those of the calipers where they are out, those of
// the screen, and those of the strip.
func (t *Tool) Short(screen ...key.Binding) []key.Binding {
	c := t.calipers.Keys
	out := append([]key.Binding{c.Move, c.Other, c.Snap, c.March}, screen...)
	return append(out, t.keys.hold, t.keys.pan, t.keys.lead)
}

// Full are all bindings.
func (t *Tool) Full() []key.Binding {
	c, k := t.calipers.Keys, t.keys
	return []key.Binding{k.hold, k.pan, k.lead, k.scale, k.speed, c.Out, c.Move, c.Other, c.Snap, c.March}
}

// Press does what a key says to the strip at a time, false when the key is not one of its own.
func (t *Tool) Press(msg tea.KeyMsg, now time.Time) (cmd tea.Cmd, mine bool) {
	k := t.keys
	switch {
	case t.calipers.Press(msg, t.fiducials):
	case key.Matches(msg, k.away), key.Matches(msg, t.calipers.Keys.Out) && t.calipers.Out():
		cmd = t.calipers.PutAway()
	case key.Matches(msg, t.calipers.Keys.Out):
		t.stage.Freeze(now)
		cmd = t.calipers.TakeOut(t.stage)
	case key.Matches(msg, k.hold) && t.stage.Held():
		cmd = t.calipers.PutAway()
		t.stage.Run(now)
	case key.Matches(msg, k.hold):
		t.stage.Freeze(now)
	case key.Matches(msg, k.pan):
		t.stage.Pan(map[string]float64{"left": 0.25, "right": -0.25}[msg.String()])
	case key.Matches(msg, k.lead):
		t.stage.NextLead()
	case key.Matches(msg, k.scale):
		t.stage.SetScale(paper.Base + paper.Double - t.stage.Scale())
	case key.Matches(msg, k.speed):
		t.stage.ChangeSpeed()
	default:
		return nil, false
	}
	return cmd, true
}

// Mouse moves a leg of the calipers.
func (t *Tool) Mouse(msg tea.MouseMsg) { t.calipers.Mouse(msg) }

// PutAway puts the calipers away.
func (t *Tool) PutAway() tea.Cmd { return t.calipers.PutAway() }

// Words say what lies between the legs, "" while they are put away.
func (t *Tool) Words() string { return t.calipers.Words() }

// Held reports whether the learner holds a strip that would run.
func (t *Tool) Held() bool { return t.stage != nil && t.stage.Held() && !t.env.Still }

// leastRead is the shortest strip that is read back for the calipers, s.
const leastRead = 10

// fiducials are read back from the samples of the page and what came before it: the calipers
// know no more than the learner sees.
func (t *Tool) fiducials() ecg.Marks {
	from, to := t.stage.Window()
	strip, at := t.stage.Strip(min(from, to-leastRead), to)
	reading, err := measure.Read(strip, t.stage.Lead(), measure.WithLimits(synth.Limits(t.age)))
	if err != nil {
		return ecg.Marks{}
	}
	return reading.Marks.Shift(at)
}
