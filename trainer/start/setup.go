package start

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/trainer/look"
	"telltrace/trainer/paper"
	"telltrace/trainer/screen"
	"telltrace/trainer/settings"
)

// Setup is the screen of the settings. A change is in force at once and kept at once.
type Setup struct {
	env     *screen.Env
	id      screen.ID
	keys    setupKeys
	cols    int
	rows    int
	cursor  int
	said    string // how keeping went, "" while there is nothing to say
	trouble error
}

type setupKeys struct{ up, down, change, back key.Binding }

// NewSetup opens the screen.
func NewSetup(env *screen.Env) *Setup {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	return &Setup{env: env, id: env.Open(), keys: setupKeys{
		up:     bind("up", "the one above", "up"),
		down:   bind("down", "the one below", "down"),
		change: bind("left/right", "change it", "left", "right", "enter"),
		back:   bind("q", "back", "q", "esc"),
	}}
}

// A setting is one line of the screen: its values in words, which of them holds, and
// the settings with another one.
type setting struct {
	name   string
	values []string
	now    int
	with   func(settings.Settings, int) settings.Settings
}

// settings are the lines of the screen.
func (s *Setup) settings() []setting {
	have := s.env.Settings
	second := func(is bool) int {
		if is {
			return 1
		}
		return 0
	}
	return []setting{
		{"Colours", []string{"dark window", "light window", "high contrast", "none"}, max(slices.Index(look.Palettes, have.Palette), 0),
			func(c settings.Settings, i int) settings.Settings { c.Palette = look.Palettes[i]; return c }},
		{"Strip drawn in", []string{"fine dots", "half blocks", "plain characters"}, max(slices.Index(look.GlyphSets, have.Glyphs), 0),
			func(c settings.Settings, i int) settings.Settings { c.Glyphs = look.GlyphSets[i]; return c }},
		{"Strip", []string{"runs", "stands still and is turned like a page"}, second(have.StillPage),
			func(c settings.Settings, i int) settings.Settings { c.StillPage = i == 1; return c }},
		{"Electrodes", []string{"AAMI letters and colours: RA white", "IEC letters and colours: R red"}, second(have.IEC),
			func(c settings.Settings, i int) settings.Settings { c.IEC = i == 1; return c }},
		{"Time to answer", []string{"as usual", "a quarter longer", "half as long again", "twice as long"},
			max(slices.Index(settings.ExtraTimes, have.ExtraTime[s.env.Learner]), 0), s.withTime},
	}
}

// withTime gives this learner another time to answer.
func (s *Setup) withTime(c settings.Settings, i int) settings.Settings {
	c.ExtraTime = maps.Clone(c.ExtraTime)
	if c.ExtraTime == nil {
		c.ExtraTime = map[string]int{}
	}
	c.ExtraTime[s.env.Learner] = settings.ExtraTimes[i]
	return c
}

// ID is this opening of the screen.
func (s *Setup) ID() screen.ID { return s.id }

// MinSize is what the screen needs.
func (s *Setup) MinSize() (cols, rows int) { return 60, 20 }

// SetSize lays the screen out anew.
func (s *Setup) SetSize(cols, rows int) { s.cols, s.rows = cols, rows }

// Init has nothing to start.
func (s *Setup) Init() tea.Cmd { return nil }

// Update handles keys, and whether the settings could be kept.
func (s *Setup) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	switch msg := msg.(type) {
	case kept:
		if s.trouble = msg.err; msg.err == nil {
			s.said = "Kept."
		}
	case tea.KeyMsg:
		return s, s.press(msg)
	}
	return s, nil
}

func (s *Setup) press(msg tea.KeyMsg) tea.Cmd {
	lines := s.settings()
	switch {
	case key.Matches(msg, s.keys.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, s.keys.up):
		s.cursor = (s.cursor + len(lines) - 1) % len(lines)
	case key.Matches(msg, s.keys.down):
		s.cursor = (s.cursor + 1) % len(lines)
	case key.Matches(msg, s.keys.change):
		by := 1
		if msg.String() == "left" {
			by = -1
		}
		l := lines[s.cursor]
		return s.choose(l.with(s.env.Settings, (l.now+len(l.values)+by)%len(l.values)))
	}
	return nil
}

// choose puts settings in force and keeps them.
func (s *Setup) choose(c settings.Settings) tea.Cmd {
	restyle := screen.Say(screen.Restyle{Settings: c})
	save := s.env.Save
	s.said, s.trouble = "", nil
	if save == nil {
		s.said = "This holds until you leave."
		return restyle
	}
	return tea.Sequence(restyle, screen.Ask(s.id, func() tea.Msg { return kept{save(c)} }))
}

// View draws the screen; it changes nothing.
func (s *Setup) View() string {
	l := s.env.Look
	lines := []string{"", "  " + l.Title.Render("Settings"), ""}
	for i, line := range s.settings() {
		style := l.Choice
		if i == s.cursor {
			style = l.Chosen
		}
		lines = append(lines, "  "+style.Render(fmt.Sprintf("%s%-16s %s", l.Mark(i == s.cursor), line.name, line.values[line.now])))
	}
	lines = append(append(append(lines, ""), indent(l.Faint, wrap("The time to answer is your own matter; nobody else is shown it.", s.cols-4))...), "")
	if !l.Plain {
		o := s.env.Settings.Options()
		lines = append(append(lines, wave(s.env, s.cols, o)...), "")
	}
	if s.trouble != nil {
		lines = append(lines, indent(l.Miss, wrap("This holds until you leave, but it could not be kept: "+s.trouble.Error()+".", s.cols-4))...)
	} else if s.said != "" {
		lines = append(lines, "  "+l.Body.Render(s.said))
	}
	return screen.Page(l, s.cols, s.rows, lines, s.ShortHelp())
}

// ShortHelp is the hint line.
func (s *Setup) ShortHelp() []key.Binding {
	return []key.Binding{s.keys.up, s.keys.down, s.keys.change, s.keys.back}
}

// FullHelp lists all bindings.
func (s *Setup) FullHelp() [][]key.Binding { return [][]key.Binding{s.ShortHelp()} }

// wave draws a line as strips are drawn, in a look that is not chosen yet.
func wave(env *screen.Env, cols int, o look.Options) []string {
	const rate, rows = 200, 4
	c := paper.NewCanvas(look.New(env.Renderer, o))
	v := paper.View{Cols: min(max(cols-4, 1), 60), Rows: rows}
	samples := make([]float64, int(v.Seconds()*rate)+1)
	for i := range samples {
		samples[i] = 0.35 * math.Sin(2*math.Pi*float64(i)/rate)
	}
	e := new(paper.Envelope)
	e.Reset(v, rate, 0)
	e.Append(samples)
	c.Reset(v.Cols, v.Rows)
	if o.Palette != look.None {
		c.Grid(v) // without tints its dots would only be in the way
	}
	c.Trace(v, e)
	out := c.Rows()
	for i := range out {
		out[i] = "  " + out[i]
	}
	return out
}
