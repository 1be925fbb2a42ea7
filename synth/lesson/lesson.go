// Package lesson holds the shape of what is taught about one catalogue entry,
// whether a rhythm or an artifact: what to look for, what it is confused with, and
// what to do first as a function of the patient's state and age. The entries
// themselves stand in synth/rhythm and synth/artifact.
//
// Training only: every Care defers to local policy, current resuscitation
// guidelines and licensed practice.
package lesson

import "telltrace/synth/ecg"

// A Family groups entries as textbooks do. Stored by name; append only.
type Family string

// Families.
const (
	Sinus       Family = "sinus"
	Atrial      Family = "atrial"
	Junctional  Family = "junctional"
	Block       Family = "block"
	Ventricular Family = "ventricular"
	Arrest      Family = "arrest"
	Paced       Family = "paced"
	Shape       Family = "shape"
	Artifact    Family = "artifact"
)

// Urgency says how soon somebody must come. Stored by name; append only.
type Urgency string

// Urgencies, calm to worst.
const (
	Routine   Urgency = "routine" // observe and chart
	Watch     Urgency = "watch"   // assess, look for the cause, tell the team in the usual way
	Urgent    Urgency = "urgent"  // stay, call now
	ArrestNow Urgency = "arrest"  // start resuscitation
)

// An Action is a first action, the answer to "what do you do first?". Stored by
// name; append only.
type Action string

// First actions.
const (
	Compress   Action = "compress"    // start compressions with ventilation, call the resuscitation team, send for the defibrillator
	Support    Action = "support"     // airway, oxygen, ventilation; call urgent help; stay
	CallStay   Action = "call-stay"   // stay, call now, defibrillator near, 12-lead if it costs no time
	AssessTell Action = "assess-tell" // full vital signs, 12-lead if new, look for the cause, tell the team
	Chart      Action = "chart"       // nothing to mend: chart at the usual interval
	Reattach   Action = "reattach"    // see to the electrode: same site, clean and dry; look again
	Settle     Action = "settle"      // settle the child, wait, look again; chart as artifact
	LookCall   Action = "look-call"   // look at the patient, feel the pulse, call if in doubt
	Silence    Action = "silence"     // silence the alarm: never right unseen, offered as a distractor
)

// Care is what is taught for one state at one age.
type Care struct {
	Urgency Urgency
	First   Action
	Also    []Action // other first actions that are as right
	Then    string   // what then, one sentence
	Caution string   // one sentence
	Source  string
}

// A LookAlike is an entry this one is confused with, and the one telling
// difference.
type LookAlike struct {
	ID         string
	Difference string // what tells this entry from the other, on the strip
	Bedside    string // what settles it at the bedside
	Source     string
	Told       Place // where the difference is to be seen
}

// A Place is where two entries can be told apart.
type Place uint8

// Places.
const (
	OnLeads   Place = iota // on the leads
	OnPulse                // on the pulse trace, and on no lead
	AtBedside              // on nothing that is drawn: the patient settles it
)

// A Measure is a quantity that can be read off a strip. Stored by name; append
// only.
type Measure string

// Measures. Rates in beats per minute, intervals in seconds, amplitudes in mV.
const (
	Rate       Measure = "rate"               // ventricular, beats/min
	RRSpread   Measure = "rr-cv"              // standard deviation of RR over its mean
	PPerQRS    Measure = "p-per-qrs"          // P waves for each QRS
	PRTime     Measure = "pr"                 // s, median of the conducted beats
	QRSTime    Measure = "qrs"                // s, median of the usual beats
	QTTime     Measure = "qt"                 // s
	QTcBazett  Measure = "qtc-bazett"         // s
	Ectopics   Measure = "ectopics"           // beats of another shape, as a share of all
	LongestRun Measure = "longest-run"        // beats of another shape in a row
	PeakToPeak Measure = "peak-to-peak"       // mV over the strip
	Dominant   Measure = "dominant-frequency" // Hz
	PRSpread   Measure = "pr-spread"          // s, longest less shortest PR of the conducted beats
	AtrialRate Measure = "p-rate"             // P or flutter waves a minute
	PShapes    Measure = "p-shapes"           // number of P wave shapes
	EarlyP     Measure = "early-p"            // time from a conducted P to the blocked one after it, as a share of the time to the next conducted P
	RRRange    Measure = "rr-range"           // longest less shortest RR, as a share of their median
	LongestRR  Measure = "longest-rr"         // as a multiple of the median RR
	ShortestRR Measure = "shortest-rr"        // s
	EarlyBeats Measure = "early-beats"        // beats that end an RR below 0.85 of the median, as a share of all
	STLevel    Measure = "st-level"           // mV in lead II, 60 ms after the end of the QRS, against the PR segment
	THeight    Measure = "t-height"           // mV in lead II, upright counts positive
	QRSHeight  Measure = "qrs-height"         // mV peak to peak, the tallest of I, II and III
	Shapes     Measure = "shapes"             // QRS shapes in one lead, the usual one counted
	LateV1     Measure = "late-v1"            // mV, largest deflection in V1, with its sign, in the last third of the usual QRS, against the PR segment
	Spikes     Measure = "spikes"             // pacing spikes for each QRS
	LoneSpikes Measure = "lone-spikes"        // pacing spikes without a P or QRS within 0.1 s, as a share of all
	SpikeWait  Measure = "spike-wait"         // shortest time from a QRS onset to the next ventricular spike, over the shortest time between two of them
	SpikeLate  Measure = "spike-late"         // longest time from a QRS onset to the next QRS or ventricular spike, over the shortest time between two spikes
)

// A Range is where a measure must lie.
type Range struct {
	Low, High float64
	Source    string
}

// A Criterion is one measurable range, which may depend on age.
type Criterion struct {
	Measure Measure
	At      func(ecg.Age) Range
}

// A Lesson is what is taught about one entry.
type Lesson struct {
	ID         string
	Name       string // as said aloud: "ventricular bigeminy"
	Plural     bool   // the name takes "are": "premature ventricular beats"
	Family     Family
	LookFor    []string // one line each, in the order of reading
	LookFirst  string   // what to look at first at the bedside
	LookAlikes []LookAlike
	Criteria   []Criterion
	States     []ecg.State // the states it is shown in, the usual one first
	Care       func(age ecg.Age, state ecg.State) Care
}

// LookAlike returns what tells this entry from the other, false when the two are
// not listed as look-alikes.
func (l Lesson) LookAlike(id string) (LookAlike, bool) {
	for _, a := range l.LookAlikes {
		if a.ID == id {
			return a, true
		}
	}
	return LookAlike{}, false
}
