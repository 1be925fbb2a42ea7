// Package sheet is a screen of lines worked out from the learner's answers: it reads the
// ledger, shows what is written of it, scrolls, and leads on by keys of its own. What
// stands on it is given (see trainer/standing and trainer/check).
package sheet

import (
	"context"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"telltrace/scoring/ledger"
	"telltrace/trainer/screen"
)

// A Text is what stands on a sheet.
type Text struct {
	Title string

	// Write makes the lines from the learner's answers, oldest first, for a width in
	// cells. It is called again when the window or the answers change.
	Write func(answers []ledger.Answer, cols int) []string

	// Early makes lines of the sums that the ledger keeps, which stand on the sheet while
	// all answers are being read; nil for none.
	Early func(sums []ledger.Sum, cols int) []string

	// Doors lead on.
	Doors []Door

	// Of selects the answers; nil for all of the learner's.
	Of func() ledger.Query

	// Every is how often the answers are read anew while the sheet is open; 0 for never.
	Every time.Duration
}

// A Door is a key that opens another screen.
type Door struct {
	Key, Help string
	Open      func() screen.Screen
	When      func() bool // whether it can be opened now; nil for always
}

// Model is the screen.
type Model struct {
	env        *screen.Env
	id         screen.ID
	text       Text
	sums       []ledger.Sum
	answers    []ledger.Answer
	read       bool
	trouble    error
	lines      []string
	from       int
	chain      int // of the ticks that read anew
	cols, rows int
	doors      []key.Binding
	keys       keys
}

type keys struct{ up, down, pageUp, pageDown, again, back key.Binding }

// New opens the screen.
func New(env *screen.Env, text Text) *Model {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	m := &Model{env: env, id: env.Open(), text: text, keys: keys{
		up: bind("up", "a line up", "up", "k"), down: bind("down", "read on", "down", "j"),
		pageUp: bind("page up", "a page up", "pgup"), pageDown: bind("page down", "a page on", "pgdown", " "),
		again: bind("r", "read the answers again", "r"), back: bind("q", "back", "q", "esc"),
	}}
	for _, d := range text.Doors {
		m.doors = append(m.doors, bind(d.Key, d.Help, d.Key))
	}
	m.layout()
	return m
}

// ID is this opening of the screen.
func (m *Model) ID() screen.ID { return m.id }

// MinSize is what the screen needs.
func (m *Model) MinSize() (cols, rows int) { return 80, 24 }

// SetSize lays the screen out anew.
func (m *Model) SetSize(cols, rows int) {
	m.cols, m.rows = cols, rows
	m.layout()
}

// Init reads the ledger.
func (m *Model) Init() tea.Cmd {
	if m.text.Early == nil {
		return m.ask()
	}
	store, learner := m.env.Store, m.env.Learner
	early := screen.Ask(m.id, func() tea.Msg {
		list, err := ledger.Sums(context.Background(), store, learner)
		if err != nil {
			return hadSums{} // reading the answers says what is wrong
		}
		return hadSums{list}
	})
	return tea.Sequence(early, m.ask())
}

// hadSums is what the ledger adds up.
type hadSums struct{ list []ledger.Sum }

// had is what the ledger said.
type had struct {
	list []ledger.Answer
	err  error
}

func (m *Model) ask() tea.Cmd {
	store, q := m.env.Store, ledger.Query{Learner: m.env.Learner}
	if m.text.Of != nil {
		q = m.text.Of()
	}
	return screen.Ask(m.id, func() tea.Msg {
		list, err := ledger.Collect(store.Answers(context.Background(), q))
		return had{list, err}
	})
}

// Update handles keys and what the ledger says.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case had:
		m.answers, m.trouble, m.read = msg.list, msg.err, true
		if m.text.Every > 0 {
			m.chain++
			chain := m.chain
			cmd = screen.Ask(m.id, tea.Tick(m.text.Every, func(at time.Time) tea.Msg { return screen.Tick{At: at, Chain: chain} }))
		}
	case screen.Tick:
		if msg.Chain != m.chain || m.text.Every == 0 {
			return m, nil
		}
		return m, m.ask()
	case hadSums:
		m.sums = msg.list
	case screen.Resumed:
		cmd = m.ask()
	case tea.KeyMsg:
		cmd = m.press(msg)
	default:
		return m, nil
	}
	m.layout()
	return m, cmd
}

func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	switch {
	case key.Matches(msg, k.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.up):
		m.from--
	case key.Matches(msg, k.down):
		m.from++
	case key.Matches(msg, k.pageUp):
		m.from -= m.room()
	case key.Matches(msg, k.pageDown):
		m.from += m.room()
	case key.Matches(msg, k.again):
		return m.ask()
	}
	for i, b := range m.doors {
		if key.Matches(msg, b) {
			return screen.Say(screen.Push{Screen: m.text.Doors[i].Open()})
		}
	}
	return nil
}

const reading = "Reading your answers ..."

// headRows are the title and an empty line.
const headRows = 2

func (m *Model) room() int { return max(m.rows-headRows-1, 1) }

// layout writes the lines anew and keeps the place in them.
func (m *Model) layout() {
	ready := m.read && m.trouble == nil
	m.lines = nil
	switch {
	case m.cols == 0:
	case ready:
		m.lines = m.text.Write(m.answers, m.cols)
	case !m.read && len(m.sums) > 0:
		m.lines = append([]string{reading, ""}, m.text.Early(m.sums, m.cols)...)
	}
	most := max(len(m.lines)-m.room(), 0)
	m.from = max(min(m.from, most), 0)
	for _, b := range []*key.Binding{&m.keys.up, &m.keys.down, &m.keys.pageUp, &m.keys.pageDown} {
		b.SetEnabled(most > 0)
	}
	m.keys.again.SetEnabled(m.trouble != nil)
	for i := range m.doors {
		m.doors[i].SetEnabled(ready && (m.text.Doors[i].When == nil || m.text.Doors[i].When()))
	}
}

// View draws the screen; it changes nothing.
func (m *Model) View() string {
	l := m.env.Look
	right := m.env.Notice
	if most := len(m.lines) - m.room(); right == "" && m.from < most {
		right = "more below"
	}
	gap := max(m.cols-ansi.StringWidth(m.text.Title)-ansi.StringWidth(right), 1)
	lines := []string{l.Title.Render(m.text.Title) + strings.Repeat(" ", gap) + l.Faint.Render(right), ""}
	switch {
	case m.trouble != nil:
		lines = append(lines, Wrap("Your answers cannot be read: "+m.trouble.Error()+". Nothing is lost by that. Press r to try again.", m.cols)...)
	case !m.read && len(m.lines) == 0:
		lines = append(lines, reading)
	default:
		for _, s := range m.lines[m.from:min(m.from+m.room(), len(m.lines))] {
			lines = append(lines, ansi.Truncate(s, m.cols, "…"))
		}
	}
	return screen.Page(l, m.cols, m.rows, lines, m.ShortHelp())
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	return append(append([]key.Binding{}, m.doors...), m.keys.down, m.keys.pageDown, m.keys.again, m.keys.back)
}

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding {
	k := m.keys
	return [][]key.Binding{m.doors, {k.up, k.down, k.pageUp, k.pageDown, k.again, k.back}}
}

// Wrap breaks a paragraph to a width that is good to read.
func Wrap(s string, cols int) []string {
	return strings.Split(ansi.Wrap(s, max(min(cols, 100), 1), ""), "\n")
}
