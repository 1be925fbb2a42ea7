// Package handin carries a learner's answers from one ledger to another in one file: a
// learner who practises at home hands in, an educator collects. Answers keep their IDs, so
// a file may be collected any number of times, and files in any order: the ledger that
// comes out is the same.
//
// A file is lines of JSON: a head, an answer a line, a foot. Each answer carries a link
// of a chain over everything before it, so a line that was changed, taken out or put in
// is named, and a file that was cut off lacks its foot. The chain is plain SHA-256 unless
// the class agreed on a word: then it is HMAC-SHA-256 (RFC 2104) keyed with the word, and
// nobody without the word can make a file that holds. Without a word it guards against
// accidents and careless hands only.
//
// Start with Write and Collect.
package handin

import (
	"bufio"
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"time"

	"github.com/google/uuid"

	"telltrace/scoring/ledger"
	"telltrace/synth/ecg"
)

const (
	kind    = "telltrace hand-in"
	version = 1

	// most is the length of the longest line that is read, bytes. An answer has about
	// five hundred.
	most = 1 << 20
	// mostAnswers is how many answers a file may hold: thirty years of a hundred a day.
	mostAnswers = 1_000_000
)

// A head is the first line.
type head struct {
	Kind    string    `json:"kind"`
	Version int       `json:"version"`
	Learner string    `json:"learner"`
	Made    time.Time `json:"made"`
	Word    bool      `json:"word"` // whether the chain is keyed
}

// A line is an answer with its link, or, without an answer, the foot.
type line struct {
	Answer  json.RawMessage `json:"answer,omitempty"`
	Answers *int            `json:"answers,omitempty"` // the foot: how many there were
	Link    string          `json:"link"`
}

// wire is an answer as it stands in a file. Names are append-only.
type wire struct {
	ID           string            `json:"id"`
	Presentation string            `json:"presentation"`
	At           time.Time         `json:"at"`
	Mode         ledger.Mode       `json:"mode"`
	Part         string            `json:"part,omitempty"`
	Class        string            `json:"class,omitempty"`
	Strip        string            `json:"strip"`
	Subject      string            `json:"subject"`
	State        ecg.State         `json:"state,omitempty"`
	Question     ledger.Question   `json:"question"`
	Offered      []string          `json:"offered,omitempty"`
	Chosen       string            `json:"chosen,omitempty"`
	Right        []string          `json:"right,omitempty"`
	Correct      bool              `json:"correct"`
	Verdict      ledger.Verdict    `json:"verdict"`
	Sure         ledger.Confidence `json:"sure,omitempty"`
	Looked       []ledger.Look     `json:"looked,omitempty"`
	TookMS       int64             `json:"took_ms"`
}

func toWire(a ledger.Answer) wire {
	return wire{a.ID, a.Presentation, a.At, a.Mode, a.Part, a.Class, a.Strip, a.Subject, a.State, a.Question, a.Offered,
		a.Chosen, a.Right, a.Correct, a.Verdict, a.Sure, a.Looked, a.Took.Milliseconds()}
}

func (w wire) answer(learner string) ledger.Answer {
	return ledger.Answer{ID: w.ID, Presentation: w.Presentation, Learner: learner, At: w.At, Mode: w.Mode, Part: w.Part,
		Class: w.Class, Strip: w.Strip, Subject: w.Subject, State: w.State, Question: w.Question, Offered: w.Offered,
		Chosen: w.Chosen, Right: w.Right, Correct: w.Correct, Verdict: w.Verdict, Sure: w.Sure, Looked: w.Looked,
		Took: time.Duration(w.TookMS) * time.Millisecond}
}

// A Sender is what the head of a file says.
type Sender struct {
	Learner string    // whose answers, in the ledger
	As      string    // the name they are handed in under; "" for Learner
	Made    time.Time // when
	Word    string    // the word the class agreed on; "" for none
}

// Write writes the learner's answers, oldest first, and says how many there were. Memory
// does not grow with their number. Under another name answers get other IDs, always the
// same ones, so that one answer handed in under two names never stands against itself.
func Write(ctx context.Context, to io.Writer, store ledger.Store, s Sender) (int, error) {
	name := s.As
	if name == "" {
		name = s.Learner
	}
	out := bufio.NewWriter(to)
	first, err := json.Marshal(head{kind, version, name, s.Made.UTC().Truncate(time.Second), s.Word != ""})
	if err != nil {
		return 0, err
	}
	c := newChain(s.Word, first)
	if _, err := out.Write(append(first, '\n')); err != nil {
		return 0, err
	}
	n := 0
	for a, err := range store.Answers(ctx, ledger.Query{Learner: s.Learner}) {
		if err != nil {
			return n, err
		}
		if name != s.Learner {
			a.ID = uuid.NewSHA1(uuid.NameSpaceURL, []byte("telltrace:"+name+":"+a.ID)).String()
		}
		text, err := json.Marshal(toWire(a))
		if err != nil {
			return n, fmt.Errorf("answer %q: %w", a.ID, err)
		}
		if err := put(out, line{Answer: text, Link: c.next(text)}); err != nil {
			return n, err
		}
		n++
	}
	if err := put(out, line{Answers: &n, Link: c.next(fmt.Appendf(nil, "%d", n))}); err != nil {
		return n, err
	}
	return n, out.Flush()
}

func put(out io.Writer, l line) error {
	text, err := json.Marshal(l)
	if err != nil {
		return err
	}
	_, err = out.Write(append(text, '\n'))
	return err
}

// A chain links each line to all before it.
type chain struct{ sum hash.Hash }

func newChain(word string, head []byte) *chain {
	c := &chain{sha256.New()}
	if word != "" {
		c.sum = hmac.New(sha256.New, []byte(word))
	}
	c.sum.Write(head)
	return c
}

// next is the link of the next line, in hexadecimal.
func (c *chain) next(text []byte) string {
	c.sum.Write([]byte{'\n'})
	c.sum.Write(text)
	return hex.EncodeToString(c.sum.Sum(nil)[:16])
}

// A Received is what a file held.
type Received struct {
	Learner string
	Made    time.Time
	Answers int // in the file
	Added   int // of them that the ledger did not have yet
}

// Collect reads a whole file, and only when all of it holds adds its answers to the
// store. An error names the file and the line, and says what to do; nothing was added
// then. word is the one the class agreed on, "" for none.
func Collect(ctx context.Context, store ledger.Store, name string, from io.Reader, word string) (Received, error) {
	r, answers, err := read(name, from, word)
	if err != nil {
		return r, err
	}
	have := map[string]bool{}
	for a, err := range store.Answers(ctx, ledger.Query{Learner: r.Learner}) {
		if err != nil {
			return r, err
		}
		have[a.ID] = true
	}
	for _, a := range answers {
		if !have[a.ID] {
			r.Added++
		}
	}
	if err := store.Add(ctx, answers...); err != nil {
		r.Added = 0
		return r, fmt.Errorf("%s: %w", name, err)
	}
	return r, nil
}

// read reads and proves a file.
func read(name string, from io.Reader, word string) (Received, []ledger.Answer, error) {
	var r Received
	at := 0
	bad := func(format string, args ...any) (Received, []ledger.Answer, error) {
		return r, nil, fmt.Errorf("%s:%d: %s; nothing of this file was added", name, max(at, 1), fmt.Sprintf(format, args...))
	}
	lines := bufio.NewScanner(from)
	lines.Buffer(make([]byte, 0, 64<<10), most)
	next := func() bool { at++; return lines.Scan() }

	if !next() {
		if err := lines.Err(); err != nil {
			return bad("this is no hand-in file: %v", err)
		}
		return bad("the file is empty; ask for it again")
	}
	var h head
	first := bytes.Clone(lines.Bytes())
	if err := strict(first, &h); err != nil || h.Kind != kind {
		return bad("this is no hand-in file; telltrace hand-in writes one")
	}
	switch {
	case h.Version > version:
		return bad("made by a newer telltrace (form %d, this one knows %d); update this one", h.Version, version)
	case h.Learner == "":
		return bad("it does not say whose answers these are")
	case h.Word && word == "":
		return bad("it was sealed with the word of the class; give it with --word")
	case !h.Word && word != "":
		return bad("it was not sealed with the word of the class; ask for it again with --word")
	}
	r.Learner, r.Made = h.Learner, h.Made
	c := newChain(word, first)
	var answers []ledger.Answer
	for next() {
		var l line
		if err := strict(lines.Bytes(), &l); err != nil {
			return bad("this line is damaged: %v", err)
		}
		if l.Answers != nil {
			if l.Link != c.next(fmt.Appendf(nil, "%d", *l.Answers)) || *l.Answers != len(answers) {
				return bad("the last line does not fit the %d answers before it: something was changed or taken out", len(answers))
			}
			if next() {
				return bad("something was added after the end")
			}
			r.Answers = len(answers)
			return r, answers, nil
		}
		if l.Link != c.next(l.Answer) {
			if h.Word && len(answers) == 0 {
				return bad("it does not fit the word, or was changed here")
			}
			return bad("this line or the one before it was changed, taken out or put in")
		}
		if len(answers) == mostAnswers {
			return bad("more than %d answers", mostAnswers)
		}
		var w wire
		if err := strict(l.Answer, &w); err != nil {
			return bad("this answer cannot be read: %v", err)
		}
		a, err := ledger.Clean(w.answer(h.Learner))
		if err != nil {
			return bad("%v", err)
		}
		answers = append(answers, a)
	}
	if err := lines.Err(); errors.Is(err, bufio.ErrTooLong) {
		return bad("this line is longer than %d bytes", most)
	} else if err != nil {
		return bad("it cannot be read on: %v", err)
	}
	at--
	return bad("it was cut off after %d answers; ask for it again", len(answers))
}

// strict reads JSON without fields it does not know.
func strict(text []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return err
	}
	if d.More() {
		return errors.New("something follows it")
	}
	return nil
}
