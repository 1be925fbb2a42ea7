package dipole

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"telltrace/synth/ecg"
)

var sevenLeads = []ecg.Lead{ecg.I, ecg.II, ecg.III, ecg.AVR, ecg.AVL, ecg.AVF, ecg.V1}

// record is what the wires of a recorder show as leads; potentials in the order of
// Electrodes.
func record(potentials [4]float64) map[ecg.Lead]float64 {
	out := map[ecg.Lead]float64{}
	for _, l := range sevenLeads {
		w, _ := Weights(l)
		for i, p := range potentials {
			out[l] += w[i] * p
		}
	}
	return out
}

// seenBy is the vector through which an electrode sees the dipole; from leads I and
// II by RA = -(I+II)/3, LA = RA+I, LL = RA+II.
func seenBy(e ecg.Electrode) Vector {
	ra := leadI.Add(leadII).Scale(-1.0 / 3)
	switch e {
	case ecg.RA:
		return ra
	case ecg.LA:
		return ra.Add(leadI)
	case ecg.LL:
		return ra.Add(leadII)
	case ecg.V:
		return leadV1
	default:
		return Vector{}
	}
}

func potentials(rng *rand.Rand) (p [4]float64) {
	for i := range p {
		p[i] = 4*rng.Float64() - 2
	}
	return p
}

// The formula table common to monitor manuals (read): I = LA-RA and so on.
func TestWeightsAreTheFormulas(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 0))
	for range 50 {
		p := potentials(rng)
		ra, la, ll, v := p[0], p[1], p[2], p[3]
		for lead, want := range map[ecg.Lead]float64{
			ecg.I: la - ra, ecg.II: ll - ra, ecg.III: ll - la,
			ecg.AVR: ra - (la+ll)/2, ecg.AVL: la - (ra+ll)/2, ecg.AVF: ll - (ra+la)/2,
			ecg.V1: v - (ra+la+ll)/3,
		} {
			assert.InDelta(t, want, record(p)[lead], 1e-12, lead)
		}
		r := record(p)
		assert.InDelta(t, r[ecg.II], r[ecg.I]+r[ecg.III], 1e-12, "Einthoven")
		assert.InDelta(t, 0, r[ecg.AVR]+r[ecg.AVL]+r[ecg.AVF], 1e-12, "the augmented leads sum to zero")
		assert.InDelta(t, -(r[ecg.I]+r[ecg.II])/2, r[ecg.AVR], 1e-12)
		assert.InDelta(t, (r[ecg.I]-r[ecg.III])/2, r[ecg.AVL], 1e-12)
		assert.InDelta(t, (r[ecg.II]+r[ecg.III])/2, r[ecg.AVF], 1e-12)
	}
	_, ok := Weights("V7")
	assert.False(t, ok, "there is no vector for V7")
	for l := range chest {
		w, ok := Weights(l)
		assert.True(t, ok)
		assert.Equal(t, [4]float64{-1.0 / 3, -1.0 / 3, -1.0 / 3, 1}, w, "against the mean of the limbs")
		got := Vector{}
		of, _ := FromBase(l)
		for i, v := range baseVectors {
			got = got.Add(v.Scale(of[i]))
		}
		assert.InDelta(t, 0, got.Add(chest[l].Scale(-1)).Dot(got.Add(chest[l].Scale(-1))), 1e-18, "%s of the base", l)
	}
}

// The electrode-exchange table: what each lead records when wires are exchanged, RL
// at the potential of LL. RA-LA agrees with Sensors 2019;19:2920, LA-LL with a
// printed figure, the low lead II of RA-RL with Sensors 2019; the rest is the
// algebra of the formulas (derived).
func TestElectrodeExchange(t *testing.T) {
	type row map[ecg.Lead]float64
	const ra, la, ll = 0, 1, 2 // RL stands at LL's potential
	for _, tt := range []struct {
		name string
		at   [3]int // the site of the wires RA, LA, LL
		want func(o map[ecg.Lead]float64) row
	}{
		{"as it should be", [3]int{ra, la, ll}, func(o map[ecg.Lead]float64) row { return o }},
		{"RA-LA", [3]int{la, ra, ll}, func(o map[ecg.Lead]float64) row {
			return row{ecg.I: -o[ecg.I], ecg.II: o[ecg.III], ecg.III: o[ecg.II], ecg.AVR: o[ecg.AVL], ecg.AVL: o[ecg.AVR], ecg.AVF: o[ecg.AVF]}
		}},
		{"LA-LL", [3]int{ra, ll, la}, func(o map[ecg.Lead]float64) row {
			return row{ecg.I: o[ecg.II], ecg.II: o[ecg.I], ecg.III: -o[ecg.III], ecg.AVR: o[ecg.AVR], ecg.AVL: o[ecg.AVF], ecg.AVF: o[ecg.AVL]}
		}},
		{"RA-LL", [3]int{ll, la, ra}, func(o map[ecg.Lead]float64) row {
			return row{ecg.I: -o[ecg.III], ecg.II: -o[ecg.II], ecg.III: -o[ecg.I], ecg.AVR: o[ecg.AVF], ecg.AVL: o[ecg.AVL], ecg.AVF: o[ecg.AVR]}
		}},
		{"RA-RL", [3]int{ll, la, ll}, func(o map[ecg.Lead]float64) row {
			return row{ecg.I: -o[ecg.III], ecg.II: 0, ecg.III: o[ecg.III], ecg.AVR: o[ecg.III] / 2, ecg.AVL: -o[ecg.III], ecg.AVF: o[ecg.III] / 2}
		}},
		{"LA-RL", [3]int{ra, ll, ll}, func(o map[ecg.Lead]float64) row {
			return row{ecg.I: o[ecg.II], ecg.II: o[ecg.II], ecg.III: 0, ecg.AVR: -o[ecg.II], ecg.AVL: o[ecg.II] / 2, ecg.AVF: o[ecg.II] / 2}
		}},
		{"LL-RL", [3]int{ra, la, ll}, func(o map[ecg.Lead]float64) row { return o }},
		{"both arms with both legs", [3]int{ll, ll, la}, func(o map[ecg.Lead]float64) row {
			return row{ecg.I: 0, ecg.II: -o[ecg.III], ecg.III: -o[ecg.III], ecg.AVR: o[ecg.III] / 2, ecg.AVL: o[ecg.III] / 2, ecg.AVF: -o[ecg.III]}
		}},
		{"R on LA, L on LL, F on RA", [3]int{la, ll, ra}, func(o map[ecg.Lead]float64) row {
			return row{ecg.I: o[ecg.III], ecg.II: -o[ecg.I], ecg.III: -o[ecg.II], ecg.AVR: o[ecg.AVL], ecg.AVL: o[ecg.AVF], ecg.AVF: o[ecg.AVR]}
		}},
		{"R on LL, L on RA, F on LA", [3]int{ll, ra, la}, func(o map[ecg.Lead]float64) row {
			return row{ecg.I: -o[ecg.II], ecg.II: -o[ecg.III], ecg.III: o[ecg.I], ecg.AVR: o[ecg.AVF], ecg.AVL: o[ecg.AVR], ecg.AVF: o[ecg.AVL]}
		}},
	} {
		rng := rand.New(rand.NewPCG(2, 0))
		for range 20 {
			p := potentials(rng)
			right := record(p)
			wired := record([4]float64{p[tt.at[0]], p[tt.at[1]], p[tt.at[2]], p[3]})
			for lead, want := range tt.want(right) {
				if lead != ecg.V1 {
					assert.InDelta(t, want, wired[lead], 1e-12, "%s: lead %s", tt.name, lead)
				}
			}
			if tt.at[0]+tt.at[1]+tt.at[2] == 3 && tt.at[0] != tt.at[1] && tt.at[1] != tt.at[2] {
				assert.InDelta(t, right[ecg.V1], wired[ecg.V1], 1e-12, "%s: V keeps its reference", tt.name)
			}
		}
	}
}

// Lead vectors of Dower 1968 and 1980 (public code, read second-hand), Z turned to
// the front.
func TestLeadVectors(t *testing.T) {
	for lead, want := range map[ecg.Lead]Vector{
		ecg.I: {0.632, -0.235, -0.059}, ecg.II: {0.235, 1.066, 0.132}, ecg.III: {-0.397, 1.301, 0.191},
		ecg.AVR: {-0.434, -0.415, -0.037}, ecg.AVL: {0.515, -0.768, -0.125}, ecg.AVF: {-0.081, 1.184, 0.162},
		ecg.V1: {-0.515, 0.157, 0.917},
	} {
		w, ok := Weights(lead)
		require.True(t, ok)
		var got Vector
		for i, e := range Electrodes {
			got = got.Add(seenBy(e).Scale(w[i]))
		}
		assert.InDelta(t, want.X, got.X, 0.001, lead) // the table is printed to three places
		assert.InDelta(t, want.Y, got.Y, 0.001, lead)
		assert.InDelta(t, want.Z, got.Z, 0.001, lead)
	}
	sum := seenBy(ecg.RA).Add(seenBy(ecg.LA)).Add(seenBy(ecg.LL))
	assert.InDelta(t, 0, math.Sqrt(sum.Dot(sum)), 1e-12, "the central terminal is zero")
	assert.Equal(t, Vector{}, seenBy(ecg.RL))
}

// seen is what a lead shows of a dipole.
func seen(v Vector, lead ecg.Lead) float64 {
	var p [4]float64
	for i, e := range Electrodes {
		p[i] = v.Dot(seenBy(e))
	}
	return record(p)[lead]
}

// A frontal vector shows in each limb lead as its projection on the lead's axis of
// the equilateral triangle (Einthoven 1913): I at 0, II at 60, III at 120 degrees;
// the augmented ones at 0.87 of theirs.
func TestFrontal(t *testing.T) {
	for degrees := -180.0; degrees <= 180; degrees += 15 {
		for _, front := range []float64{-0.9, 0, 0.6} {
			v := Frontal(1.4, degrees, front)
			for lead, axis := range map[ecg.Lead]float64{ecg.I: 0, ecg.II: 60, ecg.III: 120} {
				want := 1.4 * math.Cos((degrees-axis)*math.Pi/180)
				assert.InDelta(t, want, seen(v, lead), 1e-9, "%s at %g", lead, degrees)
			}
			for lead, axis := range map[ecg.Lead]float64{ecg.AVR: -150, ecg.AVL: -30, ecg.AVF: 90} {
				want := 1.4 * math.Sqrt(3) / 2 * math.Cos((degrees-axis)*math.Pi/180)
				assert.InDelta(t, want, seen(v, lead), 1e-9, "%s at %g", lead, degrees)
			}
			assert.InDelta(t, front, seen(v, ecg.V1), 1e-9)
		}
	}
}

// Turning the axis changes the angle and nothing else.
func TestRotate(t *testing.T) {
	for _, by := range []float64{-90, -2.5, 0, 1, 40, 180} {
		for _, degrees := range []float64{-60, 0, 55, 130} {
			got, want := rotate(Frontal(1.2, degrees, -0.4), by), Frontal(1.2, degrees+by, -0.4)
			name := fmt.Sprintf("%g turned by %g", degrees, by)
			assert.InDelta(t, want.X, got.X, 1e-9, name)
			assert.InDelta(t, want.Y, got.Y, 1e-9, name)
			assert.InDelta(t, want.Z, got.Z, 1e-9, name)
		}
	}
}

// A wave seen through turned leads is the turned wave seen through the leads.
func TestTurnedLeads(t *testing.T) {
	v := Frontal(1.2, 35, -0.4)
	for _, degrees := range []float64{-40, 0, 2.5, 90} {
		turned := Frontal(1.2, 35+degrees, -0.4).Scale(1.1)
		for row, lead := range turnedLeads(math.Sin(degrees*math.Pi/180), 1.1) {
			assert.InDelta(t, turned.Dot(baseVectors[row]), v.Dot(lead), 1e-12, "%s by %g", Base[row], degrees)
		}
	}
}

// rotate turns v by the given degrees in the frontal plane, keeping V1's front.
func rotate(v Vector, degrees float64) Vector {
	if degrees == 0 {
		return v
	}
	i, ii, v1 := v.Dot(leadI), v.Dot(leadII), v.Dot(leadV1)
	// Cartesian frontal plane of the equilateral triangle: x along I, y along aVF.
	x, y := i, (2*ii-i)/math.Sqrt(3)
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	x, y = x*cos-y*sin, x*sin+y*cos
	return solve(x, x/2+y*math.Sqrt(3)/2, v1)
}
