package ledger

import (
	"errors"
	"fmt"
)

// ErrClosed is returned by a Store after Close.
var ErrClosed = errors.New("ledger: already closed")

// Kinds of trouble with a ledger's file; a *FileError is one of them (errors.Is).
// With each of them practice can go on in a Memory store.
var (
	ErrNewer      = errors.New("made by a newer version")
	ErrUnwritable = errors.New("cannot be written")
	ErrNotLedger  = errors.New("not a telltrace ledger")
	ErrDamaged    = errors.New("damaged")
	ErrBusy       = errors.New("held by another program")
)

// A FileError says what is wrong with a ledger's file, and what to do.
type FileError struct {
	Kind    error  // one of the kinds above
	Path    string // the file
	Reason  string // what was found
	Advice  string // what to do
	Version int    // ErrNewer: the version of the file
	Ours    int    // ErrNewer: the newest version this program can use
	Cause   error  // what the system said, or nil
}

// Error is "PATH: REASON (CAUSE); ADVICE".
func (e *FileError) Error() string {
	s := e.Path + ": " + e.Reason
	if e.Cause != nil {
		s += fmt.Sprintf(" (%v)", e.Cause)
	}
	return s + "; " + e.Advice
}

// Unwrap gives errors.Is and errors.As the kind and the cause.
func (e *FileError) Unwrap() []error {
	if e.Cause == nil {
		return []error{e.Kind}
	}
	return []error{e.Kind, e.Cause}
}

// A ConflictError says that two different answers claim one ID.
type ConflictError struct {
	ID    string
	Field string // the first field in which they differ
}

// Error names the ID and the field.
func (e *ConflictError) Error() string {
	return fmt.Sprintf("answer %q is in the ledger already with another %s; nothing was added: "+
		"look at where this copy comes from", e.ID, e.Field)
}
