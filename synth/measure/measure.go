// Package measure reads a strip back from its samples alone: beats, waves,
// intervals, rates, and a name for the rhythm with its reasons. It knows nothing of
// how a strip was made, so it serves as referee over synthetic strips and reads
// recordings of real people as well. Start at Read; HeartRate and PulseRate are the
// two numbers a bedside display would show.
//
// Training only: a reading is not a diagnosis.
package measure

import (
	"fmt"
	"math"
	"slices"

	"telltrace/synth/ecg"
)

// A Reading is what was read from one lead of a strip. Times in s, rates in
// beats/min, amplitudes in mV; NaN where a quantity is absent or cannot be told.
type Reading struct {
	Lead ecg.Lead
	Kind Kind
	Dead []ecg.Lead // other leads of the strip that carry no signal

	Rate float64   // 60 over the mean RR; NaN with fewer than 2 beats
	RR   []float64 // s, beat to beat
	RRCV float64   // standard deviation of RR over its mean

	LongestRR float64 // longest RR over the median RR

	PPerQRS     float64   // P waves (or flutter waves) for each QRS, 0 when beats have none
	Relation    Relation  // of P to QRS
	AtrialRate  float64   // beats/min, of P or flutter waves; NaN when none are seen
	PRs         []float64 // s, of each beat; NaN where no P belongs to it
	PRSpread    float64   // s, longest less shortest PR of the usual beats
	PShapes     int       // shapes of the P waves that belong to beats
	Blocked     int       // P waves that no QRS follows
	MostBlocked int       // of them in a row
	EarlyP      int       // of them sooner after the last P than the usual one
	RP          float64   // s, QRS onset to the peak of a retrograde P; NaN without
	PR, QRS, QT float64   // s, medians: PR of the conducted beats, QRS and QT of the usual beats
	QTcB, QTcF  float64   // s, QT corrected by Bazett and by Fridericia at the mean RR

	Ectopics      int // beats of ventricular shape among others
	EctopicShapes int // their shapes
	LongestRun    int // most of them in a row
	Couplets      int // pairs of them

	Spikes []float64 // s, pacing spikes
	Levels Levels    // heights of the usual beats, mV
	Delta  float64   // s, slow start of the usual QRS
	Twist  float64   // how far the polarity of QRS turns over the strip, 0 to 1

	Marks  ecg.Marks // what was found; Episodes and Pulses stay empty
	Groups []int     // shape of each beat; 0 is that of the usual beats

	PeakToPeak        float64 // mV, without slow wander; of fibrillation the median over its seconds
	DominantFrequency float64 // Hz, 0.5-12, of the waves between complexes; NaN where P lead to a regular rhythm

	Name    string   // catalogue id, "" when it cannot be told from one lead
	Also    []string // further catalogue ids that hold: findings beside the rhythm, artifacts
	Reasons []string // in the order of reading: rate, regularity, P, PR, QRS, T, the name
	Against []string // what speaks against the name, or is wrong with the strip

	invertedP bool
	pShape    []int // shape of each beat's P, -1 without
	limits    Limits
	core      float64   // s, the steep part of the usual QRS
	builds    []build   // by group
	points    []float64 // mV, direction of each QRS
	widest    float64   // s, the usual QRS in the lead that shows it widest
	same      []bool    // by group: the QRS is the usual one, with another wave beside it
	starts    []bool    // by group: the QRS begins as the usual one
	limbQRS   float64   // mV, the largest QRS in the limb leads; NaN with fewer than 2
	tInI      int       // as pInI, of T
	pInI      int       // 1 P upright in lead I, -1 inverted, 0 not known
	lateI     float64   // end of QRS in lead I and V1, shares of their size
	lateV1    float64
	ahead     []ecg.Span // P-like waves before wide beats of another shape
}

// Limits are the bounds of usual for the patient's age.
type Limits struct {
	Slow, Fast float64 // beats/min: below is slow, above is fast
	Wide       float64 // s: a QRS from here on is wide

	ShortPR, LongPR float64 // s: limits of PR; 0 tells them from Fast
}

// Adult returns the limits of an adult: 60-100 beats/min (general usage), QRS of
// 0.12 s (Surawicz et al., AHA/ACCF/HRS 2009, from a second-hand copy).
func Adult() Limits { return Limits{Slow: 60, Fast: 100, Wide: 0.12} }

// An Option changes how Read judges.
type Option func(*Limits)

// WithLimits sets the limits for the patient's age; without it they are an adult's.
func WithLimits(l Limits) Option { return func(have *Limits) { *have = l } }

// Read reads one lead of a strip; lead "" chooses the best, lead II where it is
// usable. It errs on a strip without samples or with an unusable sampling rate, and
// on a lead the strip does not have. A dead or disturbed lead is not an error: the
// Reading says so. Two seconds are the least that gives a reading, ten are usual; a
// strip over which the rhythm changes is better named in pieces, as its kind of signal
// is judged once; where its beats come from is better told from all of it.
func Read(s ecg.Strip, lead ecg.Lead, options ...Option) (Reading, error) {
	limits := Adult()
	for _, o := range options {
		o(&limits)
	}
	if err := check(s); err != nil {
		return Reading{}, err
	}
	d := desks.Get().(*desk)
	defer d.clear()
	var row int
	var t tracing
	if lead == "" {
		row, t = bestLead(s, d)
	} else if row = slices.Index(s.Leads, lead); row < 0 {
		return Reading{}, fmt.Errorf("measure: the strip has no lead %q; it has %v", lead, s.Leads)
	} else {
		t = examine(clean(s.MV[row]), s.Rate, d)
	}
	r := Reading{limits: limits, Lead: s.Leads[row], Kind: t.kind, Rate: math.NaN(), RRCV: math.NaN(), PPerQRS: math.NaN(),
		AtrialRate: math.NaN(), PRSpread: math.NaN(), RP: math.NaN(), LongestRR: math.NaN(), Delta: math.NaN(),
		Levels: noLevels(), PR: math.NaN(), QRS: math.NaN(), QT: math.NaN(), QTcB: math.NaN(), QTcF: math.NaN(),
		PeakToPeak: t.features.peakToPeak, DominantFrequency: math.NaN()}
	if t.kind == Fibrillation {
		r.PeakToPeak = t.features.waves
	}
	for i, l := range s.Leads {
		if i != row && dead(s.MV[i]) {
			r.Dead = append(r.Dead, l)
		}
	}
	if t.kind == Organised || t.kind == Disturbed {
		t.addHidden(s, row)
		var others [][]float64
		for i, mv := range s.MV {
			if i != row && !slices.Contains(r.Dead, s.Leads[i]) {
				others = append(others, clean(mv).mv)
			}
		}
		r.mark(t, others)
	}
	if t.kind != Disconnected && (t.kind != Organised || r.Relation != Conducted || r.RRCV >= afCV) {
		r.DominantFrequency = t.dominant()
	}
	r.judge(limits, t, s, row)
	if len(t.at) == len(r.Marks.Beats) && t.kind == Organised { // in a shaken lead shapes tell nothing
		r.setOrigins(t.typed(r.builds, limits.Wide, func(i int) bool { return r.Marks.Beats[i].P.Present() }))
	}
	return r, nil
}

func check(s ecg.Strip) error {
	switch {
	case len(s.MV) == 0 || len(s.MV[0]) == 0:
		return fmt.Errorf("measure: the strip has no samples")
	case len(s.Leads) != len(s.MV):
		return fmt.Errorf("measure: the strip names %d leads for %d rows of samples", len(s.Leads), len(s.MV))
	case !usableRate(s.Rate):
		return fmt.Errorf("measure: sampling rate %g Hz is outside 50 to 20000", s.Rate)
	}
	for i, row := range s.MV {
		if len(row) != len(s.MV[0]) {
			return fmt.Errorf("measure: lead %s has %d samples, lead %s has %d", s.Leads[i], len(row), s.Leads[0], len(s.MV[0]))
		}
	}
	return nil
}

// dead reports whether a lead carries no signal: invalid or without any movement.
func dead(mv []float64) bool {
	low, high, good := math.Inf(1), math.Inf(-1), 0
	for _, v := range mv {
		if math.Abs(v) <= invalidAbove {
			low, high = min(low, v), max(high, v)
			good++
		}
	}
	return 2*good < len(mv) || high-low < deadBelow
}

// bestLead prefers lead II; where it is not usable, or its complexes are small beside
// those of another lead, the lead whose beats repeat best for their noise.
func bestLead(s ecg.Strip, d *desk) (row int, best tracing) {
	two := slices.IndexFunc(s.Leads, isTwo)
	all := make([]tracing, len(s.MV))
	if two >= 0 {
		if all[two] = examine(clean(s.MV[two]), s.Rate, d); all[two].kind == Organised && !smallIn(s, two, all[two]) {
			return two, all[two]
		}
	}
	sharpest := 0.0
	for i, mv := range s.MV {
		if i != two {
			all[i] = examine(clean(mv), s.Rate, d)
		}
		if all[i].kind == Organised {
			sharpest = max(sharpest, all[i].sharpness())
		}
	}
	score := -1.0
	for i, l := range s.Leads {
		t := all[i]
		v := 0.0
		switch t.kind {
		case Organised:
			v = 3 + t.features.alike - t.features.spread
			more := 0
			for _, o := range all {
				if o.kind == Organised && o.features.alike > cleaner && t.fewer(len(o.beats), o.sharpness()) {
					more++
				}
			}
			if more > 0 && 2*more >= len(all)-1 || t.sharpness() < smallBeside*sharpest {
				v -= 0.9
			}
		case Fibrillation:
			v = 2
		case Disturbed:
			v = 1
		case Flat:
			v = 0.5
		}
		if isTwo(l) {
			v += 0.3
		}
		if v > score {
			row, best, score = i, t, v
		}
	}
	return row, best
}

// isTwo reports whether a lead is lead II, or the modified one of recordings that are worn.
func isTwo(l ecg.Lead) bool { return l == ecg.II || l == "MLII" }

// Beside another lead a lead is not read where that one can be: below this share of the
// sharpness of its complexes, or of their number, as where only the ectopic ones are large.
const (
	smallBeside = 0.30
	fewBeside   = 0.90
)

// smallIn reports whether the complexes of a lead are small beside those of another lead, or
// fewer than in half of the others, as far as their beats alone can tell.
func smallIn(s ecg.Strip, row int, t tracing) bool {
	sharpness, more := t.sharpness(), 0
	for i, mv := range s.MV {
		if i == row {
			continue
		}
		var bends []float64
		for _, b := range detect(clean(mv).mv, s.Rate) {
			bends = append(bends, b.bend)
		}
		sharp := median(bends)
		if sharpness < smallBeside*sharp {
			return true
		}
		if t.fewer(len(bends), sharp) {
			more++
		}
	}
	return more > 0 && 2*more >= len(s.MV)-1
}

// fewer reports whether a lead shows fewer complexes than another one, of so many that are as
// sharp as its own.
func (t tracing) fewer(beats int, sharpness float64) bool {
	return float64(len(t.beats)) < fewBeside*float64(beats) && t.sharpness() <= sharpness
}

// sharpness is the median bend of the beats.
func (t tracing) sharpness() float64 {
	bends := make([]float64, len(t.beats))
	for i, b := range t.beats {
		bends[i] = b.bend
	}
	return median(bends)
}
