package look

import (
	"strconv"
	"strings"

	"github.com/muesli/termenv"
)

// An Ink is what a paper cell is drawn with. A meaning has an ink; a signal has
// none of its own, so that no colour comes to stand for a lead or a pulse.
type Ink uint8

// The inks of the paper.
const (
	InkTrace Ink = iota // the one accent for everything that was recorded
	InkMark             // wave labels, interval brackets
	InkMiss             // what must not be missed; stands on GroundMiss
	InkText             // lead name, speed, gain
	InkFaint            // ticks and small labels
	Inks                // how many there are
)

// A Ground is what a paper cell lies on.
type Ground uint8

// The grounds of the paper.
const (
	PaperA     Ground = iota // the two tints of the chequer, one big box each
	PaperB                   //
	GroundMiss               // under InkMiss
	Grounds                  // how many there are
)

// PaletteFor is the palette for what a terminal says of itself in COLORFGBG: the
// numbers of its front and its background colour among the 16, the last of them the
// background (rxvt's convention; 7 and 9 to 15 are light). Without it a terminal
// counts as dark.
func PaletteFor(colorfgbg string) Palette {
	parts := strings.Split(colorfgbg, ";")
	if n, err := strconv.Atoi(parts[len(parts)-1]); err == nil && (n == 7 || n >= 9 && n <= 15) {
		return Light
	}
	return Dark
}

// A colour is one entry of the terminal's 256 and the nearest useful one of its
// 16. Design is in 256 colours; a true-colour terminal is given the same entries.
type colour struct{ x256, x16 uint8 }

// A scheme is all the colours of one palette.
type scheme struct {
	ink    [Inks]colour
	ground [Grounds]colour
	text   textColours
}

// textColours are for words outside the paper, on the terminal's own background,
// which the palette's name only says to be light or dark. Body text keeps the
// terminal's own colour.
type textColours struct {
	faint, key, chosen, right, wrong colour
}

// Numbers are the Okabe and Ito (2008, Color Universal Design) colours as entries
// of the 256: black 16, orange 178, sky 74, green 36, yellow 221, blue 25. On
// white only black and blue of these reach text contrast: 24 and 94 are their blue
// and orange, darkened until they do. TestContrast holds every pair to its ratio.
func schemeOf(p Palette) scheme {
	miss := colour{16, 0}
	switch p {
	case Light:
		return scheme{
			ink:    [Inks]colour{{16, 0}, {24, 4}, miss, {235, 0}, {240, 0}},
			ground: [Grounds]colour{{255, 15}, {224, 7}, {178, 3}},
			text:   textColours{faint: colour{240, 0}, key: colour{25, 4}, chosen: colour{25, 4}, right: colour{25, 4}, wrong: colour{94, 1}},
		}
	case HighContrast:
		return scheme{
			ink:    [Inks]colour{{231, 15}, {221, 11}, miss, {231, 15}, {252, 15}},
			ground: [Grounds]colour{{16, 0}, {235, 0}, {221, 11}},
			text:   textColours{faint: colour{252, 15}, key: colour{221, 11}, chosen: colour{221, 11}, right: colour{231, 15}, wrong: colour{221, 11}},
		}
	default: // Dark
		return scheme{
			ink:    [Inks]colour{{74, 15}, {221, 11}, miss, {252, 15}, {248, 15}},
			ground: [Grounds]colour{{234, 0}, {236, 8}, {178, 3}},
			text:   textColours{faint: colour{248, 7}, key: colour{74, 14}, chosen: colour{221, 11}, right: colour{36, 10}, wrong: colour{178, 11}},
		}
	}
}

// sgr is the escape sequence (ECMA-48 SGR, and the usual extension of it to 256
// colours) that selects c in front or behind, or "" where there is no colour.
func (c colour) sgr(p termenv.Profile, behind bool) string {
	switch p {
	case termenv.Ascii:
		return ""
	case termenv.ANSI:
		code := 30 + int(c.x16)
		if c.x16 >= 8 {
			code = 90 + int(c.x16) - 8
		}
		if behind {
			code += 10
		}
		return "\x1b[" + strconv.Itoa(code) + "m"
	default:
		layer := "38"
		if behind {
			layer = "48"
		}
		return "\x1b[" + layer + ";5;" + strconv.Itoa(int(c.x256)) + "m"
	}
}
