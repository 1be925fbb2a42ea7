// Package measuring is the calipers exercise: rate, PR, QRS and QT of ten strips,
// measured with two legs, each marked at once with where the legs should stand.
// rules.go says what is right. Each measurement is in the ledger before its mark is shown.
package measuring

import (
	"context"
	"fmt"
	"math/rand/v2"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/trainer/calipers"
	"telltrace/trainer/paper"
	"telltrace/trainer/screen"
	"telltrace/trainer/stage"
)

// Strips is how many strips the exercise has.
const Strips = 10

// subjects are entries with beats that repeat: what is measured on one beat holds for
// the strip.
var subjects = []string{
	"sinus-rhythm", "sinus-bradycardia", "sinus-tachycardia", "first-degree-av-block", "right-bundle-branch-block",
	"left-bundle-branch-block", "long-qt", "junctional-rhythm", "supraventricular-tachycardia", "sinus-rhythm",
}

// played is how much of a strip has run when it is held, s.
const played = 12

// phase is where in a question the learner is.
type phase uint8

const (
	measuring phase = iota
	keeping         // the measurement is on its way into the ledger
	unkept          // it could not be kept
	marked          // the truth is on the page
	finished        // all strips are done
	failed          // a strip could not be had
)

// Model is the screen.
type Model struct {
	env  *screen.Env
	id   screen.ID
	rng  *rand.Rand
	keys keys
	tool *calipers.Tool
	cols int
	rows int

	present  string        // presentation id of this strip
	identity ecg.Identity  // of this strip
	asked    time.Time     // when the present quantity was asked for
	pending  ledger.Answer // on its way into the ledger, or waiting to be

	order    []string
	strip    int // from 0
	phase    phase
	age      ecg.Age
	stage    *stage.Stage
	beats    []ecg.Beat
	quantity quantity
	truth    span
	mark     judgement
	trouble  error
	done     [quantities]tally
}

// A tally counts what was measured and how much of it was right.
type tally struct{ asked, right int }

type keys struct{ answer, again, next, lead, scale, speed, pan, back key.Binding }

// Part is what the measurements are known by in the ledger.
const Part = "calipers"

// questions are those of the ledger.
var questions = [quantities]ledger.Question{rate: ledger.Rate, pr: ledger.PR, qrs: ledger.QRS, qt: ledger.QT}

// New opens the exercise.
func New(env *screen.Env) *Model {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	m := &Model{env: env, id: env.Open(), rng: rand.New(rand.NewPCG(env.Seed(), 0)), tool: calipers.New(), keys: keys{
		answer: bind("enter", "this is it", "enter"),
		again:  bind("enter", "try to keep it again", "enter"),
		next:   bind("enter", "go on", "enter"),
		lead:   bind("l", "next lead", "l"),
		scale:  bind("z", "double scale on or off", "z"),
		speed:  bind("v", "25 or 50 mm/s", "v"),
		pan:    bind("[ ]", "move along", "[", "]"),
		back:   bind("q", "back", "q", "esc"),
	}}
	m.order = append(m.order, subjects...)
	m.rng.Shuffle(len(m.order), func(i, j int) { m.order[i], m.order[j] = m.order[j], m.order[i] })
	m.next()
	return m
}

// next puts the next strip on, or ends.
func (m *Model) next() {
	if m.strip == Strips {
		m.tool.PutAway()
		m.phase, m.stage = finished, nil
		m.enable()
		return
	}
	m.tool.PutAway()
	if m.trouble = m.open(m.order[m.strip]); m.trouble != nil {
		m.phase, m.stage = failed, nil
		m.enable()
		return
	}
	m.ask(rate)
}

// open makes the strip of a subject, for a patient as it occurs in.
func (m *Model) open(subject string) error {
	e, err := scenarios.Draw(scenarios.Wish{Subjects: []string{subject}}, m.rng)
	if err != nil {
		return err
	}
	m.age = e.Strip.Age
	m.identity, m.present = scenarios.Showing(subject, m.age, e.Strip.Seed), m.env.NewID()
	p, err := synth.Open(m.identity)
	if err != nil {
		return err
	}
	m.stage = stage.New(m.env.Look, p, played)
	m.stage.SetScale(paper.Double)
	m.stage.Advance(m.env.Now())
	m.beats = p.Marks(0, played).Beats
	m.layout()
	return nil
}

// ask puts the first question from q on that the strip has an answer to.
func (m *Model) ask(q quantity) {
	for ; q < quantities; q++ {
		if len(q.spans(m.beats)) > 0 {
			m.quantity, m.phase, m.asked = q, measuring, m.env.Now()
			m.enable()
			return
		}
	}
	m.strip++
	m.next()
}

// ID is this opening of the screen.
func (m *Model) ID() screen.ID { return m.id }

// MinSize is what the screen needs.
func (m *Model) MinSize() (cols, rows int) { return 80, 24 }

// Init asks for the mouse.
func (m *Model) Init() tea.Cmd {
	if m.env.Look.Plain {
		return nil
	}
	return tea.EnableMouseCellMotion
}

// SetSize lays the screen out anew.
func (m *Model) SetSize(cols, rows int) {
	m.cols, m.rows = cols, rows
	m.layout()
}

// bestStrip is the most rows a strip takes: 2.5 mV at the double scale.
const bestStrip = 20

// wordRows are the rows that are not the strip: title, measured, task, four of the
// mark, keys.
const wordRows = 8

func (m *Model) layout() {
	if m.stage == nil || m.cols == 0 {
		return
	}
	m.stage.Resize(m.cols, min(m.rows-wordRows, bestStrip)/2*2, 0)
	if !m.tool.Out() && !m.env.Look.Plain {
		m.tool.TakeOut(m.stage)
	}
}

// Update handles keys and the mouse.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	switch msg := msg.(type) {
	case kept:
		if m.phase == keeping {
			m.phase, m.trouble = marked, msg.err
			if msg.err != nil {
				m.phase = unkept
			} else {
				m.count()
			}
		}
		m.enable()
	case tea.KeyMsg:
		cmd := m.press(msg)
		m.enable()
		return m, cmd
	case tea.MouseMsg:
		m.tool.Mouse(msg)
	}
	return m, nil
}

func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	switch {
	case key.Matches(msg, k.back):
		return tea.Sequence(tea.DisableMouse, screen.Say(screen.Back{}))
	case key.Matches(msg, k.answer):
		return m.answer()
	case key.Matches(msg, k.again):
		return m.keep()
	case key.Matches(msg, k.next):
		m.ask(m.quantity + 1)
	case m.tool.Press(msg, nil): // no snapping: it would measure by itself
	case key.Matches(msg, k.lead):
		m.stage.NextLead()
	case key.Matches(msg, k.scale):
		m.stage.SetScale(paper.Base + paper.Double - m.stage.Scale())
	case key.Matches(msg, k.speed):
		m.stage.ChangeSpeed()
	case key.Matches(msg, k.pan):
		share := 0.25
		if msg.String() == "]" {
			share = -share
		}
		m.stage.Pan(share)
	}
	return nil
}

// answer takes what the legs measure.
func (m *Model) answer() tea.Cmd {
	from, to, ok := m.tool.Span()
	if !ok {
		return nil
	}
	measured := span{from, to}
	m.truth = nearest(m.quantity.spans(m.beats), measured)
	m.mark = m.quantity.judge(measured, m.truth, synth.Limits(m.age).Wide)
	if m.quantity == qt {
		m.mark.words += " " + m.correctedHere()
	}
	now := m.env.Now()
	m.pending = ledger.Answer{
		ID: m.env.NewID(), Presentation: m.present, Learner: m.env.Learner, At: now, Mode: ledger.Exercise, Part: Part, Class: m.env.Class,
		Strip: m.identity.String(), Subject: m.identity.Subject(), State: m.identity.State, Question: questions[m.quantity],
		Chosen: m.quantity.figure(measured), Right: []string{m.quantity.figure(m.truth)}, Correct: m.mark.right,
		Verdict: ledger.Wrong, Took: max(now.Sub(m.asked), 0),
	}
	if m.mark.right {
		m.pending.Verdict = ledger.Right
	}
	return m.keep()
}

// kept says that the ledger has, or has not, kept the measurement.
type kept struct{ err error }

func (m *Model) keep() tea.Cmd {
	m.phase = keeping
	store, a := m.env.Store, m.pending
	return screen.Ask(m.id, func() tea.Msg { return kept{store.Add(context.Background(), a)} })
}

// count shows the mark, now that it is safe.
func (m *Model) count() {
	t := &m.done[m.quantity]
	t.asked++
	if m.mark.right {
		t.right++
	}
	m.stage.Bring(m.truth.from)
}

// correctedHere is QTc of the beat that was measured, at the interval before it, which
// QT follows; of the first beat at the one after it.
func (m *Model) correctedHere() string {
	rr := nearest(rate.spans(m.beats), span{m.truth.from - 60.0/correctedUpTo, m.truth.from})
	return corrected(m.truth.seconds(), rr.seconds())
}

// overlay is where the legs should stand, once it is marked.
func (m *Model) overlay() *stage.Overlay {
	if m.phase != marked {
		return nil
	}
	name := m.quantity.String()
	if m.quantity == rate {
		name = "RR"
	}
	text := fmt.Sprintf("%s %.0f ms", name, 1000*m.truth.seconds())
	return &stage.Overlay{Brackets: []paper.Bracket{{From: m.truth.from, To: m.truth.to, Text: text}}}
}

func (m *Model) enable() {
	k := &m.keys
	shown := m.stage != nil && !m.env.Look.Plain
	k.answer.SetEnabled(shown && m.phase == measuring)
	k.again.SetEnabled(shown && m.phase == unkept)
	k.next.SetEnabled(shown && m.phase == marked)
	for _, b := range []*key.Binding{&k.scale, &k.speed, &k.pan} {
		b.SetEnabled(shown)
	}
	k.lead.SetEnabled(shown && m.stage.Leads() > 1)
	m.tool.Keys.Out.SetEnabled(false) // they are out all the time
	m.tool.Keys.Snap.SetEnabled(false)
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	k, c := m.keys, m.tool.Keys
	return []key.Binding{k.answer, k.again, k.next, c.Move, c.Other, k.pan, c.March, k.scale, k.lead, k.back}
}

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding {
	k, c := m.keys, m.tool.Keys
	return [][]key.Binding{{k.answer, k.again, k.next, c.Move, c.Other, c.March}, {k.pan, k.lead, k.scale, k.speed, k.back}}
}
