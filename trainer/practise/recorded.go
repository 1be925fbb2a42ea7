package practise

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
	"telltrace/synth/norms"
	"telltrace/synth/record"
)

// shownOfRecording is how much of a recorded stretch is on the page when it comes
// on screen, s; the rest scrolls in.
const shownOfRecording = 4

// Recorded makes a plan of a recording: every stretch that its labels settle, in an
// order drawn from rng, once. age is the patient's.
func Recorded(path string, age ecg.Age, rng *rand.Rand) (Plan, error) {
	stretches, err := stretchesOf(path, age)
	if err != nil {
		return nil, err
	}
	rng.Shuffle(len(stretches), func(i, j int) { stretches[i], stretches[j] = stretches[j], stretches[i] })
	next := 0
	return func() (Round, error) {
		if next == len(stretches) {
			return Round{}, io.EOF
		}
		s := stretches[next]
		next++
		id := ecg.Identity{Recording: path, At: milli(s.At), Seconds: milli(s.Seconds), Age: age}
		return RecordedStretch("A recording", ledger.Practise, id, s.Subject, age, scenarios.ChoicesFor(s.Subject, rng))
	}, nil
}

// stretchesOf lists what the labels of a recording settle.
func stretchesOf(path string, age ecg.Age) ([]scenarios.Stretch, error) {
	r, err := record.Open(path)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	h := r.Header()
	annotations, err := r.Annotations(record.ReferenceAnnotator)
	if err != nil {
		return nil, err
	}
	seconds, ok := h.Seconds()
	if !ok {
		return nil, fmt.Errorf("%s: its length is not known, so it cannot be cut into strips", path)
	}
	usual := norms.HeartRate(age).Accept
	stretches := scenarios.Stretches(annotations, h.Rate, seconds, usual.Low, usual.High)
	if len(stretches) == 0 {
		return nil, fmt.Errorf("%s: no label settles what it shows; it needs an annotation file (.atr) with rhythms that telltrace rhythms lists", path)
	}
	return stretches, nil
}

// milli rounds a time to the millisecond, so that an identity stays short.
func milli(s float64) float64 { return math.Round(s*1000) / 1000 }

// RecordedStretch is the round of one stretch of a recording.
func RecordedStretch(title string, mode ledger.Mode, id ecg.Identity, subject string, age ecg.Age, offered []string) (Round, error) {
	rec, err := record.ReadSegment(id.Recording, id.At, id.Seconds)
	if err != nil {
		return Round{}, err
	}
	return Round{
		Title: title, Mode: mode, Strip: id, Subject: subject, Choices: offered, Age: age,
		Feed: &reel{strip: rec.Strip}, Start: math.Min(shownOfRecording, rec.Strip.Seconds()),
	}, nil
}

// RecordedAgain is the round of a stretch that was asked about before: what it shows
// is read from its labels once more. offered are the choices of that time.
func RecordedAgain(id ecg.Identity, mode ledger.Mode, offered []string) (Round, error) {
	stretches, err := stretchesOf(id.Recording, id.Age)
	if err != nil {
		return Round{}, err
	}
	for _, s := range stretches {
		if milli(s.At) == id.At {
			return RecordedStretch("The same strip again", mode, id, s.Subject, id.Age, offered)
		}
	}
	return Round{}, fmt.Errorf("%s: no label settles any more what it shows at %g s", id.Recording, id.At)
}

// A reel is a strip in memory as a feed.
type reel struct {
	strip ecg.Strip
	at    int
}

func (r *reel) Channels() (leads []ecg.Lead, witnesses []ecg.WitnessKind) {
	for _, w := range r.strip.Witnesses {
		witnesses = append(witnesses, w.Kind)
	}
	return r.strip.Leads, witnesses
}

func (r *reel) SampleRate() float64 { return r.strip.Rate }

func (r *reel) Fill(dst [][]float64) (int, error) {
	left := len(r.strip.MV[0]) - r.at
	if left == 0 {
		return 0, io.EOF
	}
	n := min(left, len(dst[0]))
	for i, row := range r.strip.MV {
		copy(dst[i][:n], row[r.at:])
	}
	for i, w := range r.strip.Witnesses {
		copy(dst[len(r.strip.MV)+i][:n], w.Values[r.at:])
	}
	r.at += n
	return n, nil
}
