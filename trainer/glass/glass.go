// Package glass puts pages on a terminal: of each page only the cells that differ
// from what is there. bubbletea's own renderer rewrites every changed line and
// measures the width of each, which for a strip that moves is most of its work. The
// pane stands beside it: bubbletea still opens and closes the screen, reads keys and
// knows the window, but is given an empty page, and Wrap hands the real one here.
// Whatever bubbletea writes goes through the pane too, which then draws its page
// anew, so that the two never disagree about the screen.
//
// A terminal that is slow gets fewer pages: the newest one replaces one that waits.
package glass

import (
	"bytes"
	"io"
	"strconv"
	"strings"
	"sync"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/term"

	"telltrace/trainer/paper"
)

// Sequences of the terminal (ECMA-48; the private ones are xterm's: "Xterm Control
// Sequences", and the synchronized update of contour's specification, which others
// ignore).
const (
	altScreenOn  = "\x1b[?1049h"
	altScreenOff = "\x1b[?1049l"
	updateBegins = "\x1b[?2026h"
	updateEnds   = "\x1b[?2026l"
	eraseToEnd   = "\x1b[K"
)

// A Pane is one terminal. Its methods may be called from any goroutine.
type Pane struct {
	out  io.Writer
	wake chan struct{} // a page waits
	done chan struct{}

	mu      sync.Mutex // of what waits; never held while writing
	waiting struct {
		page  string
		bands []Band
		fresh bool // not yet taken
	}
	cols int
	rows int

	screen  sync.Mutex // of what follows and of out
	open    bool       // the alternate screen is ours
	known   bool       // the cells are what is on the screen
	whole   bool       // lines are written from end to end
	page    string
	bands   []Band
	pens    pens
	lines   []line
	cells   grid
	atlas   *atlas
	buf     []byte
	pen     id
	changed []altered // of a row, kept for their memory
}

// New makes a pane over a terminal's output. Close ends it.
func New(out io.Writer) *Pane {
	p := &Pane{out: out, wake: make(chan struct{}, 1), done: make(chan struct{}), atlas: newAtlas()}
	go p.run()
	return p
}

// Output is what bubbletea is to write to. It is a terminal file where the pane's
// own output is one, so that bubbletea finds the window's size.
func (p *Pane) Output() io.Writer {
	if f, ok := p.out.(term.File); ok {
		return file{f, p}
	}
	return p
}

type file struct {
	term.File
	pane *Pane
}

func (f file) Write(b []byte) (int, error) { return f.pane.Write(b) }

// WholeLines makes the pane write a line that has changed from end to end, as a screen
// reader reads what is written.
func (p *Pane) WholeLines() {
	p.screen.Lock()
	p.whole = true
	p.screen.Unlock()
}

// Close stops the pane; what waits is not shown any more.
func (p *Pane) Close() { close(p.done) }

// Show makes page what the terminal shows as soon as it can: lines separated by line
// feeds, which may select colours and emphasis (SGR) and end as they began. The rows
// of bands come from these. Nothing of what is given is kept.
func (p *Pane) Show(page string, bands ...Band) {
	p.mu.Lock()
	w := &p.waiting
	w.page, w.fresh = page, true
	old := w.bands[:cap(w.bands)]
	w.bands = w.bands[:0]
	for i, b := range bands {
		var memory []paper.Code
		if i < len(old) {
			memory = old[i].Cells
		}
		w.bands = append(w.bands, b.copyOf(memory))
	}
	p.mu.Unlock()
	select {
	case p.wake <- struct{}{}:
	default: // it will take the newest
	}
}

// resize gives the window's size, in cells.
func (p *Pane) resize(cols, rows int) {
	p.mu.Lock()
	p.cols, p.rows = cols, rows
	p.mu.Unlock()
}

func (p *Pane) run() {
	for {
		select {
		case <-p.done:
			return
		case <-p.wake:
			p.Flush()
		}
	}
}

// Flush draws the page that waits, without leaving it to later.
func (p *Pane) Flush() {
	p.screen.Lock()
	defer p.screen.Unlock()
	p.take()
	if p.open && p.draw() {
		_, _ = p.out.Write(p.buf) // a terminal that is gone ends the program by its input
	}
}

// take takes the page and the size that wait.
func (p *Pane) take() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if w := &p.waiting; w.fresh {
		p.page, w.fresh = w.page, false
		p.bands, w.bands = w.bands, p.bands // whose memory is used again
	}
	if p.cells.resize(p.cols, p.rows) {
		p.known = false
	}
}

// Write passes on what somebody else writes to the terminal, and draws the page
// anew behind it.
func (p *Pane) Write(b []byte) (int, error) {
	p.screen.Lock()
	defer p.screen.Unlock()
	if on, off := bytes.LastIndex(b, []byte(altScreenOn)), bytes.LastIndex(b, []byte(altScreenOff)); on != off {
		p.open = on > off
	}
	p.known = false
	if !p.open {
		return p.out.Write(b)
	}
	p.take()
	p.draw()
	n, err := p.out.Write(append(append(make([]byte, 0, len(b)+len(p.buf)), b...), p.buf...))
	return min(n, len(b)), err
}

// draw puts into buf what changes the screen to the page, false when nothing does.
func (p *Pane) draw() bool {
	p.buf = append(p.buf[:0], updateBegins...)
	if !p.known {
		p.lines = p.lines[:0]
		p.buf, p.pen = append(p.buf, "\x1b[0m"...), 0
	}
	before, rest := len(p.buf), p.page
	for row := range p.cells.rows {
		var text string
		text, rest, _ = strings.Cut(rest, "\n")
		if !p.bandRow(row) {
			p.line(row, text)
		}
	}
	if len(p.buf) == before && p.known {
		return false
	}
	p.known = true
	p.use(0, false)
	p.buf = append(p.buf, updateEnds...)
	return true
}

// Wrap makes the program draw on the pane in place of bubbletea's renderer.
func (p *Pane) Wrap(m tea.Model) tea.Model { return wrapped{m, p} }

type wrapped struct {
	tea.Model
	pane *Pane
}

func (w wrapped) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if size, ok := msg.(tea.WindowSizeMsg); ok {
		w.pane.resize(size.Width, size.Height)
	}
	next, cmd := w.Model.Update(msg)
	return wrapped{next, w.pane}, cmd
}

// A Painter is a model that gives part of its page as bands.
type Painter interface {
	Paint() (page string, bands []Band)
}

// View shows the page; bubbletea asks for it after each message.
func (w wrapped) View() string {
	if painter, ok := w.Model.(Painter); ok {
		page, bands := painter.Paint()
		w.pane.Show(page, bands...)
	} else {
		w.pane.Show(w.Model.View())
	}
	return ""
}

func appendMove(buf []byte, row, col int) []byte {
	buf = append(buf, "\x1b["...)
	buf = strconv.AppendInt(buf, int64(row)+1, 10)
	buf = append(buf, ';')
	buf = strconv.AppendInt(buf, int64(col)+1, 10)
	return append(buf, 'H')
}

func appendForward(buf []byte, cells int) []byte {
	buf = append(buf, "\x1b["...)
	if cells > 1 {
		buf = strconv.AppendInt(buf, int64(cells), 10)
	}
	return append(buf, 'C')
}
