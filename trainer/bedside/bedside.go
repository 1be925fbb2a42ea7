// Package bedside is the screen of a scenario: a patient with a running strip, a bedside
// that is hidden until it is looked at, things to do by letters, and, when all is over,
// what was done in which order against what was expected. List chooses a scenario.
//
// The clock of the scenario goes on whatever is looked at, a strip that is held among it: a
// patient does not wait. It stands still under the help and while the program is suspended.
// Each episode's answer goes to the ledger as soon as the episode is over.
package bedside

import (
	"context"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scenarios/play"
	"telltrace/scenarios/script"
	marking "telltrace/scoring/bedside"
	"telltrace/scoring/ledger"
	"telltrace/trainer/screen"
)

// phase is where in a scenario the learner is.
type phase uint8

const (
	playing phase = iota
	over          // how it came out
	asking        // the questions
	debrief
	failed
)

// Model is the screen of one scenario.
type Model struct {
	bed
	id    screen.ID
	keys  keys
	chain int

	phase   phase
	chosen  int // of the acts, or the answers; -1 for none
	present string

	asked   int             // question
	askedAt time.Time       // when it was put
	answers []string        // given to the questions
	strips  []string        // of the episodes that are over, as they are kept
	kept    int             // visits that are in the ledger or on their way
	pending []ledger.Answer // on their way, or waiting to be
	trouble error           // why they could not be kept
	broken  error           // why there is nothing to show
	visits  []marking.Visit // for the debrief
	lines   []string        // of the debrief
	from    int             // first line shown
}

// kept says that answers are in the ledger, or why not.
type kept struct{ err error }

// New opens a scenario.
func New(env *screen.Env, s *script.Scenario) *Model {
	m := &Model{bed: newBed(env), id: env.Open(), keys: newKeys(env.Still), chosen: -1, present: env.NewID()}
	const short = 1_000_000 // seeds stay short enough to be typed
	err := m.lie(s, env.Seed()%short)
	if err != nil {
		m.phase, m.broken = failed, err
		m.enable()
		return m
	}
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
	m.arrange()
	m.enable()
}

// Halts says that the patient's clock stands still while nobody sees the screen.
func (m *Model) Halts() {}

// Init starts the clock.
func (m *Model) Init() tea.Cmd { return m.tick() }

func (m *Model) tick() tea.Cmd { return m.env.NextFrame(m.id, m.chain) }

// Update handles keys, ticks and what the ledger says.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	switch msg := msg.(type) {
	case screen.Tick:
		if msg.Chain != m.chain || m.phase == failed {
			return m, nil
		}
		return m, tea.Batch(m.advance(msg.At), m.tick())
	case screen.Resumed:
		m.chain++
		m.resume()
		return m, m.tick()
	case kept:
		m.trouble = msg.err
		if msg.err == nil {
			m.pending = nil
		}
		m.enable()
		return m, nil
	case tea.KeyMsg:
		keeping := m.advance(m.env.Now())
		cmd := m.press(msg)
		m.enable()
		return m, tea.Batch(keeping, cmd, m.follow())
	case tea.MouseMsg:
		m.hold.Mouse(msg)
	}
	return m, nil
}

// advance moves strip and scenario to where the clock says.
func (m *Model) advance(now time.Time) tea.Cmd {
	m.now = now
	if m.phase == failed {
		return nil
	}
	if m.phase == playing {
		m.play.Advance(m.elapsed())
	}
	if m.phase <= over {
		m.stage.Advance(now)
	}
	return m.follow()
}

// follow sees what has become of the scenario: episodes that are over are kept, and the
// end is the end.
func (m *Model) follow() tea.Cmd {
	if m.phase != playing {
		return nil
	}
	cmd := m.keepVisits(false)
	if m.play.Over() {
		m.phase, m.chosen = over, -1
		m.enable()
		m.arrange()
	}
	return cmd
}

// keepVisits puts the answers of episodes that are over into the ledger; leaving keeps
// that of the present one as well, where something was done in it.
func (m *Model) keepVisits(leaving bool) tea.Cmd {
	begun := 0
	for _, e := range m.play.Events() {
		if e.Kind == play.Begins {
			begun++
		}
	}
	for len(m.strips) < begun {
		m.strips = append(m.strips, m.play.Identity().String())
	}
	if begun-1 <= m.kept && !leaving && !m.play.Over() {
		return nil // no episode has ended since
	}
	visits, err := marking.Mark(m.play)
	if err != nil {
		m.phase, m.broken = failed, err
		m.enable()
		return nil
	}
	m.visits = visits
	var out []ledger.Answer
	for i := m.kept; i < len(visits); i++ {
		v := visits[i]
		if !v.Done && !(leaving && v.Act != "") {
			break
		}
		a := m.sign(v.Answer(m.script.Name))
		a.Strip = m.strips[min(i, len(m.strips)-1)]
		out = append(out, a)
		m.kept++
	}
	return m.keep(out...)
}

// sign fills in whose answer it is, and when.
func (m *Model) sign(a ledger.Answer) ledger.Answer {
	a.ID, a.Presentation, a.Learner, a.Class, a.At = m.env.NewID(), m.present, m.env.Learner, m.env.Class, m.now
	return a
}

// keep puts answers into the ledger, with those that wait.
func (m *Model) keep(answers ...ledger.Answer) tea.Cmd {
	if m.pending = append(m.pending, answers...); len(answers) == 0 && m.trouble == nil || len(m.pending) == 0 {
		return nil
	}
	store, all := m.env.Store, slices.Clone(m.pending)
	return screen.Ask(m.id, func() tea.Msg { return kept{store.Add(context.Background(), all...)} })
}
