// Package practise is the screen on which a learner reads a running strip: what
// does it show, what is done first, and why. It runs through rounds of a Plan:
// practice without end, a missed strip again, or a recording.
//
// Each answer is in the ledger before the next thing is shown.
package practise

import (
	"math"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scoring/ledger"
	"telltrace/trainer/calipers"
	"telltrace/trainer/screen"
	"telltrace/trainer/stage"
)

// phase is where in a round the learner is.
type phase uint8

const (
	naming    phase = iota // what does it show?
	reading                // a step of the reading in order, before the name
	acting                 // what do you do first?
	saving                 // the answer is on its way into the ledger
	unsaved                // it could not be kept
	explained              // why
	waiting                // until the learner begins the next strip
	failed                 // no round could be had
)

// Model is the practise screen.
type Model struct {
	env   *screen.Env
	id    screen.ID
	plan  Plan
	keys  keys
	cols  int
	rows  int
	chain int
	now   time.Time

	phase   phase
	round   Round
	stage   *stage.Stage
	cuff    cuff
	scaled  bool // the learner chose the scale
	shown   time.Time
	from    float64   // strip time at the left edge when the strip first showed
	evident time.Time // when the telling evidence was first on screen; zero until then
	asked   time.Time // when the present question was asked
	looks   []glance
	cursor  int
	steps   []stepGiven // of the reading in order, so far
	typed   string      // a rate, or a name in words
	writing bool        // a name is being written
	meant   string      // the entry that was meant by what is written, once it is clear
	unsure  bool
	present string // presentation id
	named   given
	acted   given
	pending ledger.Answer // on its way into the ledger, or waiting to be
	trouble error
	lapsed  bool // the time for the strip ran out
	explain explanation

	pendingMore []ledger.Answer // kept together with pending
	count       int

	calipers *calipers.Tool
	words    struct{ above, beneath, painted string } // the page round the strip, as last written; with empty lines for a painted one
}

// New opens the screen on a plan.
func New(env *screen.Env, plan Plan) *Model {
	m := &Model{env: env, id: env.Open(), plan: plan, keys: newKeys(env.Still, env.Look.Plain), now: env.Now(), calipers: calipers.New()}
	m.nextRound()
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
	m.enable()
	m.touch()
}

// Init starts the clock.
func (m *Model) Init() tea.Cmd { return m.tick() }

func (m *Model) tick() tea.Cmd {
	return m.env.NextFrame(m.id, m.chain)
}

// nextRound puts the next strip on.
func (m *Model) nextRound() {
	m.looks, m.cursor, m.unsure, m.named, m.acted, m.trouble = nil, -1, false, given{}, given{}, nil
	m.explain = explanation{}
	m.steps, m.typed, m.writing, m.meant = nil, "", false, ""
	m.lapsed, m.pendingMore = false, nil
	round, err := m.plan()
	if err != nil {
		m.phase, m.trouble, m.stage = failed, err, nil
		m.enable()
		return
	}
	m.round = round
	m.phase = m.firstQuestion()
	if round.Named {
		m.phase = acting
	}
	m.count++
	if m.present = round.Presentation; m.present == "" {
		m.present = m.env.NewID()
	}
	m.stage = stage.New(m.env.Look, round.Feed, round.Start)
	m.cuff = cuff{}
	if round.Bedside != nil {
		m.cuff = newCuff(round.Bedside.Numbers)
	}
	m.layout()
	m.now = m.env.Now()
	m.shown, m.asked = m.now, m.now
	if !m.env.Still {
		m.stage.Run(m.now)
	}
	m.stage.Advance(m.now)
	m.from, _ = m.stage.Window()
	m.evident = time.Time{}
	m.witness()
	if len(round.Answered) > 0 {
		m.reopen()
	}
	m.enable()
}

// witness notes the moment from which the strip can be told.
func (m *Model) witness() {
	if !m.evident.IsZero() || m.phase != naming && m.phase != reading {
		return
	}
	if m.round.Evidence == nil {
		m.evident = m.now
		return
	}
	if at, ok := m.round.Evidence(m.from); ok && at <= m.stage.Edge() {
		m.evident = m.now
	}
}

// Update handles keys, ticks and what the ledger says.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	if _, tick := msg.(screen.Tick); !tick {
		m.touch()
	}
	switch msg := msg.(type) {
	case screen.Tick:
		if msg.Chain != m.chain {
			return m, nil
		}
		looking, timed, left := m.looking(), m.timed(), m.timeLeft()
		m.now = msg.At
		if timed && m.left() <= 0 {
			cmd := m.runOut()
			m.enable()
			return m, tea.Batch(cmd, m.tick())
		}
		if timed && m.timeLeft() != left {
			m.touch()
		}
		if m.stage != nil {
			second := math.Floor(m.stage.Edge())
			m.stage.Advance(m.now)
			m.cuff.advance(m.stage.Edge()-m.round.Start, m.round.Cuff)
			if looking || math.Floor(m.stage.Edge()) != second { // the numbers change by the second
				m.touch()
			}
			m.witness()
			if m.stage.Ended() && !m.stage.Held() {
				m.stage.Hold(m.now)
				m.enable()
				m.touch()
			}
		}
		return m, m.tick()
	case screen.Resumed:
		m.chain++
		m.now = m.env.Now()
		return m, m.tick()
	case kept:
		return m, m.afterKeeping(msg.err)
	case tea.KeyMsg:
		m.now = m.env.Now()
		cmd := m.press(msg)
		m.enable()
		return m, cmd
	case tea.MouseMsg:
		m.calipers.Mouse(msg)
	}
	return m, nil
}
