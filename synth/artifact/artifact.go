// Package artifact holds what disturbs a tracing while the heart beats on: each
// kind is a Source wrapped round a Source, at the electrodes or at the leads, with
// what is taught about it. The pulse goes on, unless the disturbance shakes it too.
package artifact

import (
	"math/rand/v2"
	"slices"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// A Setting is where a disturbance takes place.
type Setting struct {
	Rate       float64         // Hz
	Electrodes []ecg.Electrode // rows of an electrode source
	Leads      []ecg.Lead      // rows of a lead source
	Place      string          // one of the kind's places
	RNG        *rand.Rand      // its own stream of chance
}

// at is the electrode of a place that is one.
func (s Setting) at() ecg.Electrode { return ecg.Electrode(s.Place) }

// A Kind is one artifact. A wrapper that is nil leaves that stage alone.
type Kind struct {
	lesson.Lesson

	// Drawn are the places that a seed chooses from, the commoner more than once, and
	// Named those that an identity has to name; none where it sits nowhere in particular.
	// A place is an electrode's letters, two of them, or a word of the kind's own. Drawn
	// electrodes spoil lead II, which is shown first, and leave one limb lead cleaner, but
	// for the reference RL.
	Drawn, Named []string

	Electrodes func(src ecg.Source, s Setting) ecg.Source // potentials, mV
	Leads      func(src ecg.Source, s Setting) ecg.Source // leads, mV
	Pulse      func(src ecg.Source, s Setting) ecg.Source // one row, the pulse trace

	// Blind reports whether the pulse probe misses the pulse at a place, t seconds after the
	// disturbance began; nil for never.
	Blind func(place string, t float64) bool
}

// All lists the artifacts in the order of teaching. Nobody changes it.
func All() []Kind { return kinds }

var kinds = []Kind{
	disconnectedLead,
	looseElectrode,
	movement,
	chestPercussion,
	shivering,
	compressions,
	mainsHum,
	baselineWander,
	lowAmplitude,
	swappedElectrodes,
	pulseProbeFault,
}

// ByID finds an artifact.
func ByID(id string) (Kind, bool) {
	for _, k := range All() {
		if k.ID == id {
			return k, true
		}
	}
	return Kind{}, false
}

// Place is where kind k is in the strip of an identity: the place that is named, else
// the one its seed draws; empty where it has none.
func (k Kind) Place(id ecg.Identity) string {
	if id.Place != "" || len(k.Drawn) == 0 {
		return id.Place
	}
	return k.Drawn[rand.New(rand.NewPCG(id.Seed, 0x517e)).IntN(len(k.Drawn))]
}

// Places are all places of the kind, each once.
func (k Kind) Places() []string {
	var all []string
	for _, p := range append(slices.Clone(k.Drawn), k.Named...) {
		if !slices.Contains(all, p) {
			all = append(all, p)
		}
	}
	return all
}

// uses reports whether a lead is made with an electrode: limb leads with their two,
// augmented leads and V with all three limb electrodes, V with its own as well, and all
// with the reference.
func uses(l ecg.Lead, e ecg.Electrode) bool {
	if e == ecg.RL {
		return true
	}
	switch l {
	case ecg.I:
		return e == ecg.RA || e == ecg.LA
	case ecg.II:
		return e == ecg.RA || e == ecg.LL
	case ecg.III:
		return e == ecg.LA || e == ecg.LL
	default:
		return e != ecg.V || l != ecg.AVR && l != ecg.AVL && l != ecg.AVF
	}
}
