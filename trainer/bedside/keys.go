package bedside

import (
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scenarios/script"
	"telltrace/scoring/ledger"
	"telltrace/synth/lesson"
	"telltrace/trainer/screen"
)

// An act is something to do, with its letter and its words in a narrow window.
type act struct {
	key  string
	do   lesson.Action
	says string
}

// acts are what can be done, most pressing first: those of script.Acts.
var acts = []act{
	{"b", lesson.Compress, "begin compressions, call the team"},
	{"o", lesson.Support, "open airway, oxygen, bag, call"},
	{"h", lesson.CallStay, "help: call now, stay, defibrillator"},
	{"f", lesson.AssessTell, "full vital signs, cause, tell team"},
	{"a", lesson.Reattach, "attach again: electrode or probe"},
	{"w", lesson.Settle, "wait: settle, then look again"},
	{"n", lesson.Chart, "note in the chart, nothing to mend"},
	{"x", lesson.Silence, "silence the alarm"},
}

// looks are what can be looked at, with the letters that practice uses too.
var looks = []struct {
	key, name string
	look      script.Look
}{
	{"c", "Patient", script.LookPatient},
	{"p", "Pulse", script.LookPulse},
	{"i", "Line", script.LookLine},
	{"e", "Electrodes", script.LookElectrodes},
}

type keys struct {
	look, act, choose, up, down, commit      key.Binding
	page, onward, scroll, retry, again, back key.Binding
}

func newKeys(still bool) keys {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	var lookKeys, actKeys []string
	for _, l := range looks {
		lookKeys = append(lookKeys, l.key)
	}
	for _, a := range acts {
		actKeys = append(actKeys, a.key)
	}
	k := keys{
		look:   bind("c p i e", "look", lookKeys...),
		act:    bind("letter", "choose what to do", actKeys...),
		choose: bind("1-5", "choose", "1", "2", "3", "4", "5"),
		up:     bind("up", "choice above", "up"),
		down:   bind("down", "choice below", "down"),
		commit: bind("enter", "do it", "enter"),
		page:   bind("space", "turn the page", " "),
		onward: bind("enter", "go on", "enter"),
		scroll: bind("up/down", "read on", "up", "down", "pgup", "pgdown"),
		retry:  bind("r", "try to keep the answers again", "r"),
		again:  bind("g", "the same again", "g"),
		back:   bind("q", "back", "q", "esc"),
	}
	if !still {
		k.page.Unbind()
	}
	return k
}

// enable switches bindings on for a phase.
func (m *Model) enable() {
	k := &m.keys
	for _, b := range []*key.Binding{&k.look, &k.act} {
		b.SetEnabled(m.phase == playing)
	}
	k.choose.SetEnabled(m.phase == asking)
	for _, b := range []*key.Binding{&k.up, &k.down} {
		b.SetEnabled(m.phase == playing || m.phase == asking)
	}
	k.commit.SetEnabled((m.phase == playing || m.phase == asking) && m.chosen >= 0)
	if m.phase == asking {
		k.commit.SetHelp("enter", "answer")
	}
	moving := m.phase == playing || m.phase == over
	k.page.SetEnabled(moving && m.env.Still)
	m.hold.Enable(moving, true)
	k.onward.SetEnabled(m.phase == over || m.phase == debrief)
	k.scroll.SetEnabled(m.phase == debrief && len(m.lines) > m.room())
	k.again.SetEnabled(m.phase == debrief)
	k.retry.SetEnabled(m.trouble != nil)
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	k := m.keys
	return append(m.hold.Short(k.look, k.act, k.choose, k.commit, k.scroll, k.onward, k.again, k.retry, k.page), k.back)
}

// FullHelp lists all bindings; each act has its own line.
func (m *Model) FullHelp() [][]key.Binding {
	k := m.keys
	return [][]key.Binding{
		{k.look, k.act, k.choose, k.up, k.down, k.commit, k.onward, k.again, k.scroll, k.retry},
		append(append([]key.Binding{k.page}, m.hold.Full()...), k.back),
	}
}

// press does what a key says.
func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	if cmd, mine := m.hold.Press(msg, m.now); mine {
		return cmd
	}
	switch {
	case key.Matches(msg, k.back):
		if m.phase == playing {
			return tea.Sequence(m.keepVisits(true), screen.Say(screen.Back{}))
		}
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.look):
		m.lookAt(msg.String())
	case key.Matches(msg, k.act):
		m.chosen = slices.IndexFunc(acts, func(a act) bool { return a.key == msg.String() })
	case key.Matches(msg, k.choose):
		if i := slices.Index(k.choose.Keys(), msg.String()); i < m.choices() {
			m.chosen = i
		}
	case key.Matches(msg, k.up):
		m.chosen = (max(m.chosen, 0) + m.choices() - 1) % m.choices()
	case key.Matches(msg, k.down):
		m.chosen = (m.chosen + 1) % m.choices()
	case key.Matches(msg, k.commit):
		return m.commit()
	case key.Matches(msg, k.page):
		m.turn()
		return m.hold.PutAway()
	case key.Matches(msg, k.scroll):
		m.scroll(msg.String())
	case key.Matches(msg, k.again):
		return screen.Say(screen.Replace{Screen: New(m.env, m.script)})
	case key.Matches(msg, k.retry):
		return m.keep()
	case key.Matches(msg, k.onward):
		return m.goOn()
	}
	return nil
}

// choices is how many there are to choose from.
func (m *Model) choices() int {
	if m.phase == asking {
		return len(m.script.Questions[m.asked].Answers)
	}
	return len(acts)
}

// commit does what was chosen, or gives the answer.
func (m *Model) commit() tea.Cmd {
	chosen := m.chosen
	m.chosen = -1
	if m.phase == playing {
		m.play.Do(acts[chosen].do)
		return nil
	}
	q := m.script.Questions[m.asked]
	m.answers = append(m.answers, q.Answers[chosen])
	e := m.script.Episodes[0]
	right := q.Answers[chosen] == q.Right
	a := m.sign(ledger.Answer{
		Mode: ledger.Scenario, Part: string(m.script.Name), Strip: m.strips[0], Subject: e.Subject(), State: e.State, Question: ledger.Task,
		Offered: q.Answers, Chosen: q.Answers[chosen], Right: []string{q.Right}, Correct: right, Verdict: ledger.Wrong, Took: m.now.Sub(m.askedAt),
	})
	if right {
		a.Verdict = ledger.Right
	}
	m.asked++
	return tea.Batch(m.keep(a), m.goOn())
}

// goOn leads from the end to the questions, the debrief, and back.
func (m *Model) goOn() tea.Cmd {
	m.chosen, m.askedAt = -1, m.now
	switch {
	case m.phase == debrief:
		return screen.Say(screen.Back{})
	case m.asked < len(m.script.Questions):
		m.phase = asking
	default:
		m.phase = debrief
		m.write()
	}
	return m.hold.PutAway()
}

func (m *Model) scroll(to string) {
	by := map[string]int{"up": -1, "down": 1, "pgup": -m.room(), "pgdown": m.room()}[to]
	m.from = max(0, min(m.from+by, len(m.lines)-m.room()))
}
