package screen

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/x/ansi"

	"telltrace/trainer/look"
)

// Hints is the last line of a screen: the keys that act now, as many as fit, the
// way back (the last of short) where there is one and the help always among them. short is in the
// order of use.
func Hints(l *look.Look, cols int, short []key.Binding) string {
	const gap = 3
	width := func(b key.Binding) int { return ansi.StringWidth(b.Help().Key+" "+b.Help().Desc) + gap }
	ends := []key.Binding{key.NewBinding(key.WithKeys("?"), key.WithHelp("?", "help"))}
	if back := short[len(short)-1]; back.Enabled() {
		ends = slices.Insert(ends, 0, back)
	}
	room := cols + gap
	for _, b := range ends {
		room -= width(b)
	}
	var shown []key.Binding
	for _, b := range short[:len(short)-1] {
		if b.Enabled() && width(b) <= room {
			room -= width(b)
			shown = append(shown, b)
		}
	}
	var parts []string
	for _, b := range append(shown, ends...) {
		parts = append(parts, l.Key.Render(b.Help().Key)+" "+l.Faint.Render(b.Help().Desc))
	}
	return strings.Join(parts, strings.Repeat(" ", gap))
}

// Page fills the lines to the window, with the hint line last.
func Page(l *look.Look, cols, rows int, lines []string, short []key.Binding) string {
	for len(lines) < rows-1 {
		lines = append(lines, "")
	}
	return strings.Join(append(lines[:max(rows-1, 0)], Hints(l, cols, short)), "\n")
}
