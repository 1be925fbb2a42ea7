// Package spacing decides what a learner practises next. It is a pure function of
// the answers, the moment and a source of chance: a Learner is folded from the
// answers, one after the other, and says what comes next.
//
// For each catalogue entry it keeps a Memory after half-life regression (Settles and
// Meeder 2016), for each a level of difficulty by the weighted up-down method
// (Kaernbach 1991). A new entry is met side by side with the look-alike that is known
// already, then within its look-alikes, then among all. See Course for the order in
// which entries come in, and Learner.Next for the rules of choice.
package spacing

import (
	"slices"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// A Topic is what is to be known of one catalogue entry to schedule it.
type Topic struct {
	ID         string
	LookAlikes []string
	Kind       Kind
}

// A Kind says what an entry usually asks for.
type Kind uint8

// Kinds.
const (
	Calm   Kind = iota // nothing needs to be done
	Amiss              // to be assessed, not pressing
	Urgent             // somebody must come now
	Arrest             // must not be missed
)

// pressing: the kinds of which one strip in three is.
func (k Kind) pressing() bool { return k == Urgent || k == Arrest }

// KindOf is the kind of an entry in the state it is usually met in, at an age in the
// middle of childhood.
func KindOf(l lesson.Lesson) Kind {
	state := ecg.Stable
	if len(l.States) > 0 {
		state = l.States[0]
	}
	switch l.Care(ecg.Years(6), state).Urgency {
	case lesson.Routine:
		return Calm
	case lesson.Urgent:
		return Urgent
	case lesson.ArrestNow:
		return Arrest
	}
	return Amiss
}

// A Course is the catalogue in the order in which a learner meets it.
type Course struct {
	topics []Topic
	index  map[string]int // id to its place in topics
	with   []int          // the entry already met that each is first set beside; -1 for the first
}

// NewCourse orders the entries: the first given is the first met (sinus rhythm:
// normal comes first). After it, always a look-alike of what has been met already,
// what must not be missed before all else, then what is confused with that.
func NewCourse(lessons []lesson.Lesson) *Course {
	given := make([]Topic, len(lessons))
	index := map[string]int{}
	for i, l := range lessons {
		given[i] = Topic{ID: l.ID, Kind: KindOf(l)}
		for _, a := range l.LookAlikes {
			given[i].LookAlikes = append(given[i].LookAlikes, a.ID)
		}
		index[l.ID] = i
	}
	c := &Course{index: map[string]int{}}
	met := make([]bool, len(given))
	for len(c.topics) < len(given) {
		next, with := first(given, met, index)
		met[next] = true
		beside := -1
		if with >= 0 {
			beside = c.index[given[with].ID]
		}
		c.index[given[next].ID] = len(c.topics)
		c.topics, c.with = append(c.topics, given[next]), append(c.with, beside)
	}
	return c
}

// first picks the entry to meet next, and the one already met to set it beside.
func first(given []Topic, met []bool, index map[string]int) (next, with int) {
	next, with = -1, -1
	best := -1
	for i, t := range given {
		if met[i] {
			continue
		}
		beside := slices.IndexFunc(t.LookAlikes, func(id string) bool { j, ok := index[id]; return ok && met[j] })
		rank := 0
		if beside >= 0 {
			rank = 1
			// A road to what must not be missed, or a look-alike of it, goes before others.
			for _, id := range t.LookAlikes {
				if j, ok := index[id]; ok && given[j].Kind == Arrest {
					rank = 2
				}
			}
			if t.Kind == Arrest {
				rank = 3
			}
		}
		if rank > best {
			best, next = rank, i
			if beside >= 0 {
				with = index[t.LookAlikes[beside]]
			} else {
				with = -1
			}
		}
	}
	return next, with
}

// Order lists the entries in the order they are met.
func (c *Course) Order() []string {
	out := make([]string, len(c.topics))
	for i, t := range c.topics {
		out[i] = t.ID
	}
	return out
}

// Topic finds an entry.
func (c *Course) Topic(id string) (Topic, bool) {
	i, ok := c.index[id]
	if !ok {
		return Topic{}, false
	}
	return c.topics[i], true
}
