package calling_test

import (
	"testing"

	"telltrace/trainer/calling"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

// The call is put together from the first choice of each slot and marked slot by slot, in
// words where nothing is drawn.
func TestACall(t *testing.T) {
	screentest.Run(t, 80, 24, plain, func(t *testing.T, d *screentest.Driver) {
		d.Sees("beat by beat")
		for range 7 {
			d.Press("enter")
		}
		d.Press("enter")
		d.Sees("who: ")
		for range 30 {
			d.Press("down")
		}
		d.Sees("Spoken, this call takes about")
		d.Sees("Whom to call, and how, is local policy.")
	})
}

func plain(env *screen.Env) screen.Screen {
	env.Look = look.New(env.Renderer, look.Options{Plain: true})
	return calling.New(env)
}

func TestPlainKeepsTheContract(t *testing.T) { screentest.Exercise(t, plain) }
