//go:build linux

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/hinshun/vt10x"
	"github.com/stretchr/testify/require"
)

// A watched program runs in a terminal that answers nothing.
type watched struct {
	cmd    *exec.Cmd
	master *os.File
	sent   atomic.Int64
	began  time.Time
}

// watch starts a command at 200x50; each, if there is one, is called with all that it
// writes.
func watch(b *testing.B, cmd *exec.Cmd, each func([]byte)) *watched {
	b.Helper()
	w := &watched{cmd: cmd}
	master, tty, err := pty.Open()
	require.NoError(b, err)
	w.master = master
	require.NoError(b, pty.Setsize(master, &pty.Winsize{Cols: 200, Rows: 50}))
	cmd.Stdin, cmd.Stdout, cmd.Stderr = tty, tty, tty
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	w.began = time.Now()
	require.NoError(b, cmd.Start())
	tty.Close()
	go func() {
		buf := make([]byte, 1<<16)
		for {
			n, err := master.Read(buf)
			w.sent.Add(int64(n))
			if each != nil {
				each(buf[:n])
			}
			if err != nil {
				return
			}
		}
	}()
	return w
}

func (w *watched) end() {
	_ = w.cmd.Process.Kill()
	_ = w.cmd.Wait()
	w.master.Close()
}

// cpu is the time the program's threads have run (Linux, proc(5), schedstat).
func (w *watched) cpu(b *testing.B) time.Duration {
	b.Helper()
	files, err := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/schedstat", w.cmd.Process.Pid))
	require.NoError(b, err)
	sum := time.Duration(0)
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			continue // a thread that has ended
		}
		ns, err := strconv.ParseInt(strings.Fields(string(text))[0], 10, 64)
		require.NoError(b, err)
		sum += time.Duration(ns)
	}
	return sum
}

// residentMB is the memory in use (VmRSS).
func (w *watched) residentMB(b *testing.B) float64 {
	b.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", w.cmd.Process.Pid))
	require.NoError(b, err)
	for _, line := range strings.Split(string(text), "\n") {
		if fields := strings.Fields(line); len(fields) > 1 && fields[0] == "VmRSS:" {
			kB, err := strconv.ParseFloat(fields[1], 64)
			require.NoError(b, err)
			return kB / 1024
		}
	}
	return 0
}

// benchHome is a home for benchmarks, with a ledger that is there already.
func benchHome(b *testing.B) *home {
	b.Helper()
	folder := b.TempDir()
	program := filepath.Join(folder, "telltrace")
	out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput()
	require.NoError(b, err, "%s", out)
	h := &home{program: program, folder: folder}
	h.env = []string{"HOME=" + folder, "XDG_DATA_HOME=" + h.data(), "XDG_CONFIG_HOME=" + h.config(),
		"PATH=" + os.Getenv("PATH"), "TERM=xterm-256color", "LANG=C.UTF-8"}
	path := filepath.Join(h.config(), "telltrace", "settings.json")
	require.NoError(b, os.MkdirAll(filepath.Dir(path), 0o700))
	require.NoError(b, os.WriteFile(path, []byte(`{"glyphs": "braille", "palette": "dark"}`), 0o600))
	return h
}

// BenchmarkProgram runs the built program in a terminal of 200 by 50 beside an idle
// bubbletea loop that ticks as often. Run it with -benchtime 1x.
func BenchmarkProgram(b *testing.B) {
	h := benchHome(b)
	self, err := os.Executable()
	require.NoError(b, err)
	practise := func() *exec.Cmd {
		return h.command("practise", "--rhythm", "sinus-rhythm", "--age", "6y", "--seed", "1")
	}
	const measured = 20 * time.Second

	b.Run("scrolling", func(b *testing.B) {
		idler := exec.Command(self)
		idler.Env = append(slices.Clone(h.env), idleVariable+"=1", "CI=1")
		i, w := watch(b, idler, nil), watch(b, practise(), nil)
		defer i.end()
		defer w.end()
		time.Sleep(2 * time.Second)
		for b.Loop() {
			idleBefore, before, sent := i.cpu(b), w.cpu(b), w.sent.Load()
			time.Sleep(measured)
			idle, busy := i.cpu(b)-idleBefore, w.cpu(b)-before
			b.ReportMetric(100*idle.Seconds()/measured.Seconds(), "idle-%cpu")
			b.ReportMetric(100*busy.Seconds()/measured.Seconds(), "%cpu")
			b.ReportMetric(busy.Seconds()/idle.Seconds(), "times-idle")
			b.ReportMetric(float64(w.sent.Load()-sent)/(30*measured.Seconds()), "B/frame")
			b.ReportMetric(w.residentMB(b), "MB-resident")
		}
	})
	b.Run("start", func(b *testing.B) {
		var took []float64
		for b.Loop() {
			for range 20 {
				first := make(chan time.Time, 1)
				w := watch(b, practise(), func(p []byte) {
					if strings.ContainsFunc(string(p), braille) {
						select {
						case first <- time.Now():
						default:
						}
					}
				})
				took = append(took, (<-first).Sub(w.began).Seconds()*1000)
				w.end()
			}
		}
		reportTimes(b, took)
	})
	b.Run("key", func(b *testing.B) {
		for b.Loop() {
			reportTimes(b, keyTimes(b, practise(), 300))
		}
	})
}

func braille(r rune) bool { return r > 0x2800 && r <= 0x28ff }

// keyTimes chooses one answer after the other and waits each time until the mark
// stands before it, ms.
func keyTimes(b *testing.B, cmd *exec.Cmd, keys int) []float64 {
	b.Helper()
	screen := vt10x.New(vt10x.WithSize(200, 50))
	changed := make(chan struct{}, 1)
	w := watch(b, cmd, func(p []byte) {
		_, _ = screen.Write(p)
		select {
		case changed <- struct{}{}:
		default:
		}
	})
	defer w.end()
	chosen := func() (digit byte) {
		screen.Lock()
		defer screen.Unlock()
		for y := range 50 {
			if screen.Cell(0, y).Char == '>' {
				digit = byte(screen.Cell(2, y).Char)
			}
		}
		return digit
	}
	time.Sleep(time.Second)
	var took []float64
	for i := range keys {
		key := "12"[i%2]
		time.Sleep(time.Duration(7+i%13) * time.Millisecond) // at any phase of a frame
		began := time.Now()
		_, err := w.master.Write([]byte{key})
		require.NoError(b, err)
		for chosen() != key {
			select {
			case <-changed:
			case <-time.After(patience):
				b.Fatal("the key was not seen")
			}
		}
		took = append(took, time.Since(began).Seconds()*1000)
	}
	return took
}

func reportTimes(b *testing.B, ms []float64) {
	b.Helper()
	slices.Sort(ms)
	b.ReportMetric(ms[len(ms)/2], "ms-median")
	b.ReportMetric(ms[len(ms)*99/100], "ms-p99")
}
