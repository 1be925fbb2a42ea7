// Package ecg holds the vocabulary the rest of telltrace speaks: leads,
// electrodes, waves, beats, strips, records, annotations, and the identity that
// reproduces a synthetic strip. It computes nothing and imports nothing of ours,
// so that the generator (synth) and the reader (synth/measure) can share words
// without sharing knowledge.
//
// Units: time in seconds, amplitude in millivolts, rates in beats per minute,
// unless a name says otherwise.
package ecg

import "io"

// A Lead names a recorded voltage as the trade writes it: "II", "aVR", "V1".
// Recordings may bring other names (a modified lead, "MLII"); they are kept as
// they are.
type Lead string

// The leads a monitor and a twelve-lead recorder show.
const (
	I   Lead = "I"
	II  Lead = "II"
	III Lead = "III"
	AVR Lead = "aVR"
	AVL Lead = "aVL"
	AVF Lead = "aVF"
	V1  Lead = "V1"
	V2  Lead = "V2"
	V3  Lead = "V3"
	V4  Lead = "V4"
	V5  Lead = "V5"
	V6  Lead = "V6"
	V8  Lead = "V8" // on the back, below the tip of the left shoulder blade
)

// Leads lists the leads above in the order a twelve-lead page prints them.
var Leads = []Lead{I, II, III, AVR, AVL, AVF, V1, V2, V3, V4, V5, V6, V8}

// An Electrode is a place on the skin: RA and LA at the arms (or shoulders), LL
// and RL at the legs (or hips), V on the chest. RL is the reference.
type Electrode string

// The electrodes of a three- and a five-electrode cable.
const (
	RA Electrode = "RA"
	LA Electrode = "LA"
	LL Electrode = "LL"
	RL Electrode = "RL"
	V  Electrode = "V"
)

// A Strip is a stretch of simultaneously sampled leads. It carries no labels:
// what is true of it travels apart from it, as Marks or []Annotation, so a
// function that takes only a Strip cannot peek at the answer.
type Strip struct {
	Rate      float64     // samples per second
	Leads     []Lead      // one per row of MV
	MV        [][]float64 // millivolts, indexed [lead][sample]; NaN where a recording is invalid
	Witnesses []Witness   // what was sampled beside the leads: pulse traces, pressures
}

// Seconds is the strip's length.
func (s Strip) Seconds() float64 {
	if len(s.MV) == 0 || s.Rate <= 0 {
		return 0
	}
	return float64(len(s.MV[0])) / s.Rate
}

// Row returns the samples of a lead, or nil when the strip has no such lead.
func (s Strip) Row(l Lead) []float64 {
	for i, have := range s.Leads {
		if have == l {
			return s.MV[i]
		}
	}
	return nil
}

// Witness returns the samples of a witness, or nil when the strip has none.
func (s Strip) Witness(k WitnessKind) []float64 {
	for _, w := range s.Witnesses {
		if w.Kind == k {
			return w.Values
		}
	}
	return nil
}

// Cut returns samples from up to (not including) to, sharing the strip's memory.
// It panics when the range is not inside the strip.
func (s Strip) Cut(from, to int) Strip {
	out := s
	out.MV = make([][]float64, len(s.MV))
	for i, row := range s.MV {
		out.MV[i] = row[from:to]
	}
	out.Witnesses = make([]Witness, len(s.Witnesses))
	for i, w := range s.Witnesses {
		w.Values = w.Values[from:to]
		out.Witnesses[i] = w
	}
	return out
}

// A WitnessKind is a signal that tells whether blood moves, or how the patient
// breathes: something other than an ECG lead to believe.
type WitnessKind string

// The witnesses, by the names recordings use.
const (
	Pleth            WitnessKind = "PLETH" // pulse oximeter trace, no unit
	ArterialPressure WitnessKind = "ABP"   // mmHg
	Respiration      WitnessKind = "RESP"  // no unit
)

// A Witness is one such signal, sampled with the leads of its strip.
type Witness struct {
	Kind   WitnessKind
	Unit   string    // "mmHg", or "" when the trace has none
	Values []float64 // same length as the rows of the strip
}

// A Source produces a signal frame by frame, one row per channel.
type Source interface {
	// Fill writes the next frames into dst, whose rows have equal length, and
	// returns how many it wrote. Every call ends in one of three ways:
	//
	//  1. n == len(dst[0]), nil: there may be more.
	//  2. 0 < n < len(dst[0]), nil: the end; case 3 follows.
	//  3. 0 and io.EOF or another error, the same for ever after.
	//
	// Fill leaves dst beyond n alone. A Source is not safe for concurrent use.
	Fill(dst [][]float64) (n int, err error)
}

// EOF is what a Source returns at its end.
var EOF = io.EOF

// A Span is one wave from onset to offset, seconds from the start of the strip.
// The zero Span means that there is no such wave.
type Span struct {
	Onset, Peak, Offset float64
}

// Present reports whether there is a wave.
func (s Span) Present() bool { return s.Offset > s.Onset }

// Shift returns the span moved by dt seconds; an absent span stays absent.
func (s Span) Shift(dt float64) Span {
	if !s.Present() {
		return s
	}
	return Span{s.Onset + dt, s.Peak + dt, s.Offset + dt}
}

// An Origin says where a beat began. Stored by name; append only.
type Origin string

// Origins of beats.
const (
	OriginUnknown     Origin = ""
	OriginSinus       Origin = "sinus"
	OriginAtrial      Origin = "atrial"
	OriginJunctional  Origin = "junctional"
	OriginVentricular Origin = "ventricular"
	OriginPaced       Origin = "paced"
	OriginFusion      Origin = "fusion"
)

// A Beat is one ventricular activation. P is the wave that was conducted to it,
// absent when none was.
type Beat struct {
	P, QRS, T Span
	Origin    Origin
}

// PR is the time from P onset to QRS onset, false when no P belongs to the beat.
func (b Beat) PR() (seconds float64, ok bool) {
	return b.QRS.Onset - b.P.Onset, b.P.Present() && b.QRS.Present()
}

// QRSWidth is the time from QRS onset to QRS offset.
func (b Beat) QRSWidth() (seconds float64, ok bool) {
	return b.QRS.Offset - b.QRS.Onset, b.QRS.Present()
}

// QT is the time from QRS onset to T offset, false when no T could be seen.
func (b Beat) QT() (seconds float64, ok bool) {
	return b.T.Offset - b.QRS.Onset, b.T.Present() && b.QRS.Present()
}

// Shift returns the beat moved by dt seconds.
func (b Beat) Shift(dt float64) Beat {
	b.P, b.QRS, b.T = b.P.Shift(dt), b.QRS.Shift(dt), b.T.Shift(dt)
	return b
}

// Marks is what is known of a strip: as truth from the engine that made it, or as
// found by a reader.
type Marks struct {
	P        []Span    // every P wave, conducted or not, in time order
	Beats    []Beat    // every QRS in time order
	Pulses   []float64 // onset of every pulse that reached the finger, seconds
	Episodes []Episode // rhythm from - to, in time order
}

// Shift is the P waves and beats dt seconds later.
func (m Marks) Shift(dt float64) Marks {
	var out Marks
	for _, p := range m.P {
		out.P = append(out.P, p.Shift(dt))
	}
	for _, b := range m.Beats {
		out.Beats = append(out.Beats, b.Shift(dt))
	}
	return out
}

// An Episode is a stretch of one rhythm, seconds from the start of the strip.
type Episode struct {
	Rhythm   string // catalogue id
	From, To float64
}

// An Annotation is a label at a sample, as annotation files keep them.
type Annotation struct {
	Sample  int
	Symbol  string // one of the standard codes: "N", "V", "+", "~", "(" ...
	Subtype int
	Channel int
	Number  int
	Aux     string // rhythm labels such as "(VT"
}

// A Record is a strip as a file holds it: samples, labels and the header's words.
type Record struct {
	Name        string
	Strip       Strip
	Start       int // index of the strip's first sample in the whole recording
	Annotations []Annotation
	Comments    []string
}
