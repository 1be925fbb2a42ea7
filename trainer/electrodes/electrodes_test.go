package electrodes_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/trainer/electrodes"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
	"telltrace/trainer/settings"
)

func open(env *screen.Env) screen.Screen { return electrodes.New(env) }

func plain(env *screen.Env) screen.Screen {
	env.Look = look.New(env.Renderer, look.Options{Plain: true})
	return electrodes.New(env)
}

// The letters stand on the trunk as soon as a clip is placed, and the other code gives the
// same task other letters.
func TestClipsAndCodes(t *testing.T) {
	screentest.Run(t, 80, 24, open, func(t *testing.T, d *screentest.Driver) {
		d.Sees("RA white")
		d.SeesNot("(RA)")
		d.Press("right")
		d.Sees("(RA)")
		d.Press("o")
		d.Sees("R red")
		d.SeesNot("RA white")
		d.Press("right")
		d.Sees("(R)")
	})
}

// The code is kept like any setting, and found again.
func TestTheCodeIsKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "settings.json")
	screentest.Run(t, 80, 24, func(env *screen.Env) screen.Screen {
		env.Save = func(s settings.Settings) error { return settings.Save(path, s) }
		return electrodes.New(env)
	}, func(t *testing.T, d *screentest.Driver) {
		for _, iec := range []bool{true, false} {
			d.Press("o")
			s, found, err := settings.Load(path)
			require.NoError(t, err)
			assert.True(t, found)
			assert.Equal(t, iec, s.IEC)
		}
	})
}

// Where a swap is to be found the clips are under the blanket until it is answered.
func TestHiddenUntilAnswered(t *testing.T) {
	screentest.Run(t, 80, 24, open, func(t *testing.T, d *screentest.Driver) {
		d.Press("right", "down", "right", "down", "right", "enter", "enter", "enter")
		d.Sees("Which two have changed places?")
		d.SeesNot("in front")
		d.Press("1", "enter")
		d.Sees("in front")
		d.Sees("What it was:")
	})
}

// In plain mode the same is said in words, in ASCII alone.
func TestPlain(t *testing.T) {
	screentest.Run(t, 80, 24, plain, func(t *testing.T, d *screentest.Driver) {
		d.Sees("RA white: not on")
		d.Sees("II: a straight line.")
		d.Press("right", "down", "right", "down", "right", "enter", "enter", "enter")
		d.Sees("QRS")
		for _, r := range d.Cells() {
			assert.Less(t, r, rune(128), "%q", r)
		}
	})
}

func TestPlainKeepsTheContract(t *testing.T) { screentest.Exercise(t, plain) }

// What the page looks like while clips are placed and when a swap is explained.
func TestPages(t *testing.T) {
	for _, size := range screentest.Sizes {
		screentest.Run(t, size[0], size[1], open, func(t *testing.T, d *screentest.Driver) {
			d.Press("right", "down", "right", "right")
			d.Golden("placing")
			d.Press("down", "right", "enter", "enter", "enter")
			d.Press("1", "enter")
			d.Golden("swapped")
		})
	}
}
