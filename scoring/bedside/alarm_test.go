package bedside_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/alarms"
	"telltrace/scenarios/play"
	"telltrace/scenarios/script"
	"telltrace/scoring/bedside"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
)

// The rules of MarkAlarm, one by one; that the patient is looked at first and that in
// doubt one acts is common practice.
func TestMarkAlarm(t *testing.T) {
	find := func(truth alarms.Answer, state ecg.State) alarms.Case {
		for seed := range uint64(100) {
			for _, c := range alarms.Draw(seed) {
				if e := c.Script.Episodes[0]; c.Truth == truth && e.State == state {
					return c
				}
			}
		}
		t.Fatalf("no alarm %s, %s", truth, state)
		return alarms.Case{}
	}
	arrest, poor := find(alarms.Real, ecg.NoSignsOfLife), find(alarms.Real, ecg.PoorPerfusion)
	false1, doubt := find(alarms.NotReal, ecg.Stable), find(alarms.Doubt, ecg.NotSure)
	const eye, finger, cable = script.LookPatient, script.LookPulse, script.LookElectrodes
	for _, tt := range []struct {
		c      alarms.Case
		looks  []script.Look
		answer alarms.Answer
		want   ledger.Verdict
	}{
		{arrest, []script.Look{eye}, alarms.Real, ledger.Right},
		{arrest, []script.Look{eye, finger}, alarms.Doubt, ledger.Near},
		{arrest, []script.Look{cable}, alarms.Real, ledger.Near},
		{arrest, nil, alarms.Real, ledger.Near},
		{arrest, []script.Look{eye}, alarms.NotReal, ledger.Critical},
		{arrest, nil, "", ledger.Critical},
		{poor, []script.Look{eye}, alarms.NotReal, ledger.Wrong},
		{poor, nil, "", ledger.Wrong},
		{false1, []script.Look{eye, cable}, alarms.NotReal, ledger.Right},
		{false1, []script.Look{cable, eye}, alarms.NotReal, ledger.Near},
		{false1, []script.Look{cable}, alarms.NotReal, ledger.Wrong},
		{false1, nil, alarms.NotReal, ledger.Wrong},
		{false1, []script.Look{eye}, alarms.Real, ledger.Near},
		{false1, nil, alarms.Real, ledger.Wrong},
		{false1, []script.Look{eye}, "", ledger.Near},
		{doubt, []script.Look{eye}, alarms.Doubt, ledger.Right},
		{doubt, []script.Look{eye}, alarms.Real, ledger.Right},
		{doubt, []script.Look{eye}, alarms.NotReal, ledger.Wrong},
	} {
		p, err := play.New(tt.c.Script, 1)
		require.NoError(t, err)
		for i, l := range tt.looks {
			p.Advance(float64(12*i + 1))
			p.Look(l)
		}
		p.Advance(30)
		m := bedside.MarkAlarm(tt.c, p, tt.answer)
		assert.Equal(t, tt.want, m.Verdict, "%s %v %s: %+v", tt.c.Truth, tt.looks, tt.answer, m.Points)
	}
}
