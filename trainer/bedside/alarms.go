package bedside

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scenarios/alarms"
	"telltrace/scenarios/play"
	marking "telltrace/scoring/bedside"
	"telltrace/scoring/ledger"
	"telltrace/scoring/stats"
	"telltrace/synth"
	"telltrace/trainer/glass"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/sheet"
)

// Alarms is the run of alarms that are real or not.
type Alarms struct {
	bed
	id    screen.ID
	chain int
	keys  alarmKeys

	run     []alarms.Case
	seed    uint64
	at      int
	asking  bool // the present alarm waits for its answer
	ended   bool
	chosen  int
	present string
	mark    marking.AlarmMark
	said    stats.Detection // real alarms told from the others
	tally   map[ledger.Verdict]int
	pending []ledger.Answer
	trouble error
	broken  error
}

type alarmKeys struct{ look, answer, up, down, commit, page, retry, back key.Binding }

// A reply is an answer with its letter and words.
type reply struct {
	key  string
	is   alarms.Answer
	says string
}

var answers = []reply{
	{"r", alarms.Real, "real: act now"},
	{"n", alarms.NotReal, "not real: the patient is well; see to its cause"},
	{"d", alarms.Doubt, "cannot be told: act as if it were real"},
}

// NewAlarms opens a run.
func NewAlarms(env *screen.Env) *Alarms {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	m := &Alarms{bed: newBed(env), id: env.Open(), seed: env.Seed() % 1_000_000, tally: map[ledger.Verdict]int{}}
	m.keys = alarmKeys{
		look: bind("c p i e", "look", "c", "p", "i", "e"), answer: bind("r n d", "choose", "r", "n", "d"),
		up: bind("up", "answer above", "up"), down: bind("down", "answer below", "down"),
		commit: bind("enter", "answer", "enter"), page: bind("space", "turn the page", " "),
		retry: bind("g", "try to keep the answers again", "g"), back: bind("q", "back", "q", "esc"),
	}
	m.run, m.at, m.present = alarms.Draw(m.seed), -1, env.NewID()
	m.next()
	return m
}

// next puts the next alarm on.
func (m *Alarms) next() {
	m.at++
	m.chosen = -1
	if m.at == len(m.run) {
		m.asking, m.ended = false, true
		m.enable()
		return
	}
	m.asking = true
	if m.broken = m.lie(m.run[m.at].Script, m.seed+uint64(m.at)); m.broken == nil && m.cols > 0 {
		m.arrange()
	}
	m.enable()
}

// ID is this opening of the screen.
func (m *Alarms) ID() screen.ID { return m.id }

// MinSize is what the screen needs.
func (m *Alarms) MinSize() (cols, rows int) { return 80, 24 }

// SetSize lays the screen out anew.
func (m *Alarms) SetSize(cols, rows int) {
	m.cols, m.rows = cols, rows
	if m.broken == nil && !m.ended {
		m.arrange()
	}
}

func (m *Alarms) arrange() { m.layout(fixedRows) }

// Halts says that the alarm's clock stands still while nobody sees the screen.
func (m *Alarms) Halts() {}

// Init starts the clock.
func (m *Alarms) Init() tea.Cmd { return m.env.NextFrame(m.id, m.chain) }

// Update handles keys, ticks and what the ledger says.
func (m *Alarms) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	switch msg := msg.(type) {
	case screen.Tick:
		if msg.Chain != m.chain || m.broken != nil {
			return m, nil
		}
		return m, tea.Batch(m.advance(msg.At), m.env.NextFrame(m.id, m.chain))
	case screen.Resumed:
		m.chain++
		m.resume()
		return m, m.env.NextFrame(m.id, m.chain)
	case kept:
		if m.trouble = msg.err; msg.err == nil {
			m.pending = nil
		}
	case tea.KeyMsg:
		ran := m.advance(m.env.Now())
		cmd := m.press(msg)
		m.enable()
		return m, tea.Batch(ran, cmd)
	case tea.MouseMsg:
		m.hold.Mouse(msg)
	}
	m.enable()
	return m, nil
}

func (m *Alarms) advance(now time.Time) tea.Cmd {
	m.now = now
	if m.broken != nil || m.ended {
		return nil
	}
	m.stage.Advance(now)
	if !m.asking {
		return nil
	}
	if m.play.Advance(m.elapsed()); m.play.Over() {
		return m.answer("")
	}
	return nil
}

func (m *Alarms) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	if cmd, mine := m.hold.Press(msg, m.now); mine {
		return cmd
	}
	switch {
	case key.Matches(msg, k.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.look):
		m.lookAt(msg.String())
	case key.Matches(msg, k.answer):
		m.chosen = slices.IndexFunc(answers, func(a reply) bool { return a.key == msg.String() })
	case key.Matches(msg, k.up):
		m.chosen = (max(m.chosen, 0) + len(answers) - 1) % len(answers)
	case key.Matches(msg, k.down):
		m.chosen = (m.chosen + 1) % len(answers)
	case key.Matches(msg, k.commit):
		switch {
		case m.ended:
			return screen.Say(screen.Back{})
		case !m.asking:
			away := m.hold.PutAway()
			m.next()
			return away
		case m.chosen >= 0:
			return m.answer(answers[m.chosen].is)
		}
	case key.Matches(msg, k.page):
		m.turn()
		return m.hold.PutAway()
	case key.Matches(msg, k.retry):
		return m.keep()
	}
	return nil
}

// answer takes the answer to the present alarm, "" when time ran out.
func (m *Alarms) answer(a alarms.Answer) tea.Cmd {
	c := m.run[m.at]
	m.mark = marking.MarkAlarm(c, m.play, a)
	m.asking = false
	m.tally[m.mark.Verdict]++
	m.said.Add(c.Truth != alarms.NotReal, a == alarms.Real || a == alarms.Doubt)
	e := c.Script.Episodes[0]
	out := ledger.Answer{
		ID: m.env.NewID(), Presentation: m.present, Learner: m.env.Learner, Class: m.env.Class, At: m.now,
		Mode: ledger.Exercise, Part: alarms.Part, Strip: m.feed.Identity().String(), Subject: e.Subject(), State: e.State,
		Question: ledger.Task, Chosen: string(a), Correct: m.mark.Verdict == ledger.Right, Verdict: m.mark.Verdict, Took: m.now.Sub(m.began),
	}
	for _, x := range alarms.Answers {
		out.Offered = append(out.Offered, string(x))
	}
	for _, x := range m.mark.Right {
		out.Right = append(out.Right, string(x))
	}
	for _, x := range m.play.Events() {
		if x.Kind == play.Looks {
			out.Looked = append(out.Looked, ledger.Look{What: marking.Kept(x.Look), AfterMS: int64(1000 * x.At)})
		}
	}
	return m.keep(out)
}

func (m *Alarms) keep(more ...ledger.Answer) tea.Cmd {
	m.pending = append(m.pending, more...)
	store, all := m.env.Store, slices.Clone(m.pending)
	return screen.Ask(m.id, func() tea.Msg { return kept{store.Add(context.Background(), all...)} })
}

func (m *Alarms) enable() {
	k := &m.keys
	for _, b := range []*key.Binding{&k.look, &k.answer, &k.up, &k.down} {
		b.SetEnabled(m.asking && m.broken == nil)
	}
	k.commit.SetEnabled(m.broken == nil && (!m.asking || m.chosen >= 0))
	k.commit.SetHelp("enter", map[bool]string{true: "answer", false: "go on"}[m.asking])
	m.hold.Enable(!m.ended && m.broken == nil, true)
	k.page.SetEnabled(!m.ended && m.broken == nil && m.env.Still)
	k.retry.SetEnabled(m.trouble != nil)
}

// ShortHelp is the hint line.
func (m *Alarms) ShortHelp() []key.Binding {
	k := m.keys
	return append(m.hold.Short(k.look, k.answer, k.commit, k.retry, k.page), k.back)
}

// FullHelp lists all bindings.
func (m *Alarms) FullHelp() [][]key.Binding {
	k := m.keys
	return [][]key.Binding{{k.look, k.answer, k.up, k.down, k.commit, k.page, k.retry}, append(m.hold.Full(), k.back)}
}

// View draws the screen.
func (m *Alarms) View() string {
	switch {
	case m.broken != nil:
		return m.page([]string{m.env.Look.Title.Render("Real or not?"), "", "This alarm cannot be shown: " + m.broken.Error()})
	case m.ended:
		return m.page(m.result())
	}
	return m.page(append(append([]string{m.title()}, m.stage.Draw(nil)...), m.beneath()...))
}

// Paint is View with the strip as a band while it may move.
func (m *Alarms) Paint() (string, []glass.Band) {
	if m.broken != nil || m.ended {
		return m.View(), nil
	}
	rows, bands := m.stage.Paint(1)
	return m.page(append(append([]string{m.title()}, rows...), m.beneath()...)), bands
}

func (m *Alarms) page(lines []string) string {
	return screen.Page(m.env.Look, m.cols, m.rows, lines, m.ShortHelp())
}

func (m *Alarms) title() string {
	right := fmt.Sprintf("alarm %d of %d   %s", m.at+1, len(m.run), clock(m.play.Now()))
	if m.trouble != nil {
		right = "answers are not kept yet: g tries again"
	}
	return m.head("Real or not?   "+m.stage.Header(), right)
}

func (m *Alarms) beneath() []string {
	l := m.env.Look
	lines := m.seen()
	if m.asking {
		for i, a := range answers {
			style := l.Choice
			if i == m.chosen {
				style = l.Chosen
			}
			lines = append(lines, style.Render(m.cut(l.Mark(i == m.chosen)+a.key+"  "+a.says)))
		}
		return lines
	}
	e := m.run[m.at].Script.Episodes[0]
	taught, _ := synth.Lesson(e.Subject())
	truth := map[alarms.Answer]string{alarms.Real: "It was real", alarms.NotReal: "It was not real", alarms.Doubt: "Nobody could tell: act"}[m.run[m.at].Truth]
	words := []string{fmt.Sprintf("%s: %s, %s.", truth, taught.Name, stateWords(string(e.State)))}
	for _, p := range m.mark.Points {
		words = append(words, strings.TrimSpace(fmt.Sprintf("%s: %s. %s", verdictWord(p.Verdict), p.What, p.Why)))
	}
	style := l.Right
	if m.mark.Verdict == ledger.Critical {
		style = l.Miss
	} else if m.mark.Verdict != ledger.Right {
		style = l.Wrong
	}
	for _, w := range words {
		lines = append(lines, style.Render(m.cut(w)))
	}
	return lines
}

// result is the page at the end.
func (m *Alarms) result() []string {
	l := m.env.Look
	lines := []string{l.Title.Render("Real or not?"), ""}
	say := func(s string) {
		for _, line := range sheet.Wrap(s, m.cols) {
			lines = append(lines, l.Body.Render(line))
		}
	}
	hits, calls := m.said.Signal, m.said.Noise
	say(fmt.Sprintf("You acted on %d of the %d alarms that asked for it, and on %d of the %d that did not.", hits.K, hits.N, calls.K, calls.N))
	say(fmt.Sprintf("Right with everything in its order: %d of %d. Nearly: %d. Not: %d. Unsafe: %d.",
		m.tally[ledger.Right], len(m.run), m.tally[ledger.Near], m.tally[ledger.Wrong], m.tally[ledger.Critical]))
	say("Most alarms at a bedside need nothing done. Each is looked at all the same, the patient first, then a second witness: pulse, arterial line. In doubt, act.")
	lines = append(lines, "")
	for _, line := range sheet.Wrap(look.Caution, m.cols) {
		lines = append(lines, l.Caution.Render(line))
	}
	return lines
}
