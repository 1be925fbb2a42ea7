package main

import (
	"encoding/json"
	"io"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"telltrace/synth/ecg"
	"telltrace/synth/measure"
)

// A measured is what is known of a strip, in the shape that measure prints as read
// from the samples and strip --truth as the engine knows it. Times count from the
// start of the strip or recording. A value that is absent is null. Fields may be
// added, never renamed: other programs read them.
type measured struct {
	Identity string         `json:"identity,omitempty"`
	RateBPM  number         `json:"rate_bpm"`
	Rates    *ratesBPM      `json:"rates_bpm,omitempty"`
	RRms     []number       `json:"rr_ms"`
	RRCV     number         `json:"rr_cv"`
	PPerQRS  number         `json:"p_per_qrs"`
	PRms     number         `json:"pr_ms"`
	QRSms    number         `json:"qrs_ms"`
	QTms     number         `json:"qt_ms"`
	QTcms    corrected      `json:"qtc_ms"`
	Beats    []measuredBeat `json:"beats"`
	Reading  named          `json:"reading"`

	Stretches []stretch `json:"stretches,omitempty"` // of a recording of several minutes
}

type corrected struct {
	Bazett     number `json:"bazett"`
	Fridericia number `json:"fridericia"`
	Framingham number `json:"framingham"`
	Hodges     number `json:"hodges"`
}

func correctedBy(bazett, fridericia, framingham, hodges float64) corrected {
	return corrected{ms(bazett), ms(fridericia), ms(framingham), ms(hodges)}
}

// ratesBPM are the rate as a display counts it and as it is read by hand.
type ratesBPM struct {
	Display    number `json:"display"`
	SixSeconds number `json:"six_seconds"`
	SmallBoxes number `json:"small_boxes"`
}

// A measuredBeat is one QRS with its waves. TS is the time by which the beat is
// known, that of its R peak.
type measuredBeat struct {
	TS     number `json:"t_s"`
	Origin word   `json:"origin"`
	POn    number `json:"p_on_s"`
	POff   number `json:"p_off_s"`
	QRSOn  number `json:"qrs_on_s"`
	R      number `json:"r_s"`
	QRSOff number `json:"qrs_off_s"`
	TPeak  number `json:"t_peak_s"`
	TOff   number `json:"t_off_s"`
}

type named struct {
	Rhythm  word     `json:"rhythm"`
	Reasons []string `json:"reasons"`
	Against []string `json:"against,omitempty"`
	Settle  []string `json:"would_settle_it,omitempty"`
}

// A number is written as null where it is NaN or infinite.
type number float64

// MarshalJSON implements json.Marshaler.
func (n number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// A word is written as null where it is empty.
type word string

// MarshalJSON implements json.Marshaler.
func (w word) MarshalJSON() ([]byte, error) {
	if w == "" {
		return []byte("null"), nil
	}
	return json.Marshal(string(w))
}

// Steps to which numbers are rounded, far finer than what they stand for.
const (
	step4 = 1e4 // 0.1 ms in s, and ratios
	step2 = 1e2 // 0.01 beats/min
	step1 = 1e1 // 0.1 ms in ms
)

func rounded(x, step float64) number { return number(math.Round(x*step) / step) }

// ms turns seconds into milliseconds.
func ms(seconds float64) number { return rounded(1000*seconds, step1) }

// asRead is the shape of a reading whose strip of so many seconds begins at time at of its
// recording.
func asRead(r measure.Reading, at, seconds float64) measured {
	m := measured{
		RateBPM: rounded(r.Rate, step2), RRms: msAll(r.RR), RRCV: rounded(r.RRCV, step4),
		PPerQRS: rounded(r.PPerQRS, step4), PRms: ms(r.PR), QRSms: ms(r.QRS), QTms: ms(r.QT),
		QTcms:   correctedBy(r.QTc()),
		Beats:   beatsOf(r.Marks.Beats, at),
		Reading: named{word(r.Name), r.Reasons, r.Against, r.Settle()},
	}
	if len(r.RR) > 0 {
		boxes, _ := measure.SmallBoxes(r.RR)
		m.Rates = &ratesBPM{rounded(r.Displayed(), step2), number(math.NaN()), rounded(boxes, step2)}
		if six, ok := measure.SixSeconds(r.Marks.Beats, seconds); ok {
			m.Rates.SixSeconds = number(six)
		}
	}
	if m.Reading.Reasons == nil {
		m.Reading.Reasons = []string{}
	}
	return m
}

// asMade is the shape of what the engine knows of a strip. As with a reading, RR is
// from R to R, PR the median of the conducted beats, QRS and QT the medians of the
// usual beats, which are those of the commonest origin.
func asMade(id ecg.Identity, marks ecg.Marks) measured {
	var rr, pr, qrs, qt []float64
	usual := commonest(marks.Beats)
	for i, b := range marks.Beats {
		if i > 0 {
			rr = append(rr, b.QRS.Peak-marks.Beats[i-1].QRS.Peak)
		}
		if v, ok := b.PR(); ok {
			pr = append(pr, v)
		}
		if b.Origin != usual {
			continue
		}
		if v, ok := b.QRSWidth(); ok {
			qrs = append(qrs, v)
		}
		if v, ok := b.QT(); ok {
			qt = append(qt, v)
		}
	}
	mean, cv, perQRS := math.NaN(), math.NaN(), math.NaN()
	if len(rr) > 0 {
		mean = stat.Mean(rr, nil)
	}
	if len(rr) > 1 {
		cv = stat.StdDev(rr, nil) / mean
	}
	if len(marks.Beats) > 0 {
		perQRS = float64(len(marks.P)) / float64(len(marks.Beats))
	}
	reasons := []string{"made as " + id.Rhythm + " at " + id.Age.Words()}
	if id.Artifact != "" {
		reasons = append(reasons, id.Artifact+" lies over it")
	}
	middleQT := median(qt)
	return measured{
		Identity: id.String(),
		RateBPM:  rounded(60/mean, step2), RRms: msAll(rr), RRCV: rounded(cv, step4),
		PPerQRS: rounded(perQRS, step4), PRms: ms(median(pr)), QRSms: ms(median(qrs)), QTms: ms(middleQT),
		QTcms: correctedBy(measure.Bazett(middleQT, mean), measure.Fridericia(middleQT, mean),
			measure.Framingham(middleQT, mean), measure.Hodges(middleQT, mean)),
		Beats:   beatsOf(marks.Beats, 0),
		Reading: named{Rhythm: word(id.Rhythm), Reasons: reasons},
	}
}

func commonest(beats []ecg.Beat) ecg.Origin {
	count := map[ecg.Origin]int{}
	var best ecg.Origin
	for _, b := range beats {
		if count[b.Origin]++; count[b.Origin] > count[best] {
			best = b.Origin
		}
	}
	return best
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(x))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

func msAll(seconds []float64) []number {
	out := make([]number, len(seconds))
	for i, s := range seconds {
		out[i] = ms(s)
	}
	return out
}

func beatsOf(beats []ecg.Beat, at float64) []measuredBeat {
	time := func(s ecg.Span, t float64) number {
		if !s.Present() {
			return number(math.NaN())
		}
		return rounded(at+t, step4)
	}
	out := make([]measuredBeat, len(beats))
	for i, b := range beats {
		out[i] = measuredBeat{
			TS: rounded(at+b.QRS.Peak, step4), Origin: word(b.Origin),
			POn: time(b.P, b.P.Onset), POff: time(b.P, b.P.Offset),
			QRSOn: time(b.QRS, b.QRS.Onset), R: time(b.QRS, b.QRS.Peak), QRSOff: time(b.QRS, b.QRS.Offset),
			TPeak: time(b.T, b.T.Peak), TOff: time(b.T, b.T.Offset),
		}
	}
	return out
}

// writeJSON writes a value indented, for people who look into the file.
func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// annotationsOf labels beats as annotation files do, at their R peaks; rate in Hz,
// start the index of the strip's first sample in the recording. The codes are those
// of MIT annotations (PhysioNet, annot(5)): what ventricular and paced beats are is
// the same for all of them, a junctional beat counts as escape, and a beat whose
// origin is not known as unclassifiable.
func annotationsOf(beats []ecg.Beat, rate float64, start int) []ecg.Annotation {
	out := make([]ecg.Annotation, len(beats))
	for i, b := range beats {
		out[i] = ecg.Annotation{Sample: start + int(math.Round(b.QRS.Peak*rate)), Symbol: symbolOf(b.Origin)}
	}
	slices.SortStableFunc(out, func(a, b ecg.Annotation) int { return a.Sample - b.Sample })
	return out
}

func symbolOf(o ecg.Origin) string {
	switch o {
	case ecg.OriginSinus:
		return "N"
	case ecg.OriginAtrial:
		return "A"
	case ecg.OriginJunctional:
		return "j"
	case ecg.OriginVentricular:
		return "V"
	case ecg.OriginPaced:
		return "/"
	case ecg.OriginFusion:
		return "F"
	default:
		return "Q"
	}
}
