// Package form is the screen of every exercise that is filled in: a picture, a task and its
// fields; then each field marked with its reason. What is asked is of scenarios/task;
// the exercises (trainer/electrodes, limits, calling, charting) give a form its pages.
package form

import (
	"strconv"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scenarios/task"
	"telltrace/scoring/ledger"
	"telltrace/trainer/screen"
)

// A Page is one task with the picture above it.
type Page struct {
	Task task.Task
	// Draw draws the picture in at most cols by rows cells as the fields stand, in words in
	// a plain look; nil for none. It is asked for anew whenever a field changes.
	Draw func(cols, rows int, values []task.Value, marked bool) []string
	// Least is how many rows the picture needs; it gets more where there are more, up to Most.
	Least, Most int
}

// An Exercise is what a form goes through.
type Exercise struct {
	Title string
	Part  string                         // its name in the ledger
	Pages int                            // how many there are
	Page  func(number int) (Page, error) // from 0

	// Keys are more keys, and what they do; the page is made anew after screen.Restyle.
	Keys []Key
}

// A Key is a key of one exercise.
type Key struct {
	Binding key.Binding
	Do      func() tea.Cmd
}

type phase uint8

const (
	filling phase = iota
	keeping       // on the way to the ledger
	unkept        // the ledger refused
	marked
	finished
	failed
)

// Model is the screen.
type Model struct {
	env  *screen.Env
	id   screen.ID
	ex   Exercise
	keys keys
	cols int
	rows int

	number  int
	page    Page
	phase   phase
	values  []task.Value
	done    []bool // fields that were filled in
	focus   int    // the field, or one more: giving the answers
	cursor  int    // the choice under the cursor
	typed   bool   // the number is being typed
	scroll  int    // of the marks
	marks   []task.Mark
	answers []ledger.Answer
	asked   time.Time
	trouble error
	right   int // fields over all pages
	fields  int

	drawn     []string // the picture, as it was last drawn
	drawnCols int
	drawnRows int
}

type keys struct{ up, down, change, digit, none, enter, next, again, scroll, back key.Binding }

// New opens an exercise at its first page.
func New(env *screen.Env, ex Exercise) *Model {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	m := &Model{env: env, id: env.Open(), ex: ex, keys: keys{
		enter:  bind("enter", "choose, go on", "enter"),
		up:     bind("up", "the line above", "up", "shift+tab"),
		down:   bind("down", "the line below", "down", "tab"),
		change: bind("left/right", "change it", "left", "right"),
		digit:  bind("0-9", "choose, or type a number", "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "backspace"),
		none:   bind("n", "none", "n"),
		next:   bind("enter", "go on", "enter"),
		again:  bind("enter", "try to keep it again", "enter"),
		scroll: bind("up/down", "read on", "up", "down"),
		back:   bind("q", "back", "q", "esc"),
	}}
	m.open()
	return m
}

// open puts the page of the present number on, or ends.
func (m *Model) open() {
	m.drawn = nil
	if m.number == m.ex.Pages {
		m.phase = finished
		m.enable()
		return
	}
	var err error
	if m.page, err = m.ex.Page(m.number); err != nil {
		m.phase, m.trouble = failed, err
		m.enable()
		return
	}
	m.values, m.done = m.page.Task.Start(), make([]bool, len(m.page.Task.Fields))
	m.focus, m.scroll, m.typed, m.asked = 0, 0, false, m.env.Now()
	m.phase = filling
	m.enter(0, 0)
	m.enable()
}

// enter goes to a field; from says from which side: the cursor stands at its first or, from
// below, its last choice, or where it was chosen.
func (m *Model) enter(field, from int) {
	m.focus, m.typed = max(min(field, m.last()), 0), false
	m.cursor = 0
	if m.focus == len(m.values) {
		return
	}
	f := m.field()
	if f.Number == nil {
		switch v := m.values[m.focus]; {
		case v != task.Unset && from == 0:
			m.cursor = int(v)
		case from < 0:
			m.cursor = len(f.Choices) - 1
		}
	}
}

// last is the last line one can go to: giving the answers, where there is more than one.
func (m *Model) last() int {
	if len(m.values) > 1 {
		return len(m.values)
	}
	return 0
}

func (m *Model) field() task.Field { return m.page.Task.Fields[m.focus] }

// ID is this opening of the screen.
func (m *Model) ID() screen.ID { return m.id }

// MinSize is what the screen needs.
func (m *Model) MinSize() (cols, rows int) { return 80, 24 }

// Init has nothing to start.
func (m *Model) Init() tea.Cmd { return nil }

// SetSize lays the screen out anew.
func (m *Model) SetSize(cols, rows int) { m.cols, m.rows, m.drawn = cols, rows, nil }

// kept says that the ledger has, or has not, kept the answers.
type kept struct{ err error }

// Update handles keys, and what the ledger says.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case kept:
		if m.phase == keeping {
			m.phase, m.trouble, m.drawn = marked, msg.err, nil
			if msg.err != nil {
				m.phase = unkept
			}
		}
	case screen.Restyle:
		m.drawn = nil
		if m.phase == filling {
			m.open()
		}
	case tea.KeyMsg:
		cmd = m.press(msg)
	default:
		return m, nil
	}
	m.enable()
	return m, cmd
}

func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	for _, more := range m.ex.Keys {
		if key.Matches(msg, more.Binding) {
			return more.Do()
		}
	}
	switch {
	case key.Matches(msg, k.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.next):
		m.number++
		m.open()
	case key.Matches(msg, k.again):
		m.phase = keeping
		return m.keep()
	case key.Matches(msg, k.scroll):
		if msg.String() == "down" {
			m.scroll++
		} else {
			m.scroll = max(min(m.scroll, m.mostScroll())-1, 0)
		}
	case key.Matches(msg, k.up):
		m.move(-1)
	case key.Matches(msg, k.down):
		m.move(1)
	case key.Matches(msg, k.none):
		m.set(task.None)
	case key.Matches(msg, k.change):
		by := 1
		if msg.String() == "left" {
			by = -1
		}
		m.change(by)
	case key.Matches(msg, k.digit):
		m.digit(msg.String())
	case key.Matches(msg, k.enter):
		return m.accept()
	}
	return nil
}

// move goes a line up or down: within the choices of a field, then to the next one.
func (m *Model) move(by int) {
	if m.focus < len(m.values) {
		if f := m.field(); f.Number == nil && !m.page.Task.Inline && m.cursor+by >= 0 && m.cursor+by < len(f.Choices) {
			m.cursor += by
			return
		}
	}
	if to := m.focus + by; to >= 0 && to <= m.last() {
		m.enter(to, by)
	}
}

// set fills the present field in.
func (m *Model) set(v task.Value) {
	m.values[m.focus], m.done[m.focus], m.drawn = v, true, nil
}

// change takes the next or the one before.
func (m *Model) change(by int) {
	f := m.field()
	if n := f.Number; n != nil {
		m.typed = false
		m.set(task.Value(n.Clamp(max(int(m.values[m.focus]), n.Least-n.Step) + by*n.Step)))
		return
	}
	if m.values[m.focus] != task.Unset {
		m.cursor = (m.cursor + by + len(f.Choices)) % len(f.Choices)
	}
	m.set(task.Value(m.cursor))
}

// digit chooses by a digit, or types at a number.
func (m *Model) digit(s string) {
	f := m.field()
	d, err := strconv.Atoi(s)
	if f.Number == nil {
		if err == nil && d >= 1 && d <= len(f.Choices) {
			m.cursor = d - 1
			if len(m.values) > 1 { // a single question is answered with enter
				m.set(task.Value(m.cursor))
			}
		}
		return
	}
	have := max(int(m.values[m.focus]), 0)
	switch {
	case err != nil:
		have /= 10
	case !m.typed:
		have = d
	case have < 1000:
		have = 10*have + d
	}
	m.typed = true
	m.set(task.Value(min(have, f.Number.Most)))
}

// accept takes what stands under the cursor and goes on; from the last line it gives the
// answers.
func (m *Model) accept() tea.Cmd {
	if m.focus == len(m.values) {
		if i := m.nextOpen(); i >= 0 {
			m.enter(i, 0)
			return nil
		}
		return m.commit()
	}
	v := m.values[m.focus]
	n := m.field().Number
	if v == task.Unset && (n != nil || m.page.Task.Inline) { // nothing to take
		m.enter(m.focus+1, 0)
		return nil
	}
	if n == nil {
		v = task.Value(m.cursor)
	} else if v != task.None {
		v = task.Value(n.Clamp(int(v)))
	}
	m.set(v)
	if len(m.values) == 1 {
		return m.commit()
	}
	if i := m.nextOpen(); i >= 0 {
		m.enter(i, 0)
	} else {
		m.enter(len(m.values), 0)
	}
	return nil
}

// nextOpen is the first field after the present one, else of all, that is not filled in; -1 for
// none.
func (m *Model) nextOpen() int {
	for i := range m.done {
		if at := (m.focus + 1 + i) % len(m.done); m.focus < len(m.done) && !m.done[at] {
			return at
		}
	}
	for i, d := range m.done {
		if !d {
			return i
		}
	}
	return -1
}

func (m *Model) enable() {
	k := &m.keys
	fill := m.phase == filling
	on := fill && m.focus < len(m.values)
	number := on && m.field().Number != nil
	for _, b := range []*key.Binding{&k.up, &k.down, &k.enter} {
		b.SetEnabled(fill)
	}
	k.change.SetEnabled(on)
	k.digit.SetEnabled(number || on && !m.page.Task.Inline)
	k.none.SetEnabled(number && m.field().Number.MayAbsent)
	k.next.SetEnabled(m.phase == marked)
	k.again.SetEnabled(m.phase == unkept)
	k.scroll.SetEnabled(m.phase == marked && m.cols > 0 && m.mostScroll() > 0)
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	k := m.keys
	return append(append([]key.Binding{k.enter, k.next, k.again, k.change, k.none, k.down, k.digit, k.up, k.scroll}, m.more()...), k.back)
}

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding {
	k := m.keys
	return [][]key.Binding{{k.enter, k.next, k.again, k.up, k.down, k.scroll}, append(append([]key.Binding{k.change, k.digit, k.none}, m.more()...), k.back)}
}

// more are the exercise's own keys.
func (m *Model) more() []key.Binding {
	var out []key.Binding
	for _, k := range m.ex.Keys {
		out = append(out, k.Binding)
	}
	return out
}
