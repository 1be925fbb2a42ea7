// Package start is the first screen: what this is for, the caution, and the doors to
// everything else. First is the page before it on the very first start, Page a page
// of words. It imports no other screen: the doors are given.
package start

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// Name and purpose of the program.
const (
	name    = "telltrace"
	purpose = "Learn to tell heart rhythms apart, and what to do first."
)

// A Door leads to another screen.
type Door struct {
	Key  string // a letter that opens it; digits are given by the order
	Name string
	Line string // what is behind it

	// Open makes the screen behind; nil leaves.
	Open func() screen.Screen

	// Count, if there is one, is how many things wait behind; CountLine says it.
	// It may read the ledger.
	Count     func(context.Context) (int, error)
	CountLine func(int) string
}

// digit is the digit that opens the door in this place, its letter where the digits are used
// up.
func (d Door) digit(i int) string {
	if i > 8 {
		return d.Key
	}
	return strconv.Itoa(i + 1)
}

// Model is the first screen.
type Model struct {
	env    *screen.Env
	id     screen.ID
	title  string
	line   string
	doors  []Door
	lines  []string // what is said of each door now
	keys   doorKeys
	cols   int
	rows   int
	cursor int
}

type doorKeys struct {
	doors                []key.Binding
	up, down, enter, out key.Binding
}

// New opens the first screen with its doors.
func New(env *screen.Env, doors []Door) *Model { return NewMenu(env, name, purpose, doors) }

// NewMenu opens a screen of doors under a title and a line.
func NewMenu(env *screen.Env, title, line string, doors []Door) *Model {
	m := &Model{env: env, id: env.Open(), title: title, line: line, doors: doors, lines: make([]string, len(doors))}
	for i, d := range doors {
		m.lines[i] = d.Line
		on, help := []string{d.Key}, d.Key
		if digit := d.digit(i); digit != d.Key {
			on, help = append(on, digit), digit+" or "+d.Key
		}
		m.keys.doors = append(m.keys.doors, key.NewBinding(key.WithKeys(on...), key.WithHelp(help, strings.ToLower(d.Name))))
	}
	m.keys.up = key.NewBinding(key.WithKeys("up", "k"), key.WithHelp("up", "the one above"))
	m.keys.down = key.NewBinding(key.WithKeys("down", "j"), key.WithHelp("down", "the one below"))
	m.keys.enter = key.NewBinding(key.WithKeys("enter"), key.WithHelp("enter", "open"))
	m.keys.out = key.NewBinding(key.WithKeys("q", "esc"), key.WithHelp("q", "leave"))
	return m
}

// ID is this opening of the screen.
func (m *Model) ID() screen.ID { return m.id }

// MinSize is what the screen needs.
func (m *Model) MinSize() (cols, rows int) { return 60, 20 }

// SetSize lays the screen out anew.
func (m *Model) SetSize(cols, rows int) { m.cols, m.rows = cols, rows }

// Init counts what waits behind the doors.
func (m *Model) Init() tea.Cmd { return m.count() }

// counted is what waits behind one door.
type counted struct {
	door, n int
	err     error
}

func (m *Model) count() tea.Cmd {
	var asks []tea.Cmd
	for i, d := range m.doors {
		if d.Count != nil {
			asks = append(asks, screen.Ask(m.id, func() tea.Msg {
				n, err := d.Count(context.Background())
				return counted{i, n, err}
			}))
		}
	}
	return tea.Batch(asks...)
}

// Update handles keys and counts.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	switch msg := msg.(type) {
	case counted:
		m.lines[msg.door] = m.doors[msg.door].Line
		if msg.err != nil {
			m.lines[msg.door] = "cannot be counted: " + msg.err.Error()
		} else if say := m.doors[msg.door].CountLine; say != nil {
			m.lines[msg.door] = say(msg.n)
		}
	case screen.Resumed:
		return m, m.count()
	case tea.KeyMsg:
		return m, m.press(msg)
	}
	return m, nil
}

func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	switch {
	case key.Matches(msg, k.out):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.up):
		m.cursor = (m.cursor + len(m.doors) - 1) % len(m.doors)
	case key.Matches(msg, k.down):
		m.cursor = (m.cursor + 1) % len(m.doors)
	case key.Matches(msg, k.enter):
		return m.through(m.cursor)
	}
	for i, b := range k.doors {
		if key.Matches(msg, b) {
			m.cursor = i
			return m.through(i)
		}
	}
	return nil
}

// through opens a door.
func (m *Model) through(i int) tea.Cmd {
	if m.doors[i].Open == nil {
		return screen.Say(screen.Back{})
	}
	return screen.Say(screen.Push{Screen: m.doors[i].Open()})
}

// View draws the screen; it changes nothing.
func (m *Model) View() string {
	l := m.env.Look
	lines := []string{"", l.Title.Render("  " + m.title), "  " + l.Body.Render(m.line), ""}
	lines = append(lines, indent(l.Caution, wrap(look.Caution, m.cols-4))...)
	lines = append(lines, "")
	if m.env.Notice != "" {
		lines = append(lines, indent(l.Miss, wrap(m.env.Notice, m.cols-4))...)
		lines = append(lines, "")
	}
	for i, d := range m.doors {
		style := l.Choice
		if i == m.cursor {
			style = l.Chosen
		}
		head := fmt.Sprintf("  %s%s  %-16s", l.Mark(i == m.cursor), d.digit(i), d.Name)
		line := ansi.Truncate(m.lines[i], max(m.cols-ansi.StringWidth(head)-1, 0), "…")
		lines = append(lines, style.Render(head)+" "+l.Faint.Render(line))
	}
	lines = append(lines, "", "  "+l.Body.Render(look.PatientFirst))
	return screen.Page(m.env.Look, m.cols, m.rows, lines, m.ShortHelp())
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	return []key.Binding{m.keys.up, m.keys.down, m.keys.enter, m.keys.out}
}

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding {
	return [][]key.Binding{m.keys.doors, {m.keys.up, m.keys.down, m.keys.enter, m.keys.out}}
}

// wrap breaks a paragraph to a width that is good to read.
func wrap(s string, cols int) []string {
	return strings.Split(ansi.Wrap(s, max(min(cols, 90), 1), ""), "\n")
}

func indent(style look.Style, lines []string) []string {
	out := make([]string, len(lines))
	for i, s := range lines {
		out[i] = "  " + style.Render(s)
	}
	return out
}
