package start

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/settings"
)

// step is how far the first page has come.
type step uint8

const (
	reading   step = iota // the caution and the first rule
	glyphs                // is the line smooth?
	ground                // dark or light?
	keeping               // the choice is being kept
	forgotten             // it could not be
)

// First is the page of the very first start: what must be known, then a glance at
// what this terminal can show.
type First struct {
	env  *screen.Env
	id   screen.ID
	save func(settings.Settings) error
	next func() screen.Screen
	keys firstKeys
	cols int
	rows int

	step    step
	chosen  settings.Settings
	trouble error
}

type firstKeys struct {
	read, yes, no, dark, light, again, back key.Binding
}

// NewFirst opens the page. save keeps what was chosen; next is the screen after it.
func NewFirst(env *screen.Env, save func(settings.Settings) error, next func() screen.Screen) *First {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	f := &First{env: env, id: env.Open(), save: save, next: next, chosen: env.Settings, keys: firstKeys{
		read:  bind("enter", "go on", "enter"),
		yes:   bind("y", "yes", "y"),
		no:    bind("n", "no", "n"),
		dark:  bind("d", "the dark one", "d"),
		light: bind("l", "the light one", "l"),
		again: bind("r", "try to keep it again", "r"),
		back:  bind("q", "leave", "q", "esc"),
	}}
	f.chosen.Glyphs = look.Braille
	f.enable()
	return f
}

func (f *First) enable() {
	k := &f.keys
	k.read.SetEnabled(f.step == reading || f.step == forgotten)
	k.yes.SetEnabled(f.step == glyphs)
	k.no.SetEnabled(f.step == glyphs)
	k.dark.SetEnabled(f.step == ground)
	k.light.SetEnabled(f.step == ground)
	k.again.SetEnabled(f.step == forgotten)
}

// ID is this opening of the screen.
func (f *First) ID() screen.ID { return f.id }

// MinSize is what the screen needs.
func (f *First) MinSize() (cols, rows int) { return 60, 22 }

// SetSize lays the screen out anew.
func (f *First) SetSize(cols, rows int) { f.cols, f.rows = cols, rows }

// Init has nothing to start.
func (f *First) Init() tea.Cmd { return nil }

// kept says whether the choice is kept.
type kept struct{ err error }

// Update handles keys, and the look once it is there.
func (f *First) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	defer f.enable()
	switch msg := msg.(type) {
	case kept:
		if f.trouble = msg.err; msg.err != nil {
			f.step = forgotten
			return f, nil
		}
		return f, f.restyle()
	case screen.Restyle: // it is in force
		return f, screen.Say(screen.Replace{Screen: f.next()})
	case tea.KeyMsg:
		return f, f.press(msg)
	}
	return f, nil
}

func (f *First) press(msg tea.KeyMsg) tea.Cmd {
	k := f.keys
	switch {
	case key.Matches(msg, k.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.read) && f.step == reading:
		f.step = glyphs
	case key.Matches(msg, k.read): // without keeping it
		return f.restyle()
	case key.Matches(msg, k.yes):
		f.step = ground
	case key.Matches(msg, k.no) && f.chosen.Glyphs == look.Braille:
		f.chosen.Glyphs = look.HalfBlock
	case key.Matches(msg, k.no):
		f.chosen.Glyphs, f.step = look.ASCII, ground
	case key.Matches(msg, k.dark):
		return f.keep(look.Dark)
	case key.Matches(msg, k.light):
		return f.keep(look.Light)
	case key.Matches(msg, k.again):
		return f.keep(f.chosen.Palette)
	}
	return nil
}

func (f *First) keep(p look.Palette) tea.Cmd {
	f.chosen.Palette, f.step = p, keeping
	chosen, save := f.chosen, f.save
	return screen.Ask(f.id, func() tea.Msg { return kept{save(chosen)} })
}

func (f *First) restyle() tea.Cmd {
	return screen.Say(screen.Restyle{Settings: f.chosen})
}

// View draws the page; it changes nothing.
func (f *First) View() string {
	l := f.env.Look
	lines := []string{"", "  " + l.Title.Render(name), "  " + l.Body.Render(purpose), ""}
	say := func(s string) { lines = append(append(lines, indent(l.Body, wrap(s, f.cols-4))...), "") }
	show := func(o look.Options) { lines = append(append(lines, wave(f.env, f.cols, o)...), "") }
	switch f.step {
	case reading:
		lines = append(lines, indent(l.Caution, wrap(look.Caution, f.cols-4))...)
		lines = append(lines, "")
		lines = append(lines, "  "+l.Title.Render(look.PatientFirst), "")
		say("The strip alone never decides. Before you answer, look at the patient, feel the pulse, look at the electrodes: each takes a second and is one key away.")
		say("A mistake here hurts nobody. What you take for something else is kept in a list of your own, to be tried again another day.")
		say("Two short questions about your window follow.")
	case glyphs:
		ask := "Do you see a smooth line of dots? Press y for yes, n for boxes, gaps or question marks."
		if f.chosen.Glyphs == look.HalfBlock {
			ask = "And here, one unbroken wave of small blocks? Press y for yes, n for boxes, gaps or question marks."
		}
		say("Strips are drawn finely where the window can do it.")
		show(look.Options{Palette: look.None, Glyphs: f.chosen.Glyphs})
		say(ask)
	case ground:
		say("Which of these two do you see better?")
		show(look.Options{Palette: look.Dark, Glyphs: f.chosen.Glyphs})
		show(look.Options{Palette: look.Light, Glyphs: f.chosen.Glyphs})
		say("Press d for the upper one, on a dark window, l for the lower one, on a light window.")
	case keeping:
		say("Keeping your choice ...")
	case forgotten:
		say("Your choice holds until you leave, but it could not be kept: " + f.trouble.Error() + ".")
		say("Press enter to go on, r to try again.")
	}
	return screen.Page(l, f.cols, f.rows, lines, f.ShortHelp())
}

// ShortHelp is the hint line.
func (f *First) ShortHelp() []key.Binding {
	k := f.keys
	return []key.Binding{k.read, k.yes, k.no, k.dark, k.light, k.again, k.back}
}

// FullHelp lists all bindings.
func (f *First) FullHelp() [][]key.Binding { return [][]key.Binding{f.ShortHelp()} }
