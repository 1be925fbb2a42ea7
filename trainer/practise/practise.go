// Package practise is the screen on which a learner reads a running strip: what
// does it show, what is done first, and why. It runs through rounds of a Plan:
// practice without end, a missed strip again, or a recording.
//
// Each answer is in the ledger before the next thing is shown.
package practise

import (
	"context"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/calipers"
	"telltrace/trainer/look"
	"telltrace/trainer/paper"
	"telltrace/trainer/screen"
	"telltrace/trainer/stage"
)

// phase is where in a round the learner is.
type phase uint8

const (
	naming    phase = iota // what does it show?
	acting                 // what do you do first?
	saving                 // the answer is on its way into the ledger
	unsaved                // it could not be kept
	explained              // why
	failed                 // no round could be had
)

// lookTakes is what looking costs.
const lookTakes = time.Second

// A glance is one act of looking, done once its time has passed.
type glance struct {
	what string
	at   time.Time
}

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
	unsure  bool
	present string // presentation id
	named   given
	acted   given
	pending ledger.Answer // on its way into the ledger, or waiting to be
	trouble error
	explain explanation
	count   int

	calipers *calipers.Tool
	words    struct{ above, beneath string } // the page round the strip, as last written
}

// given is an answer with its mark.
type given struct {
	chosen string
	mark   scoring.Mark
	asked  bool
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
	round, err := m.plan()
	if err != nil {
		m.phase, m.trouble, m.stage = failed, err, nil
		m.enable()
		return
	}
	m.round, m.phase = round, naming
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
	m.enable()
}

// witness notes the moment from which the strip can be told.
func (m *Model) witness() {
	if !m.evident.IsZero() || m.phase != naming {
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
		looking := m.looking()
		m.now = msg.At
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

func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	switch {
	case m.calipers.Press(msg, m.fiducials):
	case key.Matches(msg, m.calipers.Keys.Out):
		return m.takeCalipers()
	case key.Matches(msg, k.back) && m.calipers.Out():
		return m.calipers.PutAway()
	case key.Matches(msg, k.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.choose):
		if i := slices.Index(k.choose.Keys(), msg.String()); i < len(m.choices()) {
			m.cursor = i
		}
	case key.Matches(msg, k.next):
		away := m.calipers.PutAway()
		m.nextRound()
		if errors.Is(m.trouble, io.EOF) {
			return tea.Sequence(away, screen.Say(screen.Back{}))
		}
		return away
	case key.Matches(msg, k.scroll):
		m.explain.scroll(msg.String() == "down")
	case key.Matches(msg, k.up):
		m.cursor = (max(m.cursor, 0) + len(m.choices()) - 1) % len(m.choices())
	case key.Matches(msg, k.down):
		m.cursor = (m.cursor + 1) % len(m.choices())
	case key.Matches(msg, k.commit):
		if m.cursor >= 0 {
			return m.commit()
		}
	case key.Matches(msg, k.unsure):
		m.unsure = !m.unsure
	case key.Matches(msg, k.child):
		m.look(ledger.LookChild)
	case key.Matches(msg, k.pulse):
		m.look(ledger.LookPulse)
	case key.Matches(msg, k.electrodes):
		m.look(ledger.LookElectrodes)
	case key.Matches(msg, k.hold):
		away := m.calipers.PutAway()
		if m.env.Still {
			m.stage.Turn()
			m.witness()
		} else if m.stage.Held() {
			m.stage.Run(m.now)
		} else {
			m.stage.Hold(m.now)
		}
		return away
	case key.Matches(msg, k.lead):
		m.stage.NextLead()
		m.explain.follow(m.stage)
	case key.Matches(msg, k.more):
		m.stage.MoreLeads()
	case key.Matches(msg, k.scale):
		m.scaled = true
		m.stage.SetScale(paper.Base + paper.Double - m.stage.Scale())
		m.explain.follow(m.stage)
	case key.Matches(msg, k.picture):
		m.stage.TogglePicture()
	case key.Matches(msg, k.speed):
		m.stage.ChangeSpeed()
	case key.Matches(msg, k.pan):
		share := 0.25
		if msg.String() == "right" {
			share = -share
		}
		m.stage.Pan(share)
	case key.Matches(msg, k.retry):
		m.phase = saving
		return m.keep(m.pending)
	}
	return nil
}

// takeCalipers holds the strip and takes the calipers out, or puts them away.
func (m *Model) takeCalipers() tea.Cmd {
	if m.calipers.Out() {
		return m.calipers.PutAway()
	}
	m.stage.Hold(m.now)
	return m.calipers.TakeOut(m.stage)
}

// fiducials are the marks that the calipers snap to: before the answer only what
// can be read back from the samples, so that they give nothing away.
func (m *Model) fiducials() ecg.Marks {
	if m.phase == explained {
		return m.explain.marks
	}
	reading, at, err := m.round.readBack(m.stage)
	if err != nil {
		return ecg.Marks{}
	}
	return shift(reading.Marks, at)
}

// look begins one act of looking, unless the same is still being looked at.
func (m *Model) look(what string) {
	if m.looking() {
		return // one look at a time
	}
	m.looks = append(m.looks, glance{what, m.now})
}

// looking reports whether an act of looking is under way.
func (m *Model) looking() bool {
	n := len(m.looks)
	return n > 0 && m.now.Sub(m.looks[n-1].at) < lookTakes
}

// seen reports whether something has been looked at, and whether it is being looked
// at right now.
func (m *Model) seen(what string) (seen, looking bool) {
	for _, l := range m.looks {
		if l.what == what {
			if m.now.Sub(l.at) >= lookTakes {
				return true, false
			}
			looking = true
		}
	}
	return false, looking
}

// looked lists what has been looked at to the end.
func (m *Model) looked() []string {
	var out []string
	for _, l := range m.looks {
		if m.now.Sub(l.at) >= lookTakes {
			out = append(out, l.what)
		}
	}
	return out
}

// choices are the answers of the present question, in words; ids gives them as they
// are kept.
func (m *Model) choices() []string {
	if m.phase == acting {
		out := make([]string, len(m.round.Actions))
		for i, a := range m.round.Actions {
			out[i] = a.Words()
		}
		return out
	}
	var out []string
	for _, id := range m.ids() {
		out = append(out, nameOf(id))
	}
	return out
}

func (m *Model) ids() []string {
	if m.phase == acting {
		out := make([]string, len(m.round.Actions))
		for i, a := range m.round.Actions {
			out[i] = string(a)
		}
		return out
	}
	return append(slices.Clone(m.round.Choices), scoring.NotSure)
}

// nameOf is an entry as a choice.
func nameOf(id string) string {
	name := look.NotSure
	if id != scoring.NotSure {
		l, ok := synth.Lesson(id)
		if !ok {
			return id
		}
		name = l.Name
	}
	return strings.ToUpper(name[:1]) + name[1:]
}

// commit marks the chosen answer and sends it to the ledger.
func (m *Model) commit() tea.Cmd {
	ids := m.ids()
	g := given{chosen: ids[m.cursor], asked: true}
	c := scoring.Case{Subject: m.round.Subject, Age: m.round.Age, State: m.state(), Looked: m.looked()}
	a := ledger.Answer{
		ID: m.env.NewID(), Presentation: m.present, Learner: m.env.Learner, At: m.now,
		Mode: m.round.Mode, Strip: m.round.Strip.String(), Subject: m.round.Subject, State: m.round.Strip.State,
		Offered: ids, Chosen: g.chosen, Took: m.took(),
	}
	for _, l := range m.looks {
		a.Looked = append(a.Looked, ledger.Look{What: l.what, AfterMS: l.at.Sub(m.shown).Milliseconds()})
	}
	var err error
	if m.phase == naming {
		a.Question, a.Sure = ledger.Rhythm, ledger.Sure
		if m.unsure {
			a.Sure = ledger.Unsure
		}
		g.mark, err = scoring.MarkRhythm(c, g.chosen, synth.Lesson)
		m.named = g
	} else {
		a.Question = ledger.FirstAction
		g.mark, err = scoring.MarkFirstAction(c, lesson.Action(g.chosen), synth.Lesson)
		m.acted = g
	}
	if err != nil {
		m.phase, m.trouble = failed, err
		return nil
	}
	a.Right, a.Correct, a.Verdict = g.mark.Right, g.mark.Correct, g.mark.Verdict
	m.pending, m.phase = a, saving
	return m.keep(a)
}

// state is the patient's; with a recording nobody knows.
func (m *Model) state() ecg.State {
	if m.round.Strip.State == "" {
		return ecg.NotSure
	}
	return m.round.Strip.State
}

// took is the time since the telling evidence was on screen, on hold or not, none
// for an answer that came before it; for the second question since it was asked.
func (m *Model) took() time.Duration {
	since := m.asked
	if m.phase == naming {
		if since = m.evident; since.IsZero() {
			return 0
		}
	}
	return max(m.now.Sub(since), 0)
}

// kept says that the ledger has, or has not, kept the answer.
type kept struct{ err error }

func (m *Model) keep(a ledger.Answer) tea.Cmd {
	store := m.env.Store
	return screen.Ask(m.id, func() tea.Msg { return kept{store.Add(context.Background(), a)} })
}

// afterKeeping goes on once the answer is safe.
func (m *Model) afterKeeping(err error) tea.Cmd {
	defer m.enable()
	if m.phase != saving {
		return nil
	}
	m.trouble = err
	switch {
	case err != nil:
		m.phase = unsaved
	case !m.acted.asked && len(m.round.Actions) > 0:
		m.phase, m.cursor, m.asked = acting, -1, m.env.Now()
	case m.round.Silent:
		if m.nextRound(); errors.Is(m.trouble, io.EOF) {
			return screen.Say(screen.Back{})
		}
	default:
		m.now = m.env.Now()
		m.stage.Hold(m.now)
		m.phase = explained
		m.explain = m.explainRound()
		m.layout()
	}
	return nil
}
