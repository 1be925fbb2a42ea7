package practise

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"telltrace/scenarios"
)

// The reading from before the strip stands until the cuff's time has come, then the new
// one does; where there is no pulse it says so (common practice).
func TestCuff(t *testing.T) {
	t.Parallel()
	now := func() (float64, float64, bool) { return 61.4, 33.8, true }
	c := newCuff(scenarios.Numbers{Systolic: 104, Diastolic: 64, CuffAgo: 3, CuffEvery: 5})
	c.advance(119, now)
	assert.Equal(t, "cuff 104/64 4 min ago", c.words(119))
	c.advance(120, now)
	assert.Equal(t, "cuff 61/34 just now", c.words(120))
	c.advance(200, func() (float64, float64, bool) { return 90, 50, true })
	assert.Equal(t, "cuff 61/34 1 min ago", c.words(200), "it stands until the next")
	c.advance(421, func() (float64, float64, bool) { return 0, 0, false })
	assert.Equal(t, "cuff found no pulse just now", c.words(430))
}
