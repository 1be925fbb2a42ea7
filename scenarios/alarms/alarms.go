// Package alarms draws a run of alarms from the library: leads, pulse, arterial line,
// numbers and the look at the patient agree or disagree, and the learner says whether
// the alarm is real. Of arrhythmia alarms 89 in a hundred were false (Drew 2014, PLoS One
// 9:e110274), of all alarms in children's intensive care 87 asked for nothing (Bonafide
// 2015, J Hosp Med 10:345). Here it is six of ten, so that both kinds are met.
package alarms

import (
	"math/rand/v2"

	"telltrace/scenarios/library"
	"telltrace/scenarios/script"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// Part names the run in the answers kept.
const Part = "real-or-not"

// Seconds is how long each alarm may be looked into.
const Seconds = 60

// An Answer to "is it real?". Stored by name; append only.
type Answer string

// Answers.
const (
	Real    Answer = "real"     // act now
	NotReal Answer = "not-real" // see to the cause, chart
	Doubt   Answer = "doubt"    // cannot be told: act as if it were real
)

// Answers lists the answers.
var Answers = []Answer{Real, NotReal, Doubt}

// A Case is one alarm: a scenario of one episode, and what is true of it.
type Case struct {
	Script *script.Scenario
	Truth  Answer
}

// truth is what is true of an episode's alarm, "" where it is not plain: what has to
// be told to the team today is neither an emergency nor nothing.
func truth(s *script.Scenario, e script.Episode) Answer {
	care := e.Care(s.Patient.Age.Exact())
	switch {
	case e.State == ecg.NotSure:
		return Doubt
	case e.State != ecg.Stable, care.Urgency == lesson.Urgent, care.Urgency == lesson.ArrestNow:
		return Real
	case care.First == lesson.Chart, care.First == lesson.Reattach, care.First == lesson.Settle:
		return NotReal
	}
	return ""
}

// cases are all alarms of the library, by what is true of them.
func cases() map[Answer][]Case {
	out := map[Answer][]Case{}
	for _, s := range library.All() {
		for _, e := range s.Episodes {
			what := truth(s, e)
			if e.Alarm == "" || e.Ends() || what == "" || e.Name == "again" || e.Name == "blind" {
				continue
			}
			out[what] = append(out[what], Case{alone(s, e), what})
		}
	}
	return out
}

// alone is the scenario of one episode.
func alone(s *script.Scenario, e script.Episode) *script.Scenario {
	one, after := *s, e
	one.Title, one.Questions = "Real or not?", nil
	after.Name, after.Next, after.Expect, after.Outcome = "after", nil, script.Expect{}, s.Teaches
	e.Next, e.Tells = []script.Branch{{Time: Seconds, To: "after"}}, ""
	one.Episodes = []script.Episode{e, after}
	return &one
}

// Draw draws a run of ten: six that are not real, three or four that are, and now and
// then one that nobody could tell. No patient comes twice.
func Draw(seed uint64) []Case {
	rng := rand.New(rand.NewPCG(seed, 0xa1a))
	all := cases()
	met := map[script.Name]bool{}
	var out []Case
	take := func(what Answer, n int) {
		for _, i := range rng.Perm(len(all[what])) {
			if c := all[what][i]; n > 0 && !met[c.Script.Name] {
				met[c.Script.Name] = true
				out = append(out, c)
				n--
			}
		}
	}
	doubts := rng.IntN(2)
	take(Doubt, doubts)
	take(Real, 4-doubts)
	take(NotReal, 6)
	rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}
