package firstlesson_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"telltrace/scenarios"
	"telltrace/trainer"
	"telltrace/trainer/firstlesson"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

func open(env *screen.Env) screen.Screen {
	return firstlesson.New(env, func() screen.Screen { return trainer.Practise(env, scenarios.Wish{}) })
}

// From the first page to practice, every page read to its end in the smallest window.
func TestThroughTheLesson(t *testing.T) {
	for _, size := range screentest.Sizes {
		screentest.Run(t, size[0], size[1], open, func(t *testing.T, d *screentest.Driver) {
			pages := 0
			for !strings.Contains(d.Words(), "Rate: how many QRS a minute?") {
				if pages++; pages > 20 {
					t.Fatal("the lesson does not end")
				}
				d.Sees("First lesson:")
				d.Fits()
				before := d.Cells()
				d.Tick(500 * time.Millisecond)
				if !strings.Contains(d.Words(), "a beat") && !strings.Contains(d.Words(), "order of reading") {
					assert.NotEqual(t, before, d.Cells(), "the strip of page %d is live", pages)
				}
				for range 30 {
					d.Press("down")
				}
				d.Fits()
				d.Press("enter")
			}
			assert.Equal(t, 8, pages)
		})
	}
}

// It can be left at any page, and gone back in.
func TestSkipped(t *testing.T) {
	screentest.Run(t, 120, 40, open, func(t *testing.T, d *screentest.Driver) {
		d.Sees("the paper")
		d.Press("enter")
		d.Sees("P: the atria are excited.")
		d.Golden("a-beat")
		d.Press("b")
		d.Sees("A big box is 0.2 seconds wide")
		d.Press("q")
		assert.True(t, d.Quit)
	})
}
