package bedside

import (
	"context"
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"telltrace/scenarios/script"
	"telltrace/scoring/ledger"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/sheet"
)

// List is the screen on which a scenario is chosen.
type List struct {
	env        *screen.Env
	id         screen.ID
	scenarios  []*script.Scenario
	last       map[string]ledger.Verdict // the worst of the last time, by scenario
	trouble    error
	cursor     int
	cols, rows int
	keys       struct{ up, down, page, open, back key.Binding }
}

// lasts says how the scenarios came out last time, or why that cannot be known.
type lasts struct {
	verdicts map[string]ledger.Verdict
	err      error
}

// NewList opens the list of scenarios.
func NewList(env *screen.Env, scenarios []*script.Scenario) *List {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	m := &List{env: env, id: env.Open(), scenarios: scenarios}
	m.keys.up, m.keys.down = bind("up", "the one above", "up", "k"), bind("down", "the one below", "down", "j")
	m.keys.page = bind("page up/down", "a page on or back", "pgup", "pgdown")
	m.keys.open, m.keys.back = bind("enter", "go to this bed", "enter"), bind("q", "back", "q", "esc")
	return m
}

// ID is this opening of the screen.
func (m *List) ID() screen.ID { return m.id }

// MinSize is what the screen needs.
func (m *List) MinSize() (cols, rows int) { return 60, 16 }

// SetSize lays the screen out anew.
func (m *List) SetSize(cols, rows int) { m.cols, m.rows = cols, rows }

// Init reads how it went before.
func (m *List) Init() tea.Cmd {
	store, learner := m.env.Store, m.env.Learner
	return screen.Ask(m.id, func() tea.Msg {
		answers, err := ledger.Collect(store.Answers(context.Background(), ledger.Query{Learner: learner, Mode: ledger.Scenario}))
		out := lasts{map[string]ledger.Verdict{}, err}
		sitting := map[string]string{}
		for _, a := range answers { // oldest first
			if sitting[a.Part] != a.Presentation {
				sitting[a.Part], out.verdicts[a.Part] = a.Presentation, a.Verdict
			}
			out.verdicts[a.Part] = worst(out.verdicts[a.Part], a.Verdict)
		}
		return out
	})
}

func worst(a, b ledger.Verdict) ledger.Verdict {
	for i := len(ledger.Verdicts) - 1; i >= 0; i-- {
		if v := ledger.Verdicts[i]; v == a || v == b {
			return v
		}
	}
	return a
}

// Update handles keys and what the ledger says.
func (m *List) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	switch msg := msg.(type) {
	case lasts:
		m.last, m.trouble = msg.verdicts, msg.err
	case screen.Resumed:
		return m, m.Init()
	case tea.KeyMsg:
		n := len(m.scenarios)
		switch {
		case key.Matches(msg, m.keys.back):
			return m, screen.Say(screen.Back{})
		case key.Matches(msg, m.keys.up):
			m.cursor = (m.cursor + n - 1) % n
		case key.Matches(msg, m.keys.down):
			m.cursor = (m.cursor + 1) % n
		case key.Matches(msg, m.keys.page):
			by := m.room()
			if msg.String() == "pgup" {
				by = -by
			}
			m.cursor = max(0, min(m.cursor+by, n-1))
		case key.Matches(msg, m.keys.open):
			return m, screen.Say(screen.Push{Screen: New(m.env, m.scenarios[m.cursor])})
		}
	}
	return m, nil
}

// caution is the caution as it stands beneath.
func (m *List) caution() []string { return sheet.Wrap(look.Caution, m.cols) }

// room is how many scenarios fit: all but title, two lines on it, three and the caution
// beneath, keys.
func (m *List) room() int { return max(m.rows-7-len(m.caution()), 1) }

// View draws the screen.
func (m *List) View() string {
	l := m.env.Look
	cut := func(s string) string { return ansi.Truncate(s, m.cols, "…") }
	about := "Each is a patient with a strip that runs. Look, decide, do; then see what was expected."
	if m.trouble != nil {
		about = "How it went before cannot be read: " + m.trouble.Error()
	}
	lines := []string{l.Title.Render("At the bedside"), l.Body.Render(cut(about)), ""}
	from := max(0, min(m.cursor-m.room()/2, len(m.scenarios)-m.room()))
	for i := from; i < min(from+m.room(), len(m.scenarios)); i++ {
		s := m.scenarios[i]
		style := l.Choice
		if i == m.cursor {
			style = l.Chosen
		}
		title := s.Title + strings.Repeat(" ", max(46-ansi.StringWidth(s.Title), 1)) + s.Patient.Age.Exact().Words()
		if v, ok := m.last[string(s.Name)]; ok {
			title += strings.Repeat(" ", max(60-ansi.StringWidth(title), 1)) + lastWords(v)
		}
		lines = append(lines, style.Render(cut(l.Mark(i == m.cursor)+title)))
	}
	for len(lines) < m.room()+4 {
		lines = append(lines, "")
	}
	lines = append(lines, l.Faint.Render(cut(m.scenarios[m.cursor].Patient.Sentence)),
		l.Faint.Render(cut(fmt.Sprintf("%d of %d", m.cursor+1, len(m.scenarios)))))
	for _, line := range m.caution() {
		lines = append(lines, l.Caution.Render(line))
	}
	return screen.Page(l, m.cols, m.rows, lines, m.ShortHelp())
}

func lastWords(v ledger.Verdict) string {
	switch v {
	case ledger.Right:
		return "done, right"
	case ledger.Near:
		return "done, nearly"
	case ledger.Critical:
		return "! to do again"
	default:
		return "to do again"
	}
}

// ShortHelp is the hint line.
func (m *List) ShortHelp() []key.Binding {
	return []key.Binding{m.keys.open, m.keys.up, m.keys.down, m.keys.page, m.keys.back}
}

// FullHelp lists all bindings.
func (m *List) FullHelp() [][]key.Binding { return [][]key.Binding{m.ShortHelp()} }
