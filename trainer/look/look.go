// Package look holds every colour, border and shared word of the trainer. A Look
// is built from the renderer of one terminal and never changes; screens get it
// passed in, so that two learners over SSH can have two looks. Words outside the
// paper are set in its styles; trainer/paper draws cell by cell and
// takes prepared escape sequences instead (Ink, Ground, Reset).
package look

import (
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// A Palette names a set of colours. Stored by name; append only.
type Palette string

// The palettes.
const (
	Dark         Palette = "dark"
	Light        Palette = "light"
	HighContrast Palette = "high-contrast"
	None         Palette = "none"
)

// Palettes lists the palettes in the order they are offered.
var Palettes = []Palette{Dark, Light, HighContrast, None}

// Glyphs names the characters a trace is drawn with. Stored by name; append only.
type Glyphs string

// The glyph sets, finest first.
const (
	Braille   Glyphs = "braille"    // 2 x 4 dots a cell
	HalfBlock Glyphs = "half-block" // 1 x 2
	ASCII     Glyphs = "ascii"      // one of about ten marks a cell
)

// GlyphSets lists the glyph sets, finest first.
var GlyphSets = []Glyphs{Braille, HalfBlock, ASCII}

// Options choose a look. The zero value is Dark in Braille.
type Options struct {
	Palette Palette
	Glyphs  Glyphs
	Plain   bool // for a screen reader: no colour, no emphasis, ASCII only
}

// A Look is the appearance of the trainer on one terminal. It does not change
// after New and may be shared.
type Look struct {
	Glyphs Glyphs
	Plain  bool
	Border lipgloss.Border

	Title   Style
	Body    Style
	Faint   Style
	Key     Style // a key in a hint
	Choice  Style
	Chosen  Style // used with the mark of Mark
	Right   Style // used with the word "right"
	Wrong   Style // used with "near" or "not this one"
	Miss    Style // what must not be missed; used with "unsafe" or MissMark
	Caution Style // the caution line

	coloured bool
	profile  termenv.Profile
	ink      [Inks]string
	ground   [Grounds]string
	reset    string
}

// New builds a look for the terminal behind r. Colours are left out where the
// renderer's profile has none (NO_COLOR, a dumb terminal) or the palette is None.
// An unknown palette or glyph set counts as the first of its list; a nil renderer
// as a terminal without colour. New never asks the terminal anything.
func New(r *lipgloss.Renderer, o Options) *Look {
	if r == nil {
		r = lipgloss.NewRenderer(io.Discard)
	}
	l := &Look{Glyphs: o.Glyphs, Plain: o.Plain, Border: lipgloss.NormalBorder()}
	if o.Plain {
		l.Glyphs, o.Palette = ASCII, None
	}
	if l.Glyphs != HalfBlock && l.Glyphs != ASCII {
		l.Glyphs = Braille
	}
	if l.Glyphs == ASCII {
		l.Border = lipgloss.ASCIIBorder()
	}
	profile := r.ColorProfile()
	l.profile, l.coloured = profile, profile != termenv.Ascii && o.Palette != None
	s := schemeOf(o.Palette)
	l.styles(s, profile)
	if !l.coloured {
		return l
	}
	for i, c := range s.ink {
		l.ink[i] = c.sgr(profile, false)
	}
	for i, c := range s.ground {
		l.ground[i] = c.sgr(profile, true)
	}
	l.reset = "\x1b[0m"
	return l
}

// styles sets the text styles. Without colour the emphasis stays, in plain mode
// nothing does; words and marks carry the meaning in any case.
func (l *Look) styles(s scheme, p termenv.Profile) {
	if l.Plain {
		return
	}
	const bold, reversed = "1", "7"
	style := func(emphasis string, c colour) Style {
		if !l.coloured {
			return styled(p, emphasis, nil, nil)
		}
		return styled(p, emphasis, &c, nil)
	}
	t := s.text
	l.Title = styled(p, bold, nil, nil)
	l.Faint, l.Caution = style("", t.faint), style("", t.faint)
	l.Key, l.Chosen = style(bold, t.key), style(bold, t.chosen)
	l.Right, l.Wrong = style(bold, t.right), style(bold, t.wrong)
	if l.coloured {
		l.Miss = styled(p, bold, &s.ink[InkMiss], &s.ground[GroundMiss])
	} else {
		l.Miss = styled(p, bold+";"+reversed, nil, nil)
	}
}

// Coloured reports whether the look has colours at all.
func (l *Look) Coloured() bool { return l.coloured }

// Ink is the escape sequence that selects an ink, "" without colour.
func (l *Look) Ink(i Ink) string { return l.ink[i%Inks] }

// Ground is the escape sequence that selects a ground, "" without colour.
func (l *Look) Ground(g Ground) string { return l.ground[g%Grounds] }

// Reset is the escape sequence that ends all the above, "" without colour.
func (l *Look) Reset() string { return l.reset }

// Mark is what stands before a choice, two columns wide: it tells the chosen one
// without colour.
func (l *Look) Mark(chosen bool) string {
	if chosen {
		return "> "
	}
	return "  "
}

// Rule is a quiet horizontal line, width columns long.
func (l *Look) Rule(width int) string {
	return l.Faint.Render(strings.Repeat(l.Border.Top, max(0, width)))
}
