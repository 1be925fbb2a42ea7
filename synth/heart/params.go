package heart

import (
	"fmt"
	"math"
)

// A Site is where a focus sits.
type Site uint8

// Sites, from above downwards.
const (
	Atrium Site = iota
	Junction
	Ventricle
)

func (s Site) String() string {
	switch s {
	case Atrium:
		return "atrium"
	case Junction:
		return "junction"
	case Ventricle:
		return "ventricle"
	default:
		return "unknown site"
	}
}

// Sinus is the sinus node. Each interval is 60/Rate, lengthened and shortened by
// the breath, by a slow tide and by chance.
type Sinus struct {
	Rate   float64 // beats/min; 0 is a silent node
	RSA    float64 // share by which the breath changes the interval, 0 to 0.5
	Tide   float64 // share by which a 0.1 Hz tide changes it, 0 to 0.5
	Jitter float64 // standard deviation of the rest, as a share, 0 to 0.2
}

// Node is the AV node with the bundle of His. It delays more the sooner it is
// asked again: delay = Delay + Decrement * exp(-(recovery-Refractory)/Tau), where
// recovery is the time since it last conducted or was entered from below.
type Node struct {
	Delay      float64 // s, from atrial to ventricular activation when rested
	Decrement  float64 // s, added when asked just after the refractory time
	Tau        float64 // s
	Refractory float64 // s; asked earlier it does not conduct
	Blocked    bool    // conducts in neither direction
	Retrograde float64 // s from node to atria when entered from below; 0 does not conduct upwards
}

// AtRate returns the node with its rested delay set so that the PR time is pr
// seconds while the atria beat regularly at rate beats/min.
func (n Node) AtRate(pr, rate float64) Node {
	recovery := 60/rate - pr // from the last exit to the next entry
	n.Delay = pr - n.extra(recovery)
	return n
}

func (n Node) extra(recovery float64) float64 {
	if n.Decrement == 0 {
		return 0
	}
	return n.Decrement * math.Exp(-(recovery-n.Refractory)/n.Tau)
}

// A Focus is any pacemaker but the sinus node. How it fires follows from which
// fields are set:
//
//   - Coupling: in bursts of Run beats, the first Coupling seconds after a beat
//     that came from above, the others Cycle apart; Gap beats from above lie
//     between two bursts.
//   - Escape: Cycle seconds after the last ventricular activation, so that it
//     shows only when nothing faster does.
//   - neither: every Cycle seconds, undisturbed (a re-entrant circuit).
type Focus struct {
	Site     Site
	Cycle    float64 // s
	Jitter   float64 // standard deviation of Cycle or Coupling, as a share, 0 to 0.2
	Coupling float64 // s
	Gap      [2]int  // fewest and most beats from above between bursts
	Run      [2]int  // fewest and most beats in a burst
	Escape   bool
	ToAtria  float64 // s, Junction only: from the focus up to the atria; 0 does not reach them
}

// Ventricles are the ventricular muscle.
type Ventricles struct {
	QTc          float64 // s, at an RR of 1 s; QT follows the square root of the lagged RR
	Fibrillating bool    // no activation starts or enters
}

// Pump turns beats into blood.
type Pump struct {
	RestRate  float64 // beats/min at which one beat ejects one stroke volume
	Strength  float64 // 1 as usual, 0 none: beats without a pulse
	Systolic  float64 // mmHg at RestRate
	Diastolic float64 // mmHg at RestRate
	Transit   float64 // s from QRS onset to the foot of the pulse at the finger
}

// Params is a heart. A rhythm is a set of these numbers.
type Params struct {
	Breaths    float64 // breaths/min
	Sinus      Sinus
	Atria      float64 // s, refractory time of the atria
	Node       Node
	Foci       []Focus
	Ventricles Ventricles
	Pump       Pump
}

// bound is one checked number: what it is, its value, the range it may have.
type bound struct {
	name           string
	value, low, up float64
}

// Validate refuses a heart that cannot be, naming the parameter and its range.
func (p Params) Validate() error {
	bounds := []bound{
		{"breaths", p.Breaths, 2, 120},
		{"sinus rate", p.Sinus.Rate, 0, 350},
		{"sinus RSA share", p.Sinus.RSA, 0, 0.5},
		{"sinus tide share", p.Sinus.Tide, 0, 0.5},
		{"sinus jitter share", p.Sinus.Jitter, 0, 0.2},
		{"atrial refractory time in s", p.Atria, 0.05, 0.5},
		{"AV node delay in s", p.Node.Delay, 0.02, 1},
		{"AV node decrement in s", p.Node.Decrement, 0, 1},
		{"AV node refractory time in s", p.Node.Refractory, 0.02, 2},
		{"AV node retrograde time in s", p.Node.Retrograde, 0, 0.5},
		{"QTc in s", p.Ventricles.QTc, 0.2, 0.8},
		{"pump rest rate", p.Pump.RestRate, 20, 300},
		{"pump strength", p.Pump.Strength, 0, 2},
		{"systolic pressure in mmHg", p.Pump.Systolic, p.Pump.Diastolic + 5, 300},
		{"diastolic pressure in mmHg", p.Pump.Diastolic, 5, 200},
		{"pulse transit time in s", p.Pump.Transit, 0.06, 0.6},
	}
	if p.Node.Decrement > 0 {
		bounds = append(bounds, bound{"AV node time constant in s", p.Node.Tau, 0.01, 2})
	}
	if p.Sinus.Rate > 0 && !p.Node.Blocked && len(p.Foci) == 0 {
		bounds = append(bounds, bound{"AV node delay against the RR interval in s", p.Node.Delay, 0.02, 60 / p.Sinus.Rate})
	}
	for i, f := range p.Foci {
		name := func(what string) string { return fmt.Sprintf("focus %d (%s) %s", i+1, f.Site, what) }
		bounds = append(bounds, bound{name("jitter share"), f.Jitter, 0, 0.2})
		if f.Coupling == 0 || f.Run[1] > 1 {
			bounds = append(bounds, bound{name("cycle in s"), f.Cycle, 0.1, 30})
		}
		if f.Coupling != 0 {
			bounds = append(bounds,
				bound{name("coupling in s"), f.Coupling, 0.1, 3},
				bound{name("fewest beats between bursts"), float64(f.Gap[0]), 1, 10000},
				bound{name("most beats between bursts"), float64(f.Gap[1]), float64(f.Gap[0]), 10000},
				bound{name("fewest beats in a burst"), float64(f.Run[0]), 1, 10000},
				bound{name("most beats in a burst"), float64(f.Run[1]), float64(f.Run[0]), 10000})
		}
	}
	for _, b := range bounds {
		if !(b.value >= b.low && b.value <= b.up) {
			return fmt.Errorf("heart: %s is %g; allowed is %g to %g", b.name, b.value, b.low, b.up)
		}
	}
	return nil
}
