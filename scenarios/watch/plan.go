package watch

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"telltrace/scenarios/script"
	"telltrace/synth"
	"telltrace/synth/ecg"
)

// A Kind says what an event asks of the nurse.
type Kind uint8

// Kinds of events.
const (
	Passing Kind = iota // an alarm that asks for nothing but a look: crying, a limit crossed for a moment
	Cable               // an alarm from electrode or probe: look, and mend
	Turn                // an alarm that is real: help has to come
	Quiet               // the rhythm changes and no alarm sounds: 12-lead, and tell
	Parent              // somebody at the bedside asks
)

// An Event is something that happens in a bed.
type Event struct {
	Kind     Kind
	Bed      int
	From, To int          // minutes since the watch began; To is when it passes by itself
	Alarm    script.Alarm // "" for none
	Stages   []Stage      // one after another; Parent has none
	Question int          // of Parent: which
	Limit    bool         // a usual rate: it sounds where the limits were not set, or lie too near
}

// A Stage is how the patient is from a minute on, counted from the event's beginning.
type Stage struct {
	After    int
	Rhythm   string
	Artifact string
	State    ecg.State
}

// A Bed is a patient of the watch.
type Bed struct {
	Age      ecg.Age
	Weight   float64 // kg
	Sentence string
	Rhythm   string // as they came
}

// A Plan is what a watch holds: it follows from seed and number of beds.
type Plan struct {
	Seed   uint64
	Beds   []Bed
	Events []Event // in time order
}

// Minutes is how long a watch is: twelve hours.
const Minutes = 720

// perBed is how many alarms sound at a bed in a watch, and of how many one is real: of the
// alarms in children's intensive care 87 in a hundred asked for nothing (Bonafide 2015, J
// Hosp Med 10:345; Drew 2014, PLoS One 9:e110274: 89 of arrhythmia alarms). How many there
// are is far fewer than published, or a watch could not be told in minutes.
const perBed, oneIn = 8, 8

// crossings is how many more alarms sound at a bed where nobody set the limits for the
// patient: those that came with the box are crossed by a rate that is usual (ours; after new
// limits there were 43 % fewer alarms, Graham and Cvach 2010, Am J Crit Care 19:28, from
// memory).
const crossings = 6

// people are the patients that may lie in the ward.
var people = []Bed{
	{ecg.Days(6), 3.4, "born at term, feeds badly since yesterday", "sinus-rhythm"},
	{ecg.Months(5), 6.3, "second day after closing a hole between the ventricles", "sinus-rhythm"},
	{ecg.Months(14), 10, "pneumonia, on oxygen", "sinus-rhythm"},
	{ecg.Years(3), 14, "croup, better since noon", "sinus-rhythm"},
	{ecg.Years(6), 21, "first day after an operation on the belly", "sinus-rhythm"},
	{ecg.Years(9), 29, "kidneys failing, dialysis tomorrow", "sinus-rhythm"},
	{ecg.Years(12), 41, "asthma, drip running", "respiratory-sinus-arrhythmia"},
	{ecg.Years(15), 57, "observed after a blow to the head", "sinus-rhythm"},
}

// turns are the ways in which it becomes serious; each gets worse until help is there.
var turns = []Event{
	{Alarm: script.AlarmLow, Stages: []Stage{{0, "sinus-bradycardia", "", ecg.PoorPerfusion}, {14, "asystole", "", ecg.NoSignsOfLife}}},
	{Alarm: script.AlarmHigh, Stages: []Stage{{0, "supraventricular-tachycardia", "", ecg.Stable}, {35, "supraventricular-tachycardia", "", ecg.PoorPerfusion}}},
	{Alarm: script.AlarmVentricular, Stages: []Stage{{0, "ventricular-run", "", ecg.Stable}, {20, "monomorphic-ventricular-tachycardia", "", ecg.PoorPerfusion}, {32, "coarse-ventricular-fibrillation", "", ecg.NoSignsOfLife}}},
	{Alarm: script.AlarmLow, Stages: []Stage{{0, "third-degree-av-block", "", ecg.Stable}, {25, "third-degree-av-block", "", ecg.PoorPerfusion}}},
	{Alarm: script.AlarmPressure, Stages: []Stage{{0, "sinus-tachycardia", "", ecg.PoorPerfusion}, {25, "pulseless-electrical-activity", "", ecg.NoSignsOfLife}}},
	{Alarm: script.AlarmFibrillates, Stages: []Stage{{0, "coarse-ventricular-fibrillation", "", ecg.NoSignsOfLife}}},
}

// quiets are changes that no alarm tells.
var quiets = []string{"junctional-rhythm", "first-degree-av-block", "ventricular-bigeminy", "right-bundle-branch-block", "st-depression", "second-degree-av-block-type-1"}

// cables are faults of electrode and probe with the alarm they set off.
var cables = []struct {
	artifact string
	alarm    script.Alarm
}{
	{"disconnected-lead", script.AlarmNoBeats}, {"loose-electrode", script.AlarmVentricular}, {"movement", script.AlarmFibrillates},
	{"low-amplitude", script.AlarmLow}, {"pulse-probe-fault", script.AlarmNoPulse}, {"mains-hum", script.AlarmHigh},
}

// How long events last when nobody does anything, minutes.
const (
	passes   = 6
	cabled   = 45
	turned   = 60
	quietly  = 150
	patience = 15 // of a parent
)

// NewPlan draws a watch of 1 to 4 beds.
func NewPlan(seed uint64, beds int) (Plan, error) {
	if beds < 1 || beds > 4 {
		return Plan{}, fmt.Errorf("a watch of %d beds: choose 1 to 4", beds)
	}
	rng := rand.New(rand.NewPCG(seed, 0x3a7c4))
	p := Plan{Seed: seed}
	for n, i := range rng.Perm(len(people))[:beds] {
		b := people[i]
		b.Sentence = fmt.Sprintf("Bed %d: %s old, %s.", n+1, b.Age.Words(), b.Sentence)
		p.Beds = append(p.Beds, b)
	}
	for bed := range p.Beds {
		p.add(rng, Event{Kind: Turn, Bed: bed, To: turned}.with(turns[rng.IntN(len(turns))]))
		if bed%2 == 0 {
			p.add(rng, Event{Kind: Quiet, Bed: bed, To: quietly, Stages: []Stage{{0, quiets[rng.IntN(len(quiets))], "", ecg.Stable}}})
		}
		for k := range perBed - perBed/oneIn {
			if k%2 == 0 {
				c := cables[rng.IntN(len(cables))]
				p.add(rng, Event{Kind: Cable, Bed: bed, To: cabled, Alarm: c.alarm, Stages: []Stage{{0, p.Beds[bed].Rhythm, c.artifact, ecg.Stable}}})
				continue
			}
			p.add(rng, Event{Kind: Passing, Bed: bed, To: passes, Alarm: script.AlarmHigh, Stages: []Stage{{0, "sinus-tachycardia", "", ecg.Stable}}})
		}
	}
	for bed := range p.Beds {
		for range crossings {
			p.add(rng, Event{Kind: Passing, Bed: bed, To: passes, Alarm: script.AlarmHigh, Limit: true, Stages: []Stage{{0, p.Beds[bed].Rhythm, "", ecg.Stable}}})
		}
	}
	p.add(rng, Event{Kind: Parent, Bed: rng.IntN(beds), To: patience, Question: rng.IntN(len(Questions))})
	slices.SortStableFunc(p.Events, func(a, b Event) int { return a.From - b.From })
	return p, nil
}

// with takes what an event's way of becoming serious says.
func (e Event) with(way Event) Event {
	e.Alarm, e.Stages = way.Alarm, way.Stages
	return e
}

// add puts an event at a time at which nothing else goes on in its bed; To comes in as a
// length. Where there is no room it is shortened to what there is.
func (p *Plan) add(rng *rand.Rand, e Event) {
	for tries := 0; ; tries++ {
		length := e.To
		if tries > 200 {
			length = passes
		}
		from := 10 + rng.IntN(Minutes-10-length-5)
		clash := slices.ContainsFunc(p.Events, func(o Event) bool {
			return o.Bed == e.Bed && o.Kind != Parent && e.Kind != Parent && from < o.To+5 && o.From < from+length+5
		})
		if !clash || tries > 2000 {
			e.From, e.To = from, from+length
			p.Events = append(p.Events, e)
			return
		}
	}
}

// Identity is the strip of a bed in a condition.
func (p Plan) Identity(bed int, c Stage) ecg.Identity {
	id := ecg.Synthetic(c.Rhythm, p.Beds[bed].Age, p.Seed%1_000_000+uint64(bed))
	id.Artifact, id.State = c.Artifact, c.State
	return id
}

// Check reports whether every strip of the plan can be played.
func (p Plan) Check() error {
	for _, e := range p.Events {
		for _, s := range e.Stages {
			if _, err := synth.Open(p.Identity(e.Bed, s)); err != nil {
				return err
			}
		}
	}
	return nil
}

// A ParentQuestion is asked at the bedside, with three answers, the calm one first.
type ParentQuestion struct {
	Ask     string
	Answers [3]string
}

// Questions are what parents ask. The calm answer says what is seen, what is being done, and
// when they hear more; it promises nothing and uses no word they do not know.
var Questions = []ParentQuestion{
	{"The alarm went off again. Is something wrong with the heart?", [3]string{
		"I have looked: the colour and breathing are as before. I stay near, and tell you when it changes.",
		"That is only the machine, it does that all the time.",
		"I cannot say anything about that. Ask the doctor tomorrow."}},
	{"Why does nobody do anything?", [3]string{
		"I can see that the waiting is hard. I look every few minutes, and this is what I watch for.",
		"We have other children here as well.",
		"Everything will be fine, I promise."}},
	{"What are those jumps on the line?", [3]string{
		"That is the cable moving with the foot. I look at your child first, then at the line.",
		"Extrasystoles or artifacts, probably not relevant.",
		"Better not to look at it."}},
}
