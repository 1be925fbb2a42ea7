package shift

import (
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"telltrace/scenarios/watch"
	"telltrace/trainer/screen"
)

// An act is something to do, with its letter and its words.
type act struct {
	key  string
	do   watch.Act
	says string
}

// acts are what can be done at the bed in front, with the letters of the bedside.
var acts = []act{
	{"c", watch.Look, "look"},
	{"n", watch.Chart, "note signs"},
	{"s", watch.Limits, "set limits"},
	{"a", watch.Mend, "attach again"},
	{"t", watch.TwelveLead, "twelve leads"},
	{"f", watch.Tell, "tell the team"},
	{"h", watch.Call, "call for help"},
	{"b", watch.Compress, "compressions"},
	{"x", watch.Silence, "silence"},
}

type keys struct {
	fewer, more, begin       key.Binding
	bed, act, answer         key.Binding
	page                     key.Binding
	scroll, review, retry    key.Binding
	earlier, later, otherBed key.Binding
	back                     key.Binding
}

func newKeys(still bool) keys {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	var letters []string
	for _, a := range acts {
		letters = append(letters, a.key)
	}
	k := keys{
		fewer: bind("down", "fewer beds", "down", "left"), more: bind("up", "more beds", "up", "right"), begin: bind("enter", "begin", "enter"),
		bed: bind("1-4", "to a bed", "1", "2", "3", "4"), act: bind("letter", "do it at this bed", letters...),
		answer: bind("7 8 9", "answer who asks", "7", "8", "9"), page: bind("space", "turn the page", " "),
		scroll: bind("up/down", "read on", "up", "down", "pgup", "pgdown"), review: bind("enter", "see it again, or what it came to", "enter"),
		retry:   bind("r", "try to keep the answers again", "r"),
		earlier: bind("left", "a minute back; with shift an hour", "left", "shift+left"), later: bind("right", "a minute on; with shift an hour", "right", "shift+right"),
		otherBed: bind("1-4", "to a bed", "1", "2", "3", "4"), back: bind("q", "back", "q", "esc"),
	}
	if !still {
		k.page.Unbind()
	}
	return k
}

func (m *Model) enable() {
	k := &m.keys
	watching := m.phase == watching && !m.setting.on
	for _, b := range m.limitKeys.list() {
		b.SetEnabled(m.setting.on)
	}
	for _, b := range []*key.Binding{&k.fewer, &k.more, &k.begin} {
		b.SetEnabled(m.phase == choosing)
	}
	k.bed.SetEnabled(watching && m.beds > 1)
	k.act.SetEnabled(watching)
	k.answer.SetEnabled(watching && m.watch.Asks() >= 0)
	m.hold.Enable(watching || m.phase == seeing, watching)
	k.page.SetEnabled(watching && m.env.Still)
	k.scroll.SetEnabled(m.phase == told && len(m.lines) > m.room())
	k.review.SetEnabled(m.phase == told || m.phase == seeing)
	k.otherBed.SetEnabled(m.phase == seeing && m.beds > 1)
	k.earlier.SetEnabled(m.phase == seeing)
	k.later.SetEnabled(m.phase == seeing)
	k.retry.SetEnabled(m.trouble != nil && !m.setting.on)
	k.back.SetEnabled(!m.setting.on)
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	return append(m.hold.Short(m.ownKeys()...), m.keys.back)
}

func (m *Model) ownKeys() []key.Binding {
	k, l := m.keys, m.limitKeys
	return []key.Binding{l.set, l.other, l.leave, l.digits, l.erase, k.begin, k.more, k.fewer, k.bed, k.act, k.answer, k.scroll, k.review, k.earlier, k.later, k.otherBed, k.retry, k.page}
}

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding {
	return [][]key.Binding{m.ownKeys(), append(m.hold.Full(), m.keys.back)}
}

func (m *Model) press(msg tea.KeyMsg) tea.Cmd {
	k := m.keys
	if m.setting.on {
		m.typeLimits(msg)
		return nil
	}
	if cmd, mine := m.hold.Press(msg, m.now); mine {
		return cmd
	}
	switch {
	case key.Matches(msg, k.back):
		return screen.Say(screen.Back{})
	case key.Matches(msg, k.more):
		m.beds = min(m.beds+1, 4)
	case key.Matches(msg, k.fewer):
		m.beds = max(m.beds-1, 1)
	case key.Matches(msg, k.begin):
		m.begin()
	case key.Matches(msg, k.bed), key.Matches(msg, k.otherBed):
		if i := int(msg.String()[0] - '1'); i < m.beds {
			m.bed, m.said = i, ""
			return m.front()
		}
	case key.Matches(msg, k.act):
		i := slices.IndexFunc(acts, func(a act) bool { return a.key == msg.String() })
		if acts[i].do == watch.Limits {
			m.openLimits()
			return m.hold.PutAway()
		}
		m.do(acts[i].do, 0)
	case key.Matches(msg, k.answer):
		m.do(watch.Answer, order(m.watch.Plan().Seed, int(msg.String()[0]-'7')))
	case key.Matches(msg, k.page):
		m.stage.Turn()
		return m.hold.PutAway()
	case key.Matches(msg, k.scroll):
		by := map[string]int{"up": -1, "down": 1, "pgup": -m.room(), "pgdown": m.room()}[msg.String()]
		m.from = max(0, min(m.from+by, len(m.lines)-m.room()))
	case key.Matches(msg, k.review):
		if m.phase == seeing {
			m.phase = told
			return m.hold.PutAway()
		}
		m.phase = seeing
		return m.see(m.minute)
	case key.Matches(msg, k.earlier), key.Matches(msg, k.later):
		by := map[string]int{"left": -1, "right": 1, "shift+left": -60, "shift+right": 60}[msg.String()]
		return m.see(m.minute + by)
	case key.Matches(msg, k.retry):
		return m.keep()
	}
	return nil
}

// order shuffles the answers to a parent's question, so that the calm one is not always in
// the same place: which answer stands in a row.
func order(seed uint64, row int) int { return (row + int(seed%3)) % 3 }

// see shows a minute again.
func (m *Model) see(minute int) tea.Cmd {
	m.minute = max(0, min(minute, watch.Minutes-1))
	m.again = watch.Again(m.watch.Plan(), m.watch.Deeds(), m.minute)
	m.said = ""
	return m.front()
}

// do does something at the bed in front.
func (m *Model) do(a watch.Act, answer int) {
	if !m.watch.Do(m.bed, a, answer) {
		if until, bed, busy := m.watch.Busy(); busy {
			m.said = busyWords(until, bed)
		}
		return
	}
	m.said = map[watch.Act]string{
		watch.Chart: "Charted.", watch.Mend: "Electrodes and probe are seen to.", watch.TwelveLead: "A 12-lead is being written.",
		watch.Tell: "The team is told.", watch.Call: "Help is called; you stay.", watch.Compress: "Compressions have begun; the team is called.",
		watch.Silence: "Silenced.", watch.Answer: "You answered.",
	}[a]
}
