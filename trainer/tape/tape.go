// Package tape keeps what a source has played so far: samples by strip time, for
// drawing and for reading back. It plays on demand, so that what is on the tape
// depends on the strip time asked for and on nothing else.
package tape

import (
	"errors"
	"io"
	"slices"

	"telltrace/synth/ecg"
)

// A Feed is a signal that can be put on tape: a player of synth or a reader of
// recordings.
type Feed interface {
	ecg.Source
	Channels() (leads []ecg.Lead, witnesses []ecg.WitnessKind)
	SampleRate() float64 // Hz
}

// A Tape is the played part of a feed. Old parts are dropped to keep memory
// constant.
type Tape struct {
	feed      Feed
	rate      float64
	leads     []ecg.Lead
	witnesses []ecg.WitnessKind
	rows      [][]float64
	first     int // frame of rows[i][0]
	keep      int // frames
	err       error
	chunk     [][]float64
}

// chunkSeconds is how much is played at a time at most, s.
const chunkSeconds = 1

// New makes a tape that keeps at least the last seconds.
func New(f Feed, seconds float64) *Tape {
	t := &Tape{feed: f, rate: f.SampleRate(), keep: int(seconds * f.SampleRate())}
	t.leads, t.witnesses = f.Channels()
	n := len(t.leads) + len(t.witnesses)
	t.rows, t.chunk = make([][]float64, n), make([][]float64, n)
	for i := range t.chunk {
		t.chunk[i] = make([]float64, int(chunkSeconds*t.rate))
	}
	return t
}

// Rate is the sampling rate, Hz.
func (t *Tape) Rate() float64 { return t.rate }

// Leads lists the leads on the tape.
func (t *Tape) Leads() []ecg.Lead { return t.leads }

// Has reports whether a witness is on the tape.
func (t *Tape) Has(k ecg.WitnessKind) bool { return slices.Contains(t.witnesses, k) }

// Start and End are the strip times between which samples are on the tape, s.
func (t *Tape) Start() float64 { return float64(t.first) / t.rate }

// End is where the tape ends, s.
func (t *Tape) End() float64 { return float64(t.end()) / t.rate }

func (t *Tape) end() int {
	if len(t.rows) == 0 {
		return t.first
	}
	return t.first + len(t.rows[0])
}

// Err is what ended the feed, nil while it plays or after a clean end.
func (t *Tape) Err() error {
	if errors.Is(t.err, io.EOF) {
		return nil
	}
	return t.err
}

// Ended reports whether the feed has come to its end.
func (t *Tape) Ended() bool { return t.err != nil }

// PlayTo plays on until strip time s, or to the end of the feed.
func (t *Tape) PlayTo(s float64) {
	for want := int(s*t.rate) - t.end(); want > 0 && t.err == nil; want = int(s*t.rate) - t.end() {
		n := min(want, len(t.chunk[0]))
		part := make([][]float64, len(t.chunk))
		for i := range part {
			part[i] = t.chunk[i][:n]
		}
		got, err := t.feed.Fill(part)
		for i := range t.rows {
			t.rows[i] = append(t.rows[i], part[i][:got]...)
		}
		t.err = err
		if got == 0 && err == nil {
			t.err = io.ErrNoProgress
		}
	}
	if over := len(t.rows[0]) - t.keep; over > t.keep { // moved seldom
		for i := range t.rows {
			t.rows[i] = t.rows[i][:copy(t.rows[i], t.rows[i][over:])]
		}
		t.first += over
	}
}

// Strip is what is on the tape from strip time from to strip time to, cut to what
// there is. It shares the tape's memory until the next PlayTo. at is the strip time
// of its first sample.
func (t *Tape) Strip(from, to float64) (s ecg.Strip, at float64) {
	a := min(max(int(from*t.rate), t.first), t.end())
	b := min(max(int(to*t.rate), a), t.end())
	s.Rate, s.Leads = t.rate, t.leads
	for i := range t.leads {
		s.MV = append(s.MV, t.rows[i][a-t.first:b-t.first])
	}
	for i, k := range t.witnesses {
		s.Witnesses = append(s.Witnesses, ecg.Witness{Kind: k, Values: t.rows[len(t.leads)+i][a-t.first : b-t.first]})
	}
	return s, float64(a) / t.rate
}
