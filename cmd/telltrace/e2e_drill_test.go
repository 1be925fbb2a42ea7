//go:build !windows

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/drill"
)

const shortDrill = `drill: short
title: A short one
strips: 2
seconds: 300
show: {asystole: 1, sinus-rhythm: 1}
ages: [6y]
pass: {right: 100}
`

// A drill's exit code says how it came out: 0 passed, 1 not passed or not finished; the
// strips that were answered are kept, and it goes on where it broke off.
func TestDrillInATerminal(t *testing.T) {
	t.Parallel()
	h := settledHome(t, build(t))
	file := filepath.Join(h.folder, "short.yaml")
	require.NoError(t, os.WriteFile(file, []byte(shortDrill), 0o600))
	d, err := drill.Parse(file, []byte(shortDrill))
	require.NoError(t, err)
	list, err := d.Draw("", 0)
	require.NoError(t, err)
	answer := func(x *terminal, n int) {
		see(x, fmt.Sprintf("A short one, strip %d of 2", n+1))
		x.Type(fmt.Sprint(1+slices.Index(list[n].Choices, list[n].Strip.Subject())) + "\r")
	}

	x := launch(t, h.command("drill", file, "--class", "autumn"), 80, 24)
	see(x, "2 strips, 300 seconds for each", "Training only")
	x.Type("b")
	answer(x, 0)
	see(x, "strip 2 of 2")
	x.Type("q")
	see(x, "broke off at strip 2 of 2")
	x.Type("q")
	assert.Equal(t, exitNotMet, x.Left(), "not finished")

	x = launch(t, h.command("drill", file, "--class", "autumn"), 80, 24)
	see(x, "broke off at strip 2 of 2")
	x.Type("b")
	answer(x, 1)
	see(x, "passed.", "met: 2 of 2 answers right")
	x.Type("q")
	assert.Equal(t, exitOK, x.Left())
	kept := stored(t, h.store())
	require.Len(t, kept, 2)
	for _, a := range kept {
		assert.Equal(t, "autumn", a.Class)
		assert.Equal(t, d.Part(), a.Part)
	}

	x = launch(t, h.command("class", file, "--class", "autumn"), 80, 24)
	see(x, "0 at work, 1 finished", "2 of 2", "passed")
	x.Type("q")
	assert.Equal(t, exitOK, x.Left())
}
