package practise

import "github.com/charmbracelet/bubbles/key"

// keys are the bindings of the screen. Which of them act depends on the phase;
// one that cannot act now is disabled and vanishes from the help.
type keys struct {
	choose, up, down, commit, unsure key.Binding
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
	asking := m.phase == naming || m.phase == acting
	k := &m.keys
	for _, b := range []*key.Binding{&k.choose, &k.up, &k.down, &k.commit} {
		b.SetEnabled(asking)
	}
	k.unsure.SetEnabled(m.phase == naming)
	for _, b := range []*key.Binding{&k.child, &k.pulse, &k.electrodes} {
		b.SetEnabled(asking && m.round.Bedside != nil)
	}
	k.hold.SetEnabled(asking)
	k.lead.SetEnabled(m.stage != nil && m.stage.Leads() > 1)
	k.more.SetEnabled(m.stage != nil && m.stage.Leads() > 1 && !m.env.Look.Plain)
	k.scale.SetEnabled(m.stage != nil && !m.env.Look.Plain)
	k.speed.SetEnabled(m.stage != nil && !m.env.Look.Plain)
	k.pan.SetEnabled(m.stage != nil && m.stage.Held() && !m.calipers.Out())
	m.calipers.Keys.Out.SetEnabled((asking || m.phase == explained) && !m.env.Look.Plain)
	k.picture.SetEnabled(m.stage != nil && m.env.Look.Plain)
	k.scroll.SetEnabled(m.phase == explained && m.explain.lines > m.explain.room)
	k.next.SetEnabled(m.phase == explained)
	k.retry.SetEnabled(m.phase == unsaved)
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	k, c := m.keys, m.calipers.Keys
	return []key.Binding{c.Move, c.Other, c.Snap, c.March, k.choose, k.commit, k.next, k.scroll, k.retry, k.hold, k.lead, k.picture, k.pan, k.back}
}

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding {
	k, c := m.keys, m.calipers.Keys
	return [][]key.Binding{
		{k.choose, k.up, k.down, k.commit, k.unsure, k.next, k.scroll, k.retry},
		{k.child, k.pulse, k.electrodes},
		{k.hold, k.lead, k.more, k.scale, k.speed, k.pan, k.picture, k.back},
		{c.Out, c.Move, c.Other, c.Snap, c.March},
	}
}
