// Package missed is the screen of a learner's missed answers: which strips, what was
// said, what is left to do. One of them can be opened as it was, held and marked,
// and tried again; or a fresh strip of the same kind be asked for. What is missed and
// when it leaves is worked out by scoring/missed; this package shows it.
package missed

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scoring/ledger"
	scored "telltrace/scoring/missed"
	"telltrace/synth/ecg"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
)

// phase is what the screen shows.
type phase uint8

const (
	reading  phase = iota // the ledger is being read
	failing               // it could not be
	listing               // the missed answers
	choosing              // of which rhythm, or confused pair, only
	besides               // which rhythm to set beside the opened one
	showing               // one of them, opened
)

// A Recording makes the round of a strip that was cut from a recording. Its error
// says in words what is missing.
type Recording func(strip ecg.Identity, mode ledger.Mode, offered []string) (practise.Round, error)

// Model is the screen.
type Model struct {
	env       *screen.Env
	id        screen.ID
	recording Recording
	keys      keys
	cols      int
	rows      int

	phase   phase
	trouble error
	notice  string // one sentence on what has just changed
	all     []entry
	list    []entry // of one group
	only    group
	cursor  int
	top     int // first entry shown
	choices chooser
	open    *opened
}

// New opens the screen. recording may be nil: strips from recordings then stay in
// the list but cannot be shown.
func New(env *screen.Env, recording Recording) *Model {
	m := &Model{env: env, id: env.Open(), recording: recording, keys: newKeys()}
	m.enable()
	return m
}

// ID is this opening of the screen.
func (m *Model) ID() screen.ID { return m.id }

// MinSize is what the screen needs.
func (m *Model) MinSize() (cols, rows int) { return 80, 24 }

// SetSize lays the screen out anew; nothing else changes.
func (m *Model) SetSize(cols, rows int) {
	m.cols, m.rows = cols, rows
	m.layout()
}

// Init reads the ledger.
func (m *Model) Init() tea.Cmd { return m.read() }

// answers is what the ledger said.
type answers struct {
	list []ledger.Answer
	err  error
}

func (m *Model) read() tea.Cmd {
	store, learner := m.env.Store, m.env.Learner
	return screen.Ask(m.id, func() tea.Msg {
		list, err := ledger.Collect(store.Answers(context.Background(), ledger.Query{Learner: learner}))
		return answers{list, err}
	})
}

// Count is how many missed answers the learner has, for the door to this screen.
func Count(ctx context.Context, env *screen.Env) (int, error) {
	list, err := ledger.Collect(env.Store.Answers(ctx, ledger.Query{Learner: env.Learner}))
	return len(scored.List(list, env.Location)), err
}

// Update handles keys and what the ledger says.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case answers:
		m.take(msg)
	case screen.Resumed:
		cmd = m.read()
	case tea.KeyMsg:
		cmd = m.press(msg)
	default:
		return m, nil
	}
	m.layout()
	m.enable()
	return m, cmd
}

// take puts what was read on the page. The entry under the cursor stays there, and
// an opened one stays open, as long as it is in the log.
func (m *Model) take(a answers) {
	if m.trouble = a.err; a.err != nil {
		m.phase, m.open = failing, nil
		return
	}
	before, had := m.chosen()
	m.all = entriesOf(a.list, m.env.Location)
	m.pick(m.only)
	if len(m.list) == 0 {
		m.pick(group{})
	}
	if m.phase == reading || m.phase == failing {
		m.phase = listing
		return
	}
	at := -1
	if had {
		at = slices.IndexFunc(m.list, func(e entry) bool { return e.Strip == before.Strip && e.Question == before.Question })
	}
	m.cursor = max(min(m.cursor, len(m.list)-1), 0)
	switch {
	case at >= 0:
		m.cursor = at
		if m.open != nil {
			m.open.retell(m, m.list[at])
		}
	case m.phase == showing, m.phase == besides:
		m.phase, m.open = listing, nil
		m.notice = before.title() + ": well done, this one has left your list."
	}
	if m.phase == choosing {
		m.phase = listing
	}
}

// pick shows one group only.
func (m *Model) pick(only group) {
	m.only, m.list = only, nil
	for _, e := range m.all {
		if only.has(e) {
			m.list = append(m.list, e)
		}
	}
}

// chosen is the entry under the cursor.
func (m *Model) chosen() (entry, bool) {
	if m.cursor >= len(m.list) {
		return entry{}, false
	}
	return m.list[m.cursor], true
}

func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	m.notice = ""
	k := m.keys
	switch {
	case key.Matches(msg, k.retry):
		m.phase = reading
		return m.read()
	case key.Matches(msg, k.set):
		return screen.Say(screen.Push{Screen: practise.New(m.env, m.asSet())})
	case key.Matches(msg, k.again), key.Matches(msg, k.fresh):
		return m.practise(key.Matches(msg, k.fresh))
	}
	switch m.phase {
	case listing:
		return m.pressList(msg)
	case choosing, besides:
		m.pressChoices(msg)
	case showing:
		m.pressOpen(msg)
	default:
		if key.Matches(msg, k.back) {
			return screen.Say(screen.Back{})
		}
	}
	return nil
}

func (m *Model) pressList(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	switch {
	case key.Matches(msg, k.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.up):
		m.cursor = max(m.cursor-1, 0)
	case key.Matches(msg, k.down):
		m.cursor = max(min(m.cursor+1, len(m.list)-1), 0)
	case key.Matches(msg, k.first):
		m.cursor = 0
	case key.Matches(msg, k.last):
		m.cursor = max(len(m.list)-1, 0)
	case key.Matches(msg, k.open):
		if e, ok := m.chosen(); ok {
			m.phase, m.open = showing, m.opens(e)
		}
	case key.Matches(msg, k.filter):
		m.phase, m.choices = choosing, groupsOf(m.all, m.only)
	case key.Matches(msg, k.clear):
		m.pick(group{})
		m.cursor = 0
	}
	return nil
}

func (m *Model) pressChoices(msg tea.KeyMsg) {
	k := m.keys
	switch {
	case key.Matches(msg, k.back) && m.phase == besides:
		m.phase = showing
	case key.Matches(msg, k.back):
		m.phase = listing
	case key.Matches(msg, k.up):
		m.choices.move(-1)
	case key.Matches(msg, k.down):
		m.choices.move(1)
	case key.Matches(msg, k.take) && m.phase == besides:
		m.phase = showing
		m.open.setBeside(m, m.choices.taken().subject)
	case key.Matches(msg, k.take):
		m.pick(m.choices.taken())
		m.cursor, m.top, m.phase = 0, 0, listing
	}
}

// practise asks the chosen one again: the same strip, or a fresh one like it.
func (m *Model) practise(fresh bool) tea.Cmd {
	e, ok := m.chosen()
	if !ok {
		return nil
	}
	round := func() (practise.Round, error) { return e.again(m.recording) }
	if fresh {
		round = func() (practise.Round, error) { return e.another(m.env.Seed()) }
	}
	return screen.Say(screen.Push{Screen: practise.New(m.env, once(round))})
}

// asSet is a plan of all that is listed, in an order drawn: each the same strip again until
// it was right, then a fresh one like it. What cannot be played is left out.
func (m *Model) asSet() practise.Plan {
	rng := rand.New(rand.NewPCG(m.env.Seed(), 0))
	left := slices.Clone(m.list)
	rng.Shuffle(len(left), func(i, j int) { left[i], left[j] = left[j], left[i] })
	of := len(left)
	return func() (practise.Round, error) {
		for len(left) > 0 {
			e := left[0]
			left = left[1:]
			r, err := e.again(m.recording)
			if e.Replayed && e.teachable() {
				r, err = e.another(rng.Uint64())
			}
			if err != nil {
				continue
			}
			r.Title = fmt.Sprintf("%s: %d of %d", r.Title, of-len(left), of)
			return r, nil
		}
		return practise.Round{}, io.EOF
	}
}

// dayWord says a day as people do: today, yesterday, 12 Nov, 12 Nov 2024.
func dayWord(at, now time.Time, loc *time.Location) string {
	at, now = at.In(loc), now.In(loc)
	days := func(t time.Time) int {
		y, m, d := t.Date()
		return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / (24 * 60 * 60))
	}
	switch days(now) - days(at) {
	case 0:
		return "today"
	case 1:
		return "yesterday"
	}
	if at.Year() == now.Year() {
		return at.Format("2 Jan")
	}
	return at.Format("2 Jan 2006")
}
