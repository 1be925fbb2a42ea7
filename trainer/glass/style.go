package glass

import (
	"strconv"
	"strings"
)

// A style is how a cell is shown: the state of the terminal's SGR (ECMA-48 8.3.117
// and the usual extension of it to 256 and to 24-bit colours).
type style struct {
	front, back colour
	emphasis    uint16 // bit n is set by SGR n, 1 to 9
}

// A colour is none, or its kind in the upper byte and its value below.
type colour uint32

// The kinds of colours.
const (
	of16  colour = 1 << 24
	of256 colour = 2 << 24
	ofRGB colour = 3 << 24
)

// Kinds of emphasis: reversed swaps the colours; seenOnBlank are all those that show
// where there is no character (underlined and crossed out besides).
const (
	reversed    = 1 << 7
	seenOnBlank = 1<<4 | 1<<9 | reversed
)

// take applies the parameters of one SGR sequence; false for one that is not known.
func (s *style) take(params string) bool {
	var codes [16]int
	n, value := 0, 0
	for i := 0; i <= len(params); i++ {
		if i < len(params) && params[i] != ';' {
			if params[i] < '0' || params[i] > '9' || value > 255 {
				return false
			}
			value = 10*value + int(params[i]-'0')
			continue
		}
		if n == len(codes) {
			return false
		}
		codes[n], n, value = value, n+1, 0
	}
	for list := codes[:n]; len(list) > 0; {
		used := s.apply(list)
		if used == 0 {
			return false
		}
		list = list[used:]
	}
	return true
}

// apply takes the first code of a list with what belongs to it, and returns how many
// codes that was; 0 for one that is not known.
func (s *style) apply(list []int) int {
	switch code := list[0]; {
	case code == 0:
		*s = style{}
	case code < 10:
		s.emphasis |= 1 << code
	case code == 22:
		s.emphasis &^= 1<<1 | 1<<2
	case code >= 23 && code <= 29:
		s.emphasis &^= 1 << (code - 20)
	case code >= 30 && code <= 37:
		s.front = of16 | colour(code-30)
	case code >= 90 && code <= 97:
		s.front = of16 | colour(code-90+8)
	case code >= 40 && code <= 47:
		s.back = of16 | colour(code-40)
	case code >= 100 && code <= 107:
		s.back = of16 | colour(code-100+8)
	case code == 39:
		s.front = 0
	case code == 49:
		s.back = 0
	case code == 38 || code == 48:
		c, used := fine(list[1:])
		if code == 38 {
			s.front = c
		} else {
			s.back = c
		}
		return used
	default:
		return 0
	}
	return 1
}

// fine reads what follows 38 or 48; used counts that code too, 0 for an error.
func fine(list []int) (c colour, used int) {
	switch {
	case len(list) >= 2 && list[0] == 5:
		return of256 | colour(list[1]), 3
	case len(list) >= 4 && list[0] == 2:
		return ofRGB | colour(list[1])<<16 | colour(list[2])<<8 | colour(list[3]), 5
	default:
		return 0, 0
	}
}

// appendChange appends the shortest sequence that leads from one style to another.
func appendChange(buf []byte, from, to style) []byte {
	if from == to {
		return buf
	}
	buf = append(buf, "\x1b["...)
	begin := len(buf)
	if lost := from.emphasis &^ to.emphasis; lost != 0 || to == (style{}) {
		buf, from = append(buf, '0', ';'), style{}
	}
	for n := 1; n < 10; n++ {
		if bit := uint16(1) << n; to.emphasis&bit != 0 && from.emphasis&bit == 0 {
			buf = append(strconv.AppendInt(buf, int64(n), 10), ';')
		}
	}
	if to.front != from.front {
		buf = to.front.append(buf, 30)
	}
	if to.back != from.back {
		buf = to.back.append(buf, 40)
	}
	if string(buf[begin:]) == "0;" {
		buf = buf[:begin]
	} else {
		buf = buf[:len(buf)-1]
	}
	return append(buf, 'm')
}

// append writes the codes of a colour, each with a semicolon, counted from 30 in
// front and from 40 behind.
func (c colour) append(buf []byte, base int64) []byte {
	value := int64(c & 0xffffff)
	switch c &^ 0xffffff {
	case of16:
		if value >= 8 {
			base, value = base+60, value-8
		}
		buf = strconv.AppendInt(buf, base+value, 10)
	case of256:
		buf = append(strconv.AppendInt(buf, base+8, 10), ";5;"...)
		buf = strconv.AppendInt(buf, value, 10)
	case ofRGB:
		buf = append(strconv.AppendInt(buf, base+8, 10), ";2;"...)
		buf = append(strconv.AppendInt(buf, value>>16, 10), ';')
		buf = append(strconv.AppendInt(buf, value>>8&255, 10), ';')
		buf = strconv.AppendInt(buf, value&255, 10)
	default:
		buf = strconv.AppendInt(buf, base+9, 10)
	}
	return append(buf, ';')
}

// An id names a style of an atlas; 0 is the terminal's own.
type id uint16

// most is how many styles an atlas takes: pages use some dozens.
const most = 4096

// An atlas numbers the styles of a terminal's pages, so that a cell is one word. It
// remembers the steps that pages take all the time: nearly every sequence in a strip
// is one of a handful.
type atlas struct {
	styles  []style
	blanks  []id // of each style, what a blank in it looks like
	ids     map[style]id
	steps   [64]step
	changes [64]change
}

// A step is what one sequence in a page does.
type step struct {
	from, to id
	params   string
	ok       bool
}

// A change is how the terminal's pen gets from one style to another.
type change struct {
	from, to id
	blank    bool // only for a blank: the front colour may stay
	pen      id   // what it then is
	bytes    []byte
}

func newAtlas() *atlas {
	return &atlas{styles: []style{{}}, blanks: []id{0}, ids: map[style]id{{}: 0}}
}

// id numbers a style; false when there are too many.
func (a *atlas) id(s style) (id, bool) {
	n, known := a.ids[s]
	if known || len(a.styles) >= most {
		return n, known
	}
	n = id(len(a.styles))
	a.ids[s] = n
	a.styles, a.blanks = append(a.styles, s), append(a.blanks, n)
	if s.emphasis&seenOnBlank == 0 && s != (style{back: s.back}) {
		blank, ok := a.id(style{back: s.back})
		if !ok {
			return 0, false
		}
		a.blanks[n] = blank
	}
	return n, true
}

// take follows one SGR sequence from a style; false where it is not known.
func (a *atlas) take(from id, params string) (id, bool) {
	hash := uint(from)*31 + uint(len(params))
	if n := len(params); n > 1 {
		hash += uint(params[n-1])*7 + uint(params[0])*5 + uint(params[n-2])
	}
	s := &a.steps[hash%uint(len(a.steps))]
	if s.ok && s.from == from && s.params == params {
		return s.to, true
	}
	pen := a.styles[from]
	if !pen.take(params) {
		return 0, false
	}
	to, ok := a.id(pen)
	*s = step{from, to, strings.Clone(params), ok}
	return to, ok
}

// append appends what brings the pen from one style to another, and returns the
// pen's style after it.
func (a *atlas) append(buf []byte, from, to id, blank bool) ([]byte, id) {
	if from == to {
		return buf, to
	}
	hash := uint(from)*31 + uint(to)*2
	if blank {
		hash++
	}
	c := &a.changes[hash%uint(len(a.changes))]
	if c.from == from && c.to == to && c.blank == blank {
		return append(buf, c.bytes...), c.pen
	}
	*c = change{from: from, to: to, blank: blank, pen: to, bytes: c.bytes[:0]}
	before, after := a.styles[from], a.styles[to]
	if blank && after.emphasis == 0 && before.emphasis&seenOnBlank == 0 {
		before.back = after.back
		if pen, ok := a.id(before); ok {
			c.pen = pen
		}
	}
	c.bytes = appendChange(c.bytes, a.styles[from], a.styles[c.pen])
	return append(buf, c.bytes...), c.pen
}
