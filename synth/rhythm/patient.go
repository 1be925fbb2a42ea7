package rhythm

import (
	"math"
	"math/rand/v2"

	"telltrace/synth/dipole"
	"telltrace/synth/ecg"
	"telltrace/synth/heart"
	"telltrace/synth/norms"
)

// A Patient is an invented body of a given age: what stays the same whatever its
// heart does. Two patients of one age differ as the published tables say they do.
type Patient struct {
	Age      ecg.Age
	RestRate float64 // beats/min
	Breaths  float64 // breaths/min
	Systolic float64 // mmHg, at rest
	PR       float64 // s, at RestRate
	QRS      float64 // s, conducted beats
	QTc      float64 // s, after Bazett
	Axis     float64 // degrees, QRS in the frontal plane
	PWave    float64 // s
}

// NewPatient draws a patient.
func NewPatient(age ecg.Age, rng *rand.Rand) Patient {
	draw := func(s norms.Spread, reach float64) float64 {
		z := truncatedNormal(rng, reach)
		if z < 0 {
			return s.Median + z*(s.Median-s.Low)/percentile98
		}
		return s.Median + z*(s.High-s.Median)/percentile98
	}
	// Between the 2nd and the 98th percentile, and so far inside what any table accepts
	// that measuring does not decide: it errs upwards, as waves seem longer than they are.
	interval := func(n norms.Norm, guard float64) float64 {
		return clamp(draw(n.Aim, percentile98), n.Accept.Low+guard/2, n.Accept.High-guard)
	}
	return Patient{
		Age:      age,
		RestRate: draw(inside(norms.HeartRate(age).Aim, rateGuard), percentile98),
		Breaths:  draw(norms.RespiratoryRate(age).Aim, 1.2),
		Systolic: draw(norms.Systolic(age).Aim, 1.4),
		PR:       interval(norms.PR(age), 0.008),
		QRS:      min(interval(norms.QRS(age), 0.004), norms.WideQRS(age).High-0.010),
		QTc:      interval(norms.QTcBazett(age), 0.018),
		Axis:     draw(norms.QRSAxis(age).Aim, 1.0),
		PWave:    norms.PWave(age).Aim.Median,
	}
}

// percentile98 is how many standard deviations lie between the median and the 98th
// percentile.
const percentile98 = 2.054

// rateGuard is the share of a rate limit that marked strips keep away from it, so
// that no answer hangs on a beat a minute.
const rateGuard = 0.10

// inside is a range of rates with the guard taken off both ends.
func inside(s norms.Spread, guard float64) norms.Spread {
	s.Low, s.High = s.Low*(1+guard), s.High*(1-guard)
	s.Median = math.Min(math.Max(s.Median, s.Low), s.High)
	return s
}

// truncatedNormal draws from a normal distribution cut at reach standard deviations.
func truncatedNormal(rng *rand.Rand, reach float64) float64 {
	for {
		if z := rng.NormFloat64(); math.Abs(z) <= reach {
			return z
		}
	}
}

// A Setup is everything the one model needs: the heart and its shapes.
type Setup struct {
	Heart  heart.Params
	Dipole dipole.Params
	Noise  float64 // of the skin, as a share of the usual
	Dial   float64 // how subtle it is to be, 0 plain to 1 subtle
}

// toward moves a value that was drawn for a plain strip to where it is hardest to tell,
// as far as the dial says: at the subtle end almost all the way. hardest must lie inside
// the published range, a guard band away from its limit.
func (s *Setup) toward(drawn, hardest float64) float64 {
	return drawn + 0.85*s.Dial*(hardest-drawn)
}

// rarer lengthens the stretch of usual beats, at least fewest and at most most of them,
// between two of the others; at the subtle end by more than half.
func (s *Setup) rarer(fewest, most int) [2]int {
	return [2]int{fewest + int(math.Round(0.5*s.Dial*float64(fewest))), most + int(math.Round(0.6*s.Dial*float64(most)))}
}

// Resting is the patient in sinus rhythm at rest; every rhythm starts from it and
// changes what is different.
func (p Patient) Resting() Setup {
	amplitude := byAge(p.Age, 1.05, 1.25, 1.35, 1.15)
	tShare := byAge(p.Age, 0.17, 0.22, 0.27, 0.27)  // T is low in the first weeks (from memory)
	front := byAge(p.Age, 0.80, 0.40, -0.15, -0.60) // R in V1 is tall in the newborn, S deep in the adult
	node := heart.Node{Refractory: 0.36 * 60 / p.RestRate, Decrement: 0.03, Tau: 0.10, Retrograde: 0}
	return Setup{
		Heart: heart.Params{
			Breaths:    p.Breaths,
			Sinus:      heart.Sinus{Rate: p.RestRate, RSA: byAge(p.Age, 0.015, 0.03, 0.05, 0.025), Tide: 0.015, Jitter: 0.004},
			Atria:      math.Min(0.30*60/p.RestRate, 0.35),
			Node:       node.AtRate(p.PR, p.RestRate),
			Ventricles: heart.Ventricles{QTc: p.QTc},
			Pump: heart.Pump{
				RestRate: p.RestRate, Strength: 1,
				Systolic: p.Systolic, Diastolic: 0.60 * p.Systolic,
				Transit: byAge(p.Age, 0.15, 0.17, 0.20, 0.245),
			},
		},
		Dipole: dipole.Params{
			P:        dipole.Wave{MV: byAge(p.Age, 0.15, 0.15, 0.14, 0.13), Degrees: 55, Front: 0.04, Duration: p.PWave},
			Block:    math.Max(p.QRS*1.5, norms.WideQRS(p.Age).High*1.22),
			P2:       dipole.Wave{MV: 0.10, Degrees: -100, Front: 0.03, Duration: p.PWave * 0.8},
			QRS:      dipole.Wave{MV: amplitude, Degrees: p.Axis, Front: front, Duration: p.QRS},
			Early:    byAge(p.Age, 0.45, 0.40, 0.40, 0.30),
			Late:     byAge(p.Age, -0.45, -0.50, -0.80, -0.60), // the base of the left ventricle comes last, and lies at the back
			T:        dipole.Wave{MV: tShare * amplitude, Degrees: tAxis(p.Axis), Front: byAge(p.Age, -0.15, -0.25, -0.22, 0.08)},
			AxisSway: 2.5,
			Swell:    0.03,
		},
	}
}

// tAxis keeps the T wave upright in lead II: it follows the QRS axis only in part.
func tAxis(qrs float64) float64 { return 50 + 0.25*(qrs-60) }

// byAge interpolates between a newborn, a one-year-old, an eight-year-old and an
// adult on the logarithm of age.
func byAge(age ecg.Age, newborn, one, eight, adult float64) float64 {
	at := []float64{7, ecg.DaysPerYear, 8 * ecg.DaysPerYear, 20 * ecg.DaysPerYear}
	value := []float64{newborn, one, eight, adult}
	d := math.Max(age.Days(), 1)
	for i := 1; i < len(at); i++ {
		if d < at[i] || i == len(at)-1 {
			share := (math.Log(d) - math.Log(at[i-1])) / (math.Log(at[i]) - math.Log(at[i-1]))
			share = math.Min(math.Max(share, 0), 1)
			return value[i-1] + share*(value[i]-value[i-1])
		}
	}
	return adult
}

func uniform(rng *rand.Rand, low, high float64) float64 { return low + (high-low)*rng.Float64() }

func clamp(x, low, high float64) float64 { return math.Min(math.Max(x, low), high) }

func sqrt(x float64) float64 { return math.Sqrt(x) }
