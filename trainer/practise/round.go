package practise

import (
	"fmt"
	"math"
	"time"

	"telltrace/scenarios"
	"telltrace/scoring/ledger"
	"telltrace/synth"
	"telltrace/synth/ecg"
	"telltrace/synth/lesson"
	"telltrace/trainer/tape"
)

// A Round is one strip with its questions.
type Round struct {
	Title   string // "Practice", "The same strip again"
	Mode    ledger.Mode
	Part    string // the drill it is part of; "" for none
	Strip   ecg.Identity
	Subject string   // catalogue id
	Choices []string // catalogue ids
	Beside  string   // the other of a pair that is met one against the other; "" for none
	Actions []lesson.Action
	Bedside *scenarios.Bedside // nil for a recording: nobody is there to look at
	Age     ecg.Age
	Feed    tape.Feed
	Start   float64 // s of the strip already played when it shows

	Steps        []ledger.Question // of the reading in order, asked before the name; most often none
	Silent       bool              // nothing is told after the answer: the next strip follows at once
	Presentation string            // names this showing in the ledger; "" for a new name

	Limit    time.Duration   // for all questions of the strip; 0 for no limit
	Spent    time.Duration   // of it, gone before the strip came on screen: it was broken off
	Named    bool            // the name was given before it was broken off; only the first action is open
	Waits    bool            // the next strip waits until the learner is ready
	Answered []ledger.Answer // as it was answered before: it is shown again with the reasons, nothing is asked

	// Marks gives the truth between two strip times, counted from the first; nil
	// where only the samples can tell.
	Marks func(from, to float64) ecg.Marks
	// Oxygen says how far the saturation has fallen by now, in %, and whether the
	// probe finds a pulse; nil for a recording.
	Oxygen func() (fallen float64, found bool)
	// Cuff is what a cuff would measure now, mmHg; nil for a recording.
	Cuff func() (systolic, diastolic float64, ok bool)

	// Evidence is the strip time at which the strip, seen from time from on, has
	// shown what it is about, false while it has not.
	Evidence func(from float64) (float64, bool)
}

// A Plan gives the next round. It ends with io.EOF; any other error is shown.
type Plan func() (Round, error)

// shownAtStart is how much of a strip has run by when it comes on screen, s: the
// page is full from the first moment.
const shownAtStart = 12

// Synthetic makes the round of an exercise.
func Synthetic(title string, mode ledger.Mode, e scenarios.Exercise) (Round, error) {
	p, err := synth.Open(e.Strip)
	if err != nil {
		return Round{}, err
	}
	bedside, err := scenarios.At(e.Strip)
	if err != nil {
		return Round{}, err
	}
	return Round{
		Title: title, Mode: mode, Strip: e.Strip, Subject: e.Strip.Subject(),
		Choices: e.Choices, Actions: e.Actions, Bedside: &bedside, Age: e.Strip.Age,
		Feed: p, Start: shownAtStart, Marks: p.Marks, Evidence: p.EvidenceAt, Oxygen: p.Oxygen, Cuff: p.Cuff,
	}, nil
}

// sentence says the numbers as one plain sentence. The saturation follows the flow with
// its delay; cuff is the reading that stands.
func (r Round) sentence(n scenarios.Numbers, cuff string) string {
	spo2 := "SpO2 not found"
	if fallen, found := r.Oxygen(); found && n.SpO2 > 0 {
		spo2 = fmt.Sprintf("SpO2 %d %%", n.SpO2-int(math.Round(fallen)))
	}
	return fmt.Sprintf("%s, %s, breaths %d.", spo2, cuff, n.Breaths)
}

// rateWord writes a rate, or that there is none.
func rateWord(bpm float64, ok bool) string {
	if !ok {
		return "none"
	}
	return fmt.Sprintf("%d", int(math.Round(bpm)))
}
