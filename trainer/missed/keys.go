package missed

import "github.com/charmbracelet/bubbles/key"

// keys are the bindings of the screen. One that cannot act now is disabled and
// vanishes from the help.
type keys struct {
	up, down, first, last, open key.Binding
	filter, clear, take         key.Binding
	again, fresh, set, beside   key.Binding
	lead, scale, pan, scroll    key.Binding
	retry, back                 key.Binding
}

func newKeys() keys {
	bind := func(help, what string, on ...string) key.Binding {
		return key.NewBinding(key.WithKeys(on...), key.WithHelp(help, what))
	}
	return keys{
		up:     bind("up", "the one above", "up", "k"),
		down:   bind("down", "the one below", "down", "j"),
		first:  bind("home", "the newest", "home"),
		last:   bind("end", "the oldest", "end"),
		open:   bind("enter", "open it", "enter"),
		filter: bind("r", "one rhythm or pair", "r"),
		clear:  bind("a", "all of them", "a", "backspace"),
		take:   bind("enter", "take this", "enter"),
		again:  bind("t", "try it again", "t"),
		fresh:  bind("f", "a fresh strip like it", "f"),
		set:    bind("s", "all these as a set", "s"),
		beside: bind("b", "set another beside it", "b"),
		lead:   bind("l", "next lead", "l"),
		scale:  bind("z", "double scale on or off", "z"),
		pan:    bind("left/right", "move along the strip", "left", "right"),
		scroll: bind("up/down", "read on", "up", "down"),
		retry:  bind("r", "read the list again", "r"),
		back:   bind("q", "back", "q", "esc"),
	}
}

// enable switches bindings on for what is shown.
func (m *Model) enable() {
	k := &m.keys
	e, found := m.chosen()
	set := func(on bool, bindings ...*key.Binding) {
		for _, b := range bindings {
			b.SetEnabled(on)
		}
	}
	listed := m.phase == listing && found
	set(listed, &k.first, &k.last, &k.open)
	choosing := m.phase == choosing || m.phase == besides
	set(listed || choosing, &k.up, &k.down)
	set(listed, &k.set)
	set(m.phase == listing && len(m.all) > 0, &k.filter)
	set(m.phase == listing && m.only != (group{}), &k.clear)
	set(choosing, &k.take)
	shown := m.phase == showing && m.open.main != nil
	set(listed || shown, &k.again)
	set((listed || m.phase == showing) && e.teachable(), &k.fresh)
	set(shown && m.open.main.Leads() > 1, &k.lead)
	set(shown && m.open.entry.id.Recording == "", &k.beside)
	set(shown, &k.scale, &k.pan)
	set(m.phase == showing && m.open.long(), &k.scroll)
	set(m.phase == failing, &k.retry)
}

// ShortHelp is the hint line.
func (m *Model) ShortHelp() []key.Binding {
	k := m.keys
	return []key.Binding{k.open, k.take, k.again, k.fresh, k.set, k.filter, k.clear, k.pan, k.scroll, k.beside, k.lead, k.retry, k.back}
}

// FullHelp lists all bindings.
func (m *Model) FullHelp() [][]key.Binding {
	k := m.keys
	return [][]key.Binding{
		{k.up, k.down, k.first, k.last, k.open, k.take, k.again, k.fresh, k.set, k.retry},
		{k.filter, k.clear, k.beside, k.scroll},
		{k.lead, k.scale, k.pan, k.back},
	}
}
