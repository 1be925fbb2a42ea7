package practise

import (
	"github.com/charmbracelet/bubbles/key"

	"telltrace/scoring/ledger"
)

// keys are the bindings of the screen. Which of them act depends on the phase;
// one that cannot act now is disabled and vanishes from the help.
type keys struct {
	choose, up, down, commit, unsure key.Binding
	digits, erase, atOnce            key.Binding
	write, letters, unwrite          key.Binding
	child, pulse, electrodes         key.Binding
	hold, lead, more, scale, speed   key.Binding
	pan, picture                     key.Binding
	scroll, next, retry, back        key.Binding
}

// newKeys makes the bindings. In a plain look choices have letters, capital ones, as
// the small letters are other keys.
func newKeys(still, plain bool) keys {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	hold := bind("space", "hold or release", " ")
	if still {
		hold = bind("space", "turn the page", " ")
	}
	choose := bind("1-5", "choose", "1", "2", "3", "4", "5", "6", "7", "8", "9")
	if plain {
		choose = bind("A-E", "choose, with shift", "A", "B", "C", "D", "E", "F", "G", "H", "I")
	}
	return keys{
		choose:     choose,
		up:         bind("up", "choice above", "up"),
		down:       bind("down", "choice below", "down"),
		commit:     bind("enter", "answer", "enter"),
		digits:     bind("0-9", "type the rate", "0", "1", "2", "3", "4", "5", "6", "7", "8", "9"),
		erase:      bind("backspace", "take the last letter back", "backspace"),
		atOnce:     bind("n", "name it at once", "n"),
		write:      bind("w", "write the name", "w"),
		letters:    bind("a-z", "write"),
		unwrite:    bind("esc", "choose instead", "esc"),
		unsure:     bind("u", "say that you are not sure", "u"),
		child:      bind("c", "look at the patient", "c"),
		pulse:      bind("p", "feel the pulse", "p"),
		electrodes: bind("e", "look at the electrodes", "e"),
		hold:       hold,
		lead:       bind("l", "next lead", "l"),
		more:       bind("t", "one, two or three leads", "t"),
		scale:      bind("z", "double scale on or off", "z"),
		speed:      bind("v", "25 or 50 mm/s", "v"),
		pan:        bind("left/right", "move along", "left", "right"),
		picture:    bind("g", "the strip as a picture or as a table", "g"),
		scroll:     bind("up/down", "read on", "up", "down"),
		next:       bind("enter", "next strip", "enter", "n"),
		retry:      bind("r", "try to keep the answer again", "r"),
		back:       bind("q", "back", "q", "esc"),
	}
}

// enable switches bindings on for a phase.
func (m *Model) enable() {
	k := &m.keys
	rate := m.phase == reading && m.step() == ledger.Rate
	k.digits.SetEnabled(rate)
	k.erase.SetEnabled(rate || m.writing)
	k.atOnce.SetEnabled(m.phase == reading && m.round.Limit == 0)
	for _, b := range []*key.Binding{&k.letters, &k.unwrite} {
		b.SetEnabled(m.writing)
	}
	// While a name is written, the letters write it and act no more.
	asking := (m.phase == naming || m.phase == acting || m.phase == reading) && !m.writing
	for _, b := range []*key.Binding{&k.choose, &k.up, &k.down} {
		b.SetEnabled(asking && !rate)
	}
	k.commit.SetEnabled(asking || m.writing)
	k.unsure.SetEnabled(asking && m.phase == naming)
	k.write.SetEnabled(asking && m.phase == naming && m.round.Mode != ledger.Check && m.round.Mode != ledger.Drill)
	k.back.SetEnabled(!m.writing)
	for _, b := range []*key.Binding{&k.child, &k.pulse, &k.electrodes} {
		b.SetEnabled(asking && m.round.Bedside != nil)
	}
	k.hold.SetEnabled(asking)
	shown := m.stage != nil && !m.writing && m.phase != waiting
	k.lead.SetEnabled(shown && m.stage.Leads() > 1)
	k.more.SetEnabled(shown && m.stage.Leads() > 1 && !m.env.Look.Plain)
	k.scale.SetEnabled(shown && !m.env.Look.Plain)
	k.speed.SetEnabled(shown && !m.env.Look.Plain)
	k.pan.SetEnabled(shown && m.stage.Held() && !m.calipers.Out())
	m.calipers.Keys.Out.SetEnabled((asking || m.phase == explained) && !m.env.Look.Plain)
	k.picture.SetEnabled(shown && m.env.Look.Plain)
	k.scroll.SetEnabled(m.phase == explained && m.explain.lines > m.explain.room)
	k.next.SetEnabled(m.phase == explained || m.phase == waiting)
	k.retry.SetEnabled(m.phase == unsaved)
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	k, c := m.keys, m.calipers.Keys
	return []key.Binding{c.Move, c.Other, c.Snap, c.March, k.choose, k.digits, k.letters, k.commit, k.unwrite, k.atOnce, k.next, k.scroll, k.retry, k.hold, k.lead, k.picture, k.pan, k.back}
}

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding {
	k, c := m.keys, m.calipers.Keys
	return [][]key.Binding{
		{k.choose, k.up, k.down, k.digits, k.write, k.letters, k.erase, k.unwrite, k.commit, k.unsure, k.atOnce, k.next, k.scroll, k.retry},
		{k.child, k.pulse, k.electrodes},
		{k.hold, k.lead, k.more, k.scale, k.speed, k.pan, k.picture, k.back},
		{c.Out, c.Move, c.Other, c.Snap, c.March},
	}
}
