package limits_test

import (
	"testing"

	"telltrace/trainer/limits"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

func open(env *screen.Env) screen.Screen { return limits.New(env) }

func plain(env *screen.Env) screen.Screen {
	env.Look = look.New(env.Renderer, look.Options{Plain: true})
	return limits.New(env)
}

// Limits as the patient before left them are shown for what they are, beside common practice
// and what is published.
func TestLimitsAreShownForWhatTheyDo(t *testing.T) {
	for name, open := range map[string]func(*screen.Env) screen.Screen{"drawn": open, "in words": plain} {
		t.Run(name, func(t *testing.T) {
			screentest.Run(t, 120, 40, open, func(t *testing.T, d *screentest.Driver) {
				d.Sees("low limit")
				d.Press("enter", "0", "enter", "3", "0", "0", "enter", "2", "enter", "enter")
				d.Sees("Unsafe. low limit: 0 /min.")
				d.Sees("lies below the floor that is ordered")
				d.Sees("whatever happens")
				d.Sees("Common practice here")
				d.Sees("Drew 2014")
			})
		})
	}
}

func TestPlainKeepsTheContract(t *testing.T) { screentest.Exercise(t, plain) }

// What the page looks like before and after.
func TestPages(t *testing.T) {
	for _, size := range screentest.Sizes {
		screentest.Run(t, size[0], size[1], open, func(t *testing.T, d *screentest.Driver) {
			d.Golden("setting")
			d.Press("enter", "8", "0", "enter", "1", "3", "0", "enter", "2", "enter", "enter")
			d.Golden("marked")
		})
	}
}
