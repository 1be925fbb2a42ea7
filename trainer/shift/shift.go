// Package shift is the screen of a watch: twelve hours at one to four beds, told in six to
// fifteen minutes. One bed is in front with its running strip; all beds have a line. When
// it is over, the screen says what it came to, and shows any minute of it again.
package shift

import (
	"context"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scenarios/watch"
	marking "telltrace/scoring/bedside"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/trainer/hold"
	"telltrace/trainer/screen"
	"telltrace/trainer/stage"
)

// phase is where in the watch the learner is.
type phase uint8

const (
	choosing phase = iota // how many beds
	watching
	told   // what it came to
	seeing // a minute of it again
	failed
)

// takes is how long the twelve hours are told, by the number of beds less one.
var takes = [4]time.Duration{6 * time.Minute, 9 * time.Minute, 12 * time.Minute, 15 * time.Minute}

// Model is the screen.
type Model struct {
	env        *screen.Env
	id         screen.ID
	chain      int
	keys       keys
	limitKeys  limitKeys
	cols, rows int
	now        time.Time

	phase   phase
	beds    int
	watch   *watch.Watch
	began   time.Time
	bed     int // in front
	stage   *stage.Stage
	hold    *hold.Tool
	shows   string  // the strip on stage, as its identity
	of      int     // whose it is
	said    string  // what the last act led to
	setting setting // limits being typed
	broken  error

	present string
	kept    map[int]bool // events that are in the ledger or on their way
	pending []ledger.Answer
	trouble error

	mark   marking.WatchMark
	lines  []string
	from   int
	again  *watch.Watch // the minute that is seen again
	minute int
}

// kept says that answers are in the ledger, or why not.
type kept struct{ err error }

// New opens the screen.
func New(env *screen.Env) *Model {
	m := &Model{env: env, id: env.Open(), keys: newKeys(env.Still), limitKeys: newLimitKeys(), now: env.Now(), hold: hold.New(env), beds: 2, kept: map[int]bool{}, present: env.NewID()}
	m.enable()
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
	m.enable()
}

// Halts says that the watch's clock stands still while nobody sees the screen.
func (m *Model) Halts() {}

// Init starts the clock.
func (m *Model) Init() tea.Cmd { return m.env.NextFrame(m.id, m.chain) }

// Update handles keys, ticks and what the ledger says.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	switch msg := msg.(type) {
	case screen.Tick:
		if msg.Chain != m.chain {
			return m, nil
		}
		return m, tea.Batch(m.advance(msg.At), m.env.NextFrame(m.id, m.chain))
	case screen.Resumed:
		m.chain++
		gap := m.env.Now().Sub(m.now) // away from this screen no time passes in it
		m.began, m.now = m.began.Add(gap), m.now.Add(gap)
		if m.stage != nil {
			m.stage.Skip(gap)
		}
		return m, m.env.NextFrame(m.id, m.chain)
	case kept:
		if m.trouble = msg.err; msg.err == nil {
			m.pending = nil
		}
	case tea.KeyMsg:
		cmd := m.advance(m.env.Now())
		more := m.press(msg)
		m.enable()
		return m, tea.Batch(cmd, more)
	case tea.MouseMsg:
		m.hold.Mouse(msg)
	}
	m.enable()
	return m, nil
}

// begin begins a watch.
func (m *Model) begin() {
	const short = 1_000_000 // seeds stay short enough to be typed
	m.watch, m.broken = watch.New(m.env.Seed()%short, m.beds)
	if m.broken != nil {
		m.phase = failed
		return
	}
	m.phase, m.bed, m.began = watching, 0, m.now
	m.front()
}

// seen is the watch that the page shows: the one under way, or a minute of it again.
func (m *Model) seen() *watch.Watch {
	if m.phase == seeing {
		return m.again
	}
	return m.watch
}

// shownAtStart is how much of a strip has run by when it comes on screen, s.
const shownAtStart = 12

// front puts the strip of the bed in front on stage, when another one is there and is not
// held.
func (m *Model) front() tea.Cmd {
	if m.phase != watching && m.phase != seeing {
		return nil
	}
	if m.phase == watching && m.of == m.bed && m.hold.Held() {
		return nil
	}
	w := m.seen()
	id := w.Plan().Identity(m.bed, w.Condition(m.bed))
	if id.String() == m.shows {
		return nil
	}
	p, err := synth.Open(id)
	if err != nil {
		m.phase, m.broken = failed, err
		return nil
	}
	m.stage, m.shows, m.of = stage.New(m.env.Look, p, shownAtStart), id.String(), m.bed
	away := m.hold.On(m.stage, id.Age)
	if m.phase == watching && !m.env.Still {
		m.stage.Run(m.now)
	}
	m.stage.Advance(m.now)
	m.layout()
	return away
}

// advance moves the watch to where the clock says.
func (m *Model) advance(now time.Time) tea.Cmd {
	m.now = now
	if m.phase != watching {
		return nil
	}
	m.watch.Advance(int(now.Sub(m.began) * watch.Minutes / takes[m.beds-1]))
	away := m.front()
	if m.stage != nil {
		m.stage.Advance(now)
	}
	cmd := m.keepRuns()
	if m.watch.Over() {
		away = tea.Sequence(away, m.hold.PutAway())
		m.tell()
	}
	return tea.Batch(away, cmd)
}

// tell says what the watch came to.
func (m *Model) tell() {
	m.mark = marking.MarkWatch(m.watch)
	m.phase, m.from, m.minute, m.setting = told, 0, 0, setting{}
	m.write()
	m.enable()
}

// keepRuns puts events that are over into the ledger.
func (m *Model) keepRuns() tea.Cmd {
	over := 0
	for _, r := range m.watch.Runs() {
		if r.Over {
			over++
		}
	}
	if over == len(m.kept) && !m.watch.Over() {
		return nil
	}
	var out []ledger.Answer
	for _, x := range marking.MarkWatch(m.watch).Runs {
		i := slices.IndexFunc(m.watch.Runs(), func(r watch.Run) bool {
			return r.Event.From == x.Run.Event.From && r.Event.Bed == x.Run.Event.Bed && r.Event.Kind == x.Run.Event.Kind
		})
		if m.kept[i] {
			continue
		}
		m.kept[i] = true
		a := x.Answer(m.watch.Plan())
		a.ID, a.Presentation, a.Learner, a.Class, a.At = m.env.NewID(), m.present, m.env.Learner, m.env.Class, m.now
		out = append(out, a)
	}
	return m.keep(out...)
}

func (m *Model) keep(more ...ledger.Answer) tea.Cmd {
	if m.pending = append(m.pending, more...); len(m.pending) == 0 || len(more) == 0 && m.trouble == nil {
		return nil
	}
	store, all := m.env.Store, slices.Clone(m.pending)
	return screen.Ask(m.id, func() tea.Msg { return kept{store.Add(context.Background(), all...)} })
}
