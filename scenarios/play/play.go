// Package play runs a scenario: episodes follow one another by the clock that is
// passed in and by what the learner looks at and does, and everything is recorded in
// its order. A Play needs no screen; Feed is its strip for one that has.
//
// The same scenario, seed and acts give the same play.
package play

import (
	"fmt"
	"math"
	"slices"

	"telltrace/scenarios"
	"telltrace/scenarios/script"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// What looking takes, s. A pulse that is there is soon felt; one that is not felt for
// certain is given up after ten seconds (AHA 2020, from memory).
const (
	lookTakes  = 1.0
	feltAtMost = 10.0
)

// A Kind says what an Event is.
type Kind uint8

// Kinds of events.
const (
	Begins Kind = iota // an episode
	Looks              // looking begins
	Sees               // looking has shown what there is
	Breaks             // looking was broken off by doing something
	Does               // an action
	Ends               // the scenario is over
)

// An Event is one thing that happened.
type Event struct {
	At      float64 // s since the scenario began
	Kind    Kind
	Look    script.Look   // Looks, Sees, Breaks
	Act     lesson.Action // Does
	Episode int           // in which it happened; Begins: the one that begins
}

// A Play is a scenario under way.
type Play struct {
	script   *script.Scenario
	seed     uint64
	bedsides []*scenarios.Bedside // of the episodes, worked out when first asked for

	now     float64
	episode int
	began   float64 // when the episode began, s
	over    bool
	events  []Event
	looking script.Look // under way, "" for none
	looked  float64     // when it began
	turns   []turn
}

// A turn is the beginning of an episode, in strip time.
type turn struct {
	at      float64
	episode int
}

// Opening is how long the strip has run before a scenario begins, s: the page is full
// from the first moment.
const Opening = 12.0

// New begins a scenario.
func New(s *script.Scenario, seed uint64) (*Play, error) {
	p := &Play{script: s, seed: seed, bedsides: make([]*scenarios.Bedside, len(s.Episodes))}
	for _, e := range s.Episodes {
		if _, err := synth.Open(s.Identity(e, seed)); err != nil {
			return nil, fmt.Errorf("scenario %s, episode %s: %w", s.Name, e.Name, err)
		}
	}
	p.begin(0)
	p.turns[0].at = 0
	return p, nil
}

// BedsideOf is what the bedside of an episode shows: what the file says, and for the
// rest what follows from the strip.
func (p *Play) BedsideOf(episode int) scenarios.Bedside {
	if p.bedsides[episode] == nil {
		b := p.bedside(p.script.Episodes[episode])
		p.bedsides[episode] = &b
	}
	return *p.bedsides[episode]
}

func (p *Play) bedside(e script.Episode) scenarios.Bedside {
	b, _ := scenarios.At(p.script.Identity(e, p.seed)) // New opened it
	set := func(to *string, from string) {
		if from != "" {
			*to = from
		}
	}
	count := func(to *int, from int) {
		if from != 0 {
			*to = from
		}
	}
	b.Patient = p.script.Patient.Sentence
	set(&b.Child, e.Look.Patient)
	set(&b.Pulse, e.Look.Pulse)
	set(&b.Electrodes, e.Look.Electrodes)
	if e.Numbers.Systolic != 0 && e.Numbers.Diastolic == 0 {
		b.Numbers.Diastolic = int(0.6 * float64(e.Numbers.Systolic))
	}
	count(&b.Numbers.SpO2, e.Numbers.SpO2)
	count(&b.Numbers.Systolic, e.Numbers.Systolic)
	count(&b.Numbers.Diastolic, e.Numbers.Diastolic)
	count(&b.Numbers.Breaths, e.Numbers.Breaths)
	return b
}

// Script is what is played.
func (p *Play) Script() *script.Scenario { return p.script }

// Seed is the seed it is played on.
func (p *Play) Seed() uint64 { return p.seed }

// Now is the time since the scenario began, s.
func (p *Play) Now() float64 { return p.now }

// Over reports whether it has come to its end.
func (p *Play) Over() bool { return p.over }

// Episode is the present episode, and when it began, s.
func (p *Play) Episode() (script.Episode, float64) { return p.script.Episodes[p.episode], p.began }

// Bedside is what the present bedside shows to who looks.
func (p *Play) Bedside() scenarios.Bedside { return p.BedsideOf(p.episode) }

// Line is what a look at the arterial line shows.
func (p *Play) Line() string {
	e := p.script.Episodes[p.episode]
	n := p.Bedside().Numbers
	switch {
	case !p.script.Arterial:
		return "There is no arterial line."
	case e.Look.Line != "":
		return e.Look.Line
	case n.SpO2 == 0:
		return "A flat line: no wave follows any complex."
	default:
		return fmt.Sprintf("A wave for each beat of the heart, about %d over %d.", n.Systolic, n.Diastolic)
	}
}

// Finding is what looking shows now.
func (p *Play) Finding(l script.Look) string {
	b := p.Bedside()
	switch l {
	case script.LookPatient:
		return b.Child
	case script.LookPulse:
		return b.Pulse
	case script.LookLine:
		return p.Line()
	default:
		return b.Electrodes
	}
}

// Takes is how long looking takes now, s.
func (p *Play) Takes(l script.Look) float64 {
	if state := p.script.Episodes[p.episode].State; l == script.LookPulse && (state == ecg.NoSignsOfLife || state == ecg.NotSure) {
		return feltAtMost
	}
	return lookTakes
}

// Looking is what is being looked at, "" for nothing, and for how long already, s.
func (p *Play) Looking() (script.Look, float64) { return p.looking, p.now - p.looked }

// Seen reports whether looking has shown something in this episode, or has led to it.
func (p *Play) Seen(l script.Look) bool {
	for i, e := range slices.Backward(p.events) {
		switch {
		case e.Kind == Sees && e.Look == l:
			return true
		case e.Kind == Begins:
			return i > 0 && p.events[i-1].Kind == Sees && p.events[i-1].Look == l
		}
	}
	return false
}

// Events are what has happened, in its order.
func (p *Play) Events() []Event { return p.events }

func (p *Play) note(e Event) {
	e.At, e.Episode = p.now, p.episode
	p.events = append(p.events, e)
}

// begin lets an episode begin now.
func (p *Play) begin(i int) {
	p.episode, p.began = i, p.now
	p.turns = append(p.turns, turn{p.now + Opening, i})
	p.note(Event{Kind: Begins})
	if p.script.Episodes[i].Ends() {
		p.over, p.looking = true, ""
		p.note(Event{Kind: Ends})
	}
}

// Advance moves the clock to now, s since the scenario began, through everything that
// comes on the way, each at its moment.
func (p *Play) Advance(now float64) {
	for !p.over {
		at, act := p.soonest()
		if !(at <= now) {
			break
		}
		p.now = math.Max(p.now, at)
		act()
	}
	p.now = math.Max(p.now, now)
}

// soonest is the next thing that comes by itself.
func (p *Play) soonest() (at float64, act func()) {
	at = math.Inf(1)
	if p.looking != "" {
		at, act = p.looked+p.Takes(p.looking), p.see
	}
	for _, b := range p.script.Episodes[p.episode].Next {
		due := math.Inf(1)
		switch {
		case b.Time > 0:
			due = p.began + b.Time
		case b.Silenced > 0:
			if since, only := p.silencedOnly(); only {
				due = since + b.Silenced
			}
		}
		if due < at {
			at, act = due, func() { p.begin(p.index(b.To)) }
		}
	}
	return at, act
}

// silencedOnly reports whether silencing is the last thing the learner did in this
// episode, and when.
func (p *Play) silencedOnly() (float64, bool) {
	for _, e := range slices.Backward(p.events) {
		switch {
		case e.Kind == Begins:
			return 0, false
		case e.Kind == Does:
			return e.At, e.Act == lesson.Silence
		case e.Kind == Looks:
			return 0, false
		}
	}
	return 0, false
}

func (p *Play) index(name script.Name) int {
	return slices.IndexFunc(p.script.Episodes, func(e script.Episode) bool { return e.Name == name })
}

// see ends the look that is under way.
func (p *Play) see() {
	l := p.looking
	p.looking = ""
	p.note(Event{Kind: Sees, Look: l})
	p.follow(func(b script.Branch) bool { return b.Looked == l })
}

// follow takes the first branch that holds.
func (p *Play) follow(holds func(script.Branch) bool) {
	for _, b := range p.script.Episodes[p.episode].Next {
		if holds(b) {
			p.begin(p.index(b.To))
			return
		}
	}
}

// Look begins to look at something now, unless a look is under way.
func (p *Play) Look(l script.Look) {
	if p.over || p.looking != "" || l == script.LookLine && !p.script.Arterial {
		return
	}
	p.looking, p.looked = l, p.now
	p.note(Event{Kind: Looks, Look: l})
}

// Do does something now; a look that is under way is broken off.
func (p *Play) Do(a lesson.Action) {
	if p.over {
		return
	}
	if p.looking != "" {
		p.note(Event{Kind: Breaks, Look: p.looking})
		p.looking = ""
	}
	p.note(Event{Kind: Does, Act: a})
	p.follow(func(b script.Branch) bool { return b.Did == a })
}
