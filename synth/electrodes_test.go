package synth_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"

	"telltrace/synth"
	"telltrace/synth/ecg"
)

// in renders ten seconds of sinus rhythm in leads, disturbed as asked, without noise that
// matters: the same patient, breath and beats each time.
func in(t *testing.T, age ecg.Age, change func(*ecg.Identity), leads ...ecg.Lead) ecg.Strip {
	t.Helper()
	id := ecg.Synthetic("sinus-rhythm", age, 5)
	id.Leads = leads
	if change != nil {
		change(&id)
	}
	s, _ := render(t, id, 10)
	return s
}

// The chest electrode gives the lead of the place where it sits: R grows from V1 to V5
// and S shrinks in the adult (R progression; standard texts, from memory), and on the
// back the lead is turned over.
func TestWhereTheChestElectrodeSits(t *testing.T) {
	t.Parallel()
	adult := ecg.Years(40)
	ratio := map[ecg.Lead]float64{} // R over R and S together
	qrs := map[ecg.Lead][]float64{} // of all beats
	for _, l := range []ecg.Lead{ecg.V1, ecg.V2, ecg.V3, ecg.V4, ecg.V5, ecg.V6, ecg.V8} {
		row, r, s := qrsOf(t, adult, l, 5)
		ratio[l], qrs[l] = r/(r+s), row
	}
	assert.Less(t, ratio[ecg.V1], ratio[ecg.V3])
	assert.Greater(t, ratio[ecg.V5], 0.7, "R above S on the left side")
	assert.Less(t, ratio[ecg.V1], 0.4, "S above R on the right side")
	assert.Less(t, stat.Correlation(qrs[ecg.V1], qrs[ecg.V8], nil), -0.5, "on the back it is turned over")
	newborn, _, _ := qrsOf(t, ecg.Days(10), ecg.V1, 5)
	behind, _, _ := qrsOf(t, ecg.Days(10), ecg.V8, 5)
	assert.Less(t, stat.Correlation(newborn, behind, nil), -0.5, "in the newborn too")
}

// R and S in V1, S in V2 and R in V6 of twenty people lie in their median between the
// outer centiles of Davignon 1980 (Pediatr Cardiol 1:123) and, for the adult, of common
// texts, in mV (all from memory): R in V1 tall in the newborn, S deep later on.
func TestChestLeadsByAge(t *testing.T) {
	t.Parallel()
	type span struct{ low, high float64 }
	for _, c := range []struct {
		age                ecg.Age
		rV1, sV1, sV2, rV6 span
	}{
		{ecg.Days(10), span{0.3, 2.1}, span{0, 1.1}, span{0.2, 2.7}, span{0.1, 1.65}},
		{ecg.Months(6), span{0.15, 2.0}, span{0.05, 1.8}, span{0.1, 2.6}, span{0.6, 2.25}},
		{ecg.Years(2), span{0.25, 1.7}, span{0.05, 2.1}, span{0.4, 3.0}, span{0.6, 2.25}},
		{ecg.Years(4), span{0.1, 1.8}, span{0.02, 2.1}, span{0.5, 3.2}, span{0.8, 2.45}},
		{ecg.Years(8), span{0.03, 1.3}, span{0.03, 2.5}, span{0.6, 3.5}, span{0.9, 2.55}},
		{ecg.Years(14), span{0, 1.0}, span{0.03, 2.2}, span{0.3, 3.3}, span{0.65, 2.3}},
		{ecg.Years(40), span{0, 0.7}, span{0.2, 2.4}, span{0.3, 2.9}, span{0.4, 2.1}},
	} {
		middle := func(l ecg.Lead) (r, s float64) {
			var rs, ss []float64
			for seed := range uint64(20) {
				_, r, s := qrsOf(t, c.age, l, seed+1)
				rs, ss = append(rs, r), append(ss, s)
			}
			return median(rs), median(ss)
		}
		rV1, sV1 := middle(ecg.V1)
		_, sV2 := middle(ecg.V2)
		rV6, _ := middle(ecg.V6)
		for name, got := range map[string]struct {
			mv float64
			in span
		}{"R in V1": {rV1, c.rV1}, "S in V1": {sV1, c.sV1}, "S in V2": {sV2, c.sV2}, "R in V6": {rV6, c.rV6}} {
			assert.GreaterOrEqual(t, got.mv, got.in.low, "%s: %s", c.age, name)
			assert.LessOrEqual(t, got.mv, got.in.high, "%s: %s", c.age, name)
		}
	}
}

// qrsOf is all QRS of a lead one after the other, and the mean height of R and depth of S,
// mV.
func qrsOf(t *testing.T, age ecg.Age, l ecg.Lead, seed uint64) (row []float64, r, s float64) {
	t.Helper()
	id := ecg.Synthetic("sinus-rhythm", age, seed)
	id.Leads = []ecg.Lead{ecg.II, l}
	strip, m := render(t, id, 10)
	for _, b := range m.Beats {
		part := strip.Row(l)[int(b.QRS.Onset*strip.Rate):int(b.QRS.Offset*strip.Rate)]
		r, s = r+max(slices.Max(part), 0), s+max(-slices.Min(part), 0)
		row = append(row, part...)
	}
	return row, r / float64(len(m.Beats)), s / float64(len(m.Beats))
}

// A loose limb electrode reaches the chest lead wherever its electrode sits, since the
// chest is measured against the three limbs (formula table common to monitor manuals,
// read); working the potentials out changes nothing by itself.
func TestDisturbedAtAnyPlace(t *testing.T) {
	t.Parallel()
	for _, v := range []ecg.Lead{ecg.V1, ecg.V2, ecg.V5, ecg.V6, ecg.V8} {
		leads := []ecg.Lead{ecg.I, ecg.II, ecg.III, v}
		clean := in(t, ecg.Years(6), nil, leads...)
		again := in(t, ecg.Years(6), func(id *ecg.Identity) { id.Artifact, id.From, id.To = "loose-electrode", 4, 9 }, leads...)
		touched := 0.0
		for row := range clean.MV {
			for i := range clean.MV[row] {
				if i < 2000 || i >= 4500 { // before and after
					assert.InDelta(t, clean.MV[row][i], again.MV[row][i], 1e-9, "%s", leads[row])
				} else if leads[row] == v {
					touched = max(touched, math.Abs(clean.MV[row][i]-again.MV[row][i]))
				}
			}
		}
		assert.Greater(t, touched, 0.05, "%s is made with every limb electrode", v)
	}
}

// Limb electrodes that move to the trunk but stay on their own side change each lead little
// and the beats not at all; the axis goes to the right, with less R in I and more in III
// (Kligfield 2007, AHA recommendations, part I, from memory: amplitudes and axis change,
// rhythm and intervals do not). On the wrong sides lead I is upside down.
func TestLimbElectrodesOnTheTrunk(t *testing.T) {
	t.Parallel()
	leads := []ecg.Lead{ecg.I, ecg.II, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF, ecg.V2}
	for _, age := range []ecg.Age{ecg.Days(10), ecg.Years(6), ecg.Years(40)} {
		limbs := in(t, age, nil, leads...)
		trunk := in(t, age, func(id *ecg.Identity) { id.Trunk = true }, leads...)
		moved := func(l ecg.Lead, a, b ecg.Strip) float64 { return stat.Correlation(a.Row(l), b.Row(l), nil) }
		for row, l := range leads {
			far := 0.0
			for i, v := range trunk.MV[row] {
				far = max(far, math.Abs(v-limbs.MV[row][i]))
			}
			assert.Less(t, far, 0.2*height(limbs.Row(ecg.II))+0.01, "%s: lead %s", age, l)
		}
		assert.Greater(t, moved(ecg.II, limbs, trunk), 0.99, "%s", age)
		assert.Greater(t, moved(ecg.V2, limbs, trunk), 0.99, "%s", age)
		i, iii := area(limbs.Row(ecg.I)), area(limbs.Row(ecg.III))
		turned := axis(area(trunk.Row(ecg.I)), area(trunk.Row(ecg.III))) - axis(i, iii)
		assert.Less(t, math.Abs(turned), 20.0, "%s: the axis", age)
		if age.Years() > 1 { // in the newborn it lies far to the right already
			assert.Greater(t, turned, 1.0, "%s: the axis", age)
		}

		wrong := in(t, age, func(id *ecg.Identity) { id.Trunk, id.Artifact, id.Place = true, "swapped-electrodes", "RA-LA" }, leads...)
		assert.InDelta(t, -1, moved(ecg.I, trunk, wrong), 1e-9, "%s: on the wrong sides", age)
	}
}

// area is the sum of a row about its middle one, mV.
func area(row []float64) float64 {
	level, sum := median(row), 0.0
	for _, v := range row {
		sum += v - level
	}
	return sum
}

// axis is the angle of the frontal plane (degrees) with given parts in leads I and III, by
// the equilateral triangle (Einthoven 1913).
func axis(i, iii float64) float64 {
	return math.Atan2(i+2*iii, math.Sqrt(3)*i) * 180 / math.Pi
}

func TestOneChestElectrode(t *testing.T) {
	t.Parallel()
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(6), 1)
	id.Leads = []ecg.Lead{ecg.V1, ecg.V5}
	_, err := synth.Open(id)
	assert.ErrorContains(t, err, "leads V1 and V5 at once need two chest electrodes; there is one")
}

// An electrode that is loose, or off, spoils exactly the leads that use it, and the
// reference all of them (formula table common to monitor manuals, read; the reference:
// AACN practice alert, read).
func TestABadElectrode(t *testing.T) {
	t.Parallel()
	leads := []ecg.Lead{ecg.I, ecg.II, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF, ecg.V5}
	for place, spoilt := range map[string][]ecg.Lead{
		"RA": {ecg.I, ecg.II, ecg.AVR, ecg.AVL, ecg.AVF, ecg.V5},
		"LA": {ecg.I, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF, ecg.V5},
		"LL": {ecg.II, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF, ecg.V5},
		"V":  {ecg.V5},
		"RL": leads,
	} {
		for _, age := range []ecg.Age{ecg.Days(10), ecg.Years(6), ecg.Years(40)} {
			clean := in(t, age, nil, leads...)
			for _, kind := range []string{"loose-electrode", "disconnected-lead"} {
				s := in(t, age, func(id *ecg.Identity) { id.Artifact, id.Place = kind, place }, leads...)
				for row, l := range leads {
					far := 0.0
					for i, v := range s.MV[row] {
						far = math.Max(far, math.Abs(v-clean.MV[row][i]))
					}
					if slices.Contains(spoilt, l) {
						assert.Greater(t, far, 0.05, "%s at %s, %s: lead %s", kind, place, age, l)
					} else {
						assert.Less(t, far, 1e-9, "%s at %s, %s: lead %s", kind, place, age, l)
					}
				}
				assert.Equal(t, clean.Witnesses, s.Witnesses, "the pulse goes on")
			}
		}
	}
}

func TestPlacesAreChecked(t *testing.T) {
	t.Parallel()
	id := ecg.Synthetic("sinus-rhythm", ecg.Years(6), 1)
	id.Artifact, id.Place = "loose-electrode", "XX"
	assert.EqualError(t, synth.Check(id), `loose-electrode at "XX": its places are RA, LL, RL, LA, V`)
	id.Artifact = "low-amplitude"
	assert.EqualError(t, synth.Check(id), `low-amplitude has no place: leave "XX" out`)
}
