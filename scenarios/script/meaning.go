package script

import (
	"fmt"
	"slices"
	"strings"

	"telltrace/scenarios/strict"
	"telltrace/synth"
	"telltrace/synth/artifact"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/synth/near"
)

// meaning finds what is wrong between values. Where some of them are not in order by
// themselves (whole is false) only that is looked into which does not hang on the others,
// so that one slip is not told many times.
func meaning(s *Scenario, doc *strict.Document, whole bool) strict.Faults {
	m := &meant{s: s, doc: doc, at: map[Name]int{}}
	for i, e := range s.Episodes {
		if e.Name == "" {
			continue // told already
		}
		if first, twice := m.at[e.Name]; twice {
			m.fault(fmt.Sprintf("the name %q is taken by episode %d", e.Name, first+1), i, "name")
			continue
		}
		m.at[e.Name] = i
	}
	for i, e := range s.Episodes {
		m.strip(i, e)
		m.findings(i, e)
		m.leads(i, e)
		if whole {
			m.branches(i, e)
			m.circle(i)
		}
	}
	if whole {
		m.reach()
	}
	for i, q := range s.Questions {
		if len(q.Answers) > 0 && !slices.Contains(q.Answers, q.Right) {
			m.faults = append(m.faults, doc.Fault(unknown("answer", q.Right, q.Answers), "questions", i, "right"))
		}
	}
	return m.faults
}

type meant struct {
	s      *Scenario
	doc    *strict.Document
	at     map[Name]int // episodes by name
	faults strict.Faults
}

// fault notes a fault at a place of an episode.
func (m *meant) fault(what string, episode int, path ...any) {
	m.faults = append(m.faults, m.doc.Fault(what, append([]any{"episodes", episode}, path...)...))
}

// unknown says that there is no such word, with the nearest one or with all.
func unknown[T ~string](what, word string, known []T) string {
	if best, ok := near.Word(word, wordsOf(known)); ok {
		return fmt.Sprintf("there is no %s %q; did you mean %s?", what, word, best)
	}
	return fmt.Sprintf("there is no %s %q; known are %s", what, word, strings.Join(wordsOf(known), ", "))
}

// strip checks that the tracing can be made.
func (m *meant) strip(i int, e Episode) {
	age, err := ecg.ParseAge(string(m.s.Patient.Age))
	if err == nil && !synth.OccursAt(e.Rhythm, age) {
		m.fault(fmt.Sprintf("%s is not shown at %s", e.Rhythm, age.Words()), i, "rhythm")
	}
	kind, over := artifact.ByID(e.Artifact)
	switch places := kind.Places(); {
	case e.Place == "":
	case !over:
		m.fault(fmt.Sprintf("%q is the place of an artifact; name the artifact", e.Place), i, "place")
	case len(places) == 0:
		m.fault(e.Artifact+" sits nowhere in particular: leave the place out", i, "place")
	case !slices.Contains(places, e.Place):
		m.fault(unknown("place", e.Place, places), i, "place")
	}
	known := slices.Contains(ecg.States, e.State)
	if r, ok := synth.Lesson(e.Rhythm); ok && known && !slices.Contains(r.States, e.State) {
		m.fault(fmt.Sprintf("%s is not met in this state; it is in %s", e.Rhythm, strings.Join(wordsOf(r.States), ", ")), i, "state")
	}
}

// findings checks that what is found goes together.
func (m *meant) findings(i int, e Episode) {
	if e.Look.Line != "" && !m.s.Arterial {
		m.fault("there is no arterial line: write arterial: true above, or leave this out", i, "look", "arterial-line")
	}
	if n := e.Numbers; n.Diastolic >= n.Systolic && n.Systolic > 0 {
		m.fault(fmt.Sprintf("diastolic %d is not below systolic %d", n.Diastolic, n.Systolic), i, "numbers", "diastolic")
	}
	for k, a := range e.Expect.Do {
		if a == lesson.Silence {
			m.fault("silencing is never what is expected", i, "expect", "do", k)
		}
		if e.State == ecg.NoSignsOfLife && a != lesson.Compress {
			m.fault("without signs of life it is compressions, whatever the tracing shows", i, "expect", "do", k)
		}
	}
	if e.Ends() && len(e.Expect.Do) > 0 {
		m.fault("the scenario ends here: nothing is expected any more", i, "expect")
	}
}

// leads checks that each branch leads somewhere.
func (m *meant) leads(i int, e Episode) {
	for k, b := range e.Next {
		if _, ok := m.at[b.To]; !ok && b.To != "" {
			m.fault(unknown("episode", string(b.To), m.names()), i, "next", k, "to")
		}
	}
}

// branches checks that each can come true.
func (m *meant) branches(i int, e Episode) {
	if e.Ends() {
		return
	}
	limit := e.limit()
	if limit.To == "" {
		m.fault("without a branch on time the scenario could wait for ever: add one", i, "next")
	}
	leaves := slices.ContainsFunc(e.Next, func(b Branch) bool { return b.Did == lesson.Silence })
	seen := map[string]bool{}
	for k, b := range e.Next {
		never := func(why string) { m.fault("this can never come true: "+why, i, "next", k) }
		when := b.when()
		switch {
		case seen[when]:
			never("a branch above comes first")
		case b.Silenced > 0 && limit.Time > 0 && b.Silenced >= limit.Time:
			never(fmt.Sprintf("after %g s the branch on time comes first", limit.Time))
		case b.Looked == LookLine && !m.s.Arterial:
			never("there is no arterial line to look at")
		case b.Silenced > 0 && leaves:
			never("silencing leads away at once, by another branch")
		}
		seen[when] = true
	}
}

// when tells branches apart by what they wait for.
func (b Branch) when() string {
	switch {
	case b.Time > 0:
		return "time"
	case b.Silenced > 0:
		return "silenced-only"
	default:
		return string(b.Looked) + "/" + string(b.Did)
	}
}

// limit is the branch that time takes, none where To is empty.
func (e Episode) limit() (first Branch) {
	for _, b := range e.Next {
		if b.Time > 0 && (first.To == "" || b.Time < first.Time) {
			first = b
		}
	}
	return first
}

func (m *meant) names() []Name {
	var out []Name
	for _, e := range m.s.Episodes {
		out = append(out, e.Name)
	}
	return out
}

// reach finds episodes that nothing leads to.
func (m *meant) reach() {
	reached := map[int]bool{}
	var visit func(i int)
	visit = func(i int) {
		if reached[i] {
			return
		}
		reached[i] = true
		for _, b := range m.s.Episodes[i].Next {
			if to, ok := m.at[b.To]; ok {
				visit(to)
			}
		}
	}
	visit(0)
	for i, e := range m.s.Episodes {
		if !reached[i] && m.at[e.Name] == i {
			m.fault(fmt.Sprintf("nothing leads to the episode %q", e.Name), i, "name")
		}
	}
}

// circle finds an episode that time alone leads back to.
func (m *meant) circle(i int) {
	at := i
	for range m.s.Episodes {
		next, ok := m.at[m.s.Episodes[at].limit().To]
		if !ok {
			return
		}
		if at = next; at == i {
			m.fault(fmt.Sprintf("time alone leads from %q back to it: let it lead to an end", m.s.Episodes[i].Name), i, "next")
			return
		}
	}
}
