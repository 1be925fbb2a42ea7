package synth

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"telltrace/synth/artifact"
	"telltrace/synth/dipole"
	"telltrace/synth/ecg"
	"telltrace/synth/heart"
	"telltrace/synth/rhythm"
)

// Streams of chance drawn from one seed; append only, so that strips stay the same.
const (
	chancePatient = iota + 1
	chanceHeart
	chanceDipole
	chanceSkin
	chanceArtifact
	chancePulse
	chancePulseArtifact
	chanceSteps
	chanceLeadArtifact
)

// warmUp is how long the heart has been beating when the strip begins, s.
const warmUp = 12

// marksKept is how long a Player remembers what it drew, s.
const marksKept = 120

// A Player plays the strip of an identity. It is an ecg.Source without end: one row
// per lead of the identity in millivolts, then one for the pulse trace.
type Player struct {
	id      ecg.Identity
	patient rhythm.Patient
	shows   rhythm.Evidence
	leads   ecg.Source
	blood   *pulse
	pulse   ecg.Source // the finger's trace
	keep    float64
	marks   ecg.Marks
	now     int64 // frames played

	pulses    []float64 // feet that are still to come or have just come, s
	lastPulse float64   // s; the last that has reached the finger and that the probe found

	blind func(t float64) bool // whether the probe misses a pulse at t, s; nil for never
}

// Open makes the player of a synthetic identity. Errors name the part of the
// identity that cannot be and the nearest one that can.
func Open(id ecg.Identity) (*Player, error) {
	if err := Check(id); err != nil {
		return nil, err
	}
	r, _ := rhythm.ByID(id.Rhythm)
	chance := func(stream uint64) *rand.Rand { return rand.New(rand.NewPCG(id.Seed, stream)) }

	patientChance := chance(chancePatient)
	patient := rhythm.NewPatient(id.Age, patientChance)
	setup, err := r.For(patient, id.State, id.Severity, patientChance)
	if err != nil {
		return nil, err
	}
	h, err := heart.New(setup.Heart, -warmUp, chance(chanceHeart))
	if err != nil {
		return nil, err
	}
	p := &Player{id: id, patient: patient, shows: r.Shows, keep: marksKept, lastPulse: -warmUp - numberLost}
	p.marks.P, p.marks.Beats = make([]ecg.Span, 0, 64), make([]ecg.Beat, 0, 64)
	rate := float64(id.Rate)
	p.blood = newPulse(setup.Heart.Pump, rate, h.Breath, chance(chancePulse).IntN(noiseLength))
	changes, err := p.plan(h, chance(chanceSteps))
	if err != nil {
		return nil, err
	}
	rows := baseRows(id.Leads)
	ground := newSkin(rows, rate, setup.Heart.Breaths, h.Breath(0), setup.Noise, chance(chanceSkin))
	beats := dipole.NewPlayer(h, setup.Dipole, rate, ground, rows, chance(chanceDipole), p.note)
	for _, c := range changes {
		beats.Change(c.at, c.setup.Dipole)
	}
	p.blood.settle()
	return p, p.disturb(beats, rows, chance)
}

// A turn is a rhythm that takes over at a time.
type turn struct {
	at    float64
	setup rhythm.Setup
}

// plan tells the heart what it will become, for the same patient.
func (p *Player) plan(h *heart.Heart, rng *rand.Rand) ([]turn, error) {
	var turns []turn
	for _, step := range p.id.Then {
		r, _ := rhythm.ByID(step.Rhythm)
		setup, err := r.For(p.patient, p.id.State, p.id.Severity, rng)
		if err != nil {
			return nil, err
		}
		if err := h.Change(step.At, setup.Heart); err != nil {
			return nil, err
		}
		turns = append(turns, turn{step.At, setup})
	}
	return turns, nil
}

// disturb lays the artifact over electrodes, leads and pulse, and makes the leads.
func (p *Player) disturb(base ecg.Source, rows int, chance func(uint64) *rand.Rand) error {
	id, rate := p.id, float64(p.id.Rate)
	kind, _ := artifact.ByID(id.Artifact) // of no effect when there is none
	setting := artifact.Setting{Rate: rate, Electrodes: dipole.Electrodes, Leads: id.Leads, Place: kind.Place(id)}
	lay := func(src ecg.Source, by func(ecg.Source, artifact.Setting) ecg.Source, stream uint64) ecg.Source {
		if by == nil {
			return src
		}
		setting.RNG = chance(stream)
		if id.To == 0 {
			return by(src, setting)
		}
		return artifact.During(src, by, setting, id.From, id.To)
	}
	if kind.Electrodes != nil || id.Trunk {
		base = atElectrodes(base, rows, chestPlace(id.Leads), id.Trunk, func(src ecg.Source) ecg.Source { return lay(src, kind.Electrodes, chanceArtifact) })
	}
	made, err := newLeads(base, id.Leads)
	if err != nil {
		return err
	}
	p.leads = lay(made, kind.Leads, chanceLeadArtifact)
	p.pulse = lay(p.blood, kind.Pulse, chancePulseArtifact)
	if kind.Blind != nil {
		p.blind = func(t float64) bool {
			return (id.To == 0 || t >= id.From && t < id.To) && kind.Blind(setting.Place, t-id.From)
		}
	}
	return nil
}

// Identity is what is being played.
func (p *Player) Identity() ecg.Identity { return p.id }

// Patient is the invented body behind the strip.
func (p *Player) Patient() rhythm.Patient { return p.patient }

// Channels names the rows that Fill writes: the leads of the identity, the pulse
// trace, and the arterial pressure where a line is in.
func (p *Player) Channels() ([]ecg.Lead, []ecg.WitnessKind) {
	if p.id.Arterial {
		return p.id.Leads, []ecg.WitnessKind{ecg.Pleth, ecg.ArterialPressure}
	}
	return p.id.Leads, []ecg.WitnessKind{ecg.Pleth}
}

// SampleRate is the sampling rate in Hz.
func (p *Player) SampleRate() float64 { return float64(p.id.Rate) }

// Fill plays the next frames into one row for each of Channels.
func (p *Player) Fill(dst [][]float64) (int, error) {
	leads, witnesses := p.Channels()
	if len(dst) != len(leads)+len(witnesses) {
		panic(fmt.Sprintf("synth: Fill wants %d rows, got %d", len(leads)+len(witnesses), len(dst)))
	}
	n, err := p.leads.Fill(dst[:len(leads)])
	if err != nil {
		return n, err
	}
	if p.id.Arterial {
		p.blood.line = dst[len(leads)+1]
	}
	if _, err := p.pulse.Fill(dst[len(leads) : len(leads)+1]); err != nil {
		return n, err
	}
	p.now += int64(n)
	p.arrive()
	p.forget()
	return n, nil
}

// Leads is the player without its witnesses: one row per lead of the identity. The
// pulse is not worked out, so what reads Leads must not read the player as well.
func (p *Player) Leads() ecg.Source { return leadsAlone{p} }

type leadsAlone struct{ p *Player }

func (l leadsAlone) Fill(dst [][]float64) (int, error) {
	n, err := l.p.leads.Fill(dst)
	l.p.blood.ejections, l.p.pulses = l.p.blood.ejections[:0], l.p.pulses[:0] // nobody will feel them
	l.p.now += int64(n)
	l.p.forget()
	return n, err
}

// note keeps the truth of an activation and hands its stroke to the circulation.
func (p *Player) note(b *dipole.Beat) {
	switch b.Chamber {
	case heart.OfAtria:
		p.marks.P = append(p.marks.P, b.P)
		return
	case heart.Spike:
		return
	}
	for i := len(p.marks.P) - 1; i >= 0 && !math.IsNaN(b.Activation.P); i-- {
		if p.marks.P[i].Onset == b.Activation.P {
			b.Beat.P = p.marks.P[i]
			break
		}
	}
	p.marks.Beats = append(p.marks.Beats, b.Beat)
	if foot, ok := p.blood.eject(b.Activation); ok {
		p.marks.Pulses = append(p.marks.Pulses, foot)
		p.pulses = append(p.pulses, foot)
	}
}

// arrive notes the pulses that have reached the finger by now.
func (p *Player) arrive() {
	now, n := float64(p.now)/float64(p.id.Rate), 0
	for n < len(p.pulses) && p.pulses[n] <= now {
		if p.blind == nil || !p.blind(p.pulses[n]) {
			p.lastPulse = p.pulses[n]
		}
		n++
	}
	p.pulses = p.pulses[:copy(p.pulses, p.pulses[n:])]
}

// forget drops marks that are too old to be asked for.
func (p *Player) forget() {
	before := float64(p.now)/float64(p.id.Rate) - p.keep
	if len(p.marks.Beats) == 0 && len(p.marks.P) == 0 || math.IsInf(before, -1) {
		return
	}
	p.marks.P = dropBefore(p.marks.P, func(s ecg.Span) bool { return s.Onset < before })
	p.marks.Beats = dropBefore(p.marks.Beats, func(b ecg.Beat) bool { return b.QRS.Onset < before })
	p.marks.Pulses = dropBefore(p.marks.Pulses, func(t float64) bool { return t < before })
}

// dropBefore drops the old head of a list once it is long enough to be worth it.
func dropBefore[T any](list []T, old func(T) bool) []T {
	n := 0
	for n < len(list) && old(list[n]) {
		n++
	}
	if n < 64 {
		return list
	}
	return list[:copy(list, list[n:])]
}

// Marks is the truth from one time to another, seconds from the start of the strip,
// as far as it has been played and not more than two minutes back. Times in it
// count from the time given as from.
func (p *Player) Marks(from, to float64) ecg.Marks {
	var m ecg.Marks
	for _, s := range p.marks.P {
		if s.Onset >= from && s.Offset <= to {
			m.P = append(m.P, s.Shift(-from))
		}
	}
	for _, b := range p.marks.Beats {
		if b.QRS.Onset < from || b.QRS.Offset > to {
			continue
		}
		if b.P.Onset < from {
			b.P = ecg.Span{}
		}
		if b.T.Offset > to {
			b.T = ecg.Span{}
		}
		m.Beats = append(m.Beats, b.Shift(-from))
	}
	for _, t := range p.marks.Pulses {
		if t >= from && t <= to {
			m.Pulses = append(m.Pulses, t-from)
		}
	}
	m.Episodes = p.episodes(from, to)
	return m
}

// episodes are the rhythms between two times, counted from the first.
func (p *Player) episodes(from, to float64) []ecg.Episode {
	steps := append([]ecg.Step{{At: 0, Rhythm: p.id.Rhythm}}, p.id.Then...)
	var out []ecg.Episode
	for i, step := range steps {
		end := to
		if i+1 < len(steps) {
			end = math.Min(to, steps[i+1].At)
		}
		if begin := math.Max(step.At, from); begin < end {
			out = append(out, ecg.Episode{Rhythm: step.Rhythm, From: begin - from, To: end - from})
		}
	}
	return out
}

// EvidenceAt is when the strip, seen from time from on, has shown what it is about:
// seconds from its start, false when that has not been played yet. An artifact
// shows within two seconds.
func (p *Player) EvidenceAt(from float64) (float64, bool) {
	enough := from + 2 // s without any beat
	played := float64(p.now) / float64(p.id.Rate)
	if p.id.Artifact != "" {
		return enough, played >= enough
	}
	silent := p.shows == rhythm.AfterBeats
	for _, b := range p.marks.Beats {
		if b.QRS.Onset >= from && b.QRS.Onset < enough {
			silent = false
		}
	}
	if silent {
		return enough, played >= enough
	}
	if p.shows == rhythm.AfterBlockedP {
		return p.blockedP(from, played)
	}
	run, ectopics, beats, last := 0, 0, 0, math.NaN()
	for _, b := range p.marks.Beats {
		if b.QRS.Onset < from || b.T.Offset > played {
			continue
		}
		rr := b.QRS.Onset - last
		last = b.QRS.Onset
		beats++
		run++
		if b.Origin == ecg.OriginSinus {
			run = 0
		} else {
			ectopics++
		}
		switch {
		case p.shows == rhythm.AfterBeats && beats == 3,
			p.shows == rhythm.AfterEctopic && run == 1,
			p.shows == rhythm.AfterPair && run == 2,
			p.shows == rhythm.AfterTwo && ectopics == 2,
			p.shows == rhythm.AfterRun && run == 3,
			p.shows == rhythm.AfterPause && rr > 1.6*60/p.patient.RestRate:
			return b.T.Offset, true
		}
	}
	return 0, false
}

// blockedP is when two P waves have been seen without a QRS between them.
func (p *Player) blockedP(from, played float64) (float64, bool) {
	for i := 1; i < len(p.marks.P); i++ {
		first, second := p.marks.P[i-1], p.marks.P[i]
		if first.Onset < from || second.Offset > played {
			continue
		}
		answered := slices.ContainsFunc(p.marks.Beats, func(b ecg.Beat) bool {
			return b.QRS.Onset >= first.Onset && b.QRS.Onset < second.Onset
		})
		if !answered {
			return second.Offset, true
		}
	}
	return 0, false
}

// Render plays the first seconds of an identity into a strip, with its truth.
func Render(id ecg.Identity, seconds float64) (ecg.Strip, ecg.Marks, error) {
	frames := int(math.Round(seconds * float64(id.Rate)))
	if frames < 1 || seconds > 24*3600 {
		return ecg.Strip{}, ecg.Marks{}, fmt.Errorf("strip of %g s: allowed is one sample to 24 hours", seconds)
	}
	p, err := Open(id)
	if err != nil {
		return ecg.Strip{}, ecg.Marks{}, err
	}
	p.keep = math.Inf(1)
	leads, witnesses := p.Channels()
	n := len(leads) + len(witnesses)
	flat := make([]float64, n*frames)
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = flat[i*frames : (i+1)*frames : (i+1)*frames]
	}
	if _, err := p.Fill(rows); err != nil {
		return ecg.Strip{}, ecg.Marks{}, err
	}
	strip := ecg.Strip{Rate: float64(id.Rate), Leads: leads, MV: rows[:len(leads)]}
	for i, k := range witnesses {
		unit := ""
		if k == ecg.ArterialPressure {
			unit = "mmHg"
		}
		strip.Witnesses = append(strip.Witnesses, ecg.Witness{Kind: k, Unit: unit, Values: rows[len(leads)+i]})
	}
	return strip, p.Marks(0, seconds), nil
}
