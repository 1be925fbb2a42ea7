// Package sqlite keeps a ledger in an SQLite file. An answer is on the disk before
// Add returns (write-ahead log, synchronous=FULL), and two programs may use one
// file at once. The file must be on a local disk: SQLite's locks do not hold over a
// network.
//
// The form of the file is an ordered list of SQL steps (schema.go) counted by
// PRAGMA user_version, applied in one transaction. A migration library (goose) was
// tried: it starts as fast (both open an up-to-date file in about 1.2 ms), but has
// no lock for SQLite, and two programs may start at once; it also keeps a table
// where a number in the header does, which can be read before anything is written.
//
// Start with Open; store.go reads and writes answers.
package sqlite

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	driver "modernc.org/sqlite"
	codes "modernc.org/sqlite/lib"

	"telltrace/scoring/ledger"
)

// Version is the version of the file this program writes.
func Version() int { return len(schema) }

// Open opens the ledger at path, and makes the folder (readable by the user only)
// and the file when there are none. An older file is brought up to date. Trouble
// with the file is a *ledger.FileError; a file that is newer, damaged or no ledger
// is left as it is.
func Open(path string) (*Store, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, unwritable(path, "the folder cannot be found", err)
	}
	if err := makeFile(full); err != nil {
		return nil, err
	}
	if err := inspect(full); err != nil {
		return nil, err
	}
	return open(full)
}

// open opens a file that was found fit, and brings it up to date.
func open(path string) (*Store, error) {
	s := &Store{path: path}
	var err error
	if s.write, err = sql.Open("sqlite", dataSource(path, "")); err == nil {
		s.write.SetMaxOpenConns(1)
		s.read, err = sql.Open("sqlite", dataSource(path, "&_pragma=query_only(1)"))
	}
	if err == nil {
		s.read.SetMaxOpenConns(readers)
		err = s.migrate(context.Background())
	}
	if err == nil {
		err = s.mendSums(context.Background())
	}
	if err != nil {
		s.Close()
		return nil, fileError(path, err)
	}
	return s, nil
}

// readers bounds the connections for reading. More than one, so that somebody who
// reads answers while reading answers is not left waiting for himself.
const readers = 4

// dataSource writes the address of the file for the driver. Without
// _txlock=immediate a transaction that reads before it writes is refused as soon as
// another program writes in between. journal_mode is written only where the file
// may be changed.
func dataSource(path, more string) string {
	return address(path) + "?_pragma=busy_timeout(10000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)" +
		"&_pragma=foreign_keys(1)&_txlock=immediate" + more
}

// address escapes what has a meaning in a file: address ("?", "#", "%").
func address(path string) string {
	p := filepath.ToSlash(path)
	if !strings.HasPrefix(p, "/") {
		p = "/" + p // a drive letter
	}
	return (&url.URL{Scheme: "file", Path: p}).String()
}

// makeFile makes the folder and the file, for the user's eyes only. The file is
// made under another name and appears whole: two programs that switch one empty
// file to a write-ahead log at once get errors that no waiting cures.
func makeFile(path string) error {
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return unwritable(path, "the folder cannot be made", err)
	}
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return unwritable(path, "this is a folder, not a file", nil)
	case err == nil:
		return nil
	case !errors.Is(err, fs.ErrNotExist):
		return unwritable(path, "cannot be looked at", err)
	}
	f, err := os.CreateTemp(dir, ".new-answers-*")
	if err != nil {
		return unwritable(path, "the file cannot be made", err)
	}
	defer os.Remove(f.Name())
	if err := f.Close(); err != nil {
		return unwritable(path, "the file cannot be made", err)
	}
	s, err := open(f.Name())
	if err != nil {
		var e *ledger.FileError
		if errors.As(err, &e) {
			e.Path = path // the name the user knows
		}
		return err
	}
	if err := s.Close(); err != nil {
		return unwritable(path, "the file cannot be made", err)
	}
	err = os.Link(f.Name(), path)
	if err != nil && !errors.Is(err, fs.ErrExist) {
		// A file system without links: make it in place after all.
		f, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY, 0o600)
		if err != nil {
			return unwritable(path, "the file cannot be made", err)
		}
		return f.Close()
	}
	return nil
}

// inspect decides, without changing anything, whether the file may be opened for
// writing.
//
// A file nobody has open is judged by its header. It is not opened while the
// write-ahead log's index (-shm) stands beside it: closing a file drops all locks
// this program has on it (POSIX), also those of a ledger it has open; and after a
// crash the header may be out of date. Then a connection that cannot write is
// asked; if the last other program leaves in that moment it takes the log away,
// and the next look finds the plain file.
func inspect(path string) error {
	var err error
	for range 10 {
		if _, missing := os.Stat(path + "-shm"); missing != nil {
			return inspectHeader(path)
		}
		if err = inspectByQuery(path); err == nil || errors.Is(err, ledger.ErrNewer) || errors.Is(err, ledger.ErrNotLedger) {
			return err
		}
	}
	return err
}

// inspectHeader reads "The Database Header" (SQLite file format, section 1.3).
func inspectHeader(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return unwritable(path, "cannot be read", err)
	}
	defer f.Close()
	header := make([]byte, 100)
	n, err := io.ReadFull(f, header)
	switch {
	case n == 0 && errors.Is(err, io.EOF):
		return nil // empty: to be filled
	case err != nil && !errors.Is(err, io.ErrUnexpectedEOF):
		return unwritable(path, "cannot be read", err)
	case n < 16 || string(header[:16]) != "SQLite format 3\x00":
		return notLedger(path, "this is not a database")
	case n < len(header):
		return damaged(path, nil)
	}
	field := func(at int) int { return int(binary.BigEndian.Uint32(header[at:])) }
	return judge(path, field(60), field(68), field(28))
}

func inspectByQuery(path string) error {
	db, err := sql.Open("sqlite", address(path)+"?mode=ro&_pragma=busy_timeout(10000)")
	if err != nil {
		return fileError(path, err)
	}
	defer db.Close()
	var version, id, pages int
	err = db.QueryRow(`SELECT user_version, application_id, page_count
		FROM pragma_user_version, pragma_application_id, pragma_page_count`).Scan(&version, &id, &pages)
	if err != nil {
		return fileError(path, err)
	}
	return judge(path, version, id, pages)
}

// judge lets our own files pass, and a single page without anything on it: a file
// whose making was cut short.
func judge(path string, version, id, pages int) error {
	switch {
	case id == applicationID:
		return tooNew(path, version)
	case id == 0 && version == 0 && pages <= 1:
		return nil
	}
	return notLedger(path, "this database belongs to another program")
}

// migrate brings the file to our version, in one transaction that holds the lock
// of all writers, so of two programs that start at once one waits and then finds
// nothing to do.
func (s *Store) migrate(ctx context.Context) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // after Commit this does nothing
	setID := fmt.Sprintf("PRAGMA application_id = %d", applicationID)
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if err := tooNew(s.path, version); err != nil {
		return err
	}
	if version == len(schema) {
		// Proves that the file can be written; rolled back, so it never is.
		_, err := tx.ExecContext(ctx, setID)
		return err
	}
	for i, step := range schema[version:] {
		if _, err := tx.ExecContext(ctx, step); err != nil {
			return fmt.Errorf("step to version %d: %w", version+i+1, err)
		}
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("%s; PRAGMA user_version = %d", setID, len(schema))); err != nil {
		return err
	}
	return tx.Commit()
}

func tooNew(path string, version int) error {
	if version <= len(schema) {
		return nil
	}
	return &ledger.FileError{Kind: ledger.ErrNewer, Path: path, Version: version, Ours: len(schema),
		Reason: fmt.Sprintf("made by a newer telltrace: the file has version %d, this program knows up to %d; nothing was changed",
			version, len(schema)),
		Advice: "use the newer telltrace, or name another file with --store"}
}

func notLedger(path, reason string) error {
	return &ledger.FileError{Kind: ledger.ErrNotLedger, Path: path, Reason: reason + "; nothing was changed",
		Advice: "name another file with --store"}
}

func damaged(path string, cause error) error {
	return &ledger.FileError{Kind: ledger.ErrDamaged, Path: path, Cause: cause,
		Reason: "the file is damaged",
		Advice: "keep it aside under another name, put a backup in its place or start a new one"}
}

func unwritable(path, reason string, cause error) error {
	return &ledger.FileError{Kind: ledger.ErrUnwritable, Path: path, Reason: reason, Cause: cause,
		Advice: "check the permissions and the space on the disk, or name another file with --store"}
}

// fileError turns what SQLite says about the file into a *ledger.FileError. Other
// errors pass unchanged.
func fileError(path string, err error) error {
	var known *ledger.FileError
	var e *driver.Error
	if errors.As(err, &known) || !errors.As(err, &e) {
		return err
	}
	switch e.Code() & 0xff { // the primary result code
	case codes.SQLITE_NOTADB:
		return notLedger(path, "this is not a database")
	case codes.SQLITE_CORRUPT:
		return damaged(path, err)
	case codes.SQLITE_READONLY, codes.SQLITE_CANTOPEN, codes.SQLITE_PERM, codes.SQLITE_IOERR, codes.SQLITE_AUTH:
		return unwritable(path, "the file cannot be written", err)
	case codes.SQLITE_FULL:
		return unwritable(path, "the disk is full", err)
	case codes.SQLITE_BUSY, codes.SQLITE_LOCKED:
		return &ledger.FileError{Kind: ledger.ErrBusy, Path: path, Cause: err,
			Reason: "another program has held the file for too long", Advice: "close the other program, then try again"}
	}
	return err
}
