// Package bedside marks what was looked at and done in a scenario, in which order and
// how soon, against what is taught for the patient's state. Start with Mark.
//
// The rules are those of package scoring for each action, and beside them:
//
//   - the patient is looked at first;
//   - without signs of life compressions begin within ten seconds of having seen it,
//     a pulse is felt for once and for ten seconds at most (AHA 2020 paediatric and
//     adult guidelines, from memory);
//   - who is in doubt acts;
//   - an alarm that nobody looks at, and an arrest in which nothing is done, are
//     critical.
//
// Training only: local policy, current resuscitation guidelines and licensed practice
// come first.
package bedside

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"telltrace/scenarios/play"
	"telltrace/scenarios/script"
	"telltrace/scoring"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
)

// A Point is one thing the debrief says of what was done or left undone.
type Point struct {
	At      float64 // s since the scenario began
	Verdict ledger.Verdict
	What    string // what was done, or not
	Why     string // one or two sentences, or ""
}

// A Visit is one episode as it was lived through.
type Visit struct {
	Episode    script.Episode
	From, To   float64       // s since the scenario began
	Done       bool          // it is over
	Act        lesson.Action // the first action, "" for none
	Took       float64       // s from the beginning of the episode to it
	Right      []lesson.Action
	Care       lesson.Care // what is taught for it
	Looked     []play.Event
	Verdict    ledger.Verdict // the worst of its points
	Points     []Point
	deeds      []play.Event
	seenBefore []string // shortly before it began, in the words of ledger.Look
}

// remembered is for how long what was seen still counts, s.
const remembered = 30

// soon is how long compressions may wait once it was seen that there are no signs of
// life, s; late is when it is no longer near. patience is how soon anything urgent
// must be done where the file does not say, s. Common practice; soon is the ten
// seconds of the guideline.
const (
	soon     = 10.0
	late     = 20.0
	patience = 60.0
)

// Mark marks a play as far as it has come, episode by episode. Episodes that are ends
// are left out: nothing is expected there.
func Mark(p *play.Play) ([]Visit, error) {
	age := p.Script().Patient.Age.Exact()
	visits := split(p)
	var out []Visit
	first := true
	for i := range visits {
		v := &visits[i]
		if v.Episode.Ends() {
			continue
		}
		v.Care = v.Episode.Care(age)
		v.Right = append([]lesson.Action{v.Care.First}, v.Care.Also...)
		if err := v.actions(age); err != nil {
			return nil, err
		}
		if len(v.Looked)+len(v.deeds) > 0 {
			if first {
				v.order()
			}
			first = false
		}
		v.arrest()
		v.undone()
		slices.SortStableFunc(v.Points, func(a, b Point) int { return cmp.Compare(a.At, b.At) })
		v.Verdict = ledger.Right
		for _, x := range v.Points {
			v.Verdict = worse(v.Verdict, x.Verdict)
		}
		out = append(out, *v)
	}
	return out, nil
}

// Worst is the verdict on the whole.
func Worst(visits []Visit) ledger.Verdict {
	v := ledger.Right
	for _, x := range visits {
		v = worse(v, x.Verdict)
	}
	return v
}

func worse(a, b ledger.Verdict) ledger.Verdict {
	if slices.Index(ledger.Verdicts, b) > slices.Index(ledger.Verdicts, a) {
		return b
	}
	return a
}

// split cuts the events into visits.
func split(p *play.Play) []Visit {
	var out []Visit
	var seen []play.Event
	for _, e := range p.Events() {
		if e.Kind == play.Begins {
			if n := len(out); n > 0 {
				out[n-1].To, out[n-1].Done = e.At, true
			}
			v := Visit{Episode: p.Script().Episodes[e.Episode], From: e.At, To: p.Now()}
			for _, s := range seen {
				if e.At-s.At <= remembered {
					v.seenBefore = append(v.seenBefore, Kept(s.Look))
				}
			}
			if n := len(out); n > 0 && out[n-1].Episode.State == v.Episode.State { // the same patient as before
				v.seenBefore = append(v.seenBefore, out[n-1].looked(e.At)...)
			}
			out = append(out, v)
			continue
		}
		v := &out[len(out)-1]
		switch e.Kind {
		case play.Looks:
			v.Looked = append(v.Looked, e)
		case play.Sees, play.Breaks:
			v.Looked = append(v.Looked, e)
			seen = append(seen, e)
		case play.Does:
			if len(v.deeds) == 0 {
				v.Act, v.Took = e.Act, e.At-v.From
			}
			v.deeds = append(v.deeds, e)
		}
	}
	return out
}

// Kept is the word for a look in the answers kept.
func Kept(l script.Look) string {
	if l == script.LookPatient {
		return ledger.LookChild
	}
	return string(l)
}

// looked is what counts as looked at by a moment: also a pulse that was being felt for
// when something was done.
func (v *Visit) looked(by float64) []string {
	out := slices.Clone(v.seenBefore)
	for _, e := range v.Looked {
		if e.At <= by && e.Kind != play.Looks {
			out = append(out, Kept(e.Look))
		}
	}
	return out
}

func (v *Visit) point(at float64, verdict ledger.Verdict, what, why string) {
	v.Points = append(v.Points, Point{at, verdict, what, why})
}

// actions marks each thing done by the rules of package scoring.
func (v *Visit) actions(age ecg.Age) error {
	subject := v.Episode.Subject()
	find := func(id string) (lesson.Lesson, bool) {
		l, ok := synth.Lesson(id)
		l.Care = func(ecg.Age, ecg.State) lesson.Care { return v.Care }
		return l, ok
	}
	settled := false
	for _, e := range v.deeds {
		c := scoring.Case{Subject: subject, Age: age, State: v.Episode.State, Looked: v.looked(e.At)}
		m, err := scoring.MarkFirstAction(c, e.Act, find)
		if err != nil {
			return err
		}
		if settled && m.Verdict != ledger.Critical {
			continue // what follows the right thing is not counted against it
		}
		why := m.Unsafe
		if why == "" {
			why = m.Note
		}
		if m.Verdict == ledger.Right {
			settled, why = true, ""
			if within := v.Episode.Expect.Within; within > 0 && e.At-v.From > within {
				m.Verdict, why = ledger.Near, fmt.Sprintf("Right, but late: within %.0f seconds was wanted.", within)
			}
		}
		v.point(e.At, m.Verdict, e.Act.Words(), why)
	}
	return nil
}

// reason is why what is right is right.
func (v *Visit) reason() string {
	if v.Episode.Expect.Why != "" {
		return v.Episode.Expect.Why
	}
	return v.Care.Then
}

// order: the patient first.
func (v *Visit) order() {
	at, what := v.From, ""
	if len(v.Looked) > 0 {
		at, what = v.Looked[0].At, string(v.Looked[0].Look)
	}
	switch acted := len(v.deeds) > 0 && (len(v.Looked) == 0 || v.deeds[0].At < at); {
	case acted && (v.deeds[0].Act == lesson.Compress || v.deeds[0].Act == lesson.Silence):
		// marked as critical already
	case acted:
		v.point(v.deeds[0].At, ledger.Wrong, "Did something before looking at the patient", "Look at the patient first: the tracing is read beside a patient who was seen.")
	case what == string(script.LookPatient):
		v.point(at, ledger.Right, "Looked at the patient first", "")
	case what == string(script.LookPulse):
		v.point(at, ledger.Right, "Went to the patient first, and felt the pulse", "")
	default:
		v.point(at, ledger.Near, "Looked at the "+words(v.Looked[0].Look)+" first", "Look at the patient first: one second tells more than any cable.")
	}
}

func words(l script.Look) string {
	if l == script.LookLine {
		return "arterial line"
	}
	return string(l)
}

// arrest: no signs of life, how soon compressions began.
func (v *Visit) arrest() {
	if v.Episode.State != ecg.NoSignsOfLife {
		return
	}
	known, pulses := -1.0, 0
	for _, e := range v.Looked {
		if e.Kind == play.Looks && e.Look == script.LookPulse {
			pulses++
		}
		if known < 0 && e.Kind == play.Sees && (e.Look == script.LookPatient || e.Look == script.LookPulse) {
			known = e.At
		}
	}
	for _, e := range v.deeds {
		if e.Act != lesson.Compress || known < 0 {
			continue
		}
		wait := e.At - known
		what := fmt.Sprintf("Compressions began %.0f s after it was seen that there is no sign of life", wait)
		switch {
		case wait <= soon+1:
			v.point(e.At, ledger.Right, what, "")
		case wait <= late:
			v.point(e.At, ledger.Near, what, "A pulse is felt for at most ten seconds; in doubt, act.")
		default:
			v.point(e.At, ledger.Wrong, what, "Unsafe because nothing flows meanwhile: in doubt, act.")
		}
		if pulses > 1 {
			v.point(e.At, ledger.Near, "The pulse was felt for more than once", "Once, and at most ten seconds: a finger that searches may feel its own pulse.")
		}
		return
	}
}

// undone marks what was waited for in vain: an episode that ran out, or in which the time
// to act has passed.
func (v *Visit) undone() {
	within := v.Episode.Expect.Within
	if within == 0 {
		within = patience
	}
	ranOut := v.Done && v.leftByTime() || v.To-v.From >= within
	done := slices.ContainsFunc(v.deeds, func(e play.Event) bool { return slices.Contains(v.Right, e.Act) })
	if done || !ranOut {
		return
	}
	unseen := v.Episode.Alarm != "" && len(v.Looked)+len(v.deeds)+len(v.seenBefore) == 0
	what := "Not done in time: " + v.Care.First.Words()
	switch {
	case v.Care.Urgency == lesson.ArrestNow:
		v.point(v.To, ledger.Critical, what, "Unsafe because this is an arrest and compressions have not begun.")
	case unseen:
		v.point(v.To, ledger.Wrong, "Nobody looked when the alarm sounded", "Every alarm is looked at, the ninth false one as well.")
	case v.Care.Urgency == lesson.Urgent:
		v.point(v.To, ledger.Wrong, what, "Unsafe because this patient needs help called now. "+v.reason())
	case v.Care.First == lesson.Chart:
		// nothing had to be done, and nothing was
	default:
		v.point(v.To, ledger.Near, what, v.reason())
	}
}

// leftByTime reports whether the episode ended of itself: nothing was done or seen at
// its last moment.
func (v *Visit) leftByTime() bool {
	by := func(e play.Event) bool { return e.At == v.To && (e.Kind == play.Sees || e.Kind == play.Does) }
	return !slices.ContainsFunc(v.Looked, by) && !slices.ContainsFunc(v.deeds, by)
}

// Answer is a visit as it is kept; who keeps it fills in id, learner, time and strip.
func (v Visit) Answer(name script.Name) ledger.Answer {
	a := ledger.Answer{
		Mode: ledger.Scenario, Part: string(name), Subject: v.Episode.Subject(), State: v.Episode.State, Question: ledger.Task,
		Chosen: string(v.Act), Correct: v.Verdict == ledger.Right, Verdict: v.Verdict,
		Took: time.Duration(1000*v.Took) * time.Millisecond,
	}
	for _, x := range script.Acts() {
		a.Offered = append(a.Offered, string(x))
	}
	for _, r := range v.Right {
		a.Right = append(a.Right, string(r))
	}
	for _, e := range v.Looked {
		if e.Kind == play.Looks {
			a.Looked = append(a.Looked, ledger.Look{What: Kept(e.Look), AfterMS: int64(1000 * (e.At - v.From))})
		}
	}
	return a
}
