// Package call is the exercise in calling for help: a call of twenty seconds made of fixed
// slots, from a strip and its bedside, each slot marked. What must be said in a call and
// read back is common practice (situation, background, assessment, request). Invented
// patients; training only: whom to call and how is local policy.
package call

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"telltrace/scenarios"
	"telltrace/scenarios/task"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// Slots are the parts of a call, in the order of saying them.
var Slots = []string{"who", "where", "what I see", "numbers", "what I think", "what I need", "read-back"}

// Seconds is how long a call may take, s.
const Seconds = 20

// wordsPerSecond is unhurried speech, 150 words a minute (common practice).
const wordsPerSecond = 2.5

// urgencies are what the pages of an exercise are about, in their order.
var urgencies = []lesson.Urgency{lesson.Watch, lesson.Urgent, lesson.ArrestNow, lesson.Urgent, lesson.Watch, lesson.ArrestNow}

// Pages is how many calls an exercise has.
var Pages = len(urgencies)

// tries bounds the search for a case of some urgency.
const tries = 3000

// Draw draws the case of a page, from 0, and what is to be said of it.
func Draw(page int, rng *rand.Rand) (task.Task, error) {
	want := urgencies[page%len(urgencies)]
	for range tries {
		e, err := scenarios.Draw(scenarios.Wish{}, rng)
		if err != nil {
			return task.Task{}, err
		}
		l, err := synth.FindLesson(e.Strip.Subject())
		if err != nil {
			return task.Task{}, err
		}
		// With an artifact, or signs that disagree, one looks again before one calls.
		if l.Family == lesson.Artifact || e.Strip.State == ecg.NotSure || l.Care(e.Strip.Age, e.Strip.State).Urgency != want {
			continue
		}
		return compose(e, l, want, rng)
	}
	return task.Task{}, fmt.Errorf("no case of urgency %s in %d draws", want, tries)
}

// compose makes the slots of a case.
func compose(e scenarios.Exercise, l lesson.Lesson, urgency lesson.Urgency, rng *rand.Rand) (task.Task, error) {
	id := e.Strip
	b, err := scenarios.At(id)
	if err != nil {
		return task.Task{}, err
	}
	_, marks, err := synth.Render(id, 10)
	if err != nil {
		return task.Task{}, err
	}
	bed, reason, _ := strings.Cut(strings.TrimSuffix(b.Patient, "."), ": ")
	said := figures(id.State, b.Numbers, marks)
	t := task.Task{Strip: id, Subject: id.Subject()}
	t.Text = fmt.Sprintf("%s %s Pulse: %s %s. You have looked; now call.", b.Patient, b.Child, lower(b.Pulse), said)
	other := fmt.Sprintf("Heart ward, Bed %d", 1+(number(bed)+3)%12)
	slot := func(k int, choices ...task.Choice) {
		rng.Shuffle(len(choices), func(i, j int) { choices[i], choices[j] = choices[j], choices[i] })
		t.Fields = append(t.Fields, task.Field{Name: Slots[k], Choices: choices})
	}
	slot(0,
		task.Choice{Words: "Nurse here; " + shortly(reason), Right: true, Why: "Who calls and about whom: age and the one thing to know."},
		task.Choice{Words: "Hello, it is me again", Why: "Who hears it must not guess who calls and about whom."},
		task.Choice{Words: "I am calling about the patient you know", Why: "Nobody knows at night which one; say age and reason."})
	slot(1,
		task.Choice{Words: "Heart ward, " + bed, Right: true, Why: "Where, first thing after who: if the line drops they can come."},
		task.Choice{Words: other, Unsafe: true, Why: "The wrong bed: help runs past the patient. Read it off the wall."},
		task.Choice{Words: "Here with us", Why: "Here is where you are, not where they are."})
	t.Fields = append(t.Fields, task.Field{Name: Slots[2], Choices: seen(id.State, rng)})
	slot(3,
		task.Choice{Words: said, Right: true, Why: "The few figures that matter, with what is missing."},
		task.Choice{Words: "The numbers are all bad", Why: "Bad says nothing; they will ask, and that takes the time."},
		task.Choice{Words: "It is all in the chart", Why: "The one who is called cannot see the chart."})
	t.Fields = append(t.Fields, task.Field{Name: Slots[4], Choices: thought(e, l, rng)})
	t.Fields = append(t.Fields, task.Field{Name: Slots[5], Choices: needed(urgency, rng)})
	slot(6,
		task.Choice{Words: requests[requestOf(urgency)].back, Right: true, Why: "Said back and confirmed, both know the same."},
		task.Choice{Words: "Thank you, goodbye", Why: "Nobody knows what was understood."},
		task.Choice{Words: "All right", Why: "All right to what? Say back what was agreed."})
	t.After = func(v []task.Value) []string { return length(t, v) }
	return t, nil
}

// shortly is age and reason without what came after it.
func shortly(reason string) string {
	parts := strings.SplitN(reason, ", ", 3)
	return strings.Join(parts[:min(len(parts), 2)], ", ")
}

func number(bed string) (n int) {
	_, _ = fmt.Sscanf(bed, "Bed %d", &n)
	return n
}

func lower(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// figures are the vital signs as they are said; without signs of life the last cuff reading
// says nothing.
func figures(state ecg.State, n scenarios.Numbers, m ecg.Marks) string {
	rate := "no rate"
	if k := len(m.Beats); k > 2 {
		rate = fmt.Sprintf("rate %.0f", math.Round(60*float64(k-1)/(m.Beats[k-1].QRS.Onset-m.Beats[0].QRS.Onset)))
	}
	saturation := "saturation does not read"
	if n.SpO2 > 0 {
		saturation = fmt.Sprintf("saturation %d", n.SpO2)
	}
	said := strings.ToUpper(rate[:1]) + rate[1:] + ", " + saturation
	if state != ecg.NoSignsOfLife {
		said += fmt.Sprintf(", pressure %d over %d", n.Systolic, n.Diastolic)
	}
	return said
}

// views are how patients look by state, as they are said.
var views = map[ecg.State]string{
	ecg.NoSignsOfLife: "No response, no breathing, no pulse felt",
	ecg.PoorPerfusion: "Pale, cold, drowsy; weak pulse",
	ecg.Stable:        "Rousable, warm, good pulse",
}

// seen are what may be said of the patient.
func seen(state ecg.State, rng *rand.Rand) []task.Choice {
	var out []task.Choice
	for _, s := range []ecg.State{ecg.NoSignsOfLife, ecg.PoorPerfusion, ecg.Stable} {
		why := "The patient comes before the trace: response, breathing, colour, pulse."
		if s != state {
			why = "That is not what the look at the patient showed. " + why
		}
		calmer := slices.Index(ecg.States, s) > slices.Index(ecg.States, state)
		out = append(out, task.Choice{Words: views[s], Right: s == state, Unsafe: calmer, Why: why})
	}
	out = append(out, task.Choice{Words: "The alarm is sounding", Why: "An alarm is not a patient: say what you see."})
	rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// thought are what may be said of the rhythm. To say that one does not know is right too.
func thought(e scenarios.Exercise, l lesson.Lesson, rng *rand.Rand) []task.Choice {
	why := "A name, given as what you think. What you see decides how fast they come."
	if l.LookFirst != "" {
		why += " Look first at: " + lower(l.LookFirst)
	}
	out := []task.Choice{
		{Words: "Looks like " + l.Name, Right: true, Why: why},
		{Words: "Not sure what it is; I am worried", Right: true, Why: "Not to know is no reason to wait, and saying so is honest."},
		{Words: "You tell me", Why: "They cannot see it. What you think, or that you are not sure, is part of the call."},
	}
	for _, id := range e.Choices {
		if o, err := synth.FindLesson(id); err == nil && id != l.ID && o.Family != lesson.Artifact {
			out = append(out, task.Choice{Words: "Looks like " + o.Name, Why: fmt.Sprintf("The strip shows %s.", l.Name)})
			break
		}
	}
	rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// A request is what is needed at an urgency, and how it is said back.
type request struct {
	urgency     lesson.Urgency
	words, back string
	why         string
}

// requests are in the order of their haste.
var requests = []request{
	{lesson.ArrestNow, "Resuscitation team now; compressions on", "The team comes; I go on", "No signs of life: the team and the defibrillator, and compressions go on, by current guidelines and local policy."},
	{lesson.Urgent, "Come now; the defibrillator is near", "You come now; I stay", "It can turn at any moment: say now, and stay with the patient."},
	{lesson.Watch, "Please come within half an hour", "Half an hour, sooner if worse", "Not this minute, but with a time; and sooner if it gets worse."},
}

func needed(urgency lesson.Urgency, rng *rand.Rand) []task.Choice {
	var out []task.Choice
	mine := requestOf(urgency)
	for i, a := range requests {
		c := task.Choice{Words: a.words, Right: i == mine, Unsafe: i > mine, Why: a.why}
		switch {
		case i > mine:
			c.Why = "That is too slow for what you see. " + requests[mine].why
		case i < mine:
			c.Why = "Nobody is hurt by that, but what you see gives more time. " + requests[mine].why
		}
		out = append(out, c)
	}
	out = append(out, task.Choice{Words: "I only wanted to let you know", Unsafe: urgency != lesson.Watch, Why: "A call without a request is not answered. " + requests[mine].why})
	rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

func requestOf(urgency lesson.Urgency) int {
	return slices.IndexFunc(requests, func(r request) bool { return r.urgency == urgency })
}

// Spoken is how long what was chosen takes to say, s.
func Spoken(t task.Task, v []task.Value) float64 {
	words := 0
	for i, f := range t.Fields {
		words += len(strings.Fields(f.Words(v[i])))
	}
	return float64(words) / wordsPerSecond
}

// length says how long the call was, and when not to wait for it.
func length(t task.Task, v []task.Value) []string {
	s := Spoken(t, v)
	said := fmt.Sprintf("Spoken, this call takes about %.0f seconds", s)
	if s > Seconds {
		said += fmt.Sprintf("; %d are enough", Seconds)
	}
	out := []string{said + "."}
	if t.Strip.State == ecg.NoSignsOfLife {
		out = append(out, "Without signs of life compressions come before any call; somebody else calls, or you call out loud.")
	}
	return append(out, "Whom to call, and how, is local policy.")
}
