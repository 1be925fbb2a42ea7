package scoring_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// The entries below carry first actions as the paediatric and adult guidelines of
// 2020 (American Heart Association) and common practice have them, reduced to what
// marking looks at: the state comes before the rhythm, so without signs of life
// every entry means compressions.
func entry(id string, f lesson.Family, usual ecg.State, stable, poor lesson.Care) lesson.Lesson {
	return lesson.Lesson{ID: id, Name: strings.ReplaceAll(id, "-", " "), Family: f, States: []ecg.State{usual},
		Care: func(_ ecg.Age, s ecg.State) lesson.Care {
			switch s {
			case ecg.NoSignsOfLife:
				return lesson.Care{Urgency: lesson.ArrestNow, First: lesson.Compress}
			case ecg.PoorPerfusion:
				return poor
			}
			return stable
		}}
}

var (
	arrest  = lesson.Care{Urgency: lesson.ArrestNow, First: lesson.Compress}
	urgent  = lesson.Care{Urgency: lesson.Urgent, First: lesson.CallStay}
	support = lesson.Care{Urgency: lesson.Urgent, First: lesson.Support}
	watch   = lesson.Care{Urgency: lesson.Watch, First: lesson.AssessTell}
	chart   = lesson.Care{Urgency: lesson.Routine, First: lesson.Chart}
)

func find(id string) (lesson.Lesson, bool) {
	for _, l := range []lesson.Lesson{
		entry("sinus-rhythm", lesson.Sinus, ecg.Stable, chart, support),
		entry("sinus-tachycardia", lesson.Sinus, ecg.Stable, watch, support),
		entry("premature-ventricular-beats", lesson.Ventricular, ecg.Stable,
			lesson.Care{Urgency: lesson.Routine, First: lesson.Chart, Also: []lesson.Action{lesson.AssessTell}}, support),
		entry("ventricular-bigeminy", lesson.Ventricular, ecg.Stable, watch, support),
		entry("supraventricular-tachycardia", lesson.Atrial, ecg.Stable, urgent, support),
		entry("monomorphic-ventricular-tachycardia", lesson.Ventricular, ecg.Stable, urgent, support),
		entry("coarse-ventricular-fibrillation", lesson.Arrest, ecg.NoSignsOfLife, arrest, arrest),
		entry("fine-ventricular-fibrillation", lesson.Arrest, ecg.NoSignsOfLife, arrest, arrest),
		entry("asystole", lesson.Arrest, ecg.NoSignsOfLife, arrest, arrest),
		entry("p-wave-asystole", lesson.Arrest, ecg.NoSignsOfLife, arrest, arrest),
		entry("pulseless-electrical-activity", lesson.Arrest, ecg.NoSignsOfLife, arrest, arrest),
		entry("movement", lesson.Artifact, ecg.Stable, lesson.Care{Urgency: lesson.Routine, First: lesson.Settle, Also: []lesson.Action{lesson.LookCall}}, support),
		entry("disconnected-lead", lesson.Artifact, ecg.Stable, lesson.Care{Urgency: lesson.Routine, First: lesson.Reattach, Also: []lesson.Action{lesson.LookCall}}, support),
	} {
		if l.ID == id {
			return l, true
		}
	}
	if id == "forgetful" { // an entry that does not mention the state
		return lesson.Lesson{ID: id, Name: id, Care: func(ecg.Age, ecg.State) lesson.Care { return watch }}, true
	}
	return lesson.Lesson{}, false
}

func seen(what ...string) []string { return what }

func TestMarkRhythm(t *testing.T) {
	child := seen(ledger.LookChild)
	for _, c := range []struct {
		rule    string
		c       scoring.Case
		chosen  string
		want    ledger.Verdict
		correct bool
		unsafe  bool
	}{
		{"the subject is right, looked or not",
			scoring.Case{Subject: "movement", State: ecg.Stable}, "movement", ledger.Right, true, false},
		{"artifact named as such is right also over an arrest",
			scoring.Case{Subject: "disconnected-lead", State: ecg.NoSignsOfLife}, "disconnected-lead", ledger.Right, true, false},
		{"not sure is near where the strip can be told, even in an arrest",
			scoring.Case{Subject: "asystole", State: ecg.NoSignsOfLife}, scoring.NotSure, ledger.Near, false, false},
		{"not sure is right where the strip cannot settle it",
			scoring.Case{Subject: "asystole", State: ecg.NoSignsOfLife, Unsettled: true}, scoring.NotSure, ledger.Right, true, false},
		{"a lucky name is near where the strip cannot settle it",
			scoring.Case{Subject: "movement", State: ecg.Stable, Unsettled: true}, "movement", ledger.Near, false, false},
		{"and right for who looked at the patient",
			scoring.Case{Subject: "movement", State: ecg.Stable, Unsettled: true, Looked: child}, "movement", ledger.Right, true, false},
		{"fibrillation coarse or fine is a difference of naming",
			scoring.Case{Subject: "coarse-ventricular-fibrillation", State: ecg.NoSignsOfLife}, "fine-ventricular-fibrillation", ledger.Near, true, false},
		{"asystole or standstill as well",
			scoring.Case{Subject: "p-wave-asystole", State: ecg.NoSignsOfLife}, "asystole", ledger.Near, true, false},
		{"complexes without a pulse are pulseless electrical activity as well",
			scoring.Case{Subject: "sinus-rhythm", State: ecg.NoSignsOfLife, Looked: child}, "pulseless-electrical-activity", ledger.Near, true, false},
		{"a tachycardia that can be shocked is not",
			scoring.Case{Subject: "monomorphic-ventricular-tachycardia", State: ecg.NoSignsOfLife, Looked: child}, "pulseless-electrical-activity", ledger.Near, false, false},
		{"nor is a patient with signs of life",
			scoring.Case{Subject: "sinus-rhythm", State: ecg.Stable, Looked: child}, "pulseless-electrical-activity", ledger.Near, false, false},
		{"an arrest called artifact is critical",
			scoring.Case{Subject: "coarse-ventricular-fibrillation", State: ecg.NoSignsOfLife}, "movement", ledger.Critical, false, true},
		{"also after looking",
			scoring.Case{Subject: "asystole", State: ecg.NoSignsOfLife, Looked: child}, "disconnected-lead", ledger.Critical, false, true},
		{"an arrest called routine is critical",
			scoring.Case{Subject: "coarse-ventricular-fibrillation", State: ecg.NoSignsOfLife}, "sinus-rhythm", ledger.Critical, false, true},
		{"the state makes the arrest: a tachycardia without signs of life called routine",
			scoring.Case{Subject: "monomorphic-ventricular-tachycardia", State: ecg.NoSignsOfLife}, "premature-ventricular-beats", ledger.Critical, false, true},
		{"the rhythm makes the arrest when the signs disagree",
			scoring.Case{Subject: "coarse-ventricular-fibrillation", State: ecg.NotSure}, "movement", ledger.Critical, false, true},
		{"no signs of life are an arrest whatever the entry says",
			scoring.Case{Subject: "forgetful", State: ecg.NoSignsOfLife}, "movement", ledger.Critical, false, true},
		{"an arrest called something to watch is wrong and unsafe, though all arrests share the first action",
			scoring.Case{Subject: "coarse-ventricular-fibrillation", State: ecg.NoSignsOfLife}, "sinus-tachycardia", ledger.Wrong, false, true},
		{"an arrest called another arrest leads to the same first action: near",
			scoring.Case{Subject: "coarse-ventricular-fibrillation", State: ecg.NoSignsOfLife}, "asystole", ledger.Near, false, false},
		{"two fast rhythms with the same first action are near, across families",
			scoring.Case{Subject: "monomorphic-ventricular-tachycardia", State: ecg.Stable}, "supraventricular-tachycardia", ledger.Near, false, false},
		{"two ventricular names with different first actions are not, although of one family",
			scoring.Case{Subject: "monomorphic-ventricular-tachycardia", State: ecg.Stable}, "ventricular-bigeminy", ledger.Wrong, false, true},
		{"two artifacts with different first actions are not",
			scoring.Case{Subject: "movement", State: ecg.Stable}, "disconnected-lead", ledger.Wrong, false, false},
		{"the same first action but less urgent is not near: nobody is taught to under-call",
			scoring.Case{Subject: "ventricular-bigeminy", State: ecg.Stable}, "premature-ventricular-beats", ledger.Wrong, false, false},
		{"the state brings names together for who has seen it: poor perfusion wants the same for both",
			scoring.Case{Subject: "supraventricular-tachycardia", State: ecg.PoorPerfusion, Looked: child}, "sinus-tachycardia", ledger.Near, false, false},
		{"who has not looked acts on the name alone",
			scoring.Case{Subject: "supraventricular-tachycardia", State: ecg.PoorPerfusion}, "sinus-tachycardia", ledger.Wrong, false, true},
		{"an urgent rhythm called artifact is unsafe, even when the state was seen",
			scoring.Case{Subject: "monomorphic-ventricular-tachycardia", State: ecg.PoorPerfusion, Looked: child}, "movement", ledger.Wrong, false, true},
		{"a rhythm without a pulse called by an urgent name: near for who felt for the pulse",
			scoring.Case{Subject: "monomorphic-ventricular-tachycardia", State: ecg.NoSignsOfLife, Looked: seen(ledger.LookPulse)}, "supraventricular-tachycardia", ledger.Near, false, false},
		{"and unsafe for who did not",
			scoring.Case{Subject: "monomorphic-ventricular-tachycardia", State: ecg.NoSignsOfLife}, "supraventricular-tachycardia", ledger.Wrong, false, true},
		{"a name that means arrest, for a stable patient not looked at",
			scoring.Case{Subject: "monomorphic-ventricular-tachycardia", State: ecg.Stable}, "asystole", ledger.Wrong, false, false},
		{"that are apart when stable",
			scoring.Case{Subject: "supraventricular-tachycardia", State: ecg.Stable}, "sinus-tachycardia", ledger.Wrong, false, true},
		{"an over-call without checking the patient is wrong, not unsafe",
			scoring.Case{Subject: "movement", State: ecg.Stable}, "coarse-ventricular-fibrillation", ledger.Wrong, false, false},
		{"after looking at the electrodes only as well",
			scoring.Case{Subject: "movement", State: ecg.Stable, Looked: seen(ledger.LookElectrodes)}, "coarse-ventricular-fibrillation", ledger.Wrong, false, false},
		{"an over-call by who checked the child is a minor error",
			scoring.Case{Subject: "movement", State: ecg.Stable, Looked: child}, "coarse-ventricular-fibrillation", ledger.Near, false, false},
		{"or the pulse",
			scoring.Case{Subject: "sinus-rhythm", State: ecg.Stable, Looked: seen(ledger.LookPulse)}, "sinus-tachycardia", ledger.Near, false, false},
		{"or whose first action is to check",
			scoring.Case{Subject: "movement", State: ecg.Stable, Acted: lesson.LookCall}, "coarse-ventricular-fibrillation", ledger.Near, false, false},
	} {
		m, err := scoring.MarkRhythm(c.c, c.chosen, find)
		require.NoError(t, err, c.rule)
		assert.Equal(t, c.want, m.Verdict, c.rule)
		assert.Equal(t, c.correct, m.Correct, c.rule)
		assert.Equal(t, c.unsafe, m.Unsafe != "", "%s: %q", c.rule, m.Unsafe)
		sentences(t, m)
	}
}

func TestMarkFirstAction(t *testing.T) {
	child := seen(ledger.LookChild)
	vf := scoring.Case{Subject: "coarse-ventricular-fibrillation", State: ecg.NoSignsOfLife}
	vfSeen := scoring.Case{Subject: vf.Subject, State: vf.State, Looked: seen(ledger.LookElectrodes, ledger.LookPulse)}
	fast := scoring.Case{Subject: "monomorphic-ventricular-tachycardia", State: ecg.Stable, Looked: child}
	calm := scoring.Case{Subject: "movement", State: ecg.Stable, Looked: child}
	calmUnseen := scoring.Case{Subject: "movement", State: ecg.Stable}
	for _, c := range []struct {
		rule   string
		c      scoring.Case
		chosen lesson.Action
		want   ledger.Verdict
		unsafe bool
	}{
		{"compressions on who was checked and needs them", vfSeen, lesson.Compress, ledger.Right, false},
		{"compressions on a patient not checked are critical", calmUnseen, lesson.Compress, ledger.Critical, true},
		{"also when they turn out to be needed", vf, lesson.Compress, ledger.Critical, true},
		{"looking at the arterial line and electrodes is not checking the patient",
			scoring.Case{Subject: vf.Subject, State: vf.State, Looked: seen(ledger.LookArterialLine, ledger.LookElectrodes)}, lesson.Compress, ledger.Critical, true},
		{"compressions on a well child that was looked at", calm, lesson.Compress, ledger.Wrong, true},
		{"compressions where the signs disagree, after checking, are on the safe side",
			scoring.Case{Subject: "supraventricular-tachycardia", State: ecg.NotSure, Looked: child}, lesson.Compress, ledger.Near, false},
		{"silencing unseen is critical", calmUnseen, lesson.Silence, ledger.Critical, true},
		{"silencing in an arrest is critical, seen or not", vfSeen, lesson.Silence, ledger.Critical, true},
		{"silencing after looking where nothing is wrong", calm, lesson.Silence, ledger.Near, false},
		{"silencing after looking where help is needed", fast, lesson.Silence, ledger.Wrong, true},
		{"checking and calling is never worse than near: arrest", vf, lesson.LookCall, ledger.Near, false},
		{"checking and calling is never worse than near: nothing wrong",
			scoring.Case{Subject: "sinus-rhythm", State: ecg.Stable}, lesson.LookCall, ledger.Near, false},
		{"right where the entry says so", calmUnseen, lesson.LookCall, ledger.Right, false},
		{"right where the strip cannot settle it",
			scoring.Case{Subject: "sinus-rhythm", State: ecg.Stable, Unsettled: true}, lesson.LookCall, ledger.Right, false},
		{"right where the signs disagree", scoring.Case{Subject: "sinus-rhythm", State: ecg.NotSure}, lesson.LookCall, ledger.Right, false},
		{"what is taught is right, unseen too when it cannot harm", calmUnseen, lesson.Settle, ledger.Right, false},
		{"another taught action is as right",
			scoring.Case{Subject: "premature-ventricular-beats", State: ecg.Stable}, lesson.AssessTell, ledger.Right, false},
		{"an arrest charted", vfSeen, lesson.Chart, ledger.Critical, true},
		{"an arrest mended at the electrodes", vfSeen, lesson.Reattach, ledger.Critical, true},
		{"an arrest waited out", vf, lesson.Settle, ledger.Critical, true},
		{"an arrest only called for", vfSeen, lesson.CallStay, ledger.Wrong, true},
		{"too little where help is needed now", fast, lesson.AssessTell, ledger.Wrong, true},
		{"too much after checking is minor", calm, lesson.CallStay, ledger.Near, false},
		{"too much without checking", calmUnseen, lesson.CallStay, ledger.Wrong, false},
		{"the wrong one of two small things", calm, lesson.Reattach, ledger.Wrong, false},
		{"the same strip, another state, another answer",
			scoring.Case{Subject: fast.Subject, State: ecg.PoorPerfusion, Looked: child}, lesson.Support, ledger.Right, false},
	} {
		m, err := scoring.MarkFirstAction(c.c, c.chosen, find)
		require.NoError(t, err, c.rule)
		assert.Equal(t, c.want, m.Verdict, c.rule)
		assert.Equal(t, c.unsafe, m.Unsafe != "", "%s: %q", c.rule, m.Unsafe)
		assert.Equal(t, m.Verdict == ledger.Right, m.Correct, c.rule)
		sentences(t, m)
	}
}

// sentences: what is shown is one sentence, and unsafe ones say so.
func sentences(t *testing.T, m scoring.Mark) {
	t.Helper()
	if m.Unsafe != "" {
		assert.True(t, strings.HasPrefix(m.Unsafe, "Unsafe because "), m.Unsafe)
	}
	for _, s := range []string{m.Unsafe, m.Note} {
		if s != "" {
			assert.Equal(t, len(s)-1, strings.Index(s, "."), "%q is not one sentence", s)
		}
	}
	if m.Verdict == ledger.Critical {
		assert.NotEmpty(t, m.Unsafe)
	}
}

// Whatever the case: not sure is never wrong, a right answer is marked right, and
// the marks keep what Mark promises.
func TestEveryCase(t *testing.T) {
	ids := []string{"sinus-rhythm", "sinus-tachycardia", "premature-ventricular-beats", "ventricular-bigeminy",
		"supraventricular-tachycardia", "monomorphic-ventricular-tachycardia", "coarse-ventricular-fibrillation",
		"fine-ventricular-fibrillation", "asystole", "p-wave-asystole", "movement", "disconnected-lead"}
	actions := []lesson.Action{lesson.Compress, lesson.Support, lesson.CallStay, lesson.AssessTell, lesson.Chart,
		lesson.Reattach, lesson.Settle, lesson.LookCall, lesson.Silence}
	for _, id := range ids {
		for _, state := range append(ecg.States, "") {
			for _, looked := range [][]string{nil, seen(ledger.LookChild)} {
				for _, unsettled := range []bool{false, true} {
					c := scoring.Case{Subject: id, Age: ecg.Years(6), State: state, Looked: looked, Unsettled: unsettled}
					for _, chosen := range append(ids, scoring.NotSure) {
						m, err := scoring.MarkRhythm(c, chosen, find)
						require.NoError(t, err)
						sentences(t, m)
						assert.Equal(t, m.Verdict == ledger.Right, contains(m.Right, chosen), "%+v %s", c, chosen)
						if chosen == scoring.NotSure {
							assert.Contains(t, []ledger.Verdict{ledger.Right, ledger.Near}, m.Verdict)
						}
					}
					for _, chosen := range actions {
						m, err := scoring.MarkFirstAction(c, chosen, find)
						require.NoError(t, err)
						sentences(t, m)
						if m.Verdict == ledger.Right {
							assert.Contains(t, m.Right, string(chosen))
						} else if contains(m.Right, string(chosen)) {
							assert.Equal(t, lesson.Compress, chosen, "only unchecked compressions lose their right")
							assert.Empty(t, looked)
						}
						if chosen == lesson.LookCall {
							assert.Contains(t, []ledger.Verdict{ledger.Right, ledger.Near}, m.Verdict)
						}
					}
				}
			}
		}
	}
}

func contains(list []string, x string) bool {
	for _, have := range list {
		if have == x {
			return true
		}
	}
	return false
}

func TestUnknownWords(t *testing.T) {
	c := scoring.Case{Subject: "vtach", State: ecg.Stable}
	_, err := scoring.MarkRhythm(c, "asystole", find)
	assert.ErrorContains(t, err, `"vtach"`)
	_, err = scoring.MarkFirstAction(c, lesson.Chart, find)
	assert.ErrorContains(t, err, `"vtach"`)
	c.Subject = "asystole"
	_, err = scoring.MarkRhythm(c, "flatline", find)
	assert.ErrorContains(t, err, `"flatline"`)
	_, err = scoring.MarkFirstAction(c, "run", find)
	assert.ErrorContains(t, err, `"run"`)
}
