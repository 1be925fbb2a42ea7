// Package ectopics is the exercise in counting: a minute of strip in rows, and how many
// early ventricular beats there are, of how many shapes, how many pairs, the longest run,
// whether one falls on a T wave, and what is done by the educator's values. Marked by
// scoring/ectopics, kept as answers of mode Exercise.
package ectopics

import (
	"context"
	"math/rand/v2"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scenarios"
	"telltrace/scoring/ectopics"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/trainer/screen"
	"telltrace/trainer/stage"
)

// Part is the name of the exercise in the ledger.
const Part = "ectopics"

// phase is where in a minute the learner is.
type phase uint8

const (
	counting phase = iota
	saving
	unsaved
	marked
	failed
)

// Model is the screen.
type Model struct {
	env    *screen.Env
	id     screen.ID
	values ectopics.Values
	rng    *rand.Rand
	keys   keys
	cols   int
	rows   int

	strip   ecg.Identity
	patient string
	stage   *stage.Stage
	marks   ecg.Marks
	seen    ectopics.Seen
	shown   time.Time

	phase   phase
	field   int
	typed   [6]string // as in ectopics.Quantities
	pending []ledger.Answer
	trouble error
	count   int
	page    int
	from    int // first line shown of what is said after it
	drawn   []string
}

type keys struct {
	digits, erase, up, down, enter  key.Binding
	pages, lead, picture            key.Binding
	read, next, retry, back, choose key.Binding
}

// New opens the exercise with the values at which the educator wants to be told.
func New(env *screen.Env, values ectopics.Values) *Model {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	m := &Model{env: env, id: env.Open(), values: values, rng: rand.New(rand.NewPCG(env.Seed(), 0)), keys: keys{
		digits:  bind("0-9", "type the count", "0", "1", "2", "3", "4", "5", "6", "7", "8", "9"),
		choose:  bind("1-3", "choose", "1", "2", "3"),
		erase:   bind("backspace", "take the last digit back", "backspace"),
		up:      bind("up", "the line above", "up"),
		down:    bind("down", "the line below", "down"),
		enter:   bind("enter", "next line, or answer", "enter"),
		pages:   bind("left/right", "turn the strip", "left", "right", "pgup", "pgdown"),
		lead:    bind("l", "next lead", "l"),
		picture: bind("g", "the strip as a picture or as a table", "g"),
		read:    bind("up/down", "read on", "up", "down"),
		next:    bind("enter", "next minute", "enter", "n"),
		retry:   bind("r", "try to keep the answers again", "r"),
		back:    bind("q", "back", "q", "esc"),
	}}
	m.next()
	return m
}

// pool are the kinds of minute, each as likely as another: nothing ventricular, a few single
// beats, many, in pairs or of two shapes, in runs.
var pool = [][]string{
	{"sinus-rhythm", "premature-atrial-beats", "aberrantly-conducted-atrial-beats"},
	{few},
	{"premature-ventricular-beats", "ventricular-bigeminy", "ventricular-trigeminy"},
	{"ventricular-couplets", "multiform-ventricular-beats"},
	{"ventricular-run"},
}

// few is the patient's own rhythm with single ventricular beats for a while.
const few = "few"

// Draw draws the strip of a minute.
func Draw(rng *rand.Rand) (ecg.Identity, error) {
	kind := pool[rng.IntN(len(pool))]
	subject := kind[rng.IntN(len(kind))]
	patient := subject
	if subject == few {
		patient = "premature-ventricular-beats"
	}
	for {
		e, err := scenarios.Compose(patient, []string{patient}, ecg.Plain, nil, rng)
		if err != nil || e.Strip.State == ecg.NoSignsOfLife {
			if err != nil {
				return ecg.Identity{}, err
			}
			continue
		}
		id := e.Strip
		if subject == few {
			at := float64(5 + rng.IntN(35))
			id.Rhythm = "sinus-rhythm"
			id.Then = []ecg.Step{{At: at, Rhythm: patient}, {At: at + 10, Rhythm: "sinus-rhythm"}}
		}
		return id, nil
	}
}

// next puts the next minute on.
func (m *Model) next() {
	m.field, m.typed, m.pending, m.page, m.from, m.stage = 0, [6]string{}, nil, 0, 0, nil
	m.count++
	m.phase = counting
	if m.trouble = m.open(); m.trouble != nil {
		m.phase = failed
	}
	m.shown = m.env.Now()
	m.layout()
	m.enable()
}

func (m *Model) open() error {
	id, err := Draw(m.rng)
	if err != nil {
		return err
	}
	bedside, err := scenarios.At(id)
	if err != nil {
		return err
	}
	p, err := synth.Open(id)
	if err != nil {
		return err
	}
	m.strip, m.patient = id, bedside.Patient
	m.stage = stage.New(m.env.Look, p, ectopics.Seconds)
	m.stage.Advance(m.env.Now())
	if err := m.stage.Err(); err != nil {
		return err
	}
	m.marks = p.Marks(0, ectopics.Seconds)
	strip, _ := m.stage.Strip(0, ectopics.Seconds)
	m.seen = ectopics.Count(strip, m.marks)
	return nil
}

// ID is this opening of the screen.
func (m *Model) ID() screen.ID { return m.id }

// MinSize is what the screen needs.
func (m *Model) MinSize() (cols, rows int) { return 80, 24 }

// Init has nothing to start: the strip stands still.
func (m *Model) Init() tea.Cmd { return nil }

// SetSize lays the screen out anew. What is on the page stays as near as it can.
func (m *Model) SetSize(cols, rows int) {
	m.cols, m.rows = cols, rows
	m.layout()
	m.enable()
}

// kept says that the ledger has, or has not, kept the answers.
type kept struct{ err error }

// Update handles keys and what the ledger says.
func (m *Model) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case kept:
		if m.phase == saving {
			m.phase, m.trouble = marked, msg.err
			if msg.err != nil {
				m.phase = unsaved
			}
		}
	case tea.KeyMsg:
		cmd = m.press(msg)
	default:
		return m, nil
	}
	m.layout()
	m.enable()
	return m, cmd
}

func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	switch {
	case key.Matches(msg, k.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.digits), key.Matches(msg, k.erase), key.Matches(msg, k.choose):
		m.typing(msg)
	case key.Matches(msg, k.up):
		m.field = (m.field + len(m.typed) - 1) % len(m.typed)
	case key.Matches(msg, k.down):
		m.field = (m.field + 1) % len(m.typed)
	case key.Matches(msg, k.enter):
		return m.enter()
	case key.Matches(msg, k.next):
		m.next()
	case key.Matches(msg, k.read):
		m.from += map[bool]int{false: -1, true: 1}[msg.String() == "down"]
	case key.Matches(msg, k.retry):
		m.phase = saving
		return m.keep()
	case key.Matches(msg, k.pages):
		m.page += map[bool]int{false: -1, true: 1}[msg.String() == "right" || msg.String() == "pgdown"]
	case key.Matches(msg, k.lead):
		m.stage.NextLead()
	case key.Matches(msg, k.picture):
		m.stage.TogglePicture()
	}
	return nil
}

// typing takes a digit into the line, or takes one back. A choice is the place of its
// answer.
func (m *Model) typing(msg tea.KeyMsg) {
	const digits = 3
	at := &m.typed[m.field]
	among := ectopics.Choices(ectopics.Quantities[m.field])
	switch {
	case key.Matches(msg, m.keys.erase):
		*at = (*at)[:max(len(*at)-1, 0)]
		if among != nil {
			*at = ""
		}
	case among != nil:
		if i := int(msg.String()[0] - '1'); i >= 0 && i < len(among) {
			*at = among[i]
		}
	case len(*at) < digits:
		*at += msg.String()
	}
}

// enter goes to the next line that is empty, or gives the answers.
func (m *Model) enter() tea.Cmd {
	for i := range m.typed {
		if next := (m.field + 1 + i) % len(m.typed); m.typed[next] == "" {
			m.field = next
			return nil
		}
	}
	if m.field < len(m.typed)-1 {
		m.field = len(m.typed) - 1 // the last line is where they are given
		return nil
	}
	return m.commit()
}

// commit marks all lines and sends them to the ledger, all or none.
func (m *Model) commit() tea.Cmd {
	now, showing := m.env.Now(), m.env.NewID()
	m.pending = nil
	for i, q := range ectopics.Quantities {
		right, correct, err := m.seen.Mark(m.values, q, m.typed[i])
		if err != nil {
			m.phase, m.trouble = failed, err
			return nil
		}
		a := ledger.Answer{ID: m.env.NewID(), Presentation: showing, Learner: m.env.Learner, At: now, Mode: ledger.Exercise, Part: Part,
			Class: m.env.Class, Strip: m.strip.String(), Subject: m.strip.Subject(), State: m.strip.State, Question: ledger.Task,
			Chosen: stored(q, m.typed[i]), Correct: correct, Verdict: ledger.Right, Took: max(now.Sub(m.shown), 0)}
		for _, r := range right {
			a.Right = append(a.Right, stored(q, r))
		}
		for _, c := range ectopics.Choices(q) {
			a.Offered = append(a.Offered, stored(q, c))
		}
		if !correct {
			a.Verdict = ledger.Wrong
			if q == ectopics.Decision && overcalled(m.typed[i], right[0]) {
				a.Verdict = ledger.Near
			}
		}
		m.pending = append(m.pending, a)
	}
	m.phase = saving
	return m.keep()
}

// stored is an answer as the ledger keeps it: what it is about, then the answer.
func stored(q ectopics.Quantity, answer string) string { return string(q) + " " + answer }

// overcalled reports whether more was decided than the values ask for: on the safe side.
func overcalled(said, right string) bool {
	rank := map[string]int{ectopics.Chart: 0, ectopics.Notify: 1, ectopics.Call: 2}
	return rank[said] > rank[right]
}

func (m *Model) keep() tea.Cmd {
	store, answers := m.env.Store, m.pending
	return screen.Ask(m.id, func() tea.Msg { return kept{store.Add(context.Background(), answers...)} })
}

// enable switches bindings on for what can be done now.
func (m *Model) enable() {
	k, shown := &m.keys, m.stage != nil && m.phase != failed
	on := m.phase == counting
	choice := ectopics.Choices(ectopics.Quantities[m.field]) != nil
	k.digits.SetEnabled(on && !choice)
	k.choose.SetEnabled(on && choice)
	for _, b := range []*key.Binding{&k.erase, &k.up, &k.down, &k.enter} {
		b.SetEnabled(on)
	}
	k.next.SetEnabled(m.phase == marked)
	k.retry.SetEnabled(m.phase == unsaved)
	k.pages.SetEnabled(shown && m.pagesThere() > 1)
	k.lead.SetEnabled(shown && m.stage.Leads() > 1)
	k.picture.SetEnabled(shown && m.env.Look.Plain)
	k.read.SetEnabled(m.phase == marked && len(m.said()) > m.room())
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	k := m.keys
	return []key.Binding{k.enter, k.next, k.retry, k.pages, k.digits, k.choose, k.lead, k.picture, k.read, k.back}
}

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding {
	k := m.keys
	return [][]key.Binding{{k.digits, k.choose, k.erase, k.up, k.down, k.enter, k.next, k.retry}, {k.pages, k.lead, k.picture, k.read, k.back}}
}
