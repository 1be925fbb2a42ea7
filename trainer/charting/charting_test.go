package charting_test

import (
	"testing"

	"telltrace/trainer/charting"
	"telltrace/trainer/look"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

func open(env *screen.Env) screen.Screen { return charting.New(env) }

func plain(env *screen.Env) screen.Screen {
	env.Look = look.New(env.Renderer, look.Options{Plain: true})
	return charting.New(env)
}

// Seventeen fields are gone through and marked one by one, with the tolerances; then a cause.
func TestAChartAndACause(t *testing.T) {
	screentest.Run(t, 80, 24, open, func(t *testing.T, d *screentest.Driver) {
		d.Sees("in small boxes")
		for range 17 {
			d.Press("1", "enter")
		}
		d.Sees("Give these answers")
		d.Press("enter")
		d.Sees("time: ")
		for range 60 {
			d.Press("down")
		}
		d.Sees("Tolerances:")
		d.Press("enter")
		d.Sees("Which cause do you name first")
	})
}

func TestPlainKeepsTheContract(t *testing.T) { screentest.Exercise(t, plain) }
