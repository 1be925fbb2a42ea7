package heart

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Impossible hearts are refused by the parameter's name, with what is allowed; none
// is bent silently into one that can be.
func TestValidateRefuses(t *testing.T) {
	focus := func(change func(*Focus)) func(*Params) {
		return func(p *Params) {
			f := Focus{Site: Ventricle, Coupling: 0.5, Gap: [2]int{2, 4}, Run: [2]int{1, 2}, Cycle: 0.4}
			change(&f)
			p.Foci = []Focus{{Site: Junction, Cycle: 1.5, Escape: true}, f}
		}
	}
	for _, tt := range []struct {
		name   string
		change func(*Params)
		says   string
	}{
		{"negative rate", func(p *Params) { p.Sinus.Rate = -1 }, "sinus rate is -1; allowed is 0 to 350"},
		{"rate too high", func(p *Params) { p.Sinus.Rate = 351 }, "sinus rate is 351; allowed is 0 to 350"},
		{"rate not a number", func(p *Params) { p.Sinus.Rate = math.NaN() }, "sinus rate is NaN; allowed is 0 to 350"},
		{"rate endless", func(p *Params) { p.Sinus.Rate = math.Inf(1) }, "sinus rate is +Inf"},
		{"PR longer than RR", func(p *Params) { p.Node.Delay = 0.9 }, "AV node delay against the RR interval in s is 0.9; allowed is 0.02 to 0.8"},
		{"PR longer than RR with a focus", func(p *Params) {
			focus(func(*Focus) {})(p)
			p.Node.Delay = 0.9
		}, "AV node delay against the RR interval in s is 0.9; allowed is 0.02 to 0.8"},
		{"PR longer than RR by AtRate", func(p *Params) { p.Node = p.Node.AtRate(0.9, 75) }, "AV node delay in s"},
		{"node too quick", func(p *Params) { p.Node.Delay = 0.01 }, "AV node delay in s is 0.01; allowed is 0.02 to 1"},
		{"negative decrement", func(p *Params) { p.Node.Decrement = -0.1 }, "AV node decrement in s is -0.1; allowed is 0 to 1"},
		{"decrement without time constant", func(p *Params) { p.Node.Tau = 0 }, "AV node time constant in s is 0; allowed is 0.01 to 2"},
		{"node never recovers", func(p *Params) { p.Node.Refractory = 2.5 }, "AV node refractory time in s is 2.5; allowed is 0.02 to 2"},
		{"slow upwards", func(p *Params) { p.Node.Retrograde = 0.6 }, "AV node retrograde time in s is 0.6; allowed is 0 to 0.5"},
		{"atria", func(p *Params) { p.Atria = 0 }, "atrial refractory time in s is 0; allowed is 0.05 to 0.5"},
		{"breaths", func(p *Params) { p.Breaths = 0 }, "breaths is 0; allowed is 2 to 120"},
		{"RSA", func(p *Params) { p.Sinus.RSA = 0.6 }, "sinus RSA share is 0.6; allowed is 0 to 0.5"},
		{"tide", func(p *Params) { p.Sinus.Tide = -0.1 }, "sinus tide share is -0.1; allowed is 0 to 0.5"},
		{"jitter", func(p *Params) { p.Sinus.Jitter = 0.3 }, "sinus jitter share is 0.3; allowed is 0 to 0.2"},
		{"QTc", func(p *Params) { p.Ventricles.QTc = 1 }, "QTc in s is 1; allowed is 0.2 to 0.8"},
		{"rest rate", func(p *Params) { p.Pump.RestRate = 0 }, "pump rest rate is 0; allowed is 20 to 300"},
		{"negative strength", func(p *Params) { p.Pump.Strength = -1 }, "pump strength is -1; allowed is 0 to 2"},
		{"pressures crossed", func(p *Params) { p.Pump.Systolic = 60 }, "systolic pressure in mmHg is 60; allowed is 75 to 300"},
		{"no diastolic pressure", func(p *Params) { p.Pump.Diastolic = 0 }, "diastolic pressure in mmHg is 0; allowed is 5 to 200"},
		{"pulse before the beat", func(p *Params) { p.Pump.Transit = 0 }, "pulse transit time in s is 0; allowed is 0.06 to 0.6"},
		{"focus cycle", focus(func(f *Focus) { f.Cycle = 0 }), "focus 2 (ventricle) cycle in s is 0; allowed is 0.1 to 30"},
		{"focus coupling", focus(func(f *Focus) { f.Coupling = -0.5 }), "focus 2 (ventricle) coupling in s is -0.5; allowed is 0.1 to 3"},
		{"focus jitter", focus(func(f *Focus) { f.Jitter = 1 }), "focus 2 (ventricle) jitter share is 1; allowed is 0 to 0.4"},
		{"no gap", focus(func(f *Focus) { f.Gap = [2]int{} }), "focus 2 (ventricle) fewest beats between bursts is 0; allowed is 1 to 10000"},
		{"gap turned round", focus(func(f *Focus) { f.Gap = [2]int{4, 2} }), "focus 2 (ventricle) most beats between bursts is 2; allowed is 4 to 10000"},
		{"no run", focus(func(f *Focus) { f.Run = [2]int{} }), "focus 2 (ventricle) fewest beats in a burst is 0; allowed is 1 to 10000"},
		{"run turned round", focus(func(f *Focus) { f.Run = [2]int{3, 1} }), "focus 2 (ventricle) most beats in a burst is 1; allowed is 3 to 10000"},
		{"upwards in no time", func(p *Params) { p.Foci = []Focus{{Site: Junction, Cycle: 0.3, ToAtria: -0.1}} }, "focus 1 (junction) time to the atria in s is -0.1; allowed is 0 to 0.5"},
		{"places", func(p *Params) { p.Sinus.Shapes = 12 }, "sinus places is 12; allowed is 0 to 9"},
		{"chance above one", func(p *Params) { p.Sinus.Stay = 1.5 }, "sinus chance to stay is 1.5; allowed is 0 to 1"},
		{"pause of no length", func(p *Params) { p.Sinus.Gap = [2]int{5, 9} }, "sinus pause in s is 0; allowed is 0.2 to 20"},
		{"pauses turned round", func(p *Params) { p.Sinus.Gap = [2]int{9, 5} }, "most beats between sinus pauses is 5; allowed is 9 to 10000"},
		{"concealment", func(p *Params) { p.Node.Conceal = 2 }, "AV node concealment share is 2; allowed is 0 to 1"},
		{"fibrillating atria", func(p *Params) { p.Quiver = 50 }, "atrial fibrillation impulses per s is 50; allowed is 0 to 20"},
		{"accessory path", func(p *Params) { p.Path.Delay = -0.1 }, "accessory path delay in s is -0.1; allowed is 0 to 0.3"},
		{"bundle", func(p *Params) { p.Bundles.Tired = 1.2 }, "bundle refractory share is 1.2; allowed is 0 to 1"},
		{"pacer too fast", func(p *Params) { p.Pacer.Rate = 300 }, "pacer rate is 300; allowed is 0 to 220"},
		{"pacer AV time", func(p *Params) { p.Pacer.AV = 0.5 }, "pacer AV time in s is 0.5; allowed is 0 to 0.4"},
		{"warm-up", focus(func(f *Focus) { f.WarmUp = -1 }), "focus 2 (ventricle) warm-up share is -1; allowed is 0 to 1"},
		{"no such site", focus(func(f *Focus) { f.Site = 7 }), "focus 2 (unknown site) site is 7; allowed is 0 to 2"},
	} {
		p := steady()
		tt.change(&p)
		err := p.Validate()
		if assert.Error(t, err, tt.name) {
			assert.Contains(t, err.Error(), "heart: "+tt.says, tt.name)
		}
		_, err = New(p, 0, rand.New(rand.NewPCG(1, 0)))
		assert.Error(t, err, "%s: New refuses what Validate refuses", tt.name)
	}
	require.NoError(t, steady().Validate())
	silent := steady()
	silent.Sinus.Rate = 0
	silent.Node.Delay = 0.9
	assert.NoError(t, silent.Validate(), "a silent node has no RR that PR could exceed")
}
