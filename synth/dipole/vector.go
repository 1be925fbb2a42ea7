// Package dipole gives activations their shape: each adds a few Gaussians to a
// three-dimensional heart dipole (after McSharry et al. 2003 in one and Sameni et
// al. 2007 in three dimensions), seen by electrodes through published lead vectors.
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

// Electrodes are the potentials that the pipeline carries, in this order. The
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
// Base, the mean of the three limbs being zero.
var Potentials = [4][3]float64{
	{-1.0 / 3, -1.0 / 3, 0}, // RA
	{2.0 / 3, -1.0 / 3, 0},  // LA
	{-1.0 / 3, 2.0 / 3, 0},  // LL
	{0, 0, 1},               // V
}

// FromBase are the coefficients with which a lead adds the leads of Base. ok is
// false for a lead that cannot be made.
func FromBase(l ecg.Lead) (w [3]float64, ok bool) {
	of, ok := Weights(l)
	for i := range w {
		for e := range of {
			w[i] += of[e] * Potentials[e][i]
		}
		if whole := math.Round(2*w[i]) / 2; math.Abs(w[i]-whole) < 1e-12 {
			w[i] = whole // thirds that add up
		}
	}
	return w, ok
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

// Frontal is the dipole that shows magnitude mv (mV) along the given angle of the
// frontal plane (degrees: lead I is 0, II is 60, aVF is 90) in leads I and II, and
// front (mV) in V1.
func Frontal(mv, degrees, front float64) Vector {
	rad := degrees * math.Pi / 180
	i, ii := mv*math.Cos(rad), mv*math.Cos(rad-math.Pi/3)
	return solve(i, ii, front)
}

// solve finds the dipole whose leads I, II and V1 have the given values, by
// Cramer's rule.
func solve(i, ii, v1 float64) Vector {
	det := func(a, b, c Vector) float64 {
		return a.X*(b.Y*c.Z-b.Z*c.Y) - a.Y*(b.X*c.Z-b.Z*c.X) + a.Z*(b.X*c.Y-b.Y*c.X)
	}
	rhs := [3]float64{i, ii, v1}
	rows := [3]Vector{leadI, leadII, leadV1}
	put := func(axis int) float64 {
		m := rows
		for k := range m {
			switch axis {
			case 0:
				m[k].X = rhs[k]
			case 1:
				m[k].Y = rhs[k]
			case 2:
				m[k].Z = rhs[k]
			}
		}
		return det(m[0], m[1], m[2])
	}
	d := det(rows[0], rows[1], rows[2])
	return Vector{put(0) / d, put(1) / d, put(2) / d}
}

// Weights are the coefficients with which a lead adds the electrodes of
// Electrodes, in their order: I = LA-RA, II = LL-RA, III = LL-LA, the augmented
// leads against the mean of the other two, V1 against the mean of the three
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
	case ecg.V1:
		return [4]float64{-1.0 / 3, -1.0 / 3, -1.0 / 3, 1}, true
	default:
		return w, false
	}
}
