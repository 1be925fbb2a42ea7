package trainer_test

import (
	"testing"

	"telltrace/trainer"
	"telltrace/trainer/screentest"
)

// Every screen keeps the contract of all screens.
func TestScreens(t *testing.T) {
	for _, r := range trainer.Routes() {
		t.Run(r.Name, func(t *testing.T) { screentest.Exercise(t, r.Open) })
	}
}
