// Package screentest drives a screen as a learner would, with keys and the passing
// of time, and looks at the cells a terminal would show. Everything runs on the
// false clock of testing/synctest: a second costs nothing and comes out the same on
// every run. Start with Run; Exercise holds any screen to what all must keep.
package screentest

import (
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/hinshun/vt10x"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/trainer"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Sizes are the windows every screen is looked at in, columns by rows.
var Sizes = [][2]int{{80, 24}, {120, 40}, {200, 50}}

// Start is the moment at which every run begins: a night shift.
var Start = time.Date(2025, time.November, 14, 3, 12, 0, 0, time.UTC)

// NewEnv makes an Env in which nothing is left to chance: a store in memory, seeds
// and ids that count up, and the clock of the bubble it is called in, set to Start.
func NewEnv() *screen.Env {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.ANSI256)
	rng, ids := rand.New(rand.NewPCG(1, 1)), 0
	began := time.Now() // of the bubble
	return screen.NewEnv(screen.Env{
		Look: look.New(r, look.Options{}), Renderer: r,
		Store: ledger.NewMemory(), Learner: "a learner",
		Now:  func() time.Time { return Start.Add(time.Since(began)) },
		Seed: rng.Uint64,
		NewID: func() string {
			ids++
			return fmt.Sprintf("id-%04d", ids)
		},
	})
}

// A Driver holds one running program.
type Driver struct {
	t     *testing.T
	model tea.Model
	cols  int
	rows  int

	// Quit says that the program has ended.
	Quit bool
	// Ticks counts the ticks that screens were sent.
	Ticks int

	mu      sync.Mutex
	arrived []tea.Msg
	wake    chan struct{}
	running sync.WaitGroup
}

// Run opens a screen under the root and drives it in a bubble of its own. Inside,
// t.Run and t.Parallel cannot be used.
func Run(t *testing.T, cols, rows int, open func(*screen.Env) screen.Screen, drive func(*testing.T, *Driver)) {
	t.Helper()
	RunModel(t, cols, rows, func(env *screen.Env) tea.Model { return trainer.New(env, open(env)) }, drive)
}

// RunModel is Run for any model.
func RunModel(t *testing.T, cols, rows int, open func(*screen.Env) tea.Model, drive func(*testing.T, *Driver)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		d := &Driver{t: t, wake: make(chan struct{}, 1)}
		defer d.running.Wait() // commands under way end, as nobody answers them
		d.model = open(NewEnv())
		d.start(d.model.Init())
		d.Resize(cols, rows)
		drive(t, d)
	})
}

// start runs a command beside the program, as the runtime does.
func (d *Driver) start(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	d.running.Go(func() {
		msg := cmd()
		d.mu.Lock()
		defer d.mu.Unlock()
		d.arrived = append(d.arrived, msg)
		select {
		case d.wake <- struct{}{}:
		default:
		}
	})
	synctest.Wait() // so that what can be answered at once is, in order
}

// settle delivers what has arrived until nothing more comes without time passing.
func (d *Driver) settle() {
	for {
		synctest.Wait()
		d.mu.Lock()
		msgs := d.arrived
		d.arrived = nil
		d.mu.Unlock()
		if len(msgs) == 0 {
			return
		}
		for _, msg := range msgs {
			d.deliver(msg)
		}
	}
}

func (d *Driver) deliver(msg tea.Msg) {
	switch msg := msg.(type) {
	case nil:
		return
	case tea.QuitMsg:
		d.Quit = true
		return
	case tea.BatchMsg:
		for _, cmd := range msg {
			d.start(cmd)
		}
		return
	case screen.Reply:
		if _, tick := msg.Msg.(screen.Tick); tick {
			d.Ticks++
		}
	}
	if d.Quit {
		return
	}
	if cmds, ok := sequence(msg); ok {
		for _, cmd := range cmds {
			d.start(cmd)
		}
		return
	}
	var cmd tea.Cmd
	d.model, cmd = d.model.Update(msg)
	d.start(cmd)
}

// sequence is the commands of tea.Sequence, whose message has no name outside
// bubbletea.
func sequence(msg tea.Msg) ([]tea.Cmd, bool) {
	v, list := reflect.ValueOf(msg), reflect.TypeFor[[]tea.Cmd]()
	if !v.IsValid() || v.Kind() != reflect.Slice || !v.CanConvert(list) {
		return nil, false
	}
	return v.Convert(list).Interface().([]tea.Cmd), true
}

// Send delivers a message.
func (d *Driver) Send(msg tea.Msg) {
	d.t.Helper()
	d.deliver(msg)
	d.settle()
}

// Resize changes the window.
func (d *Driver) Resize(cols, rows int) {
	d.t.Helper()
	d.cols, d.rows = cols, rows
	d.Send(tea.WindowSizeMsg{Width: cols, Height: rows})
}

// Press presses keys, named as bubbletea names them: "a", "enter", "ctrl+c", "up",
// " ". An unknown name fails the test.
func (d *Driver) Press(keys ...string) {
	d.t.Helper()
	for _, k := range keys {
		msg, ok := keyOf(k)
		require.True(d.t, ok, "no key %q", k)
		d.Send(msg)
	}
}

// Choose presses the digit or letter before an answer on the page.
func (d *Driver) Choose(answer string) {
	d.t.Helper()
	found := regexp.MustCompile(`(?m)^\W*([\dA-I])  ` + regexp.QuoteMeta(answer) + `\s*$`).FindStringSubmatch(d.Cells())
	require.NotNil(d.t, found, "no answer %q on the page:\n%s", answer, d.Cells())
	d.Press(found[1])
}

// Sees checks that the page says something, however its lines are broken.
func (d *Driver) Sees(words string) {
	d.t.Helper()
	require.Contains(d.t, d.Words(), plain(words), "on the page:\n%s", d.Cells())
}

// SeesNot checks that the page does not say something.
func (d *Driver) SeesNot(words string) {
	d.t.Helper()
	require.NotContains(d.t, d.Words(), plain(words), "on the page:\n%s", d.Cells())
}

// Words are the words on the page, blanks and line breaks as one blank each.
func (d *Driver) Words() string {
	d.t.Helper()
	return plain(d.Cells())
}

// plain joins words that stand on several lines.
func plain(s string) string { return strings.Join(strings.Fields(s), " ") }

// keyOf is the message of a key.
func keyOf(name string) (tea.KeyMsg, bool) {
	if runes := []rune(name); len(runes) == 1 && name != " " {
		return tea.KeyMsg{Type: tea.KeyRunes, Runes: runes}, true
	}
	for _, k := range []tea.KeyType{
		tea.KeyEnter, tea.KeyEsc, tea.KeySpace, tea.KeyTab, tea.KeyShiftTab, tea.KeyBackspace, tea.KeyDelete,
		tea.KeyUp, tea.KeyDown, tea.KeyLeft, tea.KeyRight, tea.KeyShiftLeft, tea.KeyShiftRight, tea.KeyHome, tea.KeyEnd, tea.KeyPgUp, tea.KeyPgDown,
		tea.KeyCtrlC, tea.KeyCtrlZ,
	} {
		msg := tea.KeyMsg{Type: k}
		if k == tea.KeySpace {
			msg.Runes = []rune{' '}
		}
		if msg.String() == name {
			return msg, true
		}
	}
	return tea.KeyMsg{}, false
}

// Tick lets time pass and delivers what comes in it, each at its moment; a
// nanosecond more, so that what comes at its very end is there.
func (d *Driver) Tick(pass time.Duration) {
	d.t.Helper()
	over := time.NewTimer(pass + 1)
	defer over.Stop()
	for {
		select {
		case <-d.wake:
			d.settle()
		case <-over.C:
			d.settle()
			return
		}
	}
}

// View is what the program draws.
func (d *Driver) View() string { return d.model.View() }

// Cells is what a terminal of the window's size shows, row by row, without the
// blanks at the ends of rows.
func (d *Driver) Cells() string {
	d.t.Helper()
	return Cells(d.View(), d.cols, d.rows)
}

// Cells shows a page in a terminal emulator and reads its cells back.
func Cells(view string, cols, rows int) string {
	term := vt10x.New(vt10x.WithSize(cols, rows))
	_, _ = io.WriteString(term, "\x1b[?7l"+strings.ReplaceAll(view, "\n", "\r\n"))
	return Screen(term)
}

// Screen reads the cells of a terminal emulator.
func Screen(term vt10x.View) string {
	cols, rows := term.Size()
	var b strings.Builder
	for y := range rows {
		var line strings.Builder
		for x := range cols {
			if r := term.Cell(x, y).Char; r != 0 {
				line.WriteRune(r)
			} else {
				line.WriteByte(' ')
			}
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
	return b.String()
}

// Fits holds a page to its window: no line is wider, and there are not more lines.
func (d *Driver) Fits() {
	d.t.Helper()
	lines := strings.Split(d.View(), "\n")
	require.LessOrEqual(d.t, len(lines), d.rows, "lines in a window of %d by %d:\n%s", d.cols, d.rows, d.Cells())
	for i, line := range lines {
		require.LessOrEqual(d.t, ansi.StringWidth(line), d.cols, "line %d in a window of %d by %d: %q", i+1, d.cols, d.rows, ansi.Strip(line))
	}
}

// Golden compares the cells with testdata/NAME-COLSxROWS.golden.
func (d *Driver) Golden(name string) {
	d.t.Helper()
	d.Fits()
	got := d.Cells()
	path := filepath.Join("testdata", fmt.Sprintf("%s-%dx%d.golden", name, d.cols, d.rows))
	if *update {
		require.NoError(d.t, os.MkdirAll("testdata", 0o755))
		require.NoError(d.t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(d.t, err, "run the test with -update to make it")
	require.Equal(d.t, string(want), got, path)
}
