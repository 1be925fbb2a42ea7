package trainer_test

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/hinshun/vt10x"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/trainer"
	"telltrace/trainer/glass"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

// colours are the cells of a terminal with their colours; those of the front only
// where there is something to see.
func colours(term vt10x.Terminal) string {
	cols, rows := term.Size()
	var b bytes.Buffer
	for y := range rows {
		for x := range cols {
			g := term.Cell(x, y)
			if g.Char == 0 || g.Char == ' ' {
				g.Char, g.FG = ' ', 0
			}
			fmt.Fprintf(&b, "%c%d/%d ", g.Char, g.FG, g.BG)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// What the terminal shows, drawn change by change with the strip as a band, is the
// page that View writes in full.
func TestTheTerminalShowsTheView(t *testing.T) {
	const cols, rows = 120, 40
	for _, o := range []look.Options{{}, {Palette: look.Light, Glyphs: look.HalfBlock}, {Palette: look.None}, {Plain: true}} {
		now := screentest.Start
		env := screentest.NewEnv()
		env.Now = func() time.Time { return now }
		env.Look = look.New(env.Renderer, o)
		top := trainer.Practise(env, scenarios.Wish{})
		var root tea.Model = trainer.New(env, top)
		term := vt10x.New(vt10x.WithSize(cols, rows))
		pane := glass.New(term)
		shown := pane.Wrap(root)
		_, err := pane.Write([]byte("\x1b[?1049h"))
		require.NoError(t, err)
		send := func(msg tea.Msg) {
			shown, _ = shown.Update(msg)
			shown.View()
			pane.Flush()
			root, _ = root.Update(nil) // the screen is the same one; only the root is a copy
			full := vt10x.New(vt10x.WithSize(cols, rows))
			for i, line := range bytes.Split([]byte(root.View()), []byte("\n")) {
				fmt.Fprintf(full, "\x1b[%dH%s\x1b[0m", i+1, line)
			}
			require.Equal(t, colours(full), colours(term), "%+v after %v", o, msg)
		}
		root, _ = root.Update(tea.WindowSizeMsg{Width: cols, Height: rows})
		send(tea.WindowSizeMsg{Width: cols, Height: rows})
		for i := range 60 {
			now = now.Add(time.Second / 30)
			send(screen.Reply{To: top.ID(), Msg: screen.Tick{At: now}})
			if i%10 == 9 {
				send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{rune("1pzl2c"[i/10])}})
			}
		}
		pane.Close()
	}
}
