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
const Engine = 3

// DefaultRate is the sampling rate of synthetic strips in Hz.
const DefaultRate = 500

// An Identity names a strip completely: the same identity gives the same samples,
// bit for bit, on the same build. Its text form is short enough to be typed:
//
//	3/ventricular-bigeminy/6y/42
//	3/sinus-rhythm/10d/7;artifact=movement;state=stable
//	3/ventricular-run/6y/3;then=coarse-ventricular-fibrillation@20,asystole@60
//	3/sinus-rhythm/4mo/9;artifact=disconnected-lead@5-15;line=arterial
//	3/sinus-rhythm/6y/3;artifact=swapped-electrodes:LA-LL;leads=I,II,III,V5
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
	Place    string   // where it is, as "LA", "LA-LL" or "cold-hand"; usual: by the seed
	From, To float64  // s, when the artifact is there; both 0: all the time
	Then     []Step   // what the rhythm turns into, in time order; usual: nothing
	Arterial bool     // an arterial line is in: its pressure is a second witness
	Trunk    bool     // the limb electrodes sit on the trunk, on their own sides
	Leads    []Lead   // usual: I, II, III
	Rate     int      // Hz; usual: DefaultRate

	// For a stretch of a recording instead of a synthetic strip; of all above only
	// Age may then be set, the patient's as far as it was told.
	Recording string  // path of the record
	At        float64 // s from its start
	Seconds   float64
}

// A Step is a rhythm that begins at a time, s from the start of the strip.
type Step struct {
	At     float64
	Rhythm string // catalogue id
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
		fmt.Fprintf(&b, "recording;at=%s;seconds=%s;", decimal(id.At), decimal(id.Seconds))
		if id.Age != (Age{}) {
			fmt.Fprintf(&b, "age=%s;", id.Age)
		}
		b.WriteString("path=" + id.Recording)
		return b.String()
	}
	fmt.Fprintf(&b, "%d/%s/%s/%d", id.Engine, id.Rhythm, id.Age, id.Seed)
	if id.Artifact != "" {
		b.WriteString(";artifact=" + id.Artifact)
		if id.Place != "" {
			b.WriteString(":" + id.Place)
		}
		if id.From != 0 || id.To != 0 {
			b.WriteString("@" + decimal(id.From) + "-" + decimal(id.To))
		}
	}
	if id.Severity != Plain && id.Severity != "" {
		b.WriteString(";severity=" + string(id.Severity))
	}
	if id.State != Stable && id.State != "" {
		b.WriteString(";state=" + string(id.State))
	}
	for i, step := range id.Then {
		b.WriteString([]string{";then=", ","}[min(i, 1)] + step.Rhythm + "@" + decimal(step.At))
	}
	if id.Arterial {
		b.WriteString(";line=arterial")
	}
	if id.Trunk {
		b.WriteString(";limbs=trunk")
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
		return bad("want ENGINE/RHYTHM/AGE/SEED, as in 3/sinus-rhythm/6y/42")
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
			var window string
			value, window, _ = strings.Cut(value, "@")
			id.Artifact, id.Place, _ = strings.Cut(value, ":")
			if window != "" {
				from, to, _ := strings.Cut(window, "-")
				if id.From, err = seconds(from); err == nil {
					id.To, err = seconds(to)
				}
				if err != nil || id.To <= id.From {
					return bad("artifact time %q: want FROM-TO in seconds, as in movement@5-12", window)
				}
			}
			if id.Artifact == "" {
				return bad("the artifact is missing")
			}
		case "then":
			id.Then = nil
			for word := range strings.SplitSeq(value, ",") {
				rhythm, at, _ := strings.Cut(word, "@")
				t, err := seconds(at)
				if err != nil || rhythm == "" || len(id.Then) > 0 && t <= id.Then[len(id.Then)-1].At {
					return bad("then %q: want RHYTHM@SECONDS, later than the one before", word)
				}
				id.Then = append(id.Then, Step{t, rhythm})
			}
		case "line":
			if value != "arterial" {
				return bad("line %q: the one there is is arterial", value)
			}
			id.Arterial = true
		case "limbs":
			if value != "trunk" {
				return bad("limbs %q: where else they can be is trunk", value)
			}
			id.Trunk = true
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
			return bad("unknown part %q; known are artifact, then, line, limbs, severity, state, leads, rate", key)
		}
	}
	return id, nil
}

// seconds reads a time of day-long strips at most.
func seconds(s string) (float64, error) {
	x, err := strconv.ParseFloat(s, 64)
	if err == nil && !(x >= 0 && x <= 86400) {
		err = fmt.Errorf("%q is not a time in seconds", s)
	}
	return x, err
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
		if key == "age" {
			var err error
			if id.Age, err = ParseAge(value); err != nil {
				return Identity{}, fmt.Errorf("strip identity %q: %w", s, err)
			}
			continue
		}
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
