// Package limits is the exercise in setting alarm limits of the heart rate: a patient's day,
// minute by minute, what limits would have done in it, and how that compares with common
// practice and with what is published about alarms. Invented patients; training only.
package limits

import (
	"fmt"
	"math"
	"math/rand/v2"

	"telltrace/synth/ecg"
	"telltrace/synth/norms"
)

// A Doing is what a patient does in a minute.
type Doing string

// The doings. Only the first two make a baseline.
const (
	Asleep  Doing = "asleep"
	Resting Doing = "awake, at rest"
	Cared   Doing = "being cared for"
	Crying  Doing = "crying"
)

// Calm reports whether a baseline may be taken from it.
func (d Doing) Calm() bool { return d == Asleep || d == Resting }

// A Minute is one minute of the trend.
type Minute struct {
	Doing    Doing
	Rate     float64 // the heart's, beats/min
	Counted  float64 // what the display counts, beats/min: with movement it is something else
	Movement bool
}

// An Event is something that somebody should come for.
type Event struct {
	From, To int  // minutes, To not among them
	Low      bool // the rate falls; else it rises
}

// A Day is a trend with what was true in it.
type Day struct {
	Minutes []Minute
	Events  []Event
}

// A Case is a patient whose limits are to be set.
type Case struct {
	Kind     Kind
	Age      ecg.Age
	Seed     uint64
	Baseline float64 // over sleep and rest, beats/min
	Floor    int     // the ordered floor of the low limit for the age, beats/min
	Low      int     // limits that are ordered for this patient, 0 where none are
	High     int
	SetRate  int // of the pacemaker, beats/min, 0 without
	NowRate  int // what the display shows as one comes to the bed
}

// A Kind is what is special about a patient.
type Kind int

// The kinds.
const (
	Usual      Kind = iota
	Frightened      // the number on the display is that of a crying patient
	Ordered         // the baseline lies outside the centiles, and limits are ordered
	Paced           // a pacemaker is set
	Abnormal        // a rhythm that is not the patient's own runs as one comes
	Kinds
)

// Hours are those before the limits are set, seen when setting them, and those after.
const (
	Before = 6
	After  = 24
)

// abnormalFor is how long a rhythm that is not the patient's own has run, min.
const abnormalFor = 90

// ages are those of the exercise.
var ages = []ecg.Age{ecg.Days(10), ecg.Months(4), ecg.Years(2), ecg.Years(4), ecg.Years(8), ecg.Years(13), ecg.Years(44)}

// Draw draws a patient of a kind. The baseline lies between sleeping and waking ranges of the
// age: halfway between the middle of sleep (PALS 2015 and 2006) and the centiles' middle
// (Fleming 2011).
func Draw(kind Kind, rng *rand.Rand) Case {
	c := Case{Kind: kind, Age: ages[rng.IntN(len(ages))], Seed: rng.Uint64N(1_000_000)}
	asleep, all := norms.HeartRateAsleep(c.Age).Aim, norms.HeartRateCentiles(c.Age)
	c.Baseline = math.Round((asleep.Median+all.P[3])/2 + 3*rng.NormFloat64())
	c.Floor = floor(c.Age)
	switch kind {
	case Ordered: // slow since birth, known, well
		c.Baseline = math.Round(0.92 * all.P[0])
		c.Low = nearest5(0.85 * c.Baseline)
		c.High = nearest5(1.3 * c.Baseline)
		c.Floor = c.Low
	case Paced:
		c.SetRate = nearest5(c.Baseline)
		c.Baseline = float64(c.SetRate)
	}
	c.Baseline = max(c.Baseline, float64(c.Floor)+8)
	switch kind {
	case Frightened:
		c.NowRate = nearest5(1.35 * c.Baseline)
	case Abnormal:
		c.NowRate = nearest5(1.6 * c.Baseline)
	default:
		c.NowRate = int(c.Baseline)
	}
	return c
}

// floor is the invented ward's order for the low limit of an age: the lowest rate in sleep on
// which the clinical tables agree, never below 60 in a child up to puberty, to the next five below.
func floor(age ecg.Age) int {
	f := norms.HeartRateAsleep(age).Aim.Low
	if age.Years() < 12 {
		f = max(f, 60)
	}
	return int(f/5) * 5
}

func nearest5(x float64) int { return 5 * int(math.Round(x/5)) }

// Day simulates a day of the patient and the hours before it. All that chance decides
// comes from the case's seed.
func (c Case) Day() Day {
	rng := rand.New(rand.NewPCG(c.Seed, 0xda7))
	d := Day{Minutes: make([]Minute, 60*(Before+After))}
	drift, wander := 0.0, 0.0
	doing, left := Resting, 0
	for i := range d.Minutes {
		if left == 0 {
			doing, left = nextDoing(c.Age, doing, i, rng)
		}
		left--
		drift += 0.04*rng.NormFloat64() - 0.004*drift
		wander = 0.6*wander + rng.NormFloat64()
		now := doing
		rate := c.Baseline * (1 + map[Doing]float64{Asleep: -0.05, Resting: 0.04, Cared: 0.11, Crying: 0.30}[doing])
		if doing == Crying && left < 2 {
			rate = c.Baseline * 1.15
		}
		rate += 0.012 * c.Baseline * (wander + 4*drift)
		if c.SetRate > 0 {
			rate = max(rate-0.04*c.Baseline, float64(c.SetRate))
		}
		if c.Kind == Abnormal && i >= 60*Before-abnormalFor && i < 60*Before+20 {
			rate = float64(c.NowRate) + rng.NormFloat64()
		}
		if c.Kind == Frightened && i >= 60*Before-12 && i < 60*Before+6 {
			rate, now = float64(c.NowRate)+3*rng.NormFloat64(), Crying
		}
		d.Minutes[i] = Minute{Doing: now, Rate: rate, Counted: rate}
	}
	c.happen(&d, rng)
	for i := range d.Minutes {
		m := &d.Minutes[i]
		share := map[Doing]float64{Asleep: 0.004, Resting: 0.02, Cared: 0.15, Crying: 0.2}[m.Doing]
		if rng.Float64() < share { // shaken: counted twice, or beats are missed
			m.Movement = true
			m.Counted = m.Rate * (1.4 + 0.5*rng.Float64())
			if rng.IntN(3) == 0 {
				m.Counted = m.Rate * (0.4 + 0.3*rng.Float64())
			}
		}
		m.Rate, m.Counted = math.Round(m.Rate), math.Round(m.Counted)
	}
	return d
}

// nextDoing is what comes after something, and for how many minutes.
func nextDoing(age ecg.Age, was Doing, minute int, rng *rand.Rand) (Doing, int) {
	night := minute%(24*60) < 8*60 // the trend begins at ten in the evening
	sleep := 0.45
	switch {
	case age.Years() < 1:
		sleep = 0.65
	case night:
		sleep = 0.8
	case age.Years() >= 6:
		sleep = 0.15
	}
	x := rng.Float64()
	switch {
	case was == Cared && age.Years() < 6 && x < 0.4:
		return Crying, 4 + rng.IntN(10)
	case was.Calm() && x < 0.22:
		return Cared, 8 + rng.IntN(14)
	case rng.Float64() < sleep:
		return Asleep, 30 + rng.IntN(60)
	}
	return Resting, 20 + rng.IntN(40)
}

// happen lays the true events over the day: two of a falling rate and one of a rising one; with
// a pacemaker the falls are those of a wire that does not capture.
func (c Case) happen(d *Day, rng *rand.Rand) {
	place := func(part, parts, length int, low bool, change func(rate float64, t float64) float64) {
		span := 60 * After / parts
		from := 60*Before + part*span + 30 + rng.IntN(span-length-60)
		d.Events = append(d.Events, Event{From: from, To: from + length, Low: low})
		for i := range length {
			m := &d.Minutes[from+i]
			t := float64(i+1) / float64(length)
			m.Rate = change(c.Baseline, t)
			m.Counted = m.Rate
			if m.Doing == Crying {
				m.Doing = Resting
			}
		}
	}
	fall := func(deep float64) func(float64, float64) float64 {
		return func(rate, t float64) float64 {
			return rate*(1-deep*math.Min(1, 1.8*t)) + 0.01*rate*rng.NormFloat64()
		}
	}
	place(0, 3, 5+rng.IntN(4), true, fall(0.34))
	place(1, 3, 12+rng.IntN(10), false, func(rate, t float64) float64 {
		return rate*(1+0.42*math.Min(1, 2*t)) + 0.01*rate*rng.NormFloat64()
	})
	place(2, 3, 4+rng.IntN(4), true, fall(0.42))
}

// Words introduces the patient.
func (c Case) Words() string {
	s := fmt.Sprintf("%s old. Ordered floor of the low limit at this age: %d.", c.Age.Words(), c.Floor)
	switch c.Kind {
	case Frightened:
		s += fmt.Sprintf(" As you come the line is being changed; crying, %d.", c.NowRate)
	case Ordered:
		s = fmt.Sprintf("%s old. Slow since birth, known and well, outside the centiles of the age; ordered: low %d, high %d.", c.Age.Words(), c.Low, c.High)
	case Paced:
		s += fmt.Sprintf(" A pacemaker is set to %d.", c.SetRate)
	case Abnormal:
		s += fmt.Sprintf(" For ninety minutes a new fast rhythm, %d; the team is treating it.", c.NowRate)
	}
	return s
}
