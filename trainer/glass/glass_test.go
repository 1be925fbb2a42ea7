package glass

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/hinshun/vt10x"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shown is the cells of an emulator with their colours and emphasis.
func shown(term vt10x.Terminal) string {
	cols, rows := term.Size()
	var b strings.Builder
	for y := range rows {
		for x := range cols {
			g := term.Cell(x, y)
			if g.Char == 0 || g.Char == ' ' {
				g.Char = ' '
				const visible = 1 << 1 // vt10x: underlined; reversal is in the colours
				if g.Mode&visible == 0 {
					g.FG, g.Mode = 0, 0 // unseen
				}
			}
			fmt.Fprintf(&b, "%c%d/%d/%d ", g.Char, g.FG, g.BG, g.Mode)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// plainly shows a page on a terminal that was blank.
func plainly(page string, cols, rows int) string {
	term := vt10x.New(vt10x.WithSize(cols, rows))
	for i, line := range strings.Split(page, "\n")[:min(rows, strings.Count(page, "\n")+1)] {
		fmt.Fprintf(term, "\x1b[%dH%s\x1b[0m", i+1, ansi.Truncate(line, cols, ""))
	}
	return shown(term)
}

// opened is a pane over an emulator, on the alternate screen, whose pages are shown
// by the test itself.
func opened(t *testing.T, cols, rows int) (*Pane, vt10x.Terminal, *bytes.Buffer) {
	term := vt10x.New(vt10x.WithSize(cols, rows))
	sent := new(bytes.Buffer)
	p := &Pane{out: both{term, sent}, wake: make(chan struct{}, 1), done: make(chan struct{}), atlas: newAtlas()}
	p.resize(cols, rows)
	_, err := p.Write([]byte(altScreenOn))
	require.NoError(t, err)
	return p, term, sent
}

type both struct {
	a vt10x.Terminal
	b *bytes.Buffer
}

func (w both) Write(p []byte) (int, error) {
	w.b.Write(p)
	return w.a.Write(p)
}

func (p *Pane) showNow(page string) {
	p.Show(page)
	p.Flush()
}

// randomPage writes lines of words, strips and blanks in random colours.
func randomPage(rng *rand.Rand, cols, rows int) string {
	pens := []string{"\x1b[0m", "\x1b[1m", "\x1b[4m", "\x1b[7m", "\x1b[22;24m", "\x1b[31m", "\x1b[97m", "\x1b[39m", "\x1b[44m", "\x1b[103m",
		"\x1b[49m", "\x1b[38;5;74m", "\x1b[48;5;234m", "\x1b[48;5;236m", "\x1b[1;38;5;221m", "\x1b[m"}
	runes := []rune("ab  ...⠁⣿⡇│█…é     ")
	var b strings.Builder
	for row := range rng.IntN(rows + 2) {
		if row > 0 {
			b.WriteByte('\n')
		}
		for range rng.IntN(cols + 4) {
			if rng.IntN(3) == 0 {
				b.WriteString(pens[rng.IntN(len(pens))])
			}
			b.WriteRune(runes[rng.IntN(len(runes))])
		}
		b.WriteString("\x1b[0m")
	}
	return b.String()
}

// Whatever came before, the terminal shows the page.
func TestTheScreenIsThePage(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 4))
	cols, rows := 20, 6
	p, term, _ := opened(t, cols, rows)
	page := randomPage(rng, cols, rows)
	for step := range 3000 {
		switch rng.IntN(12) {
		case 0: // another page
			page = randomPage(rng, cols, rows)
		case 1: // somebody else writes over it
			p.showNow(page)
			_, err := p.Write([]byte("\x1b[H\x1b[31mxxxxxx\x1b[K"))
			require.NoError(t, err)
		case 2:
			cols, rows = 1+rng.IntN(30), 1+rng.IntN(8)
			term.Resize(cols, rows)
			p.resize(cols, rows)
		default: // some lines of it
			lines, others := strings.Split(page, "\n"), strings.Split(randomPage(rng, cols, rows), "\n")
			i := rng.IntN(len(lines))
			lines[i] = others[min(i, len(others)-1)]
			page = strings.Join(lines, "\n")
		}
		p.showNow(page)
		require.Equal(t, plainly(page, cols, rows), shown(term), "step %d, %d by %d, page %q", step, cols, rows, page)
	}
}

func TestNothingIsSentForTheSamePage(t *testing.T) {
	p, _, sent := opened(t, 20, 3)
	p.showNow("one\ntwo")
	sent.Reset()
	p.showNow("one\ntwo")
	assert.Empty(t, sent.String())
	p.showNow("\x1b[39mone\x1b[0m\ntwo ")
	assert.Empty(t, sent.String(), "it looks the same")
}

func TestOnlyWhatChangedIsSent(t *testing.T) {
	p, _, sent := opened(t, 20, 3)
	p.showNow("a long line of it\nand another")
	for _, tt := range []struct{ page, want string }{
		{"a long line of is\nand another", "\x1b[1;17Hs"},
		{"a long time of is\nand another", "\x1b[1;8Htim"},
		{"a long time of is\nand", "\x1b[2;4H\x1b[K"},
		{"A long\x1b[1m time\x1b[0m of is\nand", "\x1b[1;1HA\x1b[6C\x1b[1mtime\x1b[m"},
	} {
		sent.Reset()
		p.showNow(tt.page)
		assert.Equal(t, updateBegins+tt.want+updateEnds, sent.String(), "to %q", tt.page)
	}
}

// For a screen reader a line is what is said.
func TestWholeLines(t *testing.T) {
	p, _, sent := opened(t, 20, 3)
	p.WholeLines()
	p.showNow("a long line of it\nand another")
	sent.Reset()
	p.showNow("a long line of is\nand another")
	assert.Equal(t, updateBegins+"\x1b[1;1Ha long line of is\x1b[K"+updateEnds, sent.String())
}

// A line of wide characters is drawn in one piece, as a terminal lays it out.
func TestWideCharactersGoInOnePiece(t *testing.T) {
	p, _, sent := opened(t, 20, 2)
	p.showNow("narrow\nhere")
	sent.Reset()
	p.showNow("山田\nhere")
	assert.Equal(t, updateBegins+"\x1b[1;1H山田\x1b[0m\x1b[K"+updateEnds, sent.String())
	sent.Reset()
	p.showNow("narrow\nhere")
	assert.Equal(t, updateBegins+"\x1b[1;1Hnarrow\x1b[K"+updateEnds, sent.String(), "what was there is not known")
}

// Outside the alternate screen the terminal is somebody else's.
func TestNothingIsDrawnOnTheMainScreen(t *testing.T) {
	p, _, sent := opened(t, 20, 2)
	_, _ = p.Write([]byte(altScreenOff))
	sent.Reset()
	p.showNow("page")
	assert.Empty(t, sent.String())
	_, _ = p.Write([]byte(altScreenOn))
	assert.Contains(t, sent.String(), "page", "on return it is there at once")
}

// A gate lets a writer through when it is told to.
type gate struct {
	let  chan struct{}
	mu   sync.Mutex
	sent []string
}

func (g *gate) Write(b []byte) (int, error) {
	<-g.let
	g.mu.Lock()
	defer g.mu.Unlock()
	g.sent = append(g.sent, string(b))
	return len(b), nil
}

// While the terminal takes no more, pages are replaced and not queued, and nobody
// waits.
func TestASlowTerminalGetsFewerPages(t *testing.T) {
	g := &gate{let: make(chan struct{}, 100)}
	p := New(g)
	defer p.Close()
	p.resize(20, 1)
	g.let <- struct{}{}
	_, _ = p.Write([]byte(altScreenOn))
	for i := range 1000 {
		p.Show(fmt.Sprintf("page %d", i))
	}
	p.Show("THE LAST") // no cell of it as on a page before
	for range 10 {
		g.let <- struct{}{}
	}
	require.Eventually(t, func() bool {
		g.mu.Lock()
		defer g.mu.Unlock()
		return strings.Contains(strings.Join(g.sent, ""), "THE LAST")
	}, 10*time.Second, time.Millisecond)
	g.mu.Lock()
	defer g.mu.Unlock()
	assert.LessOrEqual(t, len(g.sent), 4, "the opening, the page under way, one more and the last")
}

// A model that counts how often it is drawn.
type counting struct{ text string }

func (c counting) Init() tea.Cmd                       { return nil }
func (c counting) Update(tea.Msg) (tea.Model, tea.Cmd) { return counting{c.text + "+"}, nil }
func (c counting) View() string                        { return c.text }

func TestWrappedModelDrawsHere(t *testing.T) {
	p, term, _ := opened(t, 1, 1)
	m := p.Wrap(counting{"page"})
	m, _ = m.Update(tea.WindowSizeMsg{Width: 20, Height: 2})
	term.Resize(20, 2)
	assert.Empty(t, m.View(), "bubbletea has nothing to draw")
	p.Flush()
	assert.Equal(t, plainly("page+", 20, 2), shown(term))
}

func FuzzParse(f *testing.F) {
	f.Add("plain")
	f.Add("\x1b[1;38;5;74mA\x1b[48;2;1;2;3m \x1b[0m⠁…")
	f.Add("\x1b[999999999999m\x1b[;m\x1b[38m\x1b[38;5m\x1b")
	f.Fuzz(func(t *testing.T, text string) {
		cells := make([]cell, 12)
		if !newAtlas().parse(text, cells) {
			return
		}
		for _, c := range cells {
			r := c.rune()
			assert.True(t, r == 0 || r >= ' ' && r != 0x7f, "%q", r)
		}
	})
}
