package practise

import (
	"fmt"
	"math"

	"telltrace/scenarios"
)

// A cuff measures now and then; between two readings the last one stands, and says how
// old it is.
type cuff struct {
	systolic, diastolic int     // mmHg
	at                  float64 // when it was measured, s since the strip came on screen
	found               bool    // the last time there was a pulse to measure on
	every               float64 // s
}

// newCuff is the reading from before the strip.
func newCuff(n scenarios.Numbers) cuff {
	return cuff{systolic: n.Systolic, diastolic: n.Diastolic, at: -60 * float64(n.CuffAgo), found: true, every: 60 * float64(n.CuffEvery)}
}

// advance measures when it is time; now is s since the strip came on screen.
func (c *cuff) advance(now float64, measured func() (systolic, diastolic float64, ok bool)) {
	if c.every <= 0 || measured == nil || now-c.at < c.every {
		return
	}
	systolic, diastolic, ok := measured()
	c.at, c.found = now, ok
	if ok {
		c.systolic, c.diastolic = int(math.Round(systolic)), int(math.Round(diastolic))
	}
}

// words is the reading and its age.
func (c cuff) words(now float64) string {
	ago := fmt.Sprintf("%d min ago", int((now-c.at)/60))
	if now-c.at < 60 {
		ago = "just now"
	}
	if !c.found {
		return "cuff found no pulse " + ago
	}
	return fmt.Sprintf("cuff %d/%d %s", c.systolic, c.diastolic, ago)
}
