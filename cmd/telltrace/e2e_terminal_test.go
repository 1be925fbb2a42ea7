//go:build !windows

package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/creack/pty"
	"github.com/hinshun/vt10x"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// patience is how long a page may take to come: far more than it does, so that only
// a program that hangs is found wanting, not a busy machine.
const patience = 20 * time.Second

// build makes the program as it is given out.
func build(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "telltrace")
	out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput()
	require.NoError(t, err, "%s", out)
	return path
}

// A home is the world of one learner: the folders the program writes to, and its
// environment.
type home struct {
	program string
	folder  string
	env     []string
}

// newHome makes a home in which nothing has been started yet. Its path is short, as
// those of users are.
func newHome(t *testing.T, program string) *home {
	t.Helper()
	folder, err := os.MkdirTemp("", "home")
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, os.RemoveAll(folder)) })
	h := &home{program: program, folder: folder}
	h.env = []string{"HOME=" + h.folder, "XDG_DATA_HOME=" + h.data(), "XDG_CONFIG_HOME=" + h.config(),
		"PATH=" + os.Getenv("PATH"), "TERM=xterm-256color", "LANG=C.UTF-8"}
	return h
}

// settledHome is a home where the questions of the first start are answered.
func settledHome(t *testing.T, program string) *home {
	h := newHome(t, program)
	path := filepath.Join(h.config(), "telltrace", "settings.json")
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
	require.NoError(t, os.WriteFile(path, []byte(`{"glyphs": "braille", "palette": "dark"}`), 0o600))
	return h
}

func (h *home) data() string   { return filepath.Join(h.folder, "data") }
func (h *home) config() string { return filepath.Join(h.folder, "config") }
func (h *home) store() string  { return filepath.Join(h.data(), "telltrace", "answers.db") }

// command is the program with arguments, at home.
func (h *home) command(args ...string) *exec.Cmd {
	cmd := exec.Command(h.program, args...)
	cmd.Dir, cmd.Env = h.folder, h.env
	return cmd
}

// A window shows the program to somebody who reads and types.
type window interface {
	Type(keys string)                                // as bytes that a keyboard sends
	Page() string                                    // the cells, row by row
	Await(what string, there func(page string) bool) // fails the test when it does not come
	Settled() string                                 // the page, once it has stood still
	Left() int                                       // the exit code, once it has ended
}

// see waits until the page says something, however its lines are broken.
func see(w window, words ...string) {
	for _, s := range words {
		w.Await(fmt.Sprintf("%q", s), func(page string) bool { return says(page, s) })
	}
}

func says(page, words string) bool { return strings.Contains(oneLine(page), oneLine(words)) }

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// Keys that are no letter.
const (
	enter = "\r"
	down  = "\x1b[B"
	ctrlC = "\x03"
	ctrlZ = "\x1a"
)

// readOn scrolls a page that stands still until it says something. It looks at whole
// pages only: one that is half drawn may lack what would then be scrolled away.
func readOn(t *testing.T, w window, words string) {
	t.Helper()
	for range 60 {
		if says(w.Page(), words) {
			return
		}
		page := w.Settled()
		if says(page, words) {
			return
		}
		w.Type(down)
		w.Await(fmt.Sprintf("more of the page, up to %q", words), func(now string) bool { return now != page })
	}
	t.Fatalf("%q is not on the page:\n%s", words, w.Page())
}

// quiet is how long a page stands still before it counts as drawn to its end.
const quiet = 150 * time.Millisecond

// A terminal is a pseudo-terminal with an emulator at the other end, and a program
// in it.
type terminal struct {
	t      *testing.T
	cmd    *exec.Cmd
	master *os.File
	tty    *os.File    // the program's end, kept open to read its modes
	before *term.State // the modes of the terminal before it ran
	after  *term.State // and once it has ended

	mu      sync.Mutex
	screen  vt10x.Terminal
	raw     bytes.Buffer  // all that was ever written
	changed chan struct{} // closed when more has come

	ended chan struct{} // closed when the program has ended and all is read
	code  int
}

// launch starts a command in a terminal that answers what it is asked.
func launch(t *testing.T, cmd *exec.Cmd, cols, rows int) *terminal {
	t.Helper()
	return launchIn(t, cmd, cols, rows, true)
}

// launchIn can also start it in a terminal that answers nothing, such as the
// question for its background colour.
func launchIn(t *testing.T, cmd *exec.Cmd, cols, rows int, answers bool) *terminal {
	t.Helper()
	master, tty, err := pty.Open()
	require.NoError(t, err)
	x := &terminal{t: t, cmd: cmd, master: master, tty: tty, changed: make(chan struct{}), ended: make(chan struct{})}
	var reply io.Writer = io.Discard
	if answers {
		reply = master
	}
	x.screen = vt10x.New(vt10x.WithSize(cols, rows), vt10x.WithWriter(reply))
	require.NoError(t, pty.Setsize(master, &pty.Winsize{Cols: uint16(cols), Rows: uint16(rows)}))
	x.before = x.modes()
	cmd.Stdin, cmd.Stdout, cmd.Stderr = tty, tty, tty
	if cmd.SysProcAttr == nil {
		cmd.SysProcAttr = new(syscall.SysProcAttr)
	}
	cmd.SysProcAttr.Setsid, cmd.SysProcAttr.Setctty = true, true
	require.NoError(t, cmd.Start())
	read := make(chan struct{})
	go func() {
		defer close(read)
		x.read()
	}()
	go func() {
		_ = cmd.Wait() // how it ended is in ProcessState
		x.after, _ = term.GetState(tty.Fd())
		tty.Close() // what it wrote last is read, then reading ends
		<-read
		x.code = cmd.ProcessState.ExitCode()
		close(x.ended)
	}()
	t.Cleanup(func() {
		_ = cmd.Process.Kill() // of no effect on one that has ended
		master.Close()
		<-x.ended
	})
	return x
}

// read takes in what the program writes.
func (x *terminal) read() {
	buf := make([]byte, 1<<16)
	for {
		n, err := x.master.Read(buf)
		x.mu.Lock()
		x.raw.Write(buf[:n])
		_, _ = x.screen.Write(buf[:n])
		close(x.changed)
		x.changed = make(chan struct{})
		x.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// modes are those of the terminal: echo, line by line, signals.
func (x *terminal) modes() *term.State {
	select {
	case <-x.ended:
		return x.after
	default:
	}
	state, err := term.GetState(x.tty.Fd())
	require.NoError(x.t, err)
	return state
}

// Type sends keys.
func (x *terminal) Type(keys string) {
	x.t.Helper()
	_, err := io.WriteString(x.master, keys)
	require.NoError(x.t, err)
}

// Page is what the emulator shows.
func (x *terminal) Page() string {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.page()
}

func (x *terminal) page() string {
	cols, rows := x.screen.Size()
	var b strings.Builder
	for y := range rows {
		line := make([]rune, cols)
		for col := range cols {
			if line[col] = x.screen.Cell(col, y).Char; line[col] == 0 {
				line[col] = ' '
			}
		}
		b.WriteString(strings.TrimRight(string(line), " ") + "\n")
	}
	return b.String()
}

// Raw is all that the program has written.
func (x *terminal) Raw() string {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.raw.String()
}

// Await looks at the page each time something is written, until it is as wanted.
func (x *terminal) Await(what string, there func(page string) bool) {
	x.t.Helper()
	late := time.NewTimer(patience)
	defer late.Stop()
	ended := x.ended
	for {
		x.mu.Lock()
		page, changed := x.page(), x.changed
		x.mu.Unlock()
		if there(page) {
			return
		}
		select {
		case <-changed:
		case <-ended:
			ended = nil // one last look
			if page := x.Page(); !there(page) {
				x.t.Fatalf("the program ended with code %d before %s:\n%s", x.code, what, page)
			}
		case <-late.C:
			x.t.Fatalf("waited %v for %s; the page is:\n%s", patience, what, page)
		}
	}
}

// Settled waits until nothing is written any more.
func (x *terminal) Settled() string {
	x.t.Helper()
	late := time.NewTimer(patience)
	defer late.Stop()
	still := time.NewTimer(quiet)
	defer still.Stop()
	for {
		x.mu.Lock()
		changed := x.changed
		x.mu.Unlock()
		select {
		case <-changed:
			still.Reset(quiet)
		case <-still.C:
			return x.Page()
		case <-late.C:
			x.t.Fatalf("the page does not stand still:\n%s", x.Page())
		}
	}
}

// Left waits for the end.
func (x *terminal) Left() int {
	x.t.Helper()
	late := time.NewTimer(patience)
	defer late.Stop()
	select {
	case <-x.ended:
	case <-late.C:
		x.t.Fatalf("the program has not ended after %v; the page is:\n%s", patience, x.Page())
	}
	return x.code
}

// Resize changes the window.
func (x *terminal) Resize(cols, rows int) {
	x.t.Helper()
	x.mu.Lock()
	x.screen.Resize(cols, rows)
	x.mu.Unlock()
	require.NoError(x.t, pty.Setsize(x.master, &pty.Winsize{Cols: uint16(cols), Rows: uint16(rows)}))
}

// Signal sends the program a signal.
func (x *terminal) Signal(s os.Signal) {
	x.t.Helper()
	require.NoError(x.t, x.cmd.Process.Signal(s))
}

// HangUp closes the terminal under the program.
func (x *terminal) HangUp() {
	x.t.Helper()
	require.NoError(x.t, x.master.Close())
}
