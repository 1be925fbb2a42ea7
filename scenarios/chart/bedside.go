package chart

import (
	"slices"

	"telltrace/scenarios"
	"telltrace/scenarios/task"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// states are the patient's state as it is charted.
var states = []struct {
	state ecg.State
	words string
}{
	{ecg.NoSignsOfLife, "no signs of life, no pulse felt"},
	{ecg.PoorPerfusion, "pulse, but pale, cold, drowsy"},
	{ecg.Stable, "as usual, warm, pulse good"},
}

func stateField(state ecg.State) task.Field {
	f := task.Field{Name: "patient"}
	for _, s := range states {
		calmer := slices.Index(ecg.States, s.state) > slices.Index(ecg.States, state)
		f.Choices = append(f.Choices, task.Choice{Words: s.words, Right: s.state == state, Unsafe: calmer,
			Why: "A rhythm without the patient's state beside it says half."})
	}
	f.Choices = append(f.Choices, task.Choice{Words: "see the strip", Why: "The strip does not show the patient."})
	return f
}

// actionField is what was done first.
func actionField(e scenarios.Exercise, care lesson.Care) task.Field {
	f := task.Field{Name: "action"}
	for _, a := range e.Actions {
		right := a == care.First || slices.Contains(care.Also, a)
		why := "By state and age it is: " + care.First.Words() + "."
		if right {
			why = "What was done first, by state and age, with its time."
		}
		f.Choices = append(f.Choices, task.Choice{Words: a.Words(), Right: right, Unsafe: a == lesson.Silence, Why: why})
	}
	return f
}

// told is who was told.
func told(u lesson.Urgency) task.Field {
	const (
		nobody = "nobody; noted for the handover"
		doctor = "the ward's doctor: name, time, what was answered"
		team   = "the resuscitation team: time of the call"
	)
	right, why := doctor, "Who, when, and what was answered; more than half an hour later is late where it is urgent."
	switch u {
	case lesson.Routine:
		right, why = nobody, "Known and unchanged: it goes into the handover."
	case lesson.ArrestNow:
		right, why = team, "The minute counts: when they were called, when they came."
	}
	f := task.Field{Name: "told"}
	for _, w := range []string{nobody, doctor, team} {
		f.Choices = append(f.Choices, task.Choice{Words: w, Right: w == right, Unsafe: w == nobody && u != lesson.Routine, Why: why})
	}
	f.Choices = append(f.Choices, task.Choice{Words: "somebody was told", Why: "Without name and time it was not told. " + why})
	return f
}

// twelve is whether a 12-lead is made: on a new rhythm in a stable patient, before and during
// treatment; nothing waits for it where perfusion is poor (first actions by state; Sandau 2017,
// Circulation 136:e273, from memory).
func twelve(subject string, state ecg.State, u lesson.Urgency) task.Field {
	const (
		now  = "now: a new rhythm, the patient is stable"
		not  = "not before treatment: nothing waits for it"
		none = "not needed: known, and nothing has changed"
	)
	right, why := now, "A new rhythm in a stable patient: 12 leads before and during treatment, while somebody stays."
	switch {
	case state == ecg.NoSignsOfLife || state == ecg.PoorPerfusion:
		right, why = not, "With poor perfusion treatment and help come first; 12 leads only if they cost no time, or afterwards."
	case u == lesson.Routine:
		right, why = none, "Nothing is new; 12 leads on any change."
	}
	sinus := subject == "sinus-bradycardia" || subject == "sinus-tachycardia"
	f := task.Field{Name: "12-lead"}
	for _, w := range []string{now, not, none} {
		ok := w == right || sinus && w == none && right == now
		f.Choices = append(f.Choices, task.Choice{Words: w, Right: ok, Unsafe: right == not && w == now, Why: why})
	}
	return f
}

// filing is when a strip is filed (common practice; Sandau 2017, from memory).
var filing = task.Field{Name: "filed", Choices: []task.Choice{
	{Words: "only when a doctor asks for it", Why: "What was not kept cannot be shown to who comes later."},
	{Words: "each shift, and on every change, event or treatment", Right: true, Why: "At the start of each shift as a yardstick, on every change of rhythm, with symptoms, before and during treatment; labelled and signed."},
	{Words: "every strip that is printed", Why: "Among hundreds nobody finds the one that matters."},
}}
