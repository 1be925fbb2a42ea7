package trainer_test

import (
	"context"
	"io"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/hinshun/vt10x"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/trainer"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
	"telltrace/trainer/settings"
)

// terminal is what the program writes to: an emulator behind a lock.
type terminal struct {
	mu   sync.Mutex
	term vt10x.Terminal
}

func (w *terminal) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	// A pseudo-terminal turns line feeds into new lines (ECMA-48, onlcr).
	_, err := io.WriteString(w.term, strings.ReplaceAll(string(p), "\n", "\r\n"))
	return len(p), err
}

func (w *terminal) cells() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return screentest.Screen(w.term)
}

// The whole program with the real runtime, from the first start to leaving: keys
// come in as bytes, cells come out of a terminal emulator.
func TestFromStartToQuit(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		env := screentest.NewEnv()
		var kept []settings.Settings
		first := trainer.FirstStart(env, func(s settings.Settings) error { kept = append(kept, s); return nil }, nil)
		out := &terminal{term: vt10x.New(vt10x.WithSize(80, 24))}
		in, keyboard := io.Pipe()
		p := tea.NewProgram(trainer.New(env, first), tea.WithInput(in), tea.WithOutput(out), tea.WithoutSignalHandler(), tea.WithAltScreen())
		ended := make(chan error, 1)
		go func() { _, err := p.Run(); ended <- err }()
		pass := func(d time.Duration) { <-time.After(d); synctest.Wait() }
		press := func(keys string) {
			_, err := io.WriteString(keyboard, keys)
			require.NoError(t, err)
			pass(100 * time.Millisecond)
		}
		sees := func(words string) {
			t.Helper()
			require.Contains(t, strings.Join(strings.Fields(out.cells()), " "), words)
		}
		p.Send(tea.WindowSizeMsg{Width: 80, Height: 24})
		pass(100 * time.Millisecond)
		sees("Look at the patient first.")
		press("\r")
		press("y")
		press("d")
		require.Len(t, kept, 1)
		sees("none to look at again")
		press("p")
		sees("Rate: how many QRS a minute?")
		before := out.cells()
		pass(500 * time.Millisecond)
		assert.NotEqual(t, before, out.cells(), "the strip moves")
		press("n")
		press("3")  // two to choose from at the beginning
		press("\r") // not sure
		sees("What do you do first?")
		press("q")
		sees("Missed answers one to look at again")
		press("m")
		sees("You were not sure.")
		press("\r")
		sees("A missed answer")
		press("q")
		press("q")
		press("q")
		require.NoError(t, <-ended)
		require.NoError(t, in.Close())

		list, err := ledger.Collect(env.Store.Answers(context.Background(), ledger.Query{}))
		require.NoError(t, err)
		require.Len(t, list, 1)
		assert.Equal(t, ledger.Near, list[0].Verdict)
		_, err = ecg.ParseIdentity(list[0].Strip)
		assert.NoError(t, err)
	})
}

// Keys of the root: help on and off, and a key that closes it does nothing else.
func TestHelp(t *testing.T) {
	for _, r := range trainer.Routes() {
		t.Run(r.Name, func(t *testing.T) {
			screentest.Run(t, 120, 40, r.Open, func(t *testing.T, d *screentest.Driver) {
				before := d.Cells()
				d.Press("?")
				d.Sees("Keys that act now")
				d.Sees("ctrl+c leave telltrace")
				d.Sees("Training only")
				d.Press("q")
				assert.Equal(t, before, d.Cells())
				assert.False(t, d.Quit)
			})
		})
	}
}

// A reply to a screen that is closed by then goes nowhere, one to a screen
// underneath arrives.
func TestReplies(t *testing.T) {
	open := func(env *screen.Env) screen.Screen { return trainer.Start(env, nil) }
	screentest.Run(t, 80, 24, open, func(t *testing.T, d *screentest.Driver) {
		before := d.Cells()
		d.Send(screen.Reply{To: 999, Msg: screen.Tick{}})
		assert.Equal(t, before, d.Cells())
		d.Press("p")
		d.Send(screen.Reply{To: 1, Msg: screen.Resumed{}})
		d.Sees("Rate: how many QRS a minute?")
	})
}
