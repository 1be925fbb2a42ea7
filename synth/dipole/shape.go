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

// An Ectopic is the QRS of a ventricular focus, and how it changes from beat to
// beat.
type Ectopic struct {
	Wave
	Turn float64 // degrees by which the axis turns with each beat of a run
	Vary float64 // degrees, standard deviation of the axis from beat to beat
}

// Params are the shapes of one heart.
type Params struct {
	P       Wave
	P2      Wave      // atria activated from below
	Atrial  []Wave    // P waves of atrial foci by focus index; one of 0 mV is as P
	Places  []Wave    // P waves of the places a wandering sinus pacemaker visits, after the usual one
	Saw     bool      // atrial foci draw a flutter wave without a flat part, not a P
	QRS     Wave      // conducted beats
	Early   float64   // what the first part of a conducted QRS shows in V1, as a share of QRS.MV
	Late    float64   // what its last part does
	Block   float64   // s, duration of a QRS with a blocked bundle branch
	Delta   Wave      // the slow start of a QRS by an accessory path; its Duration is that of a QRS by the path alone
	Ectopic []Ectopic // by focus index
	Paced   Wave      // QRS of the pacer
	Spike   Vector    // mV

	T      Wave    // Duration is not used: T ends where QT ends
	TWidth float64 // width of T as a share of the usual; 0 counts as 1
	ST     Vector  // mV, from the end of QRS into T

	AxisSway   float64      // degrees by which breathing turns the axis to either side
	Swell      float64      // share by which breathing changes the height
	Fibrillate Fibrillation // of the ventricles
	Flicker    Fibrillation // of the atria: f waves

	made made
}

// A gaussian is one bump: amplitude vector, centre relative to the onset of the
// activation, standard deviation (s).
type gaussian struct {
	amp        Vector
	centre, sd float64
}

// made are the vectors of the usual beat and the sine of AxisSway, worked out once.
type made struct {
	p, q, main, s, t Vector
	sway             float64
}

// makeReady works out what every beat needs.
func (p *Params) makeReady() {
	w := p.QRS
	p.made = made{
		p:    p.P.vector(),
		q:    Frontal(w.MV*0.10, w.Degrees+160, w.MV*p.Early),
		main: w.vector(),
		s:    Frontal(w.MV*0.16, w.Degrees-150, w.MV*p.Late),
		t:    p.T.vector(),
		sway: math.Sin(p.AxisSway * math.Pi / 180),
	}
}

// pWave: right then left atrium, two overlapping bumps.
func pWave(v Vector, d float64, dst []gaussian) []gaussian {
	sd := d * 0.150
	return append(dst,
		gaussian{v.Scale(0.72), edge * sd, sd},
		gaussian{v.Scale(0.72), d - edge*sd, sd})
}

// saw is a flutter wave: a slow fall and a quick rise that fill the cycle.
func saw(w Wave, dst []gaussian) []gaussian {
	d, v := w.Duration, w.vector()
	return append(dst,
		gaussian{v, 0.42 * d, 0.20 * d},
		gaussian{v.Scale(-0.7), 0.86 * d, 0.11 * d})
}

func pSpan(w Wave, at float64) ecg.Span {
	return ecg.Span{Onset: at, Peak: at + w.Duration/2, Offset: at + w.Duration}
}

// narrow is a QRS spread by the bundle branches: a small initial vector from the
// septum (right, up and to the front), the main vector, a terminal one.
func (p *Params) narrow(dst []gaussian) []gaussian {
	d := p.QRS.Duration
	return append(dst,
		gaussian{p.made.q, 0.19 * d, 0.090 * d},
		gaussian{p.made.main, 0.48 * d, 0.115 * d},
		gaussian{p.made.s, 0.77 * d, 0.100 * d})
}

// rightBlock begins as the narrow QRS does and ends late and slowly, to the right,
// up and to the front: rSR' in V1, a broad S in I and II.
func (p *Params) rightBlock(dst []gaussian) []gaussian {
	d := p.Block
	dst = p.narrow(dst)
	late := Frontal(math.Max(p.QRS.MV*0.5, 0.35), -150, 0.6)
	return append(dst, gaussian{late, d - edge*0.15*d, 0.15 * d})
}

// leftBlock is broad and notched from the start, to the left and the back.
func leftBlock(w Wave, d float64, dst []gaussian) []gaussian {
	first := Frontal(w.MV*0.75, w.Degrees-10, -0.55)
	second := Frontal(w.MV*0.80, w.Degrees-30, -0.75)
	return append(dst,
		gaussian{first, edge * 0.145 * d, 0.145 * d},
		gaussian{second, d - edge*0.150*d, 0.150 * d})
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

// tWave rises slowly and falls fast; its offset is QT after QRS onset. width is its
// width as a share of the usual.
func tWave(v Vector, qt, width float64, dst []gaussian) []gaussian {
	late, early := 0.070*qt*width, 0.095*qt*width
	peak := qt - edge*late
	return append(dst,
		gaussian{v.Scale(0.80), peak, late},
		gaussian{v.Scale(0.35), peak - 0.10*qt*width, early})
}

func tSpan(qt, width, at float64) ecg.Span {
	late, early := 0.070*qt*width, 0.095*qt*width
	peak := qt - edge*late
	return ecg.Span{Onset: at + peak - 0.10*qt*width - edge*0.9*early, Peak: at + peak - 0.012*qt*width, Offset: at + qt}
}

// stSegment lifts the stretch from the end of QRS to the top of T.
func stSegment(st Vector, qrs, qt float64, dst []gaussian) []gaussian {
	if st == (Vector{}) {
		return dst
	}
	from, to := qrs, 0.85*qt
	const bumps = 3
	sd := (to - from) / (bumps + 1)
	for i := range bumps {
		dst = append(dst, gaussian{st.Scale(0.72), from + (float64(i)+0.8)*sd, 0.62 * sd})
	}
	return dst
}

// atrial returns the bumps and the span of a P wave.
func (p *Params) atrial(a *heart.Activation, dst []gaussian) ([]gaussian, ecg.Span) {
	w := &p.P
	switch {
	case a.Retrograde:
		w = &p.P2
	case a.Place > 0 && a.Place <= len(p.Places):
		w = &p.Places[a.Place-1]
	case a.Focus >= 0 && a.Focus < len(p.Atrial) && p.Atrial[a.Focus].MV != 0:
		w = &p.Atrial[a.Focus]
	}
	switch {
	case p.Saw && a.Focus >= 0:
		dst = saw(*w, dst)
	case w == &p.P:
		dst = pWave(p.made.p, w.Duration, dst)
	default:
		dst = pWave(w.vector(), w.Duration, dst)
	}
	return dst, pSpan(*w, a.At)
}

// ventricular returns the bumps and the beat of a ventricular activation. turned is
// the beat's own turn of an ectopic axis, degrees.
func (p *Params) ventricular(a *heart.Activation, turned float64, dst []gaussian) ([]gaussian, ecg.Beat) {
	beat := ecg.Beat{Origin: a.Origin}
	switch {
	case a.Origin == ecg.OriginVentricular:
		w := p.ectopic(a.Focus, turned)
		dst, beat.QRS, beat.T = p.fromMuscle(w, a, dst)
	case a.Origin == ecg.OriginPaced:
		dst, beat.QRS, beat.T = p.fromMuscle(p.Paced, a, dst)
	case a.Origin == ecg.OriginFusion:
		w := p.Paced
		if a.Focus >= 0 {
			w = p.ectopic(a.Focus, turned)
		}
		from := len(dst)
		dst, beat.QRS, beat.T = p.fromMuscle(w, a, dst)
		scale(dst[from:], a.Fusion)
		from = len(dst)
		dst = p.narrow(dst)
		dst = tWave(p.made.t, a.QT, p.tWidth(), dst)
		scale(dst[from:], 1-a.Fusion)
	case a.ViaPath:
		dst, beat.QRS, beat.T = p.byPath(a, dst)
	case a.Bundle != heart.NoBundle:
		qt := a.QT + p.Block - p.QRS.Duration
		back := -0.25
		if a.Bundle == heart.RightBundle {
			dst = p.rightBlock(dst)
			back = 0.45 // the terminal vector is small in the limb leads: T keeps its side
		} else {
			dst = leftBlock(p.QRS, p.Block, dst)
		}
		v := p.made.t
		if back < 0 {
			v = p.made.main.Scale(back)
		}
		dst = tWave(v, qt, p.tWidth(), dst)
		beat.QRS, beat.T = ecg.Span{Onset: a.At, Peak: a.At + 0.4*p.Block, Offset: a.At + p.Block}, tSpan(qt, p.tWidth(), a.At)
	default:
		dst = p.narrow(dst)
		dst = stSegment(p.ST, p.QRS.Duration, a.QT, dst)
		dst = tWave(p.made.t, a.QT, p.tWidth(), dst)
		beat.QRS, beat.T = narrowSpan(p.QRS, a.At), tSpan(a.QT, p.tWidth(), a.At)
	}
	return dst, beat
}

func (p *Params) tWidth() float64 {
	if p.TWidth == 0 {
		return 1
	}
	return p.TWidth
}

// ectopic is the wave of a focus, its axis turned. A beat of a focus that the heart
// had before it changed is as a conducted one.
func (p *Params) ectopic(focus int, turned float64) Wave {
	if focus >= len(p.Ectopic) {
		return p.QRS
	}
	w := p.Ectopic[focus].Wave
	w.Degrees += turned
	return w
}

// fromMuscle is a beat that spreads from muscle to muscle, with T opposite to QRS.
func (p *Params) fromMuscle(w Wave, a *heart.Activation, dst []gaussian) ([]gaussian, ecg.Span, ecg.Span) {
	qt := math.Max(a.QT+w.Duration-p.QRS.Duration, w.Duration*1.9)
	dst = wide(w, dst)
	dst = tWave(w.vector().Scale(discordant), qt, 1, dst)
	return dst, wideSpan(w, a.At), tSpan(qt, 1, a.At)
}

// byPath is a beat that enters by an accessory path: a slow start, then the rest by
// the bundles where the node's wave joins in time.
func (p *Params) byPath(a *heart.Activation, dst []gaussian) ([]gaussian, ecg.Span, ecg.Span) {
	after := a.NodeAfter
	if after >= p.Delta.Duration-p.QRS.Duration || math.IsInf(after, 1) {
		w := p.Delta
		w.MV, w.Front = p.QRS.MV, p.QRS.Front
		return p.fromMuscle(w, a, dst)
	}
	// The slur rises until the bundles take over and runs into their main wave, which
	// has no initial vector of its own any more.
	peak := after + 0.48*p.QRS.Duration
	slur := p.Delta.vector()
	dst = append(dst, // two bumps, so that no level part lies between it and the rest
		gaussian{slur.Scale(0.50), 0.5 * peak, 0.5 * peak / edge},
		gaussian{slur.Scale(0.95), 0.9 * peak, 0.5 * peak / edge})
	from := len(dst)
	dst = p.narrow(dst)
	shift(dst[from:], after)
	dst = append(dst[:from], dst[from+1:]...)
	d := after + p.QRS.Duration
	dst = tWave(p.made.t.Scale(0.7), a.QT, p.tWidth(), dst)
	return dst, ecg.Span{Onset: a.At, Peak: a.At + after + 0.48*p.QRS.Duration, Offset: a.At + d}, tSpan(a.QT, p.tWidth(), a.At)
}

func scale(list []gaussian, by float64) {
	for i := range list {
		list[i].amp = list[i].amp.Scale(by)
	}
}

func shift(list []gaussian, by float64) {
	for i := range list {
		list[i].centre += by
	}
}

// discordant is the height of T as a share of its QRS where a beat spreads from
// muscle to muscle: opposite in direction.
const discordant = -0.32
