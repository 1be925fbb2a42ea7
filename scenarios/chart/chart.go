// Package chart is the exercise in charting a strip field by field, and in naming reversible
// causes and where to look for them. What is measured is held against the truth of the strip,
// within tolerances that are said. Invented patients; training only.
package chart

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat"

	"telltrace/scenarios"
	"telltrace/scenarios/task"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// A Drawn is a strip to chart, as it is printed.
type Drawn struct {
	task.Task
	Speed float64 // mm/s
	Gain  float64 // mm/mV
}

// Tolerances. A rate: the greater of 5 a minute and 10 %, as is allowed to a rate meter (EC13,
// from memory), and 10 a minute where it is counted over six seconds (common practice). An
// interval: half a small box at 25 mm/s, QT one (common practice).
const (
	rateLeast   = 5.0
	rateShare   = 0.10
	countWithin = 10.0
	within      = 0.020 // s, PR and QRS
	qtWithin    = 0.040 // s
)

// The words of the fields that are chosen.
const (
	regular  = "regular"
	early    = "regular but for early beats"
	repeats  = "uneven in a pattern that repeats"
	chaotic  = "irregular without a pattern"
	oneEach  = "one before every QRS"
	blocked  = "some without a QRS"
	apart    = "P and QRS each at their own rate"
	noP      = "none to be seen"
	notEarly = "one before each QRS but the early ones"
	none     = "none"
	single   = "single wide early beats"
	second   = "every second beat wide and early"
	runs     = "three or more wide beats in a row"
)

// A subject is an entry that can be charted, with what stands in its fields.
type subject struct {
	id                        string
	regularity, p, ectopics   string
	noAtrial, noPR, noPattern bool // no atrial rate, no constant PR; the rate is counted over six seconds
}

var subjects = []subject{
	{id: "sinus-rhythm", regularity: regular, p: oneEach, ectopics: none},
	{id: "sinus-bradycardia", regularity: regular, p: oneEach, ectopics: none},
	{id: "sinus-tachycardia", regularity: regular, p: oneEach, ectopics: none},
	{id: "first-degree-av-block", regularity: regular, p: oneEach, ectopics: none},
	{id: "left-bundle-branch-block", regularity: regular, p: oneEach, ectopics: none},
	{id: "long-qt", regularity: regular, p: oneEach, ectopics: none},
	{id: "second-degree-av-block-type-1", regularity: repeats, p: blocked, ectopics: none, noPR: true, noPattern: true},
	{id: "two-to-one-av-block", regularity: regular, p: blocked, ectopics: none},
	{id: "third-degree-av-block", regularity: regular, p: apart, ectopics: none, noPR: true},
	{id: "premature-ventricular-beats", regularity: early, p: notEarly, ectopics: single, noPattern: true},
	{id: "ventricular-bigeminy", regularity: repeats, p: notEarly, ectopics: second, noPattern: true},
	{id: "atrial-fibrillation", regularity: chaotic, p: noP, ectopics: none, noAtrial: true, noPR: true, noPattern: true},
	{id: "monomorphic-ventricular-tachycardia", regularity: regular, p: noP, ectopics: runs, noAtrial: true, noPR: true},
}

// Pages is how many pages the exercise has: charts, and causes between them.
const Pages = 6

// seconds is how much of a strip is measured, s.
const seconds = 12

// Draw draws a strip to chart. page, from 0, chooses among calm strips first and then all.
func Draw(page int, rng *rand.Rand) (Drawn, error) {
	among := subjects
	if page == 0 {
		among = subjects[:6]
	}
	s := among[rng.IntN(len(among))]
	e, err := scenarios.Draw(scenarios.Wish{Subjects: []string{s.id}}, rng)
	if err != nil {
		return Drawn{}, err
	}
	for e.Strip.State == ecg.NotSure || e.Strip.State == ecg.NoSignsOfLife && s.id != "monomorphic-ventricular-tachycardia" {
		if e, err = scenarios.Draw(scenarios.Wish{Subjects: []string{s.id}}, rng); err != nil {
			return Drawn{}, err
		}
	}
	return compose(s, e, rng)
}

// figures are what is measured, NaN for what there is none of: rates per minute, intervals in s.
type figures struct{ atrial, ventricular, pr, qrs, qt float64 }

func measured(s subject, m ecg.Marks) figures {
	f := figures{atrial: math.NaN(), pr: math.NaN()}
	onset := func(b ecg.Beat) float64 { return b.QRS.Onset }
	f.ventricular = perMinute(m.Beats, onset)
	if s.noPattern {
		f.ventricular = 10 * float64(inSixSeconds(m.Beats))
	}
	if !s.noAtrial {
		f.atrial = perMinute(m.P, func(p ecg.Span) float64 { return p.Onset })
	}
	own := slices.DeleteFunc(slices.Clone(m.Beats), func(b ecg.Beat) bool { return b.Origin == ecg.OriginVentricular && s.ectopics != runs })
	middle := func(of func(ecg.Beat) (float64, bool)) float64 {
		var all []float64
		for _, b := range own {
			if x, ok := of(b); ok {
				all = append(all, x)
			}
		}
		if len(all) == 0 {
			return math.NaN()
		}
		slices.Sort(all)
		return stat.Quantile(0.5, stat.Empirical, all, nil)
	}
	f.qrs, f.qt = middle(ecg.Beat.QRSWidth), middle(ecg.Beat.QT)
	if !s.noPR {
		f.pr = middle(ecg.Beat.PR)
	}
	return f
}

// inSixSeconds counts the complexes of the first six seconds, as the paper method does.
func inSixSeconds(beats []ecg.Beat) (n int) {
	for _, b := range beats {
		if b.QRS.Onset < 6 {
			n++
		}
	}
	return n
}

// perMinute is how many there are a minute, by the time from the first to the last.
func perMinute[T any](list []T, at func(T) float64) float64 {
	n := len(list)
	if n < 2 {
		return math.NaN()
	}
	return 60 * float64(n-1) / (at(list[n-1]) - at(list[0]))
}

func compose(s subject, e scenarios.Exercise, rng *rand.Rand) (Drawn, error) {
	lead := []ecg.Lead{ecg.II, ecg.II, ecg.I, ecg.III}[rng.IntN(4)]
	id := e.Strip
	id.Leads = []ecg.Lead{lead}
	_, marks, err := synth.Render(id, seconds)
	if err != nil {
		return Drawn{}, err
	}
	b, err := scenarios.At(e.Strip)
	if err != nil {
		return Drawn{}, err
	}
	l, err := synth.FindLesson(s.id)
	if err != nil {
		return Drawn{}, err
	}
	d := Drawn{Speed: []float64{25, 25, 50}[rng.IntN(3)], Gain: []float64{10, 10, 5}[rng.IntN(3)]}
	f := measured(s, marks)
	care := l.Care(id.Age, id.State)
	printed := 60*3 + rng.IntN(40) // minutes after midnight
	d.Strip, d.Subject = id, s.id
	d.Text = fmt.Sprintf("%s %s Printed %s, now %s. Calipers, in small boxes: %s. Chart it.",
		b.Patient, b.Child, clock(printed), clock(printed+7+rng.IntN(20)), d.boxes(s, f, marks))
	d.Fields = append(d.paper(printed, lead, rng), d.measuring(s, f)...)
	d.Fields = append(d.Fields, d.naming(e, l, rng), stateField(id.State), actionField(e, care))
	d.Fields = append(d.Fields, told(care.Urgency), twelve(s.id, id.State, care.Urgency), filing)
	d.After = func([]task.Value) []string {
		out := []string{"Tolerances: a rate the greater of 5 a minute and 10 %, counted over six seconds 10; PR and QRS 20 ms, QT 40 ms."}
		if care.Then != "" {
			out = append(out, "Then: "+care.Then)
		}
		return append(out, "Local policy, current resuscitation guidelines and licensed practice come first.")
	}
	return d, nil
}

// clock is a time of day of minutes after midnight.
func clock(minutes int) string { return fmt.Sprintf("%02d:%02d", minutes/60%24, minutes%60) }

// box is a small box, s.
func (d Drawn) box() float64 { return 1 / d.Speed }

// boxes are the figures as calipers give them, to half a small box, with the count of six
// seconds where RR is uneven.
func (d Drawn) boxes(s subject, f figures, m ecg.Marks) string {
	in := func(seconds float64) string { return fmt.Sprintf("%g", math.Round(2*seconds/d.box())/2) }
	out := "R to R " + in(60/f.ventricular)
	if s.noPattern {
		out = fmt.Sprintf("R to R uneven, %d QRS in 6 s", inSixSeconds(m.Beats))
	}
	if !math.IsNaN(f.atrial) {
		out += ", P to P " + in(60/f.atrial)
	}
	if !math.IsNaN(f.pr) {
		out += ", P to QRS " + in(f.pr)
	}
	return out + fmt.Sprintf(", QRS %s, to the end of T %s", in(f.qrs), in(f.qt))
}

// paper are the fields that are read off the paper.
func (d Drawn) paper(printed int, lead ecg.Lead, rng *rand.Rand) []task.Field {
	one := func(name, right, why string, all ...string) task.Field {
		f := task.Field{Name: name}
		for _, w := range all {
			f.Choices = append(f.Choices, task.Choice{Words: w, Right: w == right, Why: why})
		}
		return f
	}
	times := []string{clock(printed), clock(printed + 30), "start of the shift"}
	rng.Shuffle(len(times), func(i, j int) { times[i], times[j] = times[j], times[i] })
	at := fmt.Sprintf("%.0f mm/s, %.0f mm/mV", d.Speed, d.Gain)
	return []task.Field{
		one("time", clock(printed), "When it was printed, not when it is charted.", times...),
		one("lead", string(lead), "It stands beside the trace. Without a lead no shape can be compared.", "I", "II", "III", "V1"),
		one("speed, gain", at, "Printed above the trace; at another speed every interval is another.",
			"25 mm/s, 5 mm/mV", "25 mm/s, 10 mm/mV", "50 mm/s, 5 mm/mV", "50 mm/s, 10 mm/mV"),
	}
}

// measuring are the fields that are measured or counted.
func (d Drawn) measuring(s subject, f figures) []task.Field {
	ms := 1000 * d.box()
	rate := func(name string, x float64, counted bool) task.Field {
		n := &task.Number{Unit: "/min", Most: 400, Step: 5, Start: task.Unset, MayAbsent: true, Absent: math.IsNaN(x)}
		n.Why = func(int) string { return fmt.Sprintf("60 000 over the boxes times %.0f ms.", ms) }
		if counted {
			n.Why = func(int) string { return "Uneven: the complexes of six seconds times ten." }
		}
		if n.Absent {
			n.Why = func(int) string { return "No P to be seen, so none is charted." }
			return task.Field{Name: name, Number: n}
		}
		n.Truth, n.Within = math.Round(x), math.Round(max(rateLeast, rateShare*x))
		if counted {
			n.Within = max(n.Within, countWithin)
		}
		return task.Field{Name: name, Number: n}
	}
	interval := func(name string, x, tolerance float64, absent string) task.Field {
		n := &task.Number{Unit: "ms", Most: 900, Step: 10, Start: task.Unset, MayAbsent: true, Absent: math.IsNaN(x)}
		n.Why = func(int) string { return fmt.Sprintf("Boxes times %.0f ms.", ms) }
		if n.Absent {
			n.Why = func(int) string { return absent }
			return task.Field{Name: name, Number: n}
		}
		n.Truth, n.Within = math.Round(1000*x), math.Round(1000*tolerance)
		return task.Field{Name: name, Number: n}
	}
	pick := func(name, right, why string, all ...string) task.Field {
		field := task.Field{Name: name}
		for _, w := range all {
			field.Choices = append(field.Choices, task.Choice{Words: w, Right: w == right, Why: why})
		}
		return field
	}
	return []task.Field{
		rate("atrial rate", f.atrial, false),
		rate("ventricular rate", f.ventricular, s.noPattern),
		pick("regularity", s.regularity, "Walk the calipers from R to R: "+s.regularity+".", regular, early, repeats, chaotic),
		pick("P", s.p, "Look for a P before each QRS, and for those without: "+s.p+".", oneEach, notEarly, blocked, apart, noP),
		interval("PR", f.pr, within, "There is no constant PR to chart: say none, and why under P."),
		interval("QRS", f.qrs, within, ""),
		interval("QT", f.qt, qtWithin, ""),
		pick("ectopics", s.ectopics, "Wide and early, and how many in a row: "+s.ectopics+".", none, single, second, runs),
	}
}

// naming is the rhythm among its look-alikes.
func (d Drawn) naming(e scenarios.Exercise, l lesson.Lesson, _ *rand.Rand) task.Field {
	f := task.Field{Name: "rhythm"}
	for _, id := range e.Choices {
		o, err := synth.FindLesson(id)
		if err != nil {
			continue
		}
		why := fmt.Sprintf("The strip shows %s.", l.Name)
		for _, a := range l.LookAlikes {
			if a.ID == id {
				why = a.Difference
			}
		}
		f.Choices = append(f.Choices, task.Choice{Words: o.Name, Right: id == l.ID, Why: why})
	}
	return f
}
