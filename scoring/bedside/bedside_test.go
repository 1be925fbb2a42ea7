package bedside_test

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scenarios/library"
	"telltrace/scenarios/play"
	"telltrace/scenarios/script"
	"telltrace/scoring/bedside"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// A step is something done at a time, s.
type step struct {
	at   float64
	look script.Look
	act  lesson.Action
}

func see(at float64, l script.Look) step  { return step{at, l, ""} }
func do(at float64, a lesson.Action) step { return step{at, "", a} }

// marked plays steps and marks what came of them, until s.
func marked(t *testing.T, name string, until float64, steps ...step) []bedside.Visit {
	t.Helper()
	s, err := library.Find(name)
	require.NoError(t, err)
	p, err := play.New(s, 1)
	require.NoError(t, err)
	for _, x := range steps {
		p.Advance(x.at)
		if x.look != "" {
			p.Look(x.look)
		} else {
			p.Do(x.act)
		}
	}
	p.Advance(until)
	visits, err := bedside.Mark(p)
	require.NoError(t, err)
	return visits
}

func verdicts(v bedside.Visit) (out []ledger.Verdict) {
	for _, p := range v.Points {
		out = append(out, p.Verdict)
	}
	return out
}

// Worked through by hand from the rules in the package comment; that the patient comes
// first, the ten seconds for a pulse, and never compressions or silence unseen are the
// guideline's (AHA 2020, from memory) and common practice.
func TestMark(t *testing.T) {
	const right, near, wrong, critical = ledger.Right, ledger.Near, ledger.Wrong, ledger.Critical
	for _, tt := range []struct {
		what     string
		scenario string
		until    float64
		steps    []step
		want     ledger.Verdict
	}{
		{"patient first, then the clip", "flat-at-night", 5, []step{see(1, script.LookPatient), do(3, lesson.Reattach)}, right},
		{"the electrodes first", "flat-at-night", 9, []step{see(1, script.LookElectrodes), see(3, script.LookPatient), do(5, lesson.Reattach)}, near},
		{"the clip before anybody looked", "flat-at-night", 9, []step{do(1, lesson.Reattach)}, wrong},
		{"silenced unseen", "flat-at-night", 5, []step{do(1, lesson.Silence)}, critical},
		{"compressions unseen", "flat-at-night", 5, []step{do(1, lesson.Compress)}, critical},
		{"compressions on a child seen pink", "flat-at-night", 5, []step{see(1, script.LookPatient), do(3, lesson.Compress)}, wrong},
		{"called after looking", "flat-at-night", 5, []step{see(1, script.LookPatient), do(3, lesson.CallStay)}, near},
		{"an arrest, at once", "down-at-noon", 9, []step{see(1, script.LookPatient), do(3, lesson.Compress)}, right},
		{"an arrest, ten seconds of pulse", "down-at-noon", 14, []step{see(1, script.LookPatient), see(2, script.LookPulse), do(12.5, lesson.Compress)}, right},
		{"an arrest, the pulse twice", "down-at-noon", 24, []step{see(1, script.LookPulse), see(11.5, script.LookPulse), do(14, lesson.Compress)}, near},
		{"an arrest, thirty seconds later", "down-at-noon", 35, []step{see(1, script.LookPatient), do(33, lesson.Compress)}, wrong},
		{"an arrest, charted", "down-at-noon", 9, []step{see(1, script.LookPatient), do(3, lesson.Chart)}, critical},
		{"an arrest, nothing done", "down-at-noon", 100, nil, critical},
		{"looked at, and nothing needs doing", "usual-night", 80, []step{see(1, script.LookPatient)}, right},
		{"nothing needs doing, charted", "short-pause-newborn", 9, []step{see(1, script.LookPatient), do(4, lesson.Chart)}, right},
		{"an alarm that nobody looked at", "short-pause-newborn", 100, nil, wrong},
		{"in doubt, act", "dark-room", 9, []step{see(1, script.LookPatient), do(3, lesson.CallStay)}, right},
		{"in doubt, waited", "dark-room", 20, []step{see(1, script.LookPatient), do(3, lesson.Chart)}, wrong},
		{"no breath: airway first", "slow-to-nothing", 9, []step{see(1, script.LookPatient), do(3, lesson.Support)}, right},
		{"too late by the file", "slow-to-nothing", 39, []step{see(1, script.LookPatient), do(35, lesson.Support)}, near},
	} {
		v := marked(t, tt.scenario, tt.until, tt.steps...)
		assert.Equal(t, tt.want, v[0].Verdict, "%s: %+v", tt.what, v[0].Points)
	}
}

// What was seen in the episode before still counts when the next begins at once.
func TestSeenShortlyBefore(t *testing.T) {
	v := marked(t, "flat-at-night", 40, see(1, script.LookPatient), do(3, lesson.Silence), do(25, lesson.Compress))
	require.Len(t, v, 2)
	assert.Equal(t, []ledger.Verdict{ledger.Right}, verdicts(v[1])[:1], "%+v", v[1].Points)
	assert.Equal(t, 23.0, v[0].To)
	assert.Equal(t, lesson.Silence, v[0].Act)
	assert.Equal(t, 3.0, v[0].Took)
}

// Who goes on with what is right has not to look again: also a pulse that was being felt
// for counts.
func TestGoingOn(t *testing.T) {
	for _, at := range []float64{5, 40} {
		v := marked(t, "down-at-noon", at+5, see(at-3, script.LookPulse), do(at, lesson.Compress), do(at+2, lesson.Compress))
		require.GreaterOrEqual(t, len(v), 2)
		assert.Equal(t, ledger.Right, v[len(v)-1].Verdict, "%+v", v[len(v)-1].Points)
	}
}

// A visit goes into the ledger as one answer that the store takes.
func TestAnswerIsKept(t *testing.T) {
	v := marked(t, "flat-at-night", 5, see(1, script.LookPatient), do(3, lesson.Reattach))[0]
	a := v.Answer("flat-at-night")
	a.ID, a.Presentation, a.Learner, a.Strip = "1", "2", "me", "3/sinus-rhythm/6y/1"
	a.At = time.Date(2025, 11, 14, 3, 0, 0, 0, time.UTC)
	require.NoError(t, ledger.NewMemory().Add(context.Background(), a))
	assert.Equal(t, "disconnected-lead", a.Subject)
	assert.Equal(t, ecg.Stable, a.State)
	assert.Equal(t, []ledger.Look{{What: ledger.LookChild, AfterMS: 1000}}, a.Looked)
	assert.Equal(t, 3*time.Second, a.Took)
	assert.Equal(t, []string{"reattach", "settle"}, a.Right)
	assert.True(t, a.Correct)
}

// Who does what is taught, patient first, does every scenario right.
func TestTaughtIsRight(t *testing.T) {
	for _, s := range library.All() {
		p, err := play.New(s, 1)
		require.NoError(t, err)
		for now := 0.0; !p.Over() && now < 3600; now += 0.5 {
			p.Advance(now)
			e, began := p.Episode()
			switch since := p.Now() - began; {
			case since < 0.5:
				p.Look(script.LookPatient)
			case since == 3:
				care := e.Care(s.Patient.Age.Exact())
				a := care.First
				if a == lesson.LookCall {
					a = care.Also[0]
				}
				p.Do(a)
			}
		}
		visits, err := bedside.Mark(p)
		require.NoError(t, err)
		for _, v := range visits {
			assert.Equal(t, ledger.Right, v.Verdict, "%s, %s: %+v", s.Name, v.Episode.Name, v.Points)
		}
	}
}
