package ecg

import (
	"fmt"
	"strconv"
	"strings"
)

// A State is how the patient is, which the strip alone cannot tell. Stored by
// name; append only.
type State string

// The states of first-action teaching.
const (
	NoSignsOfLife State = "no-signs-of-life" // unresponsive, not breathing or gasping, no certain pulse
	PoorPerfusion State = "poor-perfusion"   // a pulse, but pale, cold, drowsy, low pressure
	Stable        State = "stable"           // as usual, warm, pressure as usual
	NotSure       State = "not-sure"         // the signs disagree
)

// States lists the states, worst first.
var States = []State{NoSignsOfLife, PoorPerfusion, Stable, NotSure}

// A Severity is how plainly a strip shows what it shows. Stored by name; append
// only.
type Severity string

// The severities.
const (
	Plain  Severity = "plain"
	Middle Severity = "middle"
	Subtle Severity = "subtle"
)

// Engine is the version of the generator. It rises whenever a change alters the
// samples of any identity; strips of an older engine are told apart by it.
const Engine = 1

// DefaultRate is the sampling rate of synthetic strips in Hz.
const DefaultRate = 500

// An Identity names a strip completely: the same identity gives the same samples,
// bit for bit, on the same build. Its text form is short enough to be typed:
//
//	1/ventricular-bigeminy/6y/42
//	1/sinus-rhythm/10d/7;artifact=movement;state=stable
//	recording;at=12.5;seconds=10;path=mitdb/106
//
// Parts that have their usual value are left out of the text.
type Identity struct {
	Engine   int
	Rhythm   string // catalogue id
	Age      Age
	Seed     uint64
	Severity Severity // usual: Plain
	State    State    // usual: Stable
	Artifact string   // catalogue id of an artifact over the rhythm; usual: none
	Leads    []Lead   // usual: I, II, III
	Rate     int      // Hz; usual: DefaultRate

	// For a stretch of a recording instead of a synthetic strip; all above is
	// then empty.
	Recording string  // path of the record
	At        float64 // s from its start
	Seconds   float64
}

// DefaultLeads are the leads of an identity that names none.
func DefaultLeads() []Lead { return []Lead{I, II, III} }

// Synthetic makes the identity of a plain strip by the present engine, with all
// else as usual.
func Synthetic(rhythm string, age Age, seed uint64) Identity {
	return Identity{Engine: Engine, Rhythm: rhythm, Age: age, Seed: seed,
		Severity: Plain, State: Stable, Leads: DefaultLeads(), Rate: DefaultRate}
}

// Subject is what the strip is about: the artifact where there is one, else the
// rhythm.
func (id Identity) Subject() string {
	if id.Artifact != "" {
		return id.Artifact
	}
	return id.Rhythm
}

// String writes the identity as ParseIdentity reads it.
func (id Identity) String() string {
	var b strings.Builder
	if id.Recording != "" {
		fmt.Fprintf(&b, "recording;at=%s;seconds=%s;path=%s", decimal(id.At), decimal(id.Seconds), id.Recording)
		return b.String()
	}
	fmt.Fprintf(&b, "%d/%s/%s/%d", id.Engine, id.Rhythm, id.Age, id.Seed)
	if id.Artifact != "" {
		b.WriteString(";artifact=" + id.Artifact)
	}
	if id.Severity != Plain && id.Severity != "" {
		b.WriteString(";severity=" + string(id.Severity))
	}
	if id.State != Stable && id.State != "" {
		b.WriteString(";state=" + string(id.State))
	}
	if leads := joinLeads(id.Leads); leads != joinLeads(DefaultLeads()) && leads != "" {
		b.WriteString(";leads=" + leads)
	}
	if id.Rate != DefaultRate && id.Rate != 0 {
		b.WriteString(";rate=" + strconv.Itoa(id.Rate))
	}
	return b.String()
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func joinLeads(leads []Lead) string {
	words := make([]string, len(leads))
	for i, l := range leads {
		words[i] = string(l)
	}
	return strings.Join(words, ",")
}

// ParseIdentity reads the text form. It checks the form only: whether the rhythm
// exists at that age is for the catalogue to say.
func ParseIdentity(s string) (Identity, error) {
	bad := func(format string, args ...any) (Identity, error) {
		return Identity{}, fmt.Errorf("strip identity %q: %s", s, fmt.Sprintf(format, args...))
	}
	head, rest, _ := strings.Cut(s, ";")
	if head == "recording" {
		return parseRecording(s, rest)
	}
	parts := strings.Split(head, "/")
	if len(parts) != 4 {
		return bad("want ENGINE/RHYTHM/AGE/SEED, as in 1/sinus-rhythm/6y/42")
	}
	engine, err := strconv.Atoi(parts[0])
	if err != nil || engine < 1 {
		return bad("engine version %q is not a whole number from 1", parts[0])
	}
	age, err := ParseAge(parts[2])
	if err != nil {
		return bad("%v", err)
	}
	seed, err := strconv.ParseUint(parts[3], 10, 64)
	if err != nil {
		return bad("seed %q is not a whole number", parts[3])
	}
	id := Synthetic(parts[1], age, seed)
	id.Engine = engine
	if id.Rhythm == "" {
		return bad("the rhythm is missing")
	}
	for rest != "" {
		var field string
		field, rest, _ = strings.Cut(rest, ";")
		key, value, _ := strings.Cut(field, "=")
		if value == "" {
			return bad("%q needs a value", key)
		}
		switch key {
		case "artifact":
			id.Artifact = value
		case "severity":
			id.Severity = Severity(value)
			if id.Severity != Plain && id.Severity != Middle && id.Severity != Subtle {
				return bad("severity %q is none of plain, middle, subtle", value)
			}
		case "state":
			id.State = State(value)
			if !known(States, id.State) {
				return bad("state %q is none of %v", value, States)
			}
		case "leads":
			id.Leads = nil
			for word := range strings.SplitSeq(value, ",") {
				l := Lead(word)
				if !known(Leads, l) {
					return bad("lead %q is none of %v", word, Leads)
				}
				id.Leads = append(id.Leads, l)
			}
		case "rate":
			if id.Rate, err = strconv.Atoi(value); err != nil || id.Rate < 100 || id.Rate > 2000 {
				return bad("rate %q is not a whole number of Hz from 100 to 2000", value)
			}
		default:
			return bad("unknown part %q; known are artifact, severity, state, leads, rate", key)
		}
	}
	return id, nil
}

func parseRecording(s, rest string) (Identity, error) {
	var id Identity
	head, path, found := strings.Cut(rest, "path=")
	if !found || path == "" {
		return id, fmt.Errorf("strip identity %q: want recording;at=S;seconds=S;path=RECORD", s)
	}
	id.Recording = path
	for field := range strings.SplitSeq(strings.TrimSuffix(head, ";"), ";") {
		key, value, _ := strings.Cut(field, "=")
		x, err := strconv.ParseFloat(value, 64)
		if err != nil || !(x >= 0 && x <= 1e9) { // NaN is refused too
			return Identity{}, fmt.Errorf("strip identity %q: %s=%q is not a number of seconds", s, key, value)
		}
		switch key {
		case "at":
			id.At = x
		case "seconds":
			id.Seconds = x
		default:
			return Identity{}, fmt.Errorf("strip identity %q: unknown part %q", s, key)
		}
	}
	return id, nil
}

func known[T comparable](list []T, x T) bool {
	for _, have := range list {
		if have == x {
			return true
		}
	}
	return false
}
