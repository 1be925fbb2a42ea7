package play

import (
	"math"
	"slices"

	"telltrace/scenarios/script"
	"telltrace/synth"
	"telltrace/synth/ecg"
)

// Identity is the strip up to now: the rhythms of the episodes one after another, with
// the state and the artifact of the present one. Played again it shows what was seen.
func (p *Play) Identity() ecg.Identity { return identity(p.script, p.seed, p.turns) }

func identity(s *script.Scenario, seed uint64, turns []turn) ecg.Identity {
	last := s.Episodes[turns[len(turns)-1].episode]
	id := s.Identity(last, seed)
	id.Rhythm = s.Episodes[turns[0].episode].Rhythm
	rhythm, since := id.Rhythm, 0.0
	for i, t := range turns {
		e := s.Episodes[t.episode]
		if e.Rhythm != rhythm {
			id.Then = append(id.Then, ecg.Step{At: math.Ceil(t.at*100) / 100, Rhythm: e.Rhythm})
			rhythm = e.Rhythm
		}
		if i == 0 || s.Episodes[turns[i-1].episode].Artifact != e.Artifact || s.Episodes[turns[i-1].episode].Place != e.Place {
			since = t.at
		}
	}
	if id.Artifact != "" && since > 0 {
		id.From, id.To = math.Ceil(since*100)/100, lasts
	}
	return id
}

// lasts is the end of an artifact that has none yet, s: as late as an identity can say.
const lasts = 86400

// healed is how fast the step between two episodes' pulse traces dies away, s: the
// vessels empty into the periphery.
const healed = 0.6

// A Feed is the running strip of a play. It goes on with each episode where the last
// one left off: one heart, whatever it turns into.
type Feed struct {
	play   *Play
	turns  []turn // those that the strip has taken, at strip times that had not been played
	player *synth.Player
	frames int64     // played
	offset []float64 // of the witnesses, dying away
	since  float64   // when the last turn was taken, s of strip time
	flowed bool      // whether blood flowed before it
	last   []float64 // the last value of each witness
}

// Feed is the strip of the play from its beginning.
func (p *Play) Feed() (*Feed, error) {
	f := &Feed{play: p, turns: slices.Clone(p.turns[:1])}
	player, err := synth.Open(identity(p.script, p.seed, f.turns))
	f.player = player
	return f, err
}

// Channels names the rows.
func (f *Feed) Channels() ([]ecg.Lead, []ecg.WitnessKind) { return f.player.Channels() }

// SampleRate is the sampling rate, Hz.
func (f *Feed) SampleRate() float64 { return f.player.SampleRate() }

// played is how far the strip has been played, s.
func (f *Feed) played() float64 { return float64(f.frames) / f.SampleRate() }

// Fill plays on.
func (f *Feed) Fill(dst [][]float64) (int, error) {
	if err := f.catchUp(); err != nil {
		return 0, err
	}
	n, err := f.player.Fill(dst)
	f.frames += int64(n)
	leads, _ := f.Channels()
	witnesses := dst[len(leads):]
	if len(f.last) != len(witnesses) {
		f.last, f.offset = make([]float64, len(witnesses)), make([]float64, len(witnesses))
	}
	fade := math.Exp(-1 / (healed * f.SampleRate()))
	for w, row := range witnesses {
		if f.since == f.played()-float64(n)/f.SampleRate() && n > 0 && f.since > 0 {
			f.offset[w] = f.last[w] - row[0]
		}
		for i := range n {
			row[i] += f.offset[w]
			f.offset[w] *= fade
		}
		if n > 0 {
			f.last[w] = row[n-1]
		}
	}
	return n, err
}

// catchUp takes the turns that the play has taken: another player of the same heart
// goes on from here.
func (f *Feed) catchUp() error {
	taken := len(f.turns)
	if taken == len(f.play.turns) {
		return nil
	}
	_, f.flowed = f.player.Oxygen()
	for _, t := range f.play.turns[taken:] {
		t.at = math.Max(t.at, f.played())
		f.turns = append(f.turns, t)
	}
	player, err := synth.Open(identity(f.play.script, f.play.seed, f.turns))
	if err != nil {
		return err
	}
	f.player, f.since = player, f.played()
	return skip(player, f.frames)
}

// skip plays frames that nobody sees.
func skip(p *synth.Player, frames int64) error {
	leads, witnesses := p.Channels()
	const at = 1000
	rows := make([][]float64, len(leads)+len(witnesses))
	flat := make([]float64, at*len(rows))
	for frames > 0 {
		n := min(frames, at)
		for i := range rows {
			rows[i] = flat[int64(i)*at : int64(i)*at+n]
		}
		got, err := p.Fill(rows)
		if err != nil {
			return err
		}
		frames -= int64(got)
	}
	return nil
}

// Identity is what the strip has shown so far.
func (f *Feed) Identity() ecg.Identity { return identity(f.play.script, f.play.seed, f.turns) }

// Oxygen is how far the saturation number has fallen by now, in %, and whether the
// probe finds a pulse. Where the flow stopped with an episode the number stands on for
// seconds all the same.
func (f *Feed) Oxygen() (fallen float64, found bool) {
	fallen, found = f.player.Oxygen()
	if !found && f.flowed {
		return synth.OxygenAfter(f.played() - f.since)
	}
	return fallen, found
}

// Cuff is what a cuff would measure now, mmHg, false without a pulse.
func (f *Feed) Cuff() (systolic, diastolic float64, ok bool) { return f.player.Cuff() }
