package limits

import (
	"fmt"
	"math"
	"math/rand/v2"

	"telltrace/scenarios/task"
	"telltrace/synth/ecg"
)

// A Drawn is a case with its day and what is asked.
type Drawn struct {
	task.Task
	Case
	Day  Day
	From int // the minute from which the limits hold
}

// The fields, by their place.
const (
	BaselineField = iota
	LowField
	HighField
	WhenField
)

// left are the limits that the patient before has left at the bed.
const (
	leftLow  = 100
	leftHigh = 180
)

// New makes the task of a kind of patient.
func New(kind Kind, rng *rand.Rand) Drawn {
	c := Draw(kind, rng)
	d := Drawn{Case: c, Day: c.Day(), From: 60 * Before}
	base := d.baseline()
	low, high := c.Practice(base)
	within := max(5, 0.06*base)
	lowWithin, highWithin := within, within
	if c.Low > 0 {
		lowWithin, highWithin = 0, 0
	}
	if c.SetRate > 0 {
		lowWithin = pacedBelow
	}
	d.Strip, d.Subject = c.strip(), c.strip().Subject()
	d.Text = c.Words() + " Set the limits of the heart rate."
	d.Fields = []task.Field{
		{Name: "baseline", Number: &task.Number{Unit: "/min", Least: 20, Most: 250, Step: 5, Start: task.Value(c.NowRate), Truth: math.Round(base), Within: math.Round(within),
			Why: func(int) string { return c.whyBaseline(base) }}},
		{Name: "low limit", Number: &task.Number{Unit: "/min", Least: 0, Most: 200, Step: 5, Start: leftLow, Truth: float64(low), Within: math.Round(lowWithin),
			Unsafe: func(v int) bool { return v < c.Floor }, Why: func(v int) string { return d.whyLow(v, base) }}},
		{Name: "high limit", Number: &task.Number{Unit: "/min", Least: 50, Most: 300, Step: 5, Start: leftHigh, Truth: float64(high), Within: math.Round(highWithin),
			Unsafe: func(v int) bool { b := Of(d.Day, d.From, 0, v); return len(b.Late) == 0 },
			Why:    func(v int) string { return d.whyHigh(v, base) }}},
		when,
	}
	d.After = d.after
	return d
}

// strip stands for the patient in the ledger.
func (c Case) strip() ecg.Identity {
	rhythm := "sinus-rhythm"
	if c.SetRate > 0 {
		rhythm = "atrial-pacing"
	}
	return ecg.Synthetic(rhythm, c.Age, c.Seed)
}

// baseline is what the hours before show.
func (d Drawn) baseline() float64 {
	abnormal := d.From
	if d.Kind == Abnormal {
		abnormal -= abnormalFor
	}
	return Baseline(d.Day, d.From, abnormal)
}

// when is when limits are set: within an hour of taking over and on every change (AACN
// practice alert, read).
var when = task.Field{Name: "set and reviewed", Choices: []task.Choice{
	{Words: "once, on admission", Why: "A limit of yesterday's patient state warns of nothing today."},
	{Words: "within the first hour, and on every change", Right: true, Why: "Within an hour of taking over, and whenever patient, drugs or rhythm change; handed over with the reason."},
	{Words: "when alarms become a nuisance", Unsafe: true, Why: "Moved to have quiet they end where nothing is heard. Look why they sound first."},
	{Words: "by the technician, not by the nurse", Why: "The one who looks after the patient sets them, within what is ordered."},
}}

func (c Case) whyBaseline(base float64) string {
	s := fmt.Sprintf("Over sleep and rest it is %.0f.", base)
	switch c.Kind {
	case Frightened:
		s += " The number at the moment is that of a frightened patient: never a baseline."
	case Abnormal:
		s += " The rhythm of the last ninety minutes is not the patient's own: never a baseline."
	case Ordered:
		s += " It lies outside the centiles, is known, and so the order holds."
	case Paced:
		s += " The pacemaker holds it."
	}
	return s
}

func (d Drawn) whyLow(v int, base float64) string {
	low, _ := d.Practice(base)
	var s string
	switch {
	case d.Low > 0:
		s = fmt.Sprintf("Ordered is %d: outside the centiles the order is set, nothing else.", d.Low)
	case d.SetRate > 0:
		s = fmt.Sprintf("Close to the set rate of %d: a wire that fails is told at once.", d.SetRate)
	default:
		s = fmt.Sprintf("About 20 %% below %.0f, and never below the floor of %d.", base, d.Floor)
	}
	switch b := Of(d.Day, d.From, v, math.MaxInt); {
	case v < d.Floor:
		s += " This one lies below the floor that is ordered."
	case v > low && b.PerHour() > alarmWithoutEnd:
		s += fmt.Sprintf(" At %d it alarms without end: %.0f an hour.", v, b.PerHour())
	}
	return s
}

func (d Drawn) whyHigh(v int, base float64) string {
	s := fmt.Sprintf("About 20 %% above %.0f.", base)
	if d.High > 0 {
		s = fmt.Sprintf("Ordered is %d.", d.High)
	}
	b := Of(d.Day, d.From, 0, v)
	switch {
	case b.Alarms == 0:
		s += " At this one nothing sounds, whatever happens."
	case len(b.Late) == 0:
		s += " At this one the fast rhythm of the day goes unheard."
	case b.PerHour() > alarmWithoutEnd:
		s += fmt.Sprintf(" At %d it alarms without end: %.0f an hour.", v, b.PerHour())
	}
	return s
}

// after is what the limits did in the day, what those of common practice would have done, and
// what is published.
func (d Drawn) after(v []task.Value) []string {
	low, high := d.Practice(d.baseline())
	b, p := Of(d.Day, d.From, int(v[LowField]), int(v[HighField])), Of(d.Day, d.From, low, high)
	out := b.Words()
	out = append(out,
		fmt.Sprintf("Common practice here, %d and %d: %.1f alarms an hour, %d of %d real, %d of %d events caught.", low, high, p.PerHour(), p.Real, p.Alarms, len(p.Late), p.Events),
		fmt.Sprintf("Published, all alarms of a bed: %.0f an hour (Drew 2014); in children's intensive care %.0f %% need no action (Bonafide 2015). Local policy and orders come first.", PublishedPerHour, 100*PublishedNotActionable))
	return out
}
