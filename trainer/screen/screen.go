// Package screen holds how the trainer's screens talk: the Screen interface, the
// services in Env, and the messages screens exchange. It imports no screen. The
// root model in package trainer keeps a stack of screens and delivers messages;
// what a screen wants of the root it says with Push, Back or Replace.
package screen

import (
	"time"

	"github.com/charmbracelet/bubbles/help"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"telltrace/scoring/ectopics"
	"telltrace/scoring/ledger"
	"telltrace/scoring/readiness"
	"telltrace/trainer/glass"
	"telltrace/trainer/look"
	"telltrace/trainer/settings"
)

// A Screen is one full-window view. Only the root model calls it.
type Screen interface {
	ID() ID
	Init() tea.Cmd
	Update(tea.Msg) (Screen, tea.Cmd)
	View() string // exactly the size last set; changes nothing
	SetSize(width, height int)
	MinSize() (cols, rows int) // below it the root says what is needed instead
	help.KeyMap                // help lines come from the bindings, never from prose
}

// A Painter is a screen that can give its moving strip as bands, beside a page that
// has empty lines there. Its View has the strip in the page.
type Painter interface {
	Screen
	glass.Painter
}

// A Halting screen has a clock of its own that stands still while nobody sees it: under the
// help and while the program is suspended it gets no ticks, and Resumed afterwards. On other
// screens the time goes on, as in a drill.
type Halting interface {
	Screen
	Halts()
}

// An ID is one opening of one screen.
type ID int

// Env holds the services that live as long as the program. The clock, chance and
// the terminal come in here and from nowhere else.
type Env struct {
	Look     *look.Look
	Renderer *lipgloss.Renderer // of this terminal, for another look; nil: without colour
	Store    ledger.Store
	Learner  string
	Class    string // the class the learner sits with; "" for none
	Now      func() time.Time
	Location *time.Location // in which a learner's days begin
	Seed     func() uint64  // a new seed for each exercise, kept with the strip
	NewID    func() string  // a new answer or presentation id, unique everywhere
	Notice   string         // one sentence that must be seen, such as: answers are not kept
	Frame    time.Duration  // time between two frames of a moving strip
	Still    bool           // a still page that is turned, in place of a moving strip

	Rules  readiness.Rules // by which a learner is called ready; NewEnv takes ours where there are none
	Values ectopics.Values // at which early beats are told; NewEnv takes ours where there are none

	Settings settings.Settings             // as they were last chosen
	Save     func(settings.Settings) error // keeps them; nil where nothing is kept

	opened *ID
	began  time.Time
}

// NewEnv completes an Env.
func NewEnv(e Env) *Env {
	e.opened, e.began = new(ID), e.Now()
	if e.Frame <= 0 {
		e.Frame = time.Second / 30
	}
	if e.Rules.Block.Arrest == 0 {
		e.Rules = readiness.Default()
	}
	if e.Values.Notify.Count == 0 {
		e.Values = ectopics.Default()
	}
	if e.Location == nil {
		e.Location = time.UTC
	}
	return &e
}

// Open gives a screen its ID.
func (e *Env) Open() ID {
	*e.opened++
	return *e.opened
}

// Push puts a screen on the stack.
type Push struct{ Screen Screen }

// Replace puts a screen in the place of the one that says so.
type Replace struct{ Screen Screen }

// Back takes the top screen off the stack; from the last one the program ends.
type Back struct{}

// Resumed tells a screen that it is on top, or seen, again.
type Resumed struct{}

// Restyle says that other settings were chosen. The root puts them and their look into
// Env, for what is drawn and opened from then on, and hands the message back to the
// top screen.
type Restyle struct{ Settings settings.Settings }

// A Reply is a message for one opening of one screen, which may be closed by then.
type Reply struct {
	To  ID
	Msg tea.Msg
}

// Ask runs cmd and addresses its result to id. Batch the Asks, never Ask a Batch:
// the runtime does not look inside a Reply, so the batched commands would be lost.
func Ask(id ID, cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() tea.Msg { return Reply{To: id, Msg: cmd()} }
}

// Say returns a command that delivers msg.
func Say(msg tea.Msg) tea.Cmd { return func() tea.Msg { return msg } }

// A Tick is a moment of the clock. Chain tells apart the tick chains of one screen:
// a tick of an abandoned chain is dropped.
type Tick struct {
	At    time.Time
	Chain int
}

// NextFrame sends a Tick to id at the next of the moments that lie Frame apart,
// counted from when the program began: a late tick delays none after it, and moments
// that have passed are left out.
func (e *Env) NextFrame(id ID, chain int) tea.Cmd {
	since := e.Now().Sub(e.began)
	wait := e.Frame - since%e.Frame
	return Ask(id, tea.Tick(wait, func(time.Time) tea.Msg { return Tick{At: e.Now(), Chain: chain} }))
}
