// Package dipole gives activations their shape: each adds a few Gaussians to a
// three-dimensional heart dipole (after McSharry et al. 2003 in one and Sameni et
// al. 2007 in three dimensions), seen in the leads of Base through published lead
// vectors; the potentials of the electrodes follow from those.
// Fibrillation, which has no activations, is a few drifting oscillators in the same
// dipole. Leads are differences of electrode potentials, so Einthoven's law holds.
package dipole

import (
	"math"

	"telltrace/synth/ecg"
)

// A Vector is a dipole in millivolts: X to the left, Y down, Z to the front.
type Vector struct{ X, Y, Z float64 }

// Add returns v + w.
func (v Vector) Add(w Vector) Vector { return Vector{v.X + w.X, v.Y + w.Y, v.Z + w.Z} }

// Scale returns v times s.
func (v Vector) Scale(s float64) Vector { return Vector{v.X * s, v.Y * s, v.Z * s} }

// Dot is the projection of the dipole on a lead or electrode vector.
func (v Vector) Dot(w Vector) float64 { return v.X*w.X + v.Y*w.Y + v.Z*w.Z }

// Lead vectors after Dower 1968 and 1980, by a public copy of the transform
// (seen second hand); the source counts Z to the back.
var (
	leadI  = Vector{0.632, -0.235, -0.059}
	leadII = Vector{0.235, 1.066, 0.132}
	leadV1 = Vector{-0.515, 0.157, 0.917}
)

// chest are the vectors of the leads that the fifth electrode makes, by where it sits:
// V1 to V6 as above. V8, on the back, is derived: it looks at the heart from where V2
// does not, farther away.
var chest = map[ecg.Lead]Vector{
	ecg.V1: leadV1,
	ecg.V2: {0.044, 0.164, 1.387},
	ecg.V3: {0.882, 0.098, 1.277},
	ecg.V4: {1.213, 0.127, 0.601},
	ecg.V5: {1.125, 0.127, 0.086},
	ecg.V6: {0.831, 0.076, -0.230},
	ecg.V8: {0.35, 0.12, -0.60},
}

// Electrodes are those whose potentials can be disturbed, in this order. The
// reference RL is their zero: with RA, LA and LL at equal distance their mean is
// zero, as a central terminal's is.
var Electrodes = []ecg.Electrode{ecg.RA, ecg.LA, ecg.LL, ecg.V}

// Base are the leads from which the potentials of all Electrodes follow: two of the
// frontal plane, and the chest electrode against the three limbs. What is drawn is
// drawn in these.
var Base = []ecg.Lead{ecg.I, ecg.II, ecg.V1}

// baseVectors are the lead vectors of Base.
var baseVectors = [3]Vector{leadI, leadII, leadV1}

// Potentials are the coefficients with which each of Electrodes adds the leads of
// Base, the mean of the three limbs being zero. at is where the chest electrode sits:
// V1 to V6, V8.
func Potentials(at ecg.Lead) [4][3]float64 {
	return [4][3]float64{
		{-1.0 / 3, -1.0 / 3, 0}, // RA
		{2.0 / 3, -1.0 / 3, 0},  // LA
		{-1.0 / 3, 2.0 / 3, 0},  // LL
		fromBase(chest[at]),     // V
	}
}

// OnTrunk is Potentials with the limb electrodes on the trunk, below the collar bones and at
// the left lower ribs, each on its own side. The trace changes little: the axis goes a
// little to the right, with less R in I and more in II and III (Kligfield 2007, AHA
// recommendations, part I, from memory; the shares are ours).
func OnTrunk(at ecg.Lead) [4][3]float64 {
	p := Potentials(at)
	for e, ofII := range [3]float64{-0.03, -0.12, 0.05} { // RA, LA, LL
		p[e][1] += ofII
	}
	return p
}

// fromBase are the coefficients with which a lead vector adds those of Base.
func fromBase(v Vector) (w [3]float64) {
	for i := range w {
		w[i] = v.Dot(dual[i])
		if whole := math.Round(w[i]); math.Abs(w[i]-whole) < 1e-12 {
			w[i] = whole
		}
	}
	return w
}

// Chest reports whether a lead is one of the chest electrode.
func Chest(l ecg.Lead) bool { _, ok := chest[l]; return ok }

// FromBase are the coefficients with which a lead adds the leads of Base. ok is
// false for a lead that cannot be made.
func FromBase(l ecg.Lead) (w [3]float64, ok bool) {
	if v, ok := chest[l]; ok {
		return fromBase(v), true
	}
	of, ok := Weights(l)
	for i, potentials := 0, Potentials(ecg.V1); i < len(w); i++ {
		for e := range of {
			w[i] += of[e] * potentials[e][i]
		}
		if whole := math.Round(2*w[i]) / 2; math.Abs(w[i]-whole) < 1e-12 {
			w[i] = whole // thirds that add up
		}
	}
	return w, ok
}

// Frontal is the dipole that shows magnitude mv (mV) along the given angle of the
// frontal plane (degrees: lead I is 0, II is 60, aVF is 90) in leads I and II, and
// front (mV) in V1.
func Frontal(mv, degrees, front float64) Vector {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return solve(mv*cos, mv*(0.5*cos+0.5*math.Sqrt(3)*sin), front)
}

// solve finds the dipole whose leads I, II and V1 have the given values.
func solve(i, ii, v1 float64) Vector {
	return dual[0].Scale(i).Add(dual[1].Scale(ii)).Add(dual[2].Scale(v1))
}

// dual are the dipoles that show 1 mV in one lead of Base and nothing in the others.
var dual = func() (d [3]Vector) {
	for k := range d {
		d[k] = baseVectors[(k+1)%3].cross(baseVectors[(k+2)%3])
		d[k] = d[k].Scale(1 / d[k].Dot(baseVectors[k]))
	}
	return d
}()

func (v Vector) cross(w Vector) Vector {
	return Vector{v.Y*w.Z - v.Z*w.Y, v.Z*w.X - v.X*w.Z, v.X*w.Y - v.Y*w.X}
}

// turnedLeads are the lead vectors through which Base sees a heart whose axis is
// turned by an angle of the given sine, less than a right one, in the frontal plane
// and whose height is the given share: turning the leads once is less work than
// turning every wave.
func turnedLeads(sin, share float64) [3]Vector {
	const root3 = 1.7320508075688772
	s, c := sin*(share/root3), math.Sqrt(1-sin*sin)*share // of the equilateral triangle: x is I, y is (2 II - I) / sqrt 3
	return [3]Vector{
		leadI.Scale(c + s).Add(leadII.Scale(-2 * s)),
		leadI.Scale(2 * s).Add(leadII.Scale(c - s)),
		leadV1.Scale(share),
	}
}

// Weights are the coefficients with which a lead adds the electrodes of
// Electrodes, in their order: I = LA-RA, II = LL-RA, III = LL-LA, the augmented
// leads against the mean of the other two, a chest lead against the mean of the three
// (formula table common to monitor manuals). ok is false for a lead these
// electrodes cannot give.
func Weights(l ecg.Lead) (w [4]float64, ok bool) {
	switch l {
	case ecg.I:
		return [4]float64{-1, 1, 0, 0}, true
	case ecg.II:
		return [4]float64{-1, 0, 1, 0}, true
	case ecg.III:
		return [4]float64{0, -1, 1, 0}, true
	case ecg.AVR:
		return [4]float64{1, -0.5, -0.5, 0}, true
	case ecg.AVL:
		return [4]float64{-0.5, 1, -0.5, 0}, true
	case ecg.AVF:
		return [4]float64{-0.5, -0.5, 1, 0}, true
	default:
		return [4]float64{-1.0 / 3, -1.0 / 3, -1.0 / 3, 1}, Chest(l)
	}
}
