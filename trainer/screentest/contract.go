package screentest

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/trainer"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
)

// Exercise holds a screen to what every screen keeps:
//
//  1. In every window from its MinSize on, its page and its help fit: no line too wide,
//     not too many lines, the help down to the caution.
//  2. In a smaller window it is said what size is needed, and no key acts unseen.
//  3. Resizing changes nothing but the size.
//  4. Every binding that acts has keys and help text, and what the hint line names
//     is in the help.
//  5. View may be called twice and changes nothing.
//  6. q goes back.
//  7. Once it is closed nothing of it goes on.
//  8. No keys in any order break 1 or 4.
func Exercise(t *testing.T, open func(*screen.Env) screen.Screen) {
	run := func(t *testing.T, cols, rows int, drive func(*testing.T, *Driver, *probe)) {
		t.Helper()
		var p *probe
		RunModel(t, cols, rows, func(env *screen.Env) tea.Model {
			p = &probe{Screen: open(env)}
			return trainer.New(env, &beneath{id: env.Open(), first: p})
		}, func(t *testing.T, d *Driver) { drive(t, d, p) })
	}
	minCols, minRows := 0, 0
	run(t, 80, 24, func(t *testing.T, d *Driver, p *probe) {
		minCols, minRows = p.MinSize()
		assert.LessOrEqual(t, minCols, 80, "every screen works at 80 by 24")
		assert.LessOrEqual(t, minRows, 24, "every screen works at 80 by 24")
	})

	for _, size := range append(slices.Clone(Sizes), [2]int{minCols, minRows}, [2]int{97, 31}) {
		t.Run(fmt.Sprintf("fits %dx%d", size[0], size[1]), func(t *testing.T) {
			run(t, size[0], size[1], func(t *testing.T, d *Driver, p *probe) {
				d.Fits()
				d.Tick(2 * time.Second)
				d.Fits()
				d.Press("?")
				d.Fits()
				d.Sees(look.Caution)
			})
		})
	}
	for _, size := range [][2]int{{minCols - 1, minRows}, {minCols, minRows - 1}, {20, 5}, {1, 1}} {
		t.Run(fmt.Sprintf("too small %dx%d", size[0], size[1]), func(t *testing.T) {
			run(t, minCols, minRows, func(t *testing.T, d *Driver, p *probe) {
				before := d.Cells()
				d.Resize(size[0], size[1])
				if size[0] >= 20 { // the runtime cuts what is left of narrower ones
					d.Fits()
				}
				if size[0] >= minCols-1 {
					assert.Equal(t, look.TooSmall(size[0], size[1], minCols, minRows), strings.Join(strings.Fields(d.Cells()), " "))
				}
				d.Press("enter", "1", "down", " ", "u")
				d.Resize(minCols, minRows)
				assert.Equal(t, before, d.Cells(), "no key acts unseen")
			})
		})
	}
	t.Run("resize keeps state", func(t *testing.T) {
		run(t, 120, 40, func(t *testing.T, d *Driver, p *probe) {
			d.Press("down", "down")
			before := d.Cells()
			for _, size := range [][2]int{{80, 24}, {10, 3}, {200, 50}, {1, 1}, {120, 40}} {
				d.Resize(size[0], size[1])
			}
			assert.Equal(t, before, d.Cells())
		})
	})
	t.Run("keys have help", func(t *testing.T) {
		run(t, 120, 40, func(t *testing.T, d *Driver, p *probe) { helpful(t, p) })
	})
	t.Run("view changes nothing", func(t *testing.T) {
		run(t, 120, 40, func(t *testing.T, d *Driver, p *probe) {
			first := d.View()
			assert.Equal(t, first, d.View())
			d.Send(unknown{})
			assert.Equal(t, first, d.View(), "an unknown message is let pass")
		})
	})
	t.Run("back", func(t *testing.T) {
		run(t, 80, 24, func(t *testing.T, d *Driver, p *probe) {
			require.NotContains(t, d.Cells(), underneath)
			d.Press("q")
			assert.Contains(t, d.Cells(), underneath)
			d.Tick(time.Second)
			ticks := d.Ticks
			d.Tick(2 * time.Second)
			assert.Equal(t, ticks, d.Ticks, "its clock has stopped")
		})
	})
	for seed := range uint64(3) {
		t.Run(fmt.Sprintf("any keys %d", seed), func(t *testing.T) {
			size := Sizes[seed]
			run(t, size[0], size[1], func(t *testing.T, d *Driver, p *probe) { anyKeys(t, d, p, seed) })
		})
	}
}

// helpful checks the bindings of a screen as they are now.
func helpful(t *testing.T, s screen.Screen) {
	t.Helper()
	var all []string
	for _, group := range s.FullHelp() {
		for _, b := range group {
			if b.Enabled() {
				assert.NotEmpty(t, b.Help().Key, "the keys %v have a name", b.Keys())
				assert.NotEmpty(t, b.Help().Desc, "the keys %v have help", b.Keys())
				all = append(all, b.Help().Key+" "+b.Help().Desc)
			}
		}
	}
	assert.NotEmpty(t, all)
	for _, b := range s.ShortHelp() {
		if b.Enabled() {
			assert.Contains(t, all, b.Help().Key+" "+b.Help().Desc, "the hint line names what is in the help")
		}
	}
}

// anyKeys presses keys at random.
func anyKeys(t *testing.T, d *Driver, p *probe, seed uint64) {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 7))
	keys := []string{"enter", "enter", "enter", "up", "down", "down", "left", "right", " ", "?", "tab", "backspace", "home", "end", "pgup", "pgdown", "esc", "q"}
	for r := 'a'; r <= 'z'; r++ {
		keys = append(keys, string(r))
	}
	for r := '0'; r <= '9'; r++ {
		keys = append(keys, string(r))
	}
	for range 120 {
		k := keys[rng.IntN(len(keys))]
		d.Press(k)
		d.Tick(time.Duration(rng.IntN(60)) * time.Millisecond)
		d.Fits()
		helpful(t, p)
		if d.Quit {
			return
		}
	}
}

// unknown is a message no screen knows.
type unknown struct{}

// A probe keeps hold of the screen within.
type probe struct{ screen.Screen }

func (p *probe) Update(msg tea.Msg) (screen.Screen, tea.Cmd) {
	s, cmd := p.Screen.Update(msg)
	p.Screen = s
	return p, cmd
}

// beneath is the screen under the one that is tested; it opens it at once.
type beneath struct {
	id    screen.ID
	first screen.Screen
}

const underneath = "the screen underneath"

func (b *beneath) ID() screen.ID                           { return b.id }
func (b *beneath) Init() tea.Cmd                           { return screen.Say(screen.Push{Screen: b.first}) }
func (b *beneath) Update(tea.Msg) (screen.Screen, tea.Cmd) { return b, nil }
func (b *beneath) View() string                            { return underneath }
func (b *beneath) SetSize(int, int)                        {}
func (b *beneath) MinSize() (cols, rows int)               { return 1, 1 }
func (b *beneath) ShortHelp() []key.Binding                { return nil }
func (b *beneath) FullHelp() [][]key.Binding               { return nil }
