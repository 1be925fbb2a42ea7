// Package watch is a shift of twelve hours at one to four beds: alarms of which seven in eight
// ask for nothing, limits to set, hourly charting, changes that no alarm tells, one turn for the worse at
// each bed, somebody who asks. Start with New; Advance moves the clock, by minutes, and Do
// is what the nurse does. The same plan and the same acts give the same watch, so that
// Again shows any minute of it.
package watch

import (
	"fmt"
	"slices"

	"telltrace/scenarios/script"
	"telltrace/synth/ecg"
)

// An Act is what the nurse does at a bed. Stored by name; append only.
type Act string

// Acts.
const (
	Look       Act = "look"        // at the patient
	Chart      Act = "chart"       // vital signs
	Mend       Act = "reattach"    // electrode or probe
	TwelveLead Act = "twelve-lead" // on a new rhythm
	Tell       Act = "assess-tell" // the team, in the usual way
	Call       Act = "call-stay"   // help, now
	Compress   Act = "compress"
	Silence    Act = "silence"
	Limits     Act = "limits" // set the alarm limits for this patient: SetLimits
	Answer     Act = "answer" // a parent's question, by its number
)

// Acts lists the acts that have no number.
var Acts = []Act{Look, Chart, Mend, TwelveLead, Tell, Call, Compress, Silence}

// takes is how long an act keeps the nurse, minutes (ours, so that a watch is told in
// minutes). Calling and compressions break off whatever else is done.
var takes = map[Act]int{Look: 1, Chart: 2, Limits: 2, Mend: 2, TwelveLead: 5, Tell: 3, Call: 1, Answer: 2}

// A Deed is an act done.
type Deed struct {
	Minute int
	Bed    int
	Act    Act
	Answer int // of Answer: which, from 0
	Limits Range
	Event  int // the event that went on in the bed, -1 for none
}

// A Run is an event under way or over.
type Run struct {
	Event    Event
	Sounded  bool // its alarm did
	Silenced bool
	Seen     int // minute at which the patient was looked at during it, -1 for never
	Helped   int // minute at which what was needed was done, -1 for never
	Until    int // minute at which it was, or will be, over
	Over     bool
}

// A Watch is a shift under way.
type Watch struct {
	plan   Plan
	minute int
	runs   []Run // of the events that have begun
	next   int   // the first event that has not
	deeds  []Deed
	busy   int // until which minute the nurse is
	at     int // the bed the nurse is busy at
	signs  map[string]rates
}

// New begins a watch.
func New(seed uint64, beds int) (*Watch, error) {
	p, err := NewPlan(seed, beds)
	if err != nil {
		return nil, err
	}
	if err := p.Check(); err != nil {
		return nil, fmt.Errorf("watch on seed %d: %w", seed, err)
	}
	return &Watch{plan: p, signs: map[string]rates{}}, nil
}

// Again is a watch as it stood at a minute, from its plan and what was done in it.
func Again(p Plan, deeds []Deed, minute int) *Watch {
	w := &Watch{plan: p, signs: map[string]rates{}}
	for _, d := range deeds {
		if d.Minute > minute {
			break
		}
		w.Advance(d.Minute)
		w.busy = 0 // it was done, so it could be
		w.do(d)
	}
	w.Advance(minute)
	return w
}

// Plan is what the watch holds.
func (w *Watch) Plan() Plan { return w.plan }

// Minute is the time since the watch began.
func (w *Watch) Minute() int { return w.minute }

// Over reports whether the twelve hours have passed.
func (w *Watch) Over() bool { return w.minute >= Minutes }

// Deeds are what was done, in its order.
func (w *Watch) Deeds() []Deed { return w.deeds }

// Runs are the events that have begun, in their order.
func (w *Watch) Runs() []Run { return w.runs }

// Busy is until which minute the nurse is busy, and at which bed; false for free.
func (w *Watch) Busy() (until, bed int, busy bool) { return w.busy, w.at, w.busy > w.minute }

// Advance moves the clock to a minute.
func (w *Watch) Advance(minute int) {
	for w.minute < min(minute, Minutes) {
		w.minute++
		for w.next < len(w.plan.Events) && w.plan.Events[w.next].From <= w.minute {
			e := w.plan.Events[w.next]
			w.next++
			if r := (Run{Event: e, Seen: -1, Helped: -1, Until: e.To}); !e.Limit || w.reached(r) {
				w.runs = append(w.runs, r)
			}
		}
		for i := range w.runs {
			r := &w.runs[i]
			r.Over = r.Over || w.minute >= r.Until
			r.Sounded = r.Sounded || !r.Over && w.sounds(*r)
		}
	}
}

// current is the event that goes on in a bed, parents left out, -1 for none.
func (w *Watch) current(bed int) int {
	return slices.IndexFunc(w.runs, func(r Run) bool { return r.Event.Bed == bed && r.Event.Kind != Parent && !r.Over })
}

// Asks is the run of the parent who asks now, -1 for none.
func (w *Watch) Asks() int {
	return slices.IndexFunc(w.runs, func(r Run) bool { return r.Event.Kind == Parent && !r.Over })
}

// Condition is how the patient of a bed is now.
func (w *Watch) Condition(bed int) Stage {
	now := Stage{Rhythm: w.plan.Beds[bed].Rhythm, State: ecg.Stable}
	if i := w.current(bed); i >= 0 {
		now = w.runs[i].stage(w.minute)
	}
	return now
}

// stage is the one at a minute; help that has come halts what gets worse.
func (r Run) stage(minute int) (s Stage) {
	if r.Helped >= 0 {
		minute = min(minute, r.Helped)
	}
	for _, x := range r.Event.Stages {
		if minute >= r.Event.From+x.After {
			s = x
		}
	}
	return s
}

// Alarm is what sounds at a bed now, "" for nothing.
func (w *Watch) Alarm(bed int) script.Alarm {
	i := w.current(bed)
	if i < 0 || !w.sounds(w.runs[i]) {
		return ""
	}
	return w.runs[i].Event.Alarm
}

// sounds reports whether the alarm of an event that goes on sounds now.
func (w *Watch) sounds(r Run) bool {
	return r.Event.Alarm != "" && !r.Silenced && r.Helped < 0 && w.reached(r)
}

// Looked reports whether the patient of a bed has been looked at within the last three
// minutes.
func (w *Watch) Looked(bed int) bool {
	for _, d := range slices.Backward(w.deeds) {
		if d.Bed == bed && d.Act == Look {
			return w.minute-d.Minute >= takes[Look] && w.minute-d.Minute <= 3+takes[Look]
		}
	}
	return false
}

// Charted is the minute of the last charting of a bed, -1 for none.
func (w *Watch) Charted(bed int) int {
	if i := w.last(bed, Chart); i >= 0 {
		return w.deeds[i].Minute
	}
	return -1
}

// last is the last deed of a kind at a bed, -1 for none.
func (w *Watch) last(bed int, a Act) int {
	for i, d := range slices.Backward(w.deeds) {
		if d.Bed == bed && d.Act == a {
			return i
		}
	}
	return -1
}

// Do does something at a bed now. It reports false, and nothing happens, when the nurse
// is busy elsewhere or the watch is over; calling and compressions break that off. Limits
// come with SetLimits.
func (w *Watch) Do(bed int, a Act, answer int) bool {
	return a != Limits && w.may(bed, a) && w.do(Deed{Bed: bed, Act: a, Answer: answer})
}

// may reports whether something can be done at a bed now.
func (w *Watch) may(bed int, a Act) bool {
	free := w.busy <= w.minute || a == Call || a == Compress || a == Silence
	return !w.Over() && bed >= 0 && bed < len(w.plan.Beds) && free
}

// do does a deed now; what goes on in the bed is filled in.
func (w *Watch) do(d Deed) bool {
	bed, a := d.Bed, d.Act
	i := w.current(bed)
	if a == Answer {
		if i = w.Asks(); i < 0 {
			return false
		}
		bed = w.runs[i].Event.Bed
	}
	d.Minute, d.Bed, d.Event = w.minute, bed, i
	w.deeds = append(w.deeds, d)
	if n := takes[a]; n > 0 {
		w.busy, w.at = w.minute+n, bed
	}
	if i < 0 {
		return true
	}
	r := &w.runs[i]
	switch {
	case a == Look && r.Seen < 0:
		r.Seen = w.minute
	case a == Silence:
		r.Silenced = true
	case r.Helped >= 0:
	case a == Answer:
		r.help(w.minute, takes[Answer])
	case r.Event.Kind == Cable && a == Mend:
		r.help(w.minute, takes[Mend])
	case r.Event.Kind == Turn && r.needs(w.minute, a):
		r.help(w.minute, treated)
	case r.Event.Kind == Quiet && (a == Tell || a == Call):
		r.help(w.minute, treated)
	}
	return true
}

// treated is how long it takes the team until the patient is better, minutes.
const treated = 8

// needs reports whether an act is what a turn asks for at a minute.
func (r Run) needs(minute int, a Act) bool {
	if r.stage(minute).State == ecg.NoSignsOfLife {
		return a == Compress
	}
	return a == Call
}

func (r *Run) help(minute, lasts int) { r.Helped, r.Until = minute, min(r.Until, minute+lasts) }
