package dipole

import (
	"math"

	"telltrace/synth/ecg"
	"telltrace/synth/heart"
)

// edge is how many standard deviations from its centre a Gaussian still counts as
// part of its wave: there it has fallen to 5 % of its height, about where readers
// set the boundary.
const edge = 2.45

// A Wave is a vector with a duration.
type Wave struct {
	MV       float64 // magnitude in the frontal plane, mV
	Degrees  float64 // frontal angle
	Front    float64 // mV in V1
	Duration float64 // s, onset to offset
}

func (w Wave) vector() Vector { return Frontal(w.MV, w.Degrees, w.Front) }

// Params are the shapes of one heart.
type Params struct {
	P          Wave
	P2         Wave    // atria activated from below
	QRS        Wave    // conducted beats
	T          Wave    // Duration is not used: T ends where QT ends
	Ectopic    []Wave  // by focus index; foci above the ventricles use QRS
	AxisSway   float64 // degrees by which breathing turns the axis to either side
	Swell      float64 // share by which breathing changes the height
	Fibrillate Fibrillation
}

// A gaussian is one bump: amplitude vector, centre relative to the onset of the
// activation, standard deviation (s).
type gaussian struct {
	amp        Vector
	centre, sd float64
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

// pWave: right then left atrium, two overlapping bumps.
func pWave(w Wave, dst []gaussian) []gaussian {
	d, v := w.Duration, w.vector()
	sd := d * 0.150
	return append(dst,
		gaussian{v.Scale(0.72), edge * sd, sd},
		gaussian{v.Scale(0.72), d - edge*sd, sd})
}

func pSpan(w Wave, at float64) ecg.Span {
	return ecg.Span{Onset: at, Peak: at + w.Duration/2, Offset: at + w.Duration}
}

// narrow is a QRS spread by the bundle branches: a small initial vector from the
// septum (right, up and to the front), the main vector, a terminal one.
func narrow(w Wave, dst []gaussian) []gaussian {
	d, main := w.Duration, w.vector()
	q := Frontal(w.MV*0.10, w.Degrees+160, math.Abs(w.Front)*0.25+0.05)
	s := Frontal(w.MV*0.16, w.Degrees-150, -w.Front*0.35-0.05)
	return append(dst,
		gaussian{q, 0.22 * d, 0.090 * d},
		gaussian{main, 0.48 * d, 0.115 * d},
		gaussian{s, 0.75 * d, 0.100 * d})
}

func narrowSpan(w Wave, at float64) ecg.Span {
	return ecg.Span{Onset: at, Peak: at + 0.48*w.Duration, Offset: at + w.Duration}
}

// wide is a QRS spread from muscle to muscle: slow to rise, notched, slow to end.
func wide(w Wave, dst []gaussian) []gaussian {
	d, main := w.Duration, w.vector()
	turn := Frontal(w.MV*0.45, w.Degrees+35, w.Front*0.6)
	end := Frontal(w.MV*0.30, w.Degrees-140, -w.Front*0.4)
	return append(dst,
		gaussian{main.Scale(0.9), 0.40 * d, 0.160 * d},
		gaussian{turn, 0.60 * d, 0.120 * d},
		gaussian{end, 0.78 * d, 0.090 * d})
}

func wideSpan(w Wave, at float64) ecg.Span {
	return ecg.Span{Onset: at, Peak: at + 0.42*w.Duration, Offset: at + w.Duration}
}

// tWave rises slowly and falls fast; its offset is QT after QRS onset.
func tWave(v Vector, qt float64, dst []gaussian) []gaussian {
	late, early := 0.070*qt, 0.095*qt
	peak := qt - edge*late
	return append(dst,
		gaussian{v.Scale(0.80), peak, late},
		gaussian{v.Scale(0.35), peak - 0.10*qt, early})
}

func tSpan(qt, at float64) ecg.Span {
	late, early := 0.070*qt, 0.095*qt
	peak := qt - edge*late
	return ecg.Span{Onset: at + peak - 0.10*qt - edge*0.9*early, Peak: at + peak - 0.012*qt, Offset: at + qt}
}

// Atrial returns the bumps and the span of a P wave.
func (p Params) atrial(a heart.Activation, dst []gaussian) ([]gaussian, ecg.Span) {
	w := p.P
	if a.Retrograde {
		w = p.P2
	}
	return pWave(w, dst), pSpan(w, a.At)
}

// ventricular returns the bumps and the beat of a ventricular activation.
func (p Params) ventricular(a heart.Activation, dst []gaussian) ([]gaussian, ecg.Beat) {
	beat := ecg.Beat{Origin: a.Origin}
	switch a.Origin {
	case ecg.OriginVentricular:
		w := p.Ectopic[a.Focus]
		qt := math.Max(a.QT+w.Duration-p.QRS.Duration, w.Duration*1.9)
		dst = wide(w, dst)
		dst = tWave(discordant(w), qt, dst)
		beat.QRS, beat.T = wideSpan(w, a.At), tSpan(qt, a.At)
	case ecg.OriginFusion:
		w := p.Ectopic[a.Focus]
		share := a.Fusion
		from := len(dst)
		dst = wide(w, dst)
		dst = tWave(discordant(w), a.QT, dst)
		for i := from; i < len(dst); i++ {
			dst[i].amp = dst[i].amp.Scale(share)
		}
		from = len(dst)
		dst = narrow(p.QRS, dst)
		dst = tWave(p.T.vector(), a.QT, dst)
		for i := from; i < len(dst); i++ {
			dst[i].amp = dst[i].amp.Scale(1 - share)
		}
		beat.QRS, beat.T = wideSpan(w, a.At), tSpan(a.QT, a.At)
	default:
		dst = narrow(p.QRS, dst)
		dst = tWave(p.T.vector(), a.QT, dst)
		beat.QRS, beat.T = narrowSpan(p.QRS, a.At), tSpan(a.QT, a.At)
	}
	return dst, beat
}

// discordant is the T of a beat that spread from muscle to muscle: opposite to its
// QRS.
func discordant(w Wave) Vector { return w.vector().Scale(-0.32) }
