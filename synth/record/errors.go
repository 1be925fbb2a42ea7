package record

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// An Error says which file is wrong, where in it, what is wrong there and, where
// it helps, what to do.
type Error struct {
	Path  string // the file
	Line  int    // line from 1 in a text file; 0 when it does not apply
	Field string // what was being read: "rate", "signal 2 gain", "annotations"
	What  string // what is wrong and what to do
	Err   error  // the cause, such as fs.ErrNotExist; may be nil
}

// Error writes "path:line: field: what".
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.Path)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
	}
	if e.Field != "" {
		b.WriteString(": " + e.Field)
	}
	if e.What != "" {
		b.WriteString(": " + e.What)
	}
	return b.String()
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

func bad(path string, line int, field, format string, args ...any) *Error {
	return &Error{Path: path, Line: line, Field: field, What: fmt.Sprintf(format, args...)}
}

// unreadable wraps an error of the file system, whose own text already says what
// is wrong.
func unreadable(path, field string, err error) *Error {
	what := err.Error()
	if _, after, ok := strings.Cut(what, path+": "); ok {
		what = after
	}
	return &Error{Path: path, Field: field, What: what, Err: err}
}

// clean makes text from a file safe to show: Latin-1 where it is not UTF-8 (older
// recorders write a micro sign so), without control characters or outer blanks.
func clean(s string) string {
	if !utf8.ValidString(s) {
		runes := make([]rune, len(s))
		for i := range len(s) {
			runes[i] = rune(s[i])
		}
		s = string(runes)
	}
	s = strings.Map(func(r rune) rune {
		if r == '\t' {
			return ' '
		}
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, s)
	return strings.TrimSpace(s)
}
