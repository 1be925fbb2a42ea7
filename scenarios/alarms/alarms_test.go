package alarms

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/script"
	"telltrace/synth/ecg"
)

func TestDraw(t *testing.T) {
	for seed := range uint64(40) {
		run := Draw(seed)
		require.Len(t, run, 10)
		assert.Equal(t, run, Draw(seed))
		names, now := map[script.Name]bool{}, map[Answer]int{}
		for _, c := range run {
			e := c.Script.Episodes[0]
			names[c.Script.Name] = true
			now[c.Truth]++
			switch c.Truth {
			case NotReal:
				assert.Equal(t, ecg.Stable, e.State, c.Script.Name)
			case Doubt:
				assert.Equal(t, ecg.NotSure, e.State, c.Script.Name)
			}
		}
		assert.Len(t, names, 10, "nobody twice")
		assert.Equal(t, 6, now[NotReal])
	}
	// What the alarm says must not give the answer away: every one is met both ways.
	alarms := map[script.Alarm]map[Answer]int{}
	for truth, list := range cases() {
		for _, c := range list {
			e := c.Script.Episodes[0]
			if alarms[e.Alarm] == nil {
				alarms[e.Alarm] = map[Answer]int{}
			}
			alarms[e.Alarm][truth]++
		}
	}
	t.Log(alarms)
	assert.Len(t, alarms, len(script.Alarms))
	for alarm, by := range alarms {
		assert.Positive(t, by[Real], alarm)
		assert.Positive(t, by[NotReal], alarm)
	}
}
