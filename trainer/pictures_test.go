package trainer_test

import (
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios"
	"telltrace/trainer"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

// A scene is one page of the trainer, for eyes to look at.
type scene struct {
	name string
	look look.Options
	open func(*screen.Env) screen.Screen
	keys []string
}

// scenes are every screen as it opens, and practice in each of its steps and looks.
func scenes() []scene {
	var all []scene
	for _, r := range trainer.Routes() {
		all = append(all, scene{name: r.Name, open: r.Open})
	}
	svt := func(env *screen.Env) screen.Screen {
		return trainer.Practise(env, scenarios.Wish{Subjects: []string{"supraventricular-tachycardia"}})
	}
	wrong := []string{"c", "1", "enter", "1", "enter"}
	return append(all,
		scene{name: "practise-looked", open: svt, keys: []string{"c", "p"}},
		scene{name: "practise-calipers", open: svt, keys: []string{"k", "m"}},
		scene{name: "practise-leads", open: svt, keys: []string{"t", "t"}},
		scene{name: "practise-double", open: svt, keys: []string{"z"}},
		scene{name: "practise-explained", open: svt, keys: wrong},
		scene{name: "practise-light", open: svt, look: look.Options{Palette: look.Light}},
		scene{name: "practise-high-contrast", open: svt, look: look.Options{Palette: look.HighContrast}},
		scene{name: "practise-no-colour", open: svt, look: look.Options{Palette: look.None}},
		scene{name: "practise-half-blocks", open: svt, look: look.Options{Glyphs: look.HalfBlock}},
		scene{name: "practise-ascii", open: svt, look: look.Options{Glyphs: look.ASCII}},
		scene{name: "practise-plain", open: svt, look: look.Options{Plain: true}},
		scene{name: "practise-plain-picture", open: svt, look: look.Options{Plain: true}, keys: []string{"g"}},
		scene{name: "calipers-marked", open: trainer.Calipers, keys: []string{"right", "m", "enter"}},
	)
}

// Every screen at three sizes as an image, for eyes to look at: into the folder
// TELLTRACE_SCREENS, which the build keeps. README's pictures are made so.
func TestPictures(t *testing.T) {
	folder := os.Getenv("TELLTRACE_SCREENS")
	sizes := screentest.Sizes
	if folder == "" {
		folder, sizes = t.TempDir(), sizes[:1]
	}
	for _, s := range scenes() {
		for _, size := range sizes {
			path := filepath.Join(folder, fmt.Sprintf("%s-%dx%d.png", s.name, size[0], size[1]))
			screentest.Run(t, size[0], size[1], func(env *screen.Env) screen.Screen {
				env.Look = look.New(env.Renderer, s.look)
				return s.open(env)
			}, func(_ *testing.T, d *screentest.Driver) {
				d.Tick(2 * time.Second)
				for _, k := range s.keys {
					d.Press(k)
					d.Tick(1100 * time.Millisecond)
				}
				d.Fits()
				d.Picture(path, s.look.Palette == look.Light)
			})
			f, err := os.Open(path)
			require.NoError(t, err)
			img, err := png.DecodeConfig(f)
			require.NoError(t, err)
			assert.Equal(t, [2]int{8 * size[0], 16 * size[1]}, [2]int{img.Width, img.Height}, path)
			f.Close()
		}
	}
}
