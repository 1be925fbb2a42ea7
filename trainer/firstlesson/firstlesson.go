// Package firstlesson is for somebody who has never read a strip: what the boxes are, P,
// QRS and T, the order in which a strip is read, what normal looks like at three ages,
// and whom to look at first. Each page has a live strip; it takes about ten minutes and
// can be left at any time. The pages are in pages.go.
package firstlesson

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/trainer/look"
	"telltrace/trainer/paper"
	"telltrace/trainer/screen"
	"telltrace/trainer/stage"
)

// shownAtStart is how much of a strip has run when a page opens, s: it is full.
const shownAtStart = 12

// Model is the screen.
type Model struct {
	env        *screen.Env
	id         screen.ID
	keys       keys
	page       int
	stage      *stage.Stage
	player     *synth.Player
	trouble    error
	chain      int
	now        time.Time
	cols, rows int
	words      []string
	from       int
	room       int
	onward     func() screen.Screen
}

type keys struct{ next, before, hold, pan, scroll, back key.Binding }

// New opens the lesson; onward makes the screen that follows the last page.
func New(env *screen.Env, onward func() screen.Screen) *Model {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	hold := "hold or release"
	if env.Still {
		hold = "turn the page of the strip"
	}
	m := &Model{env: env, id: env.Open(), now: env.Now(), onward: onward, keys: keys{
		next: bind("enter", "go on", "enter", "n"), before: bind("b", "the page before", "b"),
		hold: bind("space", hold, " "), pan: bind("left/right", "move along", "left", "right"),
		scroll: bind("up/down", "read on", "up", "down"), back: bind("q", "leave the lesson", "q", "esc"),
	}}
	m.open(0)
	return m
}

// open shows a page.
func (m *Model) open(page int) {
	m.page, m.from, m.trouble = page, 0, nil
	p := pages[page]
	m.player, m.trouble = synth.Open(ecg.Synthetic(p.rhythm, p.age, p.seed))
	if m.trouble != nil {
		m.stage = nil
		m.layout()
		return
	}
	m.stage = stage.New(m.env.Look, m.player, shownAtStart)
	m.layout()
	if !m.env.Still && !p.marked {
		m.stage.Run(m.now)
	}
	m.stage.Advance(m.now)
	m.enable()
}

// ID is this opening of the screen.
func (m *Model) ID() screen.ID { return m.id }

// MinSize is what the screen needs.
func (m *Model) MinSize() (cols, rows int) { return 80, 24 }

// SetSize lays the page out anew.
func (m *Model) SetSize(cols, rows int) {
	m.cols, m.rows = cols, rows
	m.layout()
}

// Rows beside strip and words: title, an empty line and the keys.
const fixedRows = 3

func (m *Model) layout() {
	if m.cols == 0 {
		return
	}
	strip := min(m.rows/2, 20) &^ 1
	m.words = nil
	for _, paragraph := range pages[m.page].text {
		m.words = append(append(m.words, strings.Split(ansi.Wrap(paragraph, min(m.cols, 100), ""), "\n")...), "")
	}
	m.room = max(m.rows-fixedRows-strip-2, 1)
	m.from = max(min(m.from, len(m.words)-m.room), 0)
	if m.stage != nil {
		m.stage.SetScale(scale(m.cols))
		m.stage.Resize(m.cols, strip, 2)
	}
	m.enable()
}

// scale is double where the window has room for it.
func scale(cols int) paper.Scale {
	if cols >= 110 {
		return paper.Double
	}
	return paper.Base
}

func (m *Model) enable() {
	k := &m.keys
	k.before.SetEnabled(m.page > 0)
	k.hold.SetEnabled(m.stage != nil && !pages[m.page].marked)
	k.pan.SetEnabled(m.stage != nil && m.stage.Held())
	k.scroll.SetEnabled(len(m.words) > m.room)
}

// Init starts the clock.
func (m *Model) Init() tea.Cmd { return m.tick() }

func (m *Model) tick() tea.Cmd {
	return m.env.NextFrame(m.id, m.chain)
}

// Update handles keys and ticks.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	switch msg := msg.(type) {
	case screen.Tick:
		if msg.Chain != m.chain {
			return m, nil
		}
		m.now = msg.At
		if m.stage != nil {
			m.stage.Advance(m.now)
		}
		return m, m.tick()
	case screen.Resumed:
		m.chain++
		m.now = m.env.Now()
		return m, m.tick()
	case tea.KeyMsg:
		m.now = m.env.Now()
		cmd := m.press(msg)
		m.enable()
		return m, cmd
	}
	return m, nil
}

func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	switch {
	case key.Matches(msg, k.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.next) && m.page == len(pages)-1:
		return screen.Say(screen.Replace{Screen: m.onward()})
	case key.Matches(msg, k.next):
		m.open(m.page + 1)
	case key.Matches(msg, k.before):
		m.open(m.page - 1)
	case key.Matches(msg, k.hold) && m.env.Still:
		m.stage.Turn()
	case key.Matches(msg, k.hold) && m.stage.Held():
		m.stage.Run(m.now)
	case key.Matches(msg, k.hold):
		m.stage.Hold(m.now)
	case key.Matches(msg, k.pan) && msg.String() == "left":
		m.stage.Pan(0.25)
	case key.Matches(msg, k.pan):
		m.stage.Pan(-0.25)
	case key.Matches(msg, k.scroll) && msg.String() == "down":
		m.from = min(m.from+1, max(len(m.words)-m.room, 0))
	case key.Matches(msg, k.scroll):
		m.from = max(m.from-1, 0)
	}
	return nil
}

// View draws the page; it changes nothing.
func (m *Model) View() string {
	l := m.env.Look
	title, right := "First lesson: "+pages[m.page].title, fmt.Sprintf("page %d of %d", m.page+1, len(pages))
	gap := max(m.cols-ansi.StringWidth(title)-ansi.StringWidth(right), 1)
	lines := []string{l.Title.Render(title) + strings.Repeat(" ", gap) + l.Faint.Render(right)}
	switch {
	case m.trouble != nil:
		lines = append(lines, "This strip cannot be shown: "+m.trouble.Error())
	case pages[m.page].marked || m.stage.Held() && !m.env.Still:
		lines = append(lines, m.stage.Draw(m.stage.Marked(m.player.Marks(0, m.stage.Edge())))...)
	default:
		lines = append(lines, m.stage.Draw(nil)...)
	}
	lines = append(lines, "")
	for _, s := range m.words[m.from:min(m.from+m.room, len(m.words))] {
		lines = append(lines, l.Body.Render(ansi.Truncate(s, m.cols, "…")))
	}
	return screen.Page(l, m.cols, m.rows, lines, m.ShortHelp())
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	k := m.keys
	return []key.Binding{k.next, k.before, k.hold, k.pan, k.scroll, k.back}
}

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding { return [][]key.Binding{m.ShortHelp()} }

// caution stands on the first and the last page.
const caution = look.PatientFirst + " " + look.Caution
