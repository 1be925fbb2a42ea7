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

func (n *Node) extra(recovery float64) float64 {
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

// A check keeps the first parameter that is out of its range. Words are put together
// only for that one.
type check struct {
	focus int // being looked at, counted from 1; 0 for the rest of the heart
	site  Site
	err   error
}

// within wants value from low to up.
func (c *check) within(what string, value, low, up float64) {
	if value >= low && value <= up || c.err != nil {
		return
	}
	if c.focus > 0 {
		what = fmt.Sprintf("focus %d (%s) %s", c.focus, c.site, what)
	}
	c.err = fmt.Errorf("heart: %s is %g; allowed is %g to %g", what, value, low, up)
}

// counts wants a range of whole numbers, the fewest at least so many.
func (c *check) counts(what string, r [2]int, least int) {
	const most = 10000
	if r[0] < least || r[1] < r[0] || r[1] > most {
		c.within("fewest "+what, float64(r[0]), float64(least), most)
		c.within("most "+what, float64(r[1]), float64(r[0]), most)
	}
}

// Validate refuses a heart that cannot be, naming the parameter and its range.
func (p Params) Validate() error {
	var c check
	c.within("breaths", p.Breaths, 2, 120)
	p.Sinus.validate(&c)
	c.within("atrial refractory time in s", p.Atria, 0.05, 0.5)
	p.Node.validate(&c)
	if p.Sinus.Rate > 0 && !p.Node.Blocked {
		c.within("AV node delay against the RR interval in s", p.Node.Delay, 0.02, 60/p.Sinus.Rate)
	}
	c.within("QTc in s", p.Ventricles.QTc, 0.2, 0.8)
	p.Pump.validate(&c)
	c.within("atrial fibrillation impulses per s", p.Quiver, 0, 20)
	c.counts("beats between blocks below the node", p.His.Gap, 0)
	c.counts("beats blocked below the node", p.His.Drop, 0)
	c.within("bundle refractory share", p.Bundles.Tired, 0, 1)
	c.within("accessory path delay in s", p.Path.Delay, 0, 0.3)
	c.within("accessory path refractory time in s", p.Path.Refractory, 0, 1)
	p.Pacer.validate(&c)
	for i := range p.Foci {
		f := &p.Foci[i]
		c.focus, c.site = i+1, f.Site
		f.validate(&c)
	}
	return c.err
}

func (s *Sinus) validate(c *check) {
	c.within("sinus rate", s.Rate, 0, 350)
	c.within("sinus RSA share", s.RSA, 0, 0.5)
	c.within("sinus tide share", s.Tide, 0, 0.5)
	c.within("sinus jitter share", s.Jitter, 0, 0.2)
	c.counts("beats between sinus pauses", s.Gap, 0)
	if s.Gap[1] > 0 {
		c.within("sinus pause in s", s.Pause, 0.2, 20)
	}
	c.within("sinus places", float64(s.Shapes), 0, 9)
	c.within("sinus chance to stay", s.Stay, 0, 1)
	c.within("sinus PR step in s", s.Nearer, 0, 0.05)
}

func (n *Node) validate(c *check) {
	c.within("AV node delay in s", n.Delay, 0.02, 1)
	c.within("AV node decrement in s", n.Decrement, 0, 1)
	if n.Decrement > 0 {
		c.within("AV node time constant in s", n.Tau, 0.01, 2)
	}
	c.within("AV node refractory time in s", n.Refractory, 0.02, 2)
	c.within("AV node retrograde time in s", n.Retrograde, 0, 0.5)
	c.within("AV node concealment share", n.Conceal, 0, 1)
}

func (p *Pump) validate(c *check) {
	c.within("pump rest rate", p.RestRate, 20, 300)
	c.within("pump strength", p.Strength, 0, 2)
	c.within("systolic pressure in mmHg", p.Systolic, p.Diastolic+5, 300)
	c.within("diastolic pressure in mmHg", p.Diastolic, 5, 200)
	c.within("pulse transit time in s", p.Transit, 0.06, 0.6)
}

func (p *Pacer) validate(c *check) {
	c.within("pacer rate", p.Rate, 0, 220)
	c.within("pacer AV time in s", p.AV, 0, 0.4)
	c.counts("spikes that capture", p.Loss, 0)
	c.counts("spikes without capture", p.Lost, 0)
	c.counts("spikes between silences", p.Silence, 0)
	c.counts("spikes silenced", p.Silenced, 0)
}

func (f *Focus) validate(c *check) {
	c.within("site", float64(f.Site), float64(Atrium), float64(Ventricle))
	c.within("jitter share", f.Jitter, 0, 0.4)
	c.within("warm-up share", f.WarmUp, 0, 1)
	c.within("time to the atria in s", f.ToAtria, 0, 0.5)
	if f.Coupling == 0 || f.Run[1] > 1 {
		c.within("cycle in s", f.Cycle, 0.1, 30)
	}
	if f.Coupling != 0 {
		c.within("coupling in s", f.Coupling, 0.1, 3)
		c.counts("beats between bursts", f.Gap, 1)
		c.counts("beats in a burst", f.Run, 1)
	}
}
