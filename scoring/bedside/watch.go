package bedside

import (
	"fmt"
	"slices"
	"time"

	"telltrace/scenarios/watch"
	"telltrace/scoring/ledger"
	"telltrace/scoring/stats"
	"telltrace/synth/ecg"
)

// WatchPart names the watch in the answers kept.
const WatchPart = "watch"

// A WatchMark is what a watch came to.
type WatchMark struct {
	Runs         []RunMark
	Detection    stats.Detection // of alarms: which asked for help, and for which it was called
	Turns        stats.Count     // turns for the worse in which what was needed was done
	Quiet        stats.Count     // changes without an alarm that were told
	Delays       []int           // minutes from the beginning of each of both to that
	FalseCalls   int             // help called where nothing asked for it
	Charted      stats.Count     // hours of beds with their vital signs charted
	PatientFirst stats.Count     // alarms that were answered: the patient looked at before anything else
	Limits       stats.Count     // beds whose limits were set within the first hour
	Fitting      stats.Count     // beds whose limits fit the patient when last set, of those where they were
	TwelveLead   stats.Count     // new rhythms of a living patient with a 12-lead
	Parents      stats.Count     // answered calmly
	Verdict      ledger.Verdict
}

// A RunMark is what one event of a watch came to.
type RunMark struct {
	Run     watch.Run
	Verdict ledger.Verdict
	Note    string
	First   watch.Act // the first thing done beside looking, "" for nothing
	Looked  bool      // before that
	Right   []watch.Act
	Took    int // minutes to what was needed, or to the first look; -1 for never
}

// How soon is right and how soon is nearly, minutes (ours: help to a patient who gets
// worse; compressions; a new rhythm told within the hour).
const (
	helpSoon, helpLate         = 5, 15
	compressSoon, compressLate = 2, 4
	tellSoon                   = 60
)

// MarkWatch marks a watch as far as it has come; events under way are left out.
func MarkWatch(w *watch.Watch) WatchMark {
	m := WatchMark{Verdict: ledger.Right}
	for i, r := range w.Runs() {
		if !r.Over && !w.Over() {
			continue
		}
		x := markRun(r, i, w.Deeds())
		m.Runs = append(m.Runs, x)
		m.Verdict = worse(m.Verdict, x.Verdict)
		m.count(r, i, x, w.Deeds())
	}
	for _, d := range w.Deeds() {
		needed := d.Event >= 0 && (w.Runs()[d.Event].Event.Kind == watch.Turn || w.Runs()[d.Event].Event.Kind == watch.Quiet)
		if (d.Act == watch.Call || d.Act == watch.Compress) && !needed {
			m.FalseCalls++
		}
	}
	for bed := range w.Plan().Beds {
		if limits, set := w.Limits(bed); set {
			m.Fitting.Add(limits.Fits(w.Usual(bed)))
		}
		m.Limits.Add(slices.ContainsFunc(w.Deeds(), func(d watch.Deed) bool { return d.Bed == bed && d.Act == watch.Limits && d.Minute <= 60 }))
		for hour := 0; 60*(hour+1) <= w.Minute(); hour++ {
			m.Charted.Add(slices.ContainsFunc(w.Deeds(), func(d watch.Deed) bool {
				return d.Bed == bed && d.Act == watch.Chart && d.Minute/60 == hour
			}))
		}
	}
	return m
}

// count adds an event to the tallies.
func (m *WatchMark) count(r watch.Run, i int, x RunMark, deeds []watch.Deed) {
	did := func(acts ...watch.Act) bool {
		return slices.ContainsFunc(deeds, func(d watch.Deed) bool { return d.Event == i && slices.Contains(acts, d.Act) })
	}
	e := r.Event
	if r.Sounded {
		m.Detection.Add(e.Kind == watch.Turn, did(watch.Call, watch.Compress))
		if x.First != "" {
			m.PatientFirst.Add(x.Looked)
		}
	}
	switch e.Kind {
	case watch.Turn:
		m.Turns.Add(r.Helped >= 0)
	case watch.Quiet:
		m.Quiet.Add(r.Helped >= 0)
	case watch.Parent:
		m.Parents.Add(x.Verdict == ledger.Right)
	}
	if e.Kind == watch.Turn || e.Kind == watch.Quiet {
		if r.Helped >= 0 {
			m.Delays = append(m.Delays, r.Helped-e.From)
		}
		if e.Stages[0].State != ecg.NoSignsOfLife {
			m.TwelveLead.Add(did(watch.TwelveLead))
		}
	}
}

// markRun marks one event.
func markRun(r watch.Run, i int, deeds []watch.Deed) RunMark {
	x := RunMark{Run: r, Took: -1}
	calm, called := false, false
	for _, d := range deeds {
		if d.Event != i {
			continue
		}
		switch {
		case d.Act == watch.Answer:
			calm, x.First, x.Took = d.Answer == 0, d.Act, d.Minute-r.Event.From
		case d.Act == watch.Look:
			x.Looked = x.Looked || x.First == ""
		case x.First == "":
			x.First = d.Act
		}
		called = called || d.Act == watch.Call || d.Act == watch.Compress
	}
	say := func(v ledger.Verdict, note string) { x.Verdict, x.Note = v, note }
	wait := r.Helped - r.Event.From
	if r.Helped >= 0 && r.Event.Kind != watch.Parent {
		x.Took = wait
	} else if r.Seen >= 0 {
		x.Took = r.Seen - r.Event.From
	}
	unseen := r.Silenced && !x.Looked
	switch r.Event.Kind {
	case watch.Turn:
		x.Right = []watch.Act{watch.Call}
		lifeless := 0 // when the signs of life went, minutes from the beginning; 0 for never
		for _, s := range r.Event.Stages {
			if s.State == ecg.NoSignsOfLife && (r.Helped < 0 && r.Event.From+s.After < r.Until || r.Helped >= r.Event.From+s.After) {
				lifeless = s.After + 1
				x.Right = []watch.Act{watch.Compress}
			}
		}
		switch {
		case r.Helped < 0 && lifeless > 0:
			say(ledger.Critical, "No compressions: nobody helped while it went on.")
		case r.Helped < 0:
			say(ledger.Wrong, "Help was not called.")
		case lifeless > 1:
			say(ledger.Critical, fmt.Sprintf("Help could have come before the arrest; compressions began %d minutes into it.", wait-lifeless+1))
		case lifeless == 1 && wait <= compressSoon, lifeless == 0 && wait <= helpSoon:
			say(ledger.Right, fmt.Sprintf("Done after %d minutes.", wait))
		case lifeless == 1 && wait <= compressLate, lifeless == 0 && wait <= helpLate:
			say(ledger.Near, fmt.Sprintf("Done, but only after %d minutes.", wait))
		default:
			say(ledger.Wrong, fmt.Sprintf("Done only after %d minutes.", wait))
		}
		if !r.Sounded {
			x.Note += " No alarm told of it: the limits were too wide."
		}
	case watch.Quiet:
		x.Right = []watch.Act{watch.Tell}
		switch {
		case r.Helped < 0:
			say(ledger.Wrong, "A new rhythm that nobody noticed.")
		case wait <= tellSoon:
			say(ledger.Right, fmt.Sprintf("Noticed and told after %d minutes, without an alarm.", wait))
		default:
			say(ledger.Near, fmt.Sprintf("Noticed, but only after %d minutes.", wait))
		}
	case watch.Cable, watch.Passing:
		x.Right = []watch.Act{watch.Look}
		if r.Event.Kind == watch.Cable {
			x.Right = []watch.Act{watch.Mend}
		}
		switch {
		case !r.Sounded:
			say(ledger.Right, "No alarm: with these limits the rate stayed inside.")
		case unseen:
			say(ledger.Wrong, "Silenced without looking at the patient.")
		case called && !x.Looked:
			say(ledger.Wrong, "Help was called before anybody looked; nothing was wrong with the patient.")
		case called:
			say(ledger.Near, "Help was called; nothing was wrong with the patient.")
		case r.Event.Kind == watch.Cable && r.Helped < 0:
			say(ledger.Near, "It was left as it was: the tracing told nothing meanwhile.")
		case r.Event.Kind == watch.Cable && !x.Looked:
			say(ledger.Near, "Mended before the patient was looked at.")
		case r.Event.Kind == watch.Passing && r.Seen < 0:
			say(ledger.Near, "An alarm that nobody looked at; it passed.")
		default:
			say(ledger.Right, "Looked at, and nothing made of it.")
		}
	case watch.Parent:
		x.Right = []watch.Act{watch.Answer}
		switch {
		case x.First == "":
			say(ledger.Near, "Nobody answered the question.")
		case calm:
			say(ledger.Right, "A calm sentence: what is seen, what is done, when they hear more.")
		default:
			say(ledger.Near, "Better: "+watch.Questions[r.Event.Question].Answers[0])
		}
	}
	return x
}

// Answer is an event as it is kept; who keeps it fills in id, learner and time.
func (x RunMark) Answer(p watch.Plan) ledger.Answer {
	stage := watch.Stage{Rhythm: p.Beds[x.Run.Event.Bed].Rhythm, State: ecg.Stable}
	if len(x.Run.Event.Stages) > 0 {
		stage = x.Run.Event.Stages[0]
	}
	id := p.Identity(x.Run.Event.Bed, stage)
	a := ledger.Answer{
		Mode: ledger.Scenario, Part: WatchPart, Strip: id.String(), Subject: id.Subject(), State: stage.State, Question: ledger.Task,
		Chosen: string(x.First), Correct: x.Verdict == ledger.Right, Verdict: x.Verdict, Took: time.Duration(max(x.Took, 0)) * time.Minute,
	}
	for _, r := range x.Right {
		a.Right = append(a.Right, string(r))
	}
	if x.Looked {
		a.Looked = []ledger.Look{{What: ledger.LookChild, AfterMS: (time.Duration(max(x.Run.Seen-x.Run.Event.From, 0)) * time.Minute).Milliseconds()}}
	}
	return a
}
