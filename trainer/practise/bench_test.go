package practise

import (
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// BenchmarkFrame is one frame of the practise screen at 200x50 with 256 colours, 30
// frames a second: the tick that moves the strip and the text of the whole screen.
// B/frame is what a renderer that rewrites changed lines sends.
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
	m := New(env, func() (Round, error) { return Synthetic("Practice", ledger.Practise, e) })
	m.SetSize(200, 50)
	last := strings.Split(m.View(), "\n")
	sent := 0
	b.ReportAllocs()
	for b.Loop() {
		now = now.Add(time.Second / 30)
		m.Update(screen.Tick{At: now, Chain: 0})
		lines := strings.Split(m.View(), "\n")
		for i, line := range lines {
			if line != last[i] {
				sent += len(line)
			}
		}
		last = lines
	}
	b.ReportMetric(float64(sent)/float64(b.N), "B/frame")
}
