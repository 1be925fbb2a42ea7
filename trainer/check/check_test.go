package check_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/scoring/readiness"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/trainer/check"
	"telltrace/trainer/screen"
	"telltrace/trainer/screentest"
)

// strips of a block by the default rules.
var strips = readiness.Default().Block.Arrest + readiness.Default().Block.Harmless

// answerAll plays the block: the learner sees which entry it is only through the ledger
// of the rounds, so the test asks the store what the last strip was and names the first
// choice, "not sure" or the truth.
func play(t *testing.T, d *screentest.Driver, n int, key string) {
	t.Helper()
	for i := range n {
		d.Sees(fmt.Sprintf("Check, strip %d of %d", i+1, strips))
		d.SeesNot("The name:")
		d.Tick(3 * time.Second)
		d.Press(key, "enter")
	}
}

// A whole block runs in silence, ends on the sheet with its result, and is kept.
func TestABlock(t *testing.T) {
	var env *screen.Env
	screentest.Run(t, 120, 40, func(e *screen.Env) screen.Screen { env = e; return check.New(e) }, func(t *testing.T, d *screentest.Driver) {
		d.Sees("By check strips: not yet.")
		d.Sees("nothing is told until it ends")
		d.Sees("blocks on 3 different days (so far 0)")
		d.Press("b")
		play(t, d, strips, "1")
		d.Sees("Blocks finished: 1.")
		d.Sees("Missed in your last block")
		answers, err := ledger.Collect(env.Store.Answers(context.Background(), ledger.Query{Mode: ledger.Check}))
		require.NoError(t, err)
		require.Len(t, answers, strips)
		severity := map[ecg.Severity]int{}
		arrests := 0
		for _, a := range answers {
			id, err := ecg.ParseIdentity(a.Strip)
			require.NoError(t, err)
			severity[id.Severity]++
			if l, ok := synth.Lesson(a.Subject); ok && readiness.IsArrest(l) {
				arrests++
				assert.Equal(t, l.States[0], a.State)
			}
			assert.Len(t, a.Offered, 5)
			assert.Contains(t, a.Offered, a.Subject)
		}
		assert.Equal(t, readiness.Default().Block.Arrest, arrests)
		assert.Equal(t, 14, severity[ecg.Plain])
		assert.Equal(t, 10, severity[ecg.Middle])
		assert.Equal(t, 4, severity[ecg.Subtle])
		block, ok := readiness.LastBlock(answers)
		assert.True(t, ok)
		assert.Equal(t, answers, block)
	})
}

// A block broken off decides nothing; what was answered is kept, and the next begins
// anew.
func TestABlockBrokenOff(t *testing.T) {
	screentest.Run(t, 80, 24, func(e *screen.Env) screen.Screen { return check.New(e) }, func(t *testing.T, d *screentest.Driver) {
		d.Press("b")
		play(t, d, 3, "1")
		d.Press("q")
		d.Sees("Blocks finished: 0.")
		d.Press("b")
		d.Sees("Check, strip 1 of 28")
	})
}
