package ledger_test

import (
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"github.com/adrg/xdg"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring/ledger"
	"telltrace/scoring/ledger/ledgertest"
)

func TestMemory(t *testing.T) {
	ledgertest.Exercise(t, func(*testing.T) ledger.Store { return ledger.NewMemory() })
}

// The XDG Base Directory Specification: user data go below $XDG_DATA_HOME.
func TestDefaultPath(t *testing.T) {
	home := t.TempDir()
	t.Cleanup(xdg.Reload) // after Setenv has put the old value back
	t.Setenv("XDG_DATA_HOME", home)
	xdg.Reload()
	assert.Equal(t, filepath.Join(home, "telltrace", "answers.db"), ledger.DefaultPath())
}

// Every field of the example is filled but Correct, so no test passes because a
// store forgot a new field.
func TestExampleFillsEveryField(t *testing.T) {
	v := reflect.ValueOf(ledgertest.Answer(1))
	for i := range v.NumField() {
		if name := v.Type().Field(i).Name; name != "Correct" {
			assert.False(t, v.Field(i).IsZero(), name)
		}
	}
}

// The words in old files must keep their meaning: a list may only grow at its end.
func TestStoredWordsStay(t *testing.T) {
	assert.Equal(t, []ledger.Mode{"practise", "replay", "fresh", "drill", "check"}, ledger.Modes[:5])
	assert.Equal(t, []ledger.Question{"rhythm", "first-action"}, ledger.Questions[:2])
	assert.Equal(t, []ledger.Verdict{"right", "near", "wrong", "critical"}, ledger.Verdicts[:4])
}

// A clock that was set back is noticed, one that is a little off is not.
func TestAhead(t *testing.T) {
	m := ledger.NewMemory()
	ahead := func(now time.Time) time.Duration {
		by, err := ledger.Ahead(t.Context(), m, "learner-1", now)
		require.NoError(t, err)
		return by
	}
	newest := ledgertest.Answer(3).At
	assert.Zero(t, ahead(newest))
	require.NoError(t, m.Add(t.Context(), ledgertest.Answer(3), ledgertest.Answer(1)))
	assert.Zero(t, ahead(newest.Add(time.Hour)))
	assert.Zero(t, ahead(newest.Add(-5*time.Minute)))
	assert.Equal(t, 48*time.Hour, ahead(newest.Add(-48*time.Hour)))
}
