// Package ledger holds what a learner answered: the record of one answer, and the
// Store that keeps such records. Answers are only ever added; every other thing
// telltrace knows about a learner (the missed answers, progress, readiness) is
// computed from them and can be computed again.
//
// Whatever becomes of the file, no answer is lost or counted twice. An answer is known by
// its ID, which is unique everywhere: two programs may add to one ledger at once, and a
// ledger copied from another machine, or put back from a copy, may be added to this one
// any number of times. Answers stand in the order of their time, not of their arrival, so
// a clock that was set back changes where an answer stands and nothing else.
//
// Start with Answer and Store. Package ledger/sqlite keeps answers in a file,
// Memory keeps them until the program ends, and ledgertest.Exercise holds every Store to
// the contract.
package ledger

import (
	"context"
	"fmt"
	"iter"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/adrg/xdg"

	"telltrace/synth/ecg"
)

// A Mode says in which kind of work a question was asked. Stored by name; append
// only.
type Mode string

// Modes.
const (
	Practise Mode = "practise" // a new strip in practice
	Replay   Mode = "replay"   // a missed strip shown again exactly as it was
	Fresh    Mode = "fresh"    // a new strip of a missed subject, asked from the missed answers
	Drill    Mode = "drill"    // a strip of a timed drill
	Check    Mode = "check"    // a strip of a readiness check
	Exercise Mode = "exercise" // a task beside naming strips: measuring, electrodes, limits, a call, a chart
	Scenario Mode = "scenario" // a step of a scenario at the bedside, or of a watch
)

// Modes lists the modes.
var Modes = []Mode{Practise, Replay, Fresh, Drill, Check, Exercise, Scenario}

// A Question is what was asked about a strip. Stored by name; append only.
type Question string

// Questions.
const (
	Rhythm      Question = "rhythm"       // what does it show? Answered by a catalogue id
	FirstAction Question = "first-action" // what do you do first? Answered by a lesson.Action
	Rate        Question = "rate"         // beats/min
	Regularity  Question = "regularity"   // regular or not
	PWaves      Question = "p-waves"      // a P for every QRS?
	PR          Question = "pr"           // the PR interval, ms, or the side of normal it is on
	QRS         Question = "qrs"          // the QRS width, ms, or narrow or wide
	QT          Question = "qt"           // the QT interval, ms
	Task        Question = "task"         // what the exercise or scenario of Part asked for
)

// Questions lists the questions.
var Questions = []Question{Rhythm, FirstAction, Rate, Regularity, PWaves, PR, QRS, QT, Task}

// A Verdict is how an answer was marked (see package scoring). Stored by name;
// append only.
type Verdict string

// Verdicts, best to worst.
const (
	Right    Verdict = "right"
	Near     Verdict = "near"     // another answer was meant, but with the same or with harmless consequences
	Wrong    Verdict = "wrong"    // mistaken
	Critical Verdict = "critical" // mistaken in a way that could cost a life
)

// Verdicts lists the verdicts, best to worst.
var Verdicts = []Verdict{Right, Near, Wrong, Critical}

// A Confidence is how sure the learner said to be. Stored by name; append only.
type Confidence string

// Confidences. The empty one means that it was not asked.
const (
	NotAsked Confidence = ""
	Sure     Confidence = "sure"
	Unsure   Confidence = "unsure"
)

// What can be looked at at the bedside: the words of Look.What. Append only.
const (
	LookChild        = "child"         // colour, movement, breathing, response
	LookPulse        = "pulse"         // a central pulse is felt
	LookArterialLine = "arterial-line" // the invasive pressure trace
	LookElectrodes   = "electrodes"    // electrodes, cable, connections
)

// A Look is one act of looking at the bedside before the answer.
type Look struct {
	What    string `json:"what"`     // one of the Look words
	AfterMS int64  `json:"after_ms"` // ms since the strip came on screen
}

// An Answer is one question answered. A learner who is asked two questions about
// one strip gives two Answers of one Presentation.
type Answer struct {
	ID           string // unique everywhere and for ever, made by the caller (a UUID); makes merging idempotent
	Presentation string // one showing of one strip, shared by the questions asked about it
	Learner      string
	At           time.Time // when it was committed; kept in UTC to the millisecond
	Mode         Mode
	Part         string    // the drill, exercise or scenario it was part of, by its name; "" for none
	Class        string    // the class the learner sat with; "" for none
	Strip        string    // text form of the ecg.Identity: reproduces the strip
	Subject      string    // catalogue id the strip is about
	State        ecg.State // of the patient; "" when none was shown
	Question     Question
	Offered      []string // the choices in the order shown; empty when the answer was free
	Chosen       string   // "" when time ran out
	Right        []string // every right answer
	Correct      bool     // counted as right by the marking
	Verdict      Verdict
	Sure         Confidence
	Looked       []Look        // in the order of looking
	Took         time.Duration // from the moment the telling evidence is on screen, time on hold included; kept to the millisecond
}

// A Query selects answers. The zero Query selects all, oldest first. Conditions
// add up.
type Query struct {
	Learner     string    // "" for every learner
	Class       string    // "" for every class and for those who sat alone
	Part        string    // "" for every part
	Subject     string    // "" for every subject
	Mode        Mode      // "" for every mode
	Since       time.Time // answers at this moment or later; zero for all
	Limit       int       // at most so many, counted from the end that comes first; 0 for all
	NewestFirst bool
}

// A Store keeps answers. It is safe for concurrent use, and every implementation
// keeps these promises (ledgertest.Exercise tests them by number):
//
//  1. Add returns nil only when all its answers are kept for good: a program or
//     machine that dies the next moment loses none of them (Memory: as long as the
//     program lives).
//  2. Add keeps all of its answers or, with an error, none.
//  3. An answer whose ID is there already is left alone when it is equal in every
//     field, and refused with a *ConflictError naming a field when it is not.
//  4. What Answers yields equals what was added, times in UTC and to the
//     millisecond, lists in their order.
//  5. Answers come in the order of At, equal times in the order of ID, and in
//     exactly the reverse order when NewestFirst. The order of adding is without
//     influence, so merged ledgers agree.
//  6. Answers yields those the Query selects, then ends. After an error, which
//     comes last and alone, it ends as well. Stopping early is allowed.
//  7. Answers is a snapshot: what is added while it is read does not appear in it,
//     and adding while reading does not block.
//  8. An invalid Answer or Query is refused with an error naming the field, and
//     nothing is kept.
//  9. Learners lists every learner with an answer once, in the order of the bytes.
//  10. A cancelled context ends Add, Answers and Learners with its error; Add has
//     then kept nothing or all.
//  11. After Close every method but Close returns ErrClosed; Close again is nil.
type Store interface {
	Add(ctx context.Context, answers ...Answer) error
	Answers(ctx context.Context, q Query) iter.Seq2[Answer, error]
	Learners(ctx context.Context) ([]string, error)
	Close() error
}

// Collect reads a sequence to its end.
func Collect(seq iter.Seq2[Answer, error]) ([]Answer, error) {
	var list []Answer
	for a, err := range seq {
		if err != nil {
			return nil, err
		}
		list = append(list, a)
	}
	return list, nil
}

// aheadFrom is how far an answer may lie after the present moment before a clock is said
// to be wrong: two machines never agree to the second.
const aheadFrom = 10 * time.Minute

// Ahead is how far the newest answer of a learner lies after a moment, 0 when it does not:
// the clock has been set back since, or the ledger comes from a machine whose clock is
// ahead.
func Ahead(ctx context.Context, s Store, learner string, now time.Time) (time.Duration, error) {
	newest, err := Collect(s.Answers(ctx, Query{Learner: learner, NewestFirst: true, Limit: 1}))
	if err != nil || len(newest) == 0 {
		return 0, err
	}
	if by := newest[0].At.Sub(now); by > aheadFrom {
		return by, nil
	}
	return 0, nil
}

// DefaultPath is where the answers of this user are kept: telltrace/answers.db in
// the data folder of the operating system (XDG_DATA_HOME and its equivalents).
func DefaultPath() string {
	return filepath.Join(xdg.DataHome, "telltrace", "answers.db")
}

// Clean returns the answer as a Store keeps it: UTC, whole milliseconds, its own
// copies of the lists. It returns an error naming the field when the answer cannot
// be kept. For implementations of Store.
func Clean(a Answer) (Answer, error) {
	bad := func(field, format string, args ...any) (Answer, error) {
		return Answer{}, fmt.Errorf("answer %q: %s %s", a.ID, field, fmt.Sprintf(format, args...))
	}
	for _, f := range []struct{ name, value string }{
		{"ID", a.ID}, {"Presentation", a.Presentation}, {"Learner", a.Learner},
		{"Strip", a.Strip}, {"Subject", a.Subject},
	} {
		if f.value == "" {
			return bad(f.name, "is missing")
		}
	}
	texts := slices.Concat([]string{a.ID, a.Presentation, a.Learner, a.Strip, a.Subject, a.Chosen, a.Part, a.Class}, a.Offered, a.Right)
	for _, l := range a.Looked {
		texts = append(texts, l.What)
	}
	for _, s := range texts {
		if !utf8.ValidString(s) || strings.ContainsRune(s, 0) {
			return bad("text", "%q is not plain UTF-8", s)
		}
	}
	switch {
	case a.At.IsZero():
		return bad("At", "is missing")
	case !slices.Contains(Modes, a.Mode):
		return bad("Mode", "%q is none of %v", a.Mode, Modes)
	case !slices.Contains(Questions, a.Question):
		return bad("Question", "%q is none of %v", a.Question, Questions)
	case !slices.Contains(Verdicts, a.Verdict):
		return bad("Verdict", "%q is none of %v", a.Verdict, Verdicts)
	case a.Sure != NotAsked && a.Sure != Sure && a.Sure != Unsure:
		return bad("Sure", "%q is none of sure, unsure or empty", a.Sure)
	case a.State != "" && !slices.Contains(ecg.States, a.State):
		return bad("State", "%q is none of %v", a.State, ecg.States)
	case a.Took < 0:
		return bad("Took", "is negative: %v", a.Took)
	}
	a.At = time.UnixMilli(a.At.UnixMilli()).UTC()
	a.Took = a.Took.Truncate(time.Millisecond)
	a.Offered, a.Right, a.Looked = own(a.Offered), own(a.Right), own(a.Looked)
	return a, nil
}

// own copies a list; an empty one becomes nil.
func own[T any](list []T) []T { return append([]T(nil), list...) }

// Differ names the first field in which two cleaned answers differ, "" when they
// are equal. For implementations of Store.
func Differ(a, b Answer) string {
	va, vb := reflect.ValueOf(a), reflect.ValueOf(b)
	for i := range va.NumField() {
		if !reflect.DeepEqual(va.Field(i).Interface(), vb.Field(i).Interface()) {
			return va.Type().Field(i).Name
		}
	}
	return ""
}

// Check returns an error naming the field when the query makes no sense.
func (q Query) Check() error {
	if q.Limit < 0 {
		return fmt.Errorf("query: Limit %d is negative", q.Limit)
	}
	if q.Mode != "" && !slices.Contains(Modes, q.Mode) {
		return fmt.Errorf("query: Mode %q is none of %v", q.Mode, Modes)
	}
	return nil
}
