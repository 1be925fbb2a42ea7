//go:build !windows

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/scoring/ledger/ledgertest"
	"telltrace/scoring/ledger/sqlite"
)

// However the program is made to end or to pause, what was answered is kept.
func TestInterrupted(t *testing.T) {
	if testing.Short() {
		t.Skip("the story alone under -short")
	}
	program := build(t)
	// kept answers the first question and lets end end it; then the answer must be
	// in the ledger.
	kept := func(end func(*testing.T, *terminal)) func(*testing.T) {
		return func(t *testing.T) {
			h := settledHome(t, program)
			x, s := practising(t, h, 21, 80, 24)
			s.look("p")
			s.name(s.e.Choices[1])
			end(t, x)
			s.kept(h.store())
		}
	}
	// politely: the program leaves by itself, and the terminal is as it was.
	politely := func(end func(*terminal)) func(*testing.T) {
		return kept(func(t *testing.T, x *terminal) {
			assert.NotEqual(t, x.before, x.modes(), "keys come one by one while it runs")
			end(x)
			assert.Zero(t, x.Left())
			leavesScreen(t, x, x.before)
		})
	}
	together(t, map[string]func(*testing.T){
		"ctrl-c":  politely(func(x *terminal) { x.Type(ctrlC) }),
		"SIGINT":  politely(func(x *terminal) { x.Signal(syscall.SIGINT) }),
		"SIGTERM": politely(func(x *terminal) { x.Signal(syscall.SIGTERM) }),
		"the terminal is closed": kept(func(t *testing.T, x *terminal) {
			x.HangUp()
			x.Left()
		}),
		"SIGKILL": kept(func(t *testing.T, x *terminal) {
			x.Signal(syscall.SIGKILL)
			assert.Equal(t, -1, x.Left(), "ended by the signal")
		}),
		"ctrl-z": func(t *testing.T) { suspended(t, program) },
	})
}

// leavesScreen checks that the alternate screen was left and the cursor shown again
// after they were last otherwise (DECSET 1049, 25 and 2004, xterm control
// sequences), and that the modes of the terminal are as they were.
func leavesScreen(t *testing.T, x *terminal, modes *term.State) {
	t.Helper()
	raw := x.Raw()
	for _, mode := range []struct{ name, on, off string }{
		{"the alternate screen", "\x1b[?1049h", "\x1b[?1049l"},
		{"the hidden cursor", "\x1b[?25l", "\x1b[?25h"},
		{"bracketed paste", "\x1b[?2004h", "\x1b[?2004l"},
	} {
		on := strings.LastIndex(raw, mode.on)
		require.GreaterOrEqual(t, on, 0, "%s was never on", mode.name)
		assert.Greater(t, strings.LastIndex(raw, mode.off), on, "%s is left on", mode.name)
	}
	assert.Equal(t, modes, x.modes(), "the modes of the terminal")
}

// Ctrl-Z gives the terminal back to the shell, and fg goes on where it was. The
// program runs under a shell: without one nobody could wake it.
func suspended(t *testing.T, program string) {
	h := settledHome(t, program)
	pidFile := filepath.Join(h.folder, "pid")
	h.env = append(h.env, "PS1=ready: ", "ENV=")
	shell := exec.Command("sh", "-i")
	shell.Dir, shell.Env = h.folder, h.env
	x := launch(t, shell, 80, 24)
	prompts := func(n int) {
		t.Helper()
		x.Await(fmt.Sprintf("%d prompts", n), func(page string) bool { return strings.Count(page, "ready:") == n })
	}
	prompts(1)
	atPrompt := x.modes()
	x.Type(fmt.Sprintf("sh -c 'echo $$ > %s; exec %s practise --seed 22'\r", pidFile, program))
	namesAtOnce(x)
	see(x, "What does it show?")
	x.Type("2")
	see(x, "> 2  ")
	x.Type(ctrlZ)
	see(x, "Stopped")
	prompts(2)
	leavesScreen(t, x, atPrompt)
	text, err := os.ReadFile(pidFile)
	require.NoError(t, err)
	if stat, err := os.ReadFile(filepath.Join("/proc", strings.TrimSpace(string(text)), "stat")); err == nil {
		// proc_pid_stat(5): the state follows the name in brackets.
		_, after, _ := strings.Cut(string(stat), ") ")
		assert.Equal(t, "T", after[:1], "stopped by a signal")
	}
	x.Type("fg\r")
	see(x, "What does it show?", "> 2  ")
	x.Type(enter)
	see(x, "What do you do first?")
	x.Type(ctrlC)
	prompts(3)
	leavesScreen(t, x, atPrompt)
	answers := stored(t, h.store())
	require.Len(t, answers, 1)
	assert.Equal(t, answers[0].Offered[1], answers[0].Chosen)
	x.Type("exit\r")
	x.Left()
}

// Folders and files that cannot serve: what is wrong is said, nothing is harmed.
func TestBadLedgers(t *testing.T) {
	if testing.Short() {
		t.Skip("the story alone under -short")
	}
	program := build(t)
	together(t, map[string]func(*testing.T){
		"a file in place of the folder": func(t *testing.T) {
			h := settledHome(t, program)
			require.NoError(t, os.WriteFile(h.data(), []byte("mine"), 0o600))
			withoutLog(t, h, launch(t, h.command("--seed", "31"), 120, 40))
			text, err := os.ReadFile(h.data())
			require.NoError(t, err)
			assert.Equal(t, "mine", string(text), "left alone")
		},
		"a clock set back": func(t *testing.T) {
			h := settledHome(t, program)
			require.NoError(t, os.MkdirAll(filepath.Dir(h.store()), 0o700))
			store, err := sqlite.Open(h.store())
			require.NoError(t, err)
			a := ledgertest.Answer(0)
			a.At, a.Learner = time.Now().Add(72*time.Hour), "ada"
			require.NoError(t, store.Add(t.Context(), a))
			require.NoError(t, store.Close())
			x := launch(t, h.command("--learner", "ada"), 80, 24)
			see(x, "This machine's clock stands at", "No answer is lost or counted twice")
			x.Type(enter)
			see(x, "Practise", "one to look at again")
			x.Type("q")
			assert.Zero(t, x.Left())
			assert.Len(t, stored(t, h.store()), 1)
		},
		"a path wider than the window": func(t *testing.T) {
			h := settledHome(t, program)
			h.folder = filepath.Join(h.folder, strings.Repeat("long_", 20))
			h.env = append(h.env, "XDG_DATA_HOME="+h.data())
			require.NoError(t, os.Mkdir(h.folder, 0o700))
			require.NoError(t, os.WriteFile(h.data(), nil, 0o600))
			withoutLog(t, h, launch(t, h.command("--seed", "31"), 120, 40))
		},
		"a folder that may not be written": func(t *testing.T) {
			h := settledHome(t, program)
			require.NoError(t, os.Mkdir(h.data(), 0o500))
			cmd := h.command("--seed", "31")
			if os.Geteuid() == 0 { // root may write anywhere: somebody else runs it
				const nobody = 65534
				cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
				letIn(t, h, program)
			}
			withoutLog(t, h, launch(t, cmd, 120, 40))
			left, err := os.ReadDir(h.data())
			require.NoError(t, err)
			assert.Empty(t, left)
		},
		"made by a newer version": func(t *testing.T) {
			h := settledHome(t, program)
			store, err := sqlite.Open(h.store())
			require.NoError(t, err)
			require.NoError(t, store.Close())
			file, err := os.ReadFile(h.store())
			require.NoError(t, err)
			const userVersion = 60 // its place in the header: SQLite file format, 1.3
			copy(file[userVersion:], []byte{0, 0, 999 >> 8, 999 & 0xff})
			require.NoError(t, os.WriteFile(h.store(), file, 0o600))

			x := launch(t, h.command(), 120, 40)
			see(x, "made by a newer telltrace", "999", "use the newer telltrace")
			assert.Equal(t, exitError, x.Left())
			assert.NotContains(t, x.Raw(), "\x1b[?1049h", "the trainer was not opened")
			after, err := os.ReadFile(h.store())
			require.NoError(t, err)
			assert.True(t, bytes.Equal(file, after), "not a byte is changed")
			beside, err := os.ReadDir(filepath.Dir(h.store()))
			require.NoError(t, err)
			assert.Len(t, beside, 1, "nothing was put beside it")
		},
	})
}

// withoutLog practises where answers cannot be kept: it is said, also later on, and
// practice goes on.
func withoutLog(t *testing.T, h *home, x *terminal) {
	t.Helper()
	e := drawn(t, 31, 1, scenarios.Wish{})[0]
	see(x, "Your answers cannot be kept", "without a log")
	x.Await("the whole path", func(page string) bool { return strings.Contains(noSpace(page), noSpace(h.store())) })
	x.Type(enter)
	see(x, "Practise", "none to look at again")
	before := time.Now()
	x.Type("p")
	s := (&sitting{t: t, window: x}).shows(e, ledger.Practise, 1, before)
	see(x, "answers are not kept")
	s.look("p")
	s.name(e.Strip.Subject())
	s.act(s.rightAction())
	see(x, "The name: right.", "answers are not kept")
	x.Type("qq")
	assert.Zero(t, x.Left())
}

// noSpace leaves the blanks out: a path may be broken anywhere.
func noSpace(s string) string { return strings.Join(strings.Fields(s), "") }

// letIn lets another user reach the home and the program.
func letIn(t *testing.T, h *home, program string) {
	t.Helper()
	top := filepath.Clean(os.TempDir())
	for _, path := range []string{program, filepath.Join(h.config(), "telltrace", "settings.json")} {
		require.True(t, strings.HasPrefix(path, top+string(filepath.Separator)), path)
		for p := path; p != top; p = filepath.Dir(p) {
			info, err := os.Stat(p)
			require.NoError(t, err)
			require.NoError(t, os.Chmod(p, info.Mode().Perm()|0o055))
		}
	}
}
