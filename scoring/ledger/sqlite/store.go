package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"strings"
	"sync"
	"time"

	"telltrace/scoring/ledger"
)

// A Store is an open ledger file. It keeps the contract of ledger.Store.
type Store struct {
	path        string
	write, read *sql.DB

	mu     sync.RWMutex // guards closed; held for reading while an operation starts
	closed bool
}

var _ ledger.Store = (*Store)(nil)

// Path is the file's absolute path.
func (s *Store) Path() string { return s.path }

// Close gives the file back. The last program to close it also folds the
// write-ahead log into it.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return nil
	}
	s.closed = true
	var err error
	for _, db := range []*sql.DB{s.read, s.write} { // write last: readers cannot fold the log
		if db != nil {
			err = errors.Join(err, db.Close())
		}
	}
	return err
}

// settle puts an error into the words of the contract: an operation that Close
// overtook was closed.
func (s *Store) settle(ctx context.Context, err error) error {
	if err == nil {
		return nil
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	s.mu.RLock()
	defer s.mu.RUnlock()
	if s.closed {
		return ledger.ErrClosed
	}
	return fileError(s.path, err)
}

// Add writes the answers and waits for the disk.
func (s *Store) Add(ctx context.Context, answers ...ledger.Answer) error {
	clean := make([]ledger.Answer, len(answers))
	for i, a := range answers {
		var err error
		if clean[i], err = ledger.Clean(a); err != nil {
			return err
		}
	}
	return s.settle(ctx, s.add(ctx, clean))
}

func (s *Store) add(ctx context.Context, answers []ledger.Answer) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // after Commit this does nothing
	insert, err := tx.PrepareContext(ctx, `INSERT INTO answers (`+columns+`)
		VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?) ON CONFLICT (id) DO NOTHING`)
	if err != nil {
		return err
	}
	defer insert.Close()
	for _, a := range answers {
		v, err := values(a)
		if err != nil {
			return err
		}
		result, err := insert.ExecContext(ctx, v...)
		if err != nil {
			return err
		}
		if added, err := result.RowsAffected(); err != nil || added == 1 {
			if err != nil {
				return err
			}
			continue
		}
		have, err := scan(tx.QueryRowContext(ctx, `SELECT `+columns+` FROM answers WHERE id = ?`, a.ID))
		if err != nil {
			return err
		}
		if field := ledger.Differ(have, a); field != "" {
			return &ledger.ConflictError{ID: a.ID, Field: field}
		}
	}
	return tx.Commit()
}

// Answers reads the answers the query selects, row by row: memory does not grow
// with their number.
func (s *Store) Answers(ctx context.Context, q ledger.Query) iter.Seq2[ledger.Answer, error] {
	return func(yield func(ledger.Answer, error) bool) {
		if err := q.Check(); err != nil {
			yield(ledger.Answer{}, err)
			return
		}
		stopped, err := s.each(ctx, q, func(a ledger.Answer) bool { return yield(a, nil) })
		if err = s.settle(ctx, err); err != nil && !stopped {
			yield(ledger.Answer{}, err)
		}
	}
}

// each calls visit for every answer until it returns false; stopped tells that it
// did.
func (s *Store) each(ctx context.Context, q ledger.Query, visit func(ledger.Answer) bool) (stopped bool, err error) {
	text, args := selection(q)
	rows, err := s.read.QueryContext(ctx, text, args...)
	if err != nil {
		return false, err
	}
	defer rows.Close()
	for rows.Next() {
		a, err := scan(rows)
		if err != nil {
			return false, err
		}
		if !visit(a) {
			return true, nil
		}
	}
	return false, rows.Err()
}

func selection(q ledger.Query) (text string, args []any) {
	var where []string
	and := func(condition string, arg any) {
		where, args = append(where, condition), append(args, arg)
	}
	if q.Learner != "" {
		and("learner = ?", q.Learner)
	}
	if q.Subject != "" {
		and("subject = ?", q.Subject)
	}
	if q.Mode != "" {
		and("mode = ?", string(q.Mode))
	}
	if q.Class != "" {
		and("class <> '' AND class = ?", q.Class)
	}
	if q.Part != "" {
		and("part <> '' AND part = ?", q.Part)
	}
	if !q.Since.IsZero() {
		and("at_ms >= ?", q.Since.UnixMilli())
	}
	text = "SELECT " + columns + " FROM answers"
	if len(where) > 0 {
		text += " WHERE " + strings.Join(where, " AND ")
	}
	if q.NewestFirst {
		text += " ORDER BY at_ms DESC, id DESC"
	} else {
		text += " ORDER BY at_ms, id"
	}
	if q.Limit > 0 {
		text += " LIMIT ?"
		args = append(args, q.Limit)
	}
	return text, args
}

// Learners jumps from name to name along the index instead of reading all of it.
func (s *Store) Learners(ctx context.Context) ([]string, error) {
	names, err := s.learners(ctx)
	if err != nil {
		return nil, s.settle(ctx, err)
	}
	return names, nil
}

func (s *Store) learners(ctx context.Context) ([]string, error) {
	rows, err := s.read.QueryContext(ctx, `
		WITH RECURSIVE names (name) AS (
			SELECT min(learner) FROM answers
			UNION ALL
			SELECT (SELECT min(learner) FROM answers WHERE learner > name) FROM names WHERE name IS NOT NULL)
		SELECT name FROM names WHERE name IS NOT NULL`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var names []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return nil, err
		}
		names = append(names, name)
	}
	return names, rows.Err()
}

// values and scan turn an answer into a row and back, in the order of columns.
func values(a ledger.Answer) ([]any, error) {
	var lists [3]string
	for i, list := range []any{a.Offered, a.Right, a.Looked} {
		text, err := json.Marshal(list)
		if err != nil {
			return nil, fmt.Errorf("answer %q: %w", a.ID, err)
		}
		lists[i] = string(text)
	}
	return []any{a.ID, a.Presentation, a.Learner, a.At.UnixMilli(), string(a.Mode), a.Strip, a.Subject,
		string(a.State), string(a.Question), lists[0], a.Chosen, lists[1], a.Correct, string(a.Verdict),
		string(a.Sure), lists[2], a.Took.Milliseconds(), a.Part, a.Class}, nil
}

func scan(row interface{ Scan(...any) error }) (ledger.Answer, error) {
	var a ledger.Answer
	var at, took int64
	var offered, right, looked []byte
	err := row.Scan(&a.ID, &a.Presentation, &a.Learner, &at, &a.Mode, &a.Strip, &a.Subject, &a.State, &a.Question,
		&offered, &a.Chosen, &right, &a.Correct, &a.Verdict, &a.Sure, &looked, &took, &a.Part, &a.Class)
	if err != nil {
		return a, err
	}
	a.At = time.UnixMilli(at).UTC()
	a.Took = time.Duration(took) * time.Millisecond
	for _, list := range []struct {
		name string
		text []byte
		into any
	}{{"offered", offered, &a.Offered}, {"right_answers", right, &a.Right}, {"looked", looked, &a.Looked}} {
		if words, ok := list.into.(*[]string); ok {
			if *words, ok = plainWords(list.text); ok {
				continue
			}
		}
		if string(list.text) == "null" {
			continue
		}
		if err := json.Unmarshal(list.text, list.into); err != nil {
			return a, fmt.Errorf("answer %q: column %s: %w", a.ID, list.name, err)
		}
	}
	return a, nil
}

// plainWords reads a JSON list of strings without escapes, as nearly all are; false for
// anything else.
func plainWords(text []byte) ([]string, bool) {
	if string(text) == "null" {
		return nil, true
	}
	if len(text) < 2 || text[0] != '[' || text[len(text)-1] != ']' || bytes.IndexByte(text, '\\') >= 0 {
		return nil, false
	}
	whole := string(text[1 : len(text)-1]) // the words share its memory
	var out []string
	for whole != "" {
		if whole[0] != '"' {
			return nil, false
		}
		end := strings.IndexByte(whole[1:], '"')
		if end < 0 {
			return nil, false
		}
		out = append(out, whole[1:1+end])
		switch whole = whole[end+2:]; {
		case whole == "":
		case whole[0] == ',' && len(whole) > 1:
			whole = whole[1:]
		default:
			return nil, false
		}
	}
	return out, true
}
