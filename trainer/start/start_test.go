package start_test

import (
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/trainer"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
	"telltrace/trainer/settings"
	"telltrace/trainer/start"
)

// doors are the trainer's own.
func doors(env *screen.Env) screen.Screen { return trainer.Start(env, nil) }

func TestGolden(t *testing.T) { // every step is compared with its golden file
	for _, size := range screentest.Sizes {
		t.Run(fmt.Sprint(size), func(t *testing.T) {
			screentest.Run(t, size[0], size[1], doors, func(t *testing.T, d *screentest.Driver) {
				d.Golden("start")
				d.Press("h")
				d.Golden("help")
				d.Press("q", "s")
				d.Golden("settings")
			})
			first := func(env *screen.Env) screen.Screen {
				return trainer.FirstStart(env, func(settings.Settings) error { return nil }, nil)
			}
			screentest.Run(t, size[0], size[1], first, func(t *testing.T, d *screentest.Driver) {
				d.Golden("first")
				d.Press("enter")
				d.Golden("first-braille")
				d.Press("n")
				d.Golden("first-half-block")
				d.Press("n")
				d.Golden("first-ground")
			})
		})
	}
}

func TestDoors(t *testing.T) {
	for _, tt := range []struct {
		name  string
		keys  []string
		shows string
	}{
		{"letter", []string{"p"}, "Rate: how many QRS a minute?"},
		{"digit", []string{"1"}, "Rate: how many QRS a minute?"},
		{"enter", []string{"enter"}, "Rate: how many QRS a minute?"},
		{"arrow down", []string{"down", "enter"}, "Missed answers"},
		{"arrow up, over the top", []string{"up", "up", "enter"}, "How it goes"},
		{"missed", []string{"m"}, "Nothing to look at again."},
		{"help", []string{"9"}, "How it goes"},
		{"exercises", []string{"e"}, "Naming a strip is a part of the job."},
		{"drills", []string{"d"}, "Arrest rhythms"},
		{"settings", []string{"s"}, "Time to answer"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			screentest.Run(t, 80, 24, doors, func(t *testing.T, d *screentest.Driver) {
				d.Sees(look.Caution)
				d.Press(tt.keys...)
				d.Sees(tt.shows)
				d.Press("q")
				d.Sees("Practise a strip, two questions, and why")
				assert.False(t, d.Quit)
			})
		})
	}
	for _, k := range []string{"x", "q", "ctrl+c"} {
		screentest.Run(t, 80, 24, doors, func(t *testing.T, d *screentest.Driver) {
			d.Press(k)
			assert.True(t, d.Quit, "%s leaves", k)
		})
	}
}

// The count is read anew when the screen comes back.
func TestCountOfMissed(t *testing.T) {
	screentest.Run(t, 80, 24, doors, func(t *testing.T, d *screentest.Driver) {
		d.Sees("Missed answers none to look at again")
		d.Press("p", "n", "3", "enter") // of two to begin with, and not sure: it counts as missed
		d.Press("q")
		assert.Contains(t, d.Words(), "Missed answers one to look at again")
	})
}

func TestACountThatFails(t *testing.T) {
	screentest.Run(t, 80, 24, func(env *screen.Env) screen.Screen {
		assert.NoError(t, env.Store.Close())
		return doors(env)
	}, func(t *testing.T, d *screentest.Driver) { d.Sees("cannot be counted: ledger: already closed") })
}

func TestNoticeIsSeen(t *testing.T) {
	const notice = "Your answers are not kept: the data folder cannot be written."
	screentest.Run(t, 80, 24, func(env *screen.Env) screen.Screen {
		env.Notice = notice
		return doors(env)
	}, func(t *testing.T, d *screentest.Driver) {
		assert.Contains(t, d.Words(), notice)
		d.Fits()
	})
}

// What is seen decides the characters, what is preferred the palette; both are kept
// and in force at once.
func TestFirstStart(t *testing.T) {
	for _, tt := range []struct {
		keys []string
		want settings.Settings
	}{
		{[]string{"enter", "y", "d"}, settings.Settings{Glyphs: look.Braille, Palette: look.Dark}},
		{[]string{"enter", "n", "y", "l"}, settings.Settings{Glyphs: look.HalfBlock, Palette: look.Light}},
		{[]string{"enter", "n", "n", "d"}, settings.Settings{Glyphs: look.ASCII, Palette: look.Dark}},
	} {
		var env *screen.Env
		var kept []settings.Settings
		screentest.Run(t, 80, 24, func(e *screen.Env) screen.Screen {
			env = e
			return trainer.FirstStart(e, func(s settings.Settings) error { kept = append(kept, s); return nil }, nil)
		}, func(t *testing.T, d *screentest.Driver) {
			d.Sees(look.Caution)
			d.Sees(look.PatientFirst)
			d.Press(tt.keys...)
			d.Sees("Practise a strip, two questions, and why")
			assert.Equal(t, []settings.Settings{tt.want}, kept)
			assert.Equal(t, tt.want.Glyphs, env.Look.Glyphs)
			assert.Equal(t, look.New(env.Renderer, tt.want.Options()).Ground(look.PaperA), env.Look.Ground(look.PaperA), "the palette is in force")
			d.Press("q")
			assert.True(t, d.Quit, "the first page does not come back")
		})
	}
}

// A choice that cannot be kept still holds, and can be tried again.
func TestAChoiceThatCannotBeKept(t *testing.T) {
	for _, tt := range []struct {
		name  string
		fails int
		keys  []string
	}{
		{"go on without", 9, []string{"enter"}},
		{"try again", 1, []string{"r"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var env *screen.Env
			tries := 0
			screentest.Run(t, 80, 24, func(e *screen.Env) screen.Screen {
				env = e
				return start.NewFirst(e, func(settings.Settings) error {
					if tries++; tries <= tt.fails {
						return errors.New("no room on the disk")
					}
					return nil
				}, func() screen.Screen { return doors(e) })
			}, func(t *testing.T, d *screentest.Driver) {
				d.Press("enter", "y", "l")
				d.Sees("could not be kept: no room on the disk.")
				d.Press(tt.keys...)
				d.Sees("Practise a strip")
				assert.Equal(t, look.New(env.Renderer, look.Options{Palette: look.Light}).Ground(look.PaperA), env.Look.Ground(look.PaperA))
			})
		})
	}
}

// A change is in force at once, kept at once, and changes nothing else.
func TestSettings(t *testing.T) {
	for _, tt := range []struct {
		keys []string
		want settings.Settings
		says string
	}{
		{[]string{"right"}, settings.Settings{Palette: look.Light}, "Colours light window"},
		{[]string{"left"}, settings.Settings{Palette: look.None}, "Colours none"},
		{[]string{"down", "right"}, settings.Settings{Glyphs: look.HalfBlock}, "Strip drawn in half blocks"},
		{[]string{"down", "down", "enter"}, settings.Settings{StillPage: true}, "Strip stands still"},
		{[]string{"up", "up", "right"}, settings.Settings{IEC: true}, "Electrodes IEC letters and colours: R red"},
		{[]string{"up", "right", "right"}, settings.Settings{ExtraTime: map[string]int{"a learner": 50}}, "Time to answer half as long again"},
	} {
		var env *screen.Env
		var last settings.Settings
		screentest.Run(t, 80, 24, func(e *screen.Env) screen.Screen {
			env = e
			e.Save = func(s settings.Settings) error { last = s; return nil }
			return start.NewSetup(e)
		}, func(t *testing.T, d *screentest.Driver) {
			d.Press(tt.keys...)
			d.Sees(tt.says)
			d.Sees("Kept.")
			assert.Equal(t, tt.want, last)
			assert.Equal(t, tt.want, env.Settings)
			assert.Equal(t, tt.want.StillPage, env.Still)
			assert.Equal(t, tt.want.Palette != look.None, env.Look.Coloured())
		})
	}
}

func TestSettingsThatCannotBeKept(t *testing.T) {
	screentest.Run(t, 80, 24, func(e *screen.Env) screen.Screen {
		e.Save = func(settings.Settings) error { return errors.New("the disk is full") }
		return start.NewSetup(e)
	}, func(t *testing.T, d *screentest.Driver) {
		d.Press("right")
		d.Sees("This holds until you leave, but it could not be kept: the disk is full.")
		d.Sees("Colours light window")
	})
}
