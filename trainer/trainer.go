// Package trainer is the interactive program: the root model with its stack of
// screens. The root handles the window's size, help, suspend and quit, and delivers
// replies; everything else is the top screen's. routes.go is the only list of
// screens.
package trainer

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"telltrace/trainer/glass"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// Model is the root. It is a tea.Model.
type Model struct {
	env    *screen.Env
	stack  []screen.Screen
	width  int
	height int
	help   bool
	asleep bool // suspended
}

// New makes the root with its first screen.
func New(env *screen.Env, first screen.Screen) Model {
	return Model{env: env, stack: []screen.Screen{first}}
}

// Init starts the first screen.
func (m Model) Init() tea.Cmd { return m.top().Init() }

func (m Model) top() screen.Screen { return m.stack[len(m.stack)-1] }

var globalKeys = struct{ help, quit, suspend key.Binding }{
	help:    key.NewBinding(key.WithKeys("?"), key.WithHelp("?", "help")),
	quit:    key.NewBinding(key.WithKeys("ctrl+c"), key.WithHelp("ctrl+c", "leave telltrace")),
	suspend: key.NewBinding(key.WithKeys("ctrl+z"), key.WithHelp("ctrl+z", "pause, back to the shell")),
}

// Update handles what belongs to the root and hands on the rest.
func (m Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
		for _, s := range m.stack {
			s.SetSize(m.width, m.height)
		}
		return m, nil
	case tea.KeyMsg:
		if m.asleep { // where a program cannot be suspended nothing says that it goes on
			next, cmd := m.Update(tea.ResumeMsg{})
			return next, tea.Batch(cmd, screen.Say(msg))
		}
		if len(msg.Runes) > 1 && !msg.Paste {
			// Keys that came in one reading, from fast fingers or over a slow line:
			// each acts once what the one before it did has happened.
			rest := msg
			msg.Runes, rest.Runes = msg.Runes[:1], msg.Runes[1:]
			next, cmd := m.Update(msg)
			return next, tea.Sequence(cmd, screen.Say(rest))
		}
		switch {
		case key.Matches(msg, globalKeys.quit):
			return m, tea.Quit
		case key.Matches(msg, globalKeys.suspend):
			m.asleep = true
			return m, tea.Suspend
		case m.help:
			m.help = false
			return m.wake()
		case key.Matches(msg, globalKeys.help):
			m.help = true
			return m, nil
		case m.tooSmall():
			if msg.String() == "q" {
				return m, screen.Say(screen.Back{})
			}
			return m, nil // a key that acts unseen could spoil an answer
		}
	case tea.ResumeMsg:
		m.asleep = false
		return m.wake()
	case screen.Push:
		return m.open(msg.Screen)
	case screen.Replace:
		m.stack = m.stack[:len(m.stack)-1]
		return m.open(msg.Screen)
	case screen.Back:
		if len(m.stack) == 1 {
			return m, tea.Quit
		}
		m.stack = m.stack[:len(m.stack)-1]
		return m.deliver(len(m.stack)-1, screen.Resumed{})
	case screen.Restyle:
		options := msg.Settings.Options()
		options.Plain = m.env.Look.Plain                    // that is how the program was started
		flagged := m.env.Still && !m.env.Settings.StillPage // it stands still for another reason
		m.env.Settings, m.env.Look = msg.Settings, look.New(m.env.Renderer, options)
		m.env.Still = msg.Settings.StillPage || flagged
	case screen.Reply:
		for i, s := range m.stack {
			if s.ID() == msg.To {
				if _, tick := msg.Msg.(screen.Tick); tick && m.halted(i) {
					return m, nil
				}
				return m.deliver(i, msg.Msg)
			}
		}
		return m, nil
	}
	return m.deliver(len(m.stack)-1, msg)
}

func (m Model) open(s screen.Screen) (tea.Model, tea.Cmd) {
	s.SetSize(m.width, m.height)
	m.stack = append(m.stack[:len(m.stack):len(m.stack)], s)
	return m, s.Init()
}

func (m Model) deliver(i int, msg tea.Msg) (tea.Model, tea.Cmd) {
	s, cmd := m.stack[i].Update(msg)
	m.stack[i] = s
	return m, cmd
}

// halted reports whether the clock of a screen stands still.
func (m Model) halted(i int) bool {
	_, halts := m.stack[i].(screen.Halting)
	return halts && (m.help || m.asleep)
}

// wake tells the top screen that it is seen again, where its clock stood still.
func (m Model) wake() (tea.Model, tea.Cmd) {
	i := len(m.stack) - 1
	if _, halts := m.stack[i].(screen.Halting); !halts || m.halted(i) {
		return m, nil
	}
	return m.deliver(i, screen.Resumed{})
}

func (m Model) tooSmall() bool {
	cols, rows := m.top().MinSize()
	return m.width < cols || m.height < rows
}

// View shows the top screen, the help, or what size is needed.
func (m Model) View() string {
	switch {
	case m.width == 0 || m.height == 0:
		return ""
	case m.tooSmall():
		cols, rows := m.top().MinSize()
		return fit(ansi.Wrap(look.TooSmall(m.width, m.height, cols, rows), m.width, ""), m.height)
	case m.help:
		return fit(m.helpPage(), m.height)
	default:
		return m.top().View()
	}
}

// Paint is View, with what moves as bands where the top screen can give them.
func (m Model) Paint() (page string, bands []glass.Band) {
	if p, ok := m.top().(screen.Painter); ok && !m.help && !m.tooSmall() {
		return p.Paint()
	}
	return m.View(), nil
}

// helpPage lists the keys that act now and the caution. Where the window is too low
// for that the keys stand in two columns: the caution is never cut.
func (m Model) helpPage() string {
	l := m.env.Look
	tail := []string{"", l.Body.Render(look.PatientFirst)}
	tail = append(tail, strings.Split(l.Caution.Render(ansi.Wordwrap(look.Caution, m.width, "")), "\n")...)
	tail = append(tail, "", l.Faint.Render("Any key goes back."))
	lines := []string{l.Title.Render("Keys that act now"), ""}
	keys := m.helpLines()
	if room := m.height - len(lines) - len(tail); len(keys) > room {
		half, wide := (len(keys)+1)/2, m.width/2
		for i := range half {
			left := ansi.Truncate(keys[i], wide-1, "…")
			if i+half < len(keys) {
				left += strings.Repeat(" ", wide-ansi.StringWidth(left)) + ansi.Truncate(keys[i+half], m.width-wide, "…")
			}
			lines = append(lines, left)
		}
	} else {
		lines = append(lines, keys...)
	}
	return strings.Join(append(lines, tail...), "\n")
}

// helpLines are the keys that act now, one a line.
func (m Model) helpLines() (lines []string) {
	groups := append(m.top().FullHelp(), []key.Binding{globalKeys.help, globalKeys.suspend, globalKeys.quit})
	widest := 0
	for _, g := range groups {
		for _, b := range g {
			if b.Enabled() {
				widest = max(widest, lipgloss.Width(b.Help().Key))
			}
		}
	}
	for _, g := range groups {
		for _, b := range g {
			if b.Enabled() {
				pad := strings.Repeat(" ", widest-lipgloss.Width(b.Help().Key))
				lines = append(lines, "  "+m.env.Look.Key.Render(b.Help().Key)+pad+"  "+b.Help().Desc)
			}
		}
	}
	return lines
}

// fit cuts a page to the window's height.
func fit(page string, rows int) string {
	lines := strings.Split(page, "\n")
	return strings.Join(lines[:min(len(lines), rows)], "\n")
}
