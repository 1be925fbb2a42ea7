//go:build !windows

package main

import (
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The main job once more, in a terminal that others wrote.
func TestTmux(t *testing.T) {
	path, err := exec.LookPath("tmux")
	if err != nil {
		t.Skip("tmux is not installed: this test runs the program in it")
	}
	program := build(t)
	m := startMultiplexer(t, path)
	together(t, atSizes(func(t *testing.T, seed uint64, cols, rows int) {
		h := newHome(t, program)
		story(t, h, 1000+seed, func(args ...string) window { return m.open(t, h, cols, rows, args...) })
	}))
}

// A multiplexer is a tmux server of our own, apart from any other on the machine.
type multiplexer struct {
	path, socket string
	env          []string
	runs         atomic.Int64 // of the program
}

func startMultiplexer(t *testing.T, path string) *multiplexer {
	t.Helper()
	folder, err := os.MkdirTemp("", "tmux") // short: the path of a socket may have some 100 bytes
	require.NoError(t, err)
	m := &multiplexer{path: path, socket: fmt.Sprintf("telltrace-test-%d", os.Getpid()),
		env: []string{"TMUX_TMPDIR=" + folder, "PATH=" + os.Getenv("PATH"), "HOME=" + folder, "LANG=C.UTF-8", "SHELL=/bin/sh"}}
	t.Cleanup(func() {
		_, _ = m.run("kill-server")
		_ = os.RemoveAll(folder)
	})
	// A session that stays, so that the server does.
	out, err := m.run("-f", os.DevNull, "new-session", "-d", "-s", "stays", "cat", ";", "set-option", "-g", "status", "off")
	require.NoError(t, err, out)
	return m
}

// run sends the server a command.
func (m *multiplexer) run(args ...string) (string, error) {
	cmd := exec.Command(m.path, append([]string{"-L", m.socket}, args...)...)
	cmd.Env = m.env
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// A pane is one start of the program in tmux.
type pane struct {
	t  *testing.T
	m  *multiplexer
	id string
}

// open starts the program in a window of its own. The shell round it tells the exit
// code and keeps the page.
func (m *multiplexer) open(t *testing.T, h *home, cols, rows int, args ...string) *pane {
	t.Helper()
	name := fmt.Sprintf("run-%d", m.runs.Add(1))
	var line []string
	for _, e := range h.env {
		if !strings.HasPrefix(e, "TERM=") { // tmux knows which terminal it is
			line = append(line, e)
		}
	}
	line = append(append([]string{"env"}, line...), h.program)
	line = append(line, args...)
	for i, word := range line {
		line[i] = "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
	}
	out, err := m.run("new-session", "-d", "-s", name, "-x", strconv.Itoa(cols), "-y", strconv.Itoa(rows), "-P", "-F", "#{pane_id} #{pane_width}x#{pane_height}",
		strings.Join(line, " ")+`; echo "left with $?."; exec cat`)
	require.NoError(t, err, out)
	id, size, _ := strings.Cut(strings.TrimSpace(out), " ")
	require.Equal(t, fmt.Sprintf("%dx%d", cols, rows), size)
	t.Cleanup(func() { _, _ = m.run("kill-session", "-t", "="+name) })
	return &pane{t: t, m: m, id: id}
}

// Type sends bytes, as they are.
func (p *pane) Type(keys string) {
	p.t.Helper()
	args := []string{"send-keys", "-t", p.id, "-H"}
	for _, b := range []byte(keys) {
		args = append(args, fmt.Sprintf("%02x", b))
	}
	out, err := p.m.run(args...)
	require.NoError(p.t, err, out)
}

// Page is what tmux shows.
func (p *pane) Page() string {
	p.t.Helper()
	out, err := p.m.run("capture-pane", "-p", "-t", p.id)
	require.NoError(p.t, err, out)
	return out
}

// Await looks at the page again and again: tmux does not tell when it changes.
func (p *pane) Await(what string, there func(page string) bool) {
	p.t.Helper()
	late := time.NewTimer(patience)
	defer late.Stop()
	again := time.NewTicker(50 * time.Millisecond)
	defer again.Stop()
	for {
		page := p.Page()
		if there(page) {
			return
		}
		select {
		case <-again.C:
		case <-late.C:
			p.t.Fatalf("waited %v for %s; the page is:\n%s", patience, what, page)
		}
	}
}

// Settled waits until the page stays the same.
func (p *pane) Settled() string {
	p.t.Helper()
	last, since := p.Page(), time.Now()
	p.Await("a page that stands still", func(page string) bool {
		if page != last {
			last, since = page, time.Now()
		}
		return time.Since(since) >= quiet
	})
	return last
}

var leftWith = regexp.MustCompile(`left with (\d+)\.`)

// Left waits for the end.
func (p *pane) Left() int {
	p.t.Helper()
	p.Await("the end of the program", leftWith.MatchString)
	code, err := strconv.Atoi(leftWith.FindStringSubmatch(p.Page())[1])
	require.NoError(p.t, err)
	return code
}
