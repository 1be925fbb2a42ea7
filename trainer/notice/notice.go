// Package notice is a page with one thing that must be known before going on, such
// as that answers cannot be kept, and the choice to go on or to leave.
package notice

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"telltrace/trainer/screen"
)

// Model is the notice screen.
type Model struct {
	env        *screen.Env
	id         screen.ID
	text       string
	next       func() screen.Screen
	cols, rows int
	onward     key.Binding
	leave      key.Binding
}

// New opens the page. onward says what going on means ("practise without a log");
// next makes the screen that then takes the page's place.
func New(env *screen.Env, text, onward string, next func() screen.Screen) *Model {
	return &Model{env: env, id: env.Open(), text: text, next: next,
		onward: key.NewBinding(key.WithKeys("enter"), key.WithHelp("enter", onward)),
		leave:  key.NewBinding(key.WithKeys("q", "esc"), key.WithHelp("q", "leave"))}
}

// ID is this opening of the screen.
func (m *Model) ID() screen.ID { return m.id }

// Init needs nothing.
func (m *Model) Init() tea.Cmd { return nil }

// MinSize is what the screen needs.
func (m *Model) MinSize() (cols, rows int) { return 60, 12 }

// SetSize takes the window's size.
func (m *Model) SetSize(cols, rows int) { m.cols, m.rows = cols, rows }

// Update goes on or leaves.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	if k, ok := msg.(tea.KeyMsg); ok {
		switch {
		case key.Matches(k, m.onward):
			return m, screen.Say(screen.Replace{Screen: m.next()})
		case key.Matches(k, m.leave):
			return m, screen.Say(screen.Back{})
		}
	}
	return m, nil
}

// View shows the text, and the two ways on in the hint line.
func (m *Model) View() string {
	l := m.env.Look
	lines := []string{l.Title.Render("Before you begin"), ""}
	for _, line := range strings.Split(ansi.Wrap(m.text, min(m.cols, 90), ""), "\n") {
		lines = append(lines, l.Body.Render(line))
	}
	return screen.Page(l, m.cols, m.rows, lines, m.ShortHelp())
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding { return []key.Binding{m.onward, m.leave} }

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding { return [][]key.Binding{m.ShortHelp()} }
