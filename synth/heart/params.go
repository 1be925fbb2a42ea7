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

// String names the site.
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

	Gap   [2]int  // fewest and most beats between two pauses; 0 for no pauses
	Pause float64 // s, a pause

	Shapes int     // places in the atria that the pacemaker moves between; 0 or 1 stays put
	Stay   float64 // chance that the next beat comes from the same place
	Nearer float64 // s by which PR is shorter for each place further down
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
	Conceal    float64 // share of the recovery that an impulse which dies in the node takes away, 0 to 1
}

// His is the conduction below the node: all or nothing, without delay.
type His struct {
	Gap  [2]int // fewest and most beats conducted between two blocks; 0 never blocks
	Drop [2]int // fewest and most beats blocked in a row
}

// Bundles are the bundle branches. A blocked one makes a wide QRS.
type Bundles struct {
	Right, Left bool    // fixed block
	Tired       float64 // the right bundle is refractory for this share of the RR before; 0 never
}

// Path is an accessory path from atria to ventricles, beside the node.
type Path struct {
	Delay      float64 // s from atrial activation to the ventricles; 0 means no such path
	Refractory float64 // s
}

// Pacer is a stimulator. It waits for an interval without a beat of its chamber,
// then gives a spike.
type Pacer struct {
	Rate     float64 // beats/min; 0 means there is none
	Atrium   bool    // paces and senses the atrium
	Chamber  bool    // paces and senses the ventricle
	AV       float64 // s from the atrial beat to the ventricular spike, both chambers paced
	Deaf     bool    // does not sense: spikes come at the set rate whatever the heart does
	Loss     [2]int  // spikes that capture between two stretches that do not; 0 captures always
	Lost     [2]int  // spikes in a row that do not capture
	Silence  [2]int  // spikes between two stretches without any; 0 always paces
	Silenced [2]int  // spikes in a row that do not come
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
	WarmUp   float64 // share by which the first cycle is longer; it wears off over about five beats
}

// Ventricles are the ventricular muscle.
type Ventricles struct {
	QTc          float64 // s, at an RR of 1 s; QT follows the square root of the lagged RR
	Steady       bool    // ventricular beats do not teach QT another rate
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
	Quiver     float64 // impulses per second that fibrillating atria send to the node; 0 means they beat
	Node       Node
	His        His
	Bundles    Bundles
	Path       Path
	Foci       []Focus
	Pacer      Pacer
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
	if p.Sinus.Rate > 0 && !p.Node.Blocked {
		bounds = append(bounds, bound{"AV node delay against the RR interval in s", p.Node.Delay, 0.02, 60 / p.Sinus.Rate})
	}
	bounds = append(bounds,
		bound{"sinus places", float64(p.Sinus.Shapes), 0, 9},
		bound{"sinus chance to stay", p.Sinus.Stay, 0, 1},
		bound{"sinus PR step in s", p.Sinus.Nearer, 0, 0.05},
		bound{"AV node concealment share", p.Node.Conceal, 0, 1},
		bound{"atrial fibrillation impulses per s", p.Quiver, 0, 20},
		bound{"bundle refractory share", p.Bundles.Tired, 0, 1},
		bound{"accessory path delay in s", p.Path.Delay, 0, 0.3},
		bound{"accessory path refractory time in s", p.Path.Refractory, 0, 1},
		bound{"pacer rate", p.Pacer.Rate, 0, 220},
		bound{"pacer AV time in s", p.Pacer.AV, 0, 0.4})
	ranges := []struct {
		name string
		r    [2]int
	}{
		{"beats between sinus pauses", p.Sinus.Gap}, {"beats between blocks below the node", p.His.Gap},
		{"beats blocked below the node", p.His.Drop}, {"spikes that capture", p.Pacer.Loss},
		{"spikes without capture", p.Pacer.Lost}, {"spikes between silences", p.Pacer.Silence},
		{"spikes silenced", p.Pacer.Silenced},
	}
	for _, r := range ranges {
		bounds = append(bounds, bound{"fewest " + r.name, float64(r.r[0]), 0, 10000}, bound{"most " + r.name, float64(r.r[1]), float64(r.r[0]), 10000})
	}
	if p.Sinus.Gap[1] > 0 {
		bounds = append(bounds, bound{"sinus pause in s", p.Sinus.Pause, 0.2, 20})
	}
	for i, f := range p.Foci {
		name := func(what string) string { return fmt.Sprintf("focus %d (%s) %s", i+1, f.Site, what) }
		bounds = append(bounds,
			bound{name("site"), float64(f.Site), float64(Atrium), float64(Ventricle)},
			bound{name("jitter share"), f.Jitter, 0, 0.4},
			bound{name("warm-up share"), f.WarmUp, 0, 1},
			bound{name("time to the atria in s"), f.ToAtria, 0, 0.5})
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
