package look

import (
	"bytes"
	"io"
	"reflect"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
)

func rendererOf(p termenv.Profile) *lipgloss.Renderer {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(p)
	return r
}

// texts renders a word in every style of a look.
func texts(l *Look) []string {
	var out []string
	for _, s := range []Style{l.Title, l.Body, l.Faint, l.Key, l.Choice, l.Chosen, l.Right, l.Wrong, l.Miss, l.Caution} {
		out = append(out, s.Render("word"))
	}
	return append(out, l.Rule(4))
}

// environ is a terminal's environment.
type environ map[string]string

func (e environ) Environ() []string { return nil }

func (e environ) Getenv(key string) string { return e[key] }

// NO_COLOR: when present and not empty, no colour is added (no-color.org).
func TestNoColorIsHonoured(t *testing.T) {
	terminal := func(e environ) *lipgloss.Renderer {
		return lipgloss.NewRenderer(&bytes.Buffer{}, termenv.WithEnvironment(e), termenv.WithTTY(true))
	}
	on := New(terminal(environ{"TERM": "xterm-256color"}), Options{})
	assert.True(t, on.Coloured())
	off := New(terminal(environ{"TERM": "xterm-256color", "NO_COLOR": "1"}), Options{})
	assert.False(t, off.Coloured())
	for _, text := range texts(off) {
		assert.NotContains(t, text, "\x1b")
	}
	for i := range Inks {
		assert.Empty(t, off.Ink(i))
		assert.NotEmpty(t, on.Ink(i))
	}
	for g := range Grounds {
		assert.Empty(t, off.Ground(g))
		assert.NotEmpty(t, on.Ground(g))
	}
	assert.Empty(t, off.Reset())
}

func TestPlainHasNoEscapesAndNoBoxLines(t *testing.T) {
	l := New(rendererOf(termenv.TrueColor), Options{Palette: Light, Glyphs: Braille, Plain: true})
	assert.Equal(t, ASCII, l.Glyphs)
	assert.False(t, l.Coloured())
	for _, text := range texts(l) {
		assert.Equal(t, strings.ToValidUTF8(text, ""), text)
		for _, r := range text {
			assert.Less(t, r, rune(0x7f))
			assert.NotEqual(t, '\x1b', r)
		}
	}
}

func TestPaletteNoneKeepsEmphasisButNoColour(t *testing.T) {
	l := New(rendererOf(termenv.ANSI256), Options{Palette: None})
	assert.False(t, l.Coloured())
	assert.Contains(t, l.Title.Render("word"), "\x1b[1m", "bold: ECMA-48 SGR 1")
	for _, text := range texts(l) {
		assert.NotContains(t, text, "38;5")
		assert.NotContains(t, text, "48;5")
	}
}

// The sequences are ECMA-48 SGR 30-37, 40-47; aixterm's 90-97, 100-107; xterm's
// 38;5 and 48;5.
func TestEscapeSequences(t *testing.T) {
	full := New(rendererOf(termenv.ANSI256), Options{Palette: Dark})
	assert.Equal(t, "\x1b[38;5;74m", full.Ink(InkTrace))
	assert.Equal(t, "\x1b[48;5;236m", full.Ground(PaperB))
	assert.Equal(t, "\x1b[0m", full.Reset())
	sixteen := New(rendererOf(termenv.ANSI), Options{Palette: Dark})
	assert.Equal(t, "\x1b[97m", sixteen.Ink(InkTrace))
	assert.Equal(t, "\x1b[30m", sixteen.Ink(InkMiss))
	assert.Equal(t, "\x1b[100m", sixteen.Ground(PaperB))
	assert.Equal(t, "\x1b[43m", sixteen.Ground(GroundMiss))
	true24 := New(rendererOf(termenv.TrueColor), Options{Palette: Dark})
	assert.Equal(t, full.Ink(InkMark), true24.Ink(InkMark), "one design for 256 and true colour")
	assert.Contains(t, true24.Key.Render("q"), "38;5;74")
}

// Without colour the meanings must still differ, by word or by mark.
func TestMeaningsHaveWords(t *testing.T) {
	assert.NotEmpty(t, MissMark)
	l := New(nil, Options{})
	assert.NotEqual(t, l.Mark(true), l.Mark(false))
	assert.Equal(t, len(l.Mark(true)), len(l.Mark(false)), "choosing moves nothing sideways")
	assert.Contains(t, TooSmall(60, 20, 80, 24), "80 columns by 24 rows")
	for _, said := range []string{"Training only", "not for diagnosis", "Local policy", "guidelines", "licensed practice"} {
		assert.Contains(t, Caution, said)
	}
}

func TestUnknownOptionsFallBack(t *testing.T) {
	usual := New(rendererOf(termenv.ANSI256), Options{Palette: Palettes[0], Glyphs: GlyphSets[0]})
	odd := New(rendererOf(termenv.ANSI256), Options{Palette: "plaid", Glyphs: "runes"})
	assert.Equal(t, usual.Ink(InkTrace), odd.Ink(InkTrace))
	assert.Equal(t, usual.Glyphs, odd.Glyphs)
	assert.Zero(t, lipgloss.Width(usual.Rule(-1)))
}

// Two looks made from two terminals must not share anything that changes.
func TestLooksAreIndependent(t *testing.T) {
	a := New(rendererOf(termenv.ANSI256), Options{Palette: Dark})
	before := texts(a)
	b := New(rendererOf(termenv.Ascii), Options{Palette: Light})
	assert.Equal(t, before, texts(a))
	assert.False(t, reflect.DeepEqual(texts(a), texts(b)))
}

// rxvt(1), environment: COLORFGBG is "front;background" or "front;default;background".
func TestBackgroundByEnvironment(t *testing.T) {
	for value, want := range map[string]Palette{"": Dark, "15;0": Dark, "0;15": Light, "0;default;15": Light, "0;7": Light, "7;8": Dark, "15;default": Dark, "x": Dark} {
		assert.Equal(t, want, PaletteFor(value), value)
	}
}
