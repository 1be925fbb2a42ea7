package trainer_test

import (
	"math/rand/v2"
	"strconv"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/trainer"
	"telltrace/trainer/glass"
	"telltrace/trainer/look"
	"telltrace/trainer/practise"
	"telltrace/trainer/screen"
)

// counter counts the bytes that are written to it.
type counter int

func (c *counter) Write(b []byte) (int, error) {
	*c += counter(len(b))
	return len(b), nil
}

// BenchmarkFrame is one frame of the practise screen at 200x50 with 256 colours, 30
// frames a second: the tick that moves the strip, the text of the whole screen, and
// of it the cells that have changed. B/frame is what goes to the terminal.
func BenchmarkFrame(b *testing.B) {
	renderer := lipgloss.NewRenderer(nil)
	renderer.SetColorProfile(termenv.ANSI256)
	now := time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC)
	ids := 0
	env := screen.NewEnv(screen.Env{
		Look: look.New(renderer, look.Options{}), Store: ledger.NewMemory(), Learner: "me",
		Now: func() time.Time { return now }, Seed: func() uint64 { return 1 },
		NewID: func() string { ids++; return strconv.Itoa(ids) },
	})
	age := ecg.Years(6)
	e, err := scenarios.Draw(scenarios.Wish{Subjects: []string{"sinus-rhythm"}, Age: &age}, rand.New(rand.NewPCG(1, 0)))
	require.NoError(b, err)
	m := practise.New(env, func() (practise.Round, error) { return practise.Synthetic("Practice", ledger.Practise, e) })
	var sent counter
	terminal := glass.New(&sent)
	defer terminal.Close()
	root := terminal.Wrap(trainer.New(env, m))
	_, err = terminal.Write([]byte("\x1b[?1049h")) // the alternate screen, as bubbletea opens it
	require.NoError(b, err)
	root, _ = root.Update(tea.WindowSizeMsg{Width: 200, Height: 50})
	frames := 0
	b.ReportAllocs()
	for b.Loop() {
		now = now.Add(time.Second / 30)
		root, _ = root.Update(screen.Reply{To: m.ID(), Msg: screen.Tick{At: now}})
		root.View()
		terminal.Flush()
		frames++
	}
	b.ReportMetric(float64(sent)/float64(frames), "B/frame")
}
