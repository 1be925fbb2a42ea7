package practise

import (
	"math/rand/v2"
	"strconv"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// Words that are kept between frames are those that would be written now, whatever
// happens in which order.
func TestKeptWordsAreNeverStale(t *testing.T) {
	now := time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC)
	ids := 0
	env := screen.NewEnv(screen.Env{
		Look: look.New(nil, look.Options{}), Store: ledger.NewMemory(), Learner: "me",
		Now: func() time.Time { return now }, Seed: func() uint64 { return 1 },
		NewID: func() string { ids++; return strconv.Itoa(ids) },
	})
	age := ecg.Years(6)
	rng := rand.New(rand.NewPCG(5, 0))
	m := New(env, func() (Round, error) {
		e, err := scenarios.Draw(scenarios.Wish{Age: &age}, rng)
		require.NoError(t, err)
		return Synthetic("Practice", ledger.Practise, e)
	})
	m.SetSize(120, 40)
	keys := []string{"1", "2", "u", "c", "p", "e", "l", "z", "left", "right", "up", "down", "enter", " "}
	for step := range 1500 {
		switch key := keys[rng.IntN(len(keys))]; {
		case step%97 == 0:
			m.SetSize(80+rng.IntN(60), 24+rng.IntN(20))
		case step%5 == 0 && len(key) == 1:
			m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(key)})
		case step%5 == 0:
			for _, k := range []tea.KeyType{tea.KeyUp, tea.KeyDown, tea.KeyLeft, tea.KeyRight, tea.KeyEnter} {
				if msg := (tea.KeyMsg{Type: k}); msg.String() == key {
					if _, cmd := m.Update(msg); cmd != nil && m.phase == saving {
						m.Update(kept{})
					}
				}
			}
		default:
			now = now.Add(time.Duration(rng.IntN(120)) * time.Millisecond)
			m.Update(screen.Tick{At: now, Chain: m.chain})
		}
		shown := m.View()
		m.touch()
		require.Equal(t, m.View(), shown, "step %d", step)
	}
}
