// Package unasked keeps libraries from asking the terminal for its colours before
// main begins. bubbletea's init does so and waits up to five seconds for an answer;
// some terminals give none. termenv, through which it asks, takes an output for no
// terminal where CI is set, so that is set until main calls Restore.
//
// Go initialises the first package by import path whose imports are all initialised
// (Go specification, "Program initialization"). This one imports nothing but syscall,
// on which package time depends, and its path comes before "time", on which bubbletea
// depends: so it comes first. A test in cmd/telltrace watches a terminal for the
// question.
package unasked

import "syscall"

const (
	variable = "CI"
	value    = "telltrace asks its terminal nothing"
)

var before, was = syscall.Getenv(variable)

func init() {
	if before == "" {
		_ = syscall.Setenv(variable, value) // where it fails, the question is asked
	}
}

// Restore makes the environment what it was. Call it first in main.
func Restore() {
	if was {
		_ = syscall.Setenv(variable, before)
	} else {
		_ = syscall.Unsetenv(variable)
	}
}
