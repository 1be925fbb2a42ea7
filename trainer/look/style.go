package look

import (
	"strings"

	"github.com/muesli/termenv"
)

// A Style is how words outside the paper are shown. It is the sequence that selects
// it, prepared once: a page is written thirty times a second.
type Style struct{ on, off string }

// Render returns text in the style, line by line; an empty style leaves it as it is.
func (s Style) Render(text string) string {
	if s.on == "" || text == "" {
		return text
	}
	if strings.Contains(text, "\n") {
		lines := strings.Split(text, "\n")
		for i, line := range lines {
			lines[i] = s.Render(line)
		}
		return strings.Join(lines, "\n")
	}
	return s.on + text + s.off
}

// styled is the style of some emphasis and colours; nil leaves a colour as it is.
func styled(p termenv.Profile, emphasis string, front, behind *colour) Style {
	if p == termenv.Ascii {
		return Style{}
	}
	on := ""
	if emphasis != "" {
		on = "\x1b[" + emphasis + "m"
	}
	if front != nil {
		on += front.sgr(p, false)
	}
	if behind != nil {
		on += behind.sgr(p, true)
	}
	if on == "" {
		return Style{}
	}
	return Style{on, "\x1b[0m"}
}
