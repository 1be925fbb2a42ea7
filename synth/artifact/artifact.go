// Package artifact holds what disturbs a tracing while the heart beats on: each
// kind is a Source wrapped round a Source, at the electrodes or at the leads, with
// what is taught about it. The pulse goes on, unless the disturbance shakes it too.
package artifact

import (
	"math/rand/v2"

	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// A Setting is where a disturbance takes place.
type Setting struct {
	Rate       float64         // Hz
	Electrodes []ecg.Electrode // rows of an electrode source
	Leads      []ecg.Lead      // rows of a lead source
	At         ecg.Electrode   // the electrode it sits on
	Seed       uint64          // of the strip
	RNG        *rand.Rand      // its own stream of chance
}

// A Kind is one artifact. A wrapper that is nil leaves that stage alone.
type Kind struct {
	lesson.Lesson

	// Sites are the electrodes it may sit on; each spoils lead II, which is shown
	// first, and leaves one limb lead cleaner, but for the reference RL.
	Sites []ecg.Electrode

	Electrodes func(src ecg.Source, s Setting) ecg.Source // potentials, mV
	Leads      func(src ecg.Source, s Setting) ecg.Source // leads, mV
	Pulse      func(src ecg.Source, s Setting) ecg.Source // one row, the pulse trace
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

// Site is the electrode that kind k sits on in the strip with the given seed.
func (k Kind) Site(seed uint64) ecg.Electrode {
	return k.Sites[rand.New(rand.NewPCG(seed, 0x517e)).IntN(len(k.Sites))]
}

// uses reports whether a lead is made with an electrode: limb leads with their two,
// augmented leads and V with all three limb electrodes, V with its own as well.
func uses(l ecg.Lead, e ecg.Electrode) bool {
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
