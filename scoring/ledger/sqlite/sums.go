package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"time"

	"telltrace/scoring/ledger"
)

var _ ledger.Summer = (*Store)(nil)

// Sums reads what the file keeps beside the answers: a trigger adds each answer to it in
// the transaction that keeps the answer, whichever program does it, and an answer that
// is there already changes nothing.
func (s *Store) Sums(ctx context.Context, learner string) ([]ledger.Sum, error) {
	list, err := readSums(ctx, s.read, `SELECT `+sumColumns+` FROM sums
		WHERE ?1 = '' OR learner = ?1 ORDER BY learner, subject`, learner)
	return list, s.settle(ctx, err)
}

// sumColumns are the columns of a sum, in the order readSums uses.
const sumColumns = `learner, subject, named, named_right, named_critical, took_ms, last_ms, sure_wrong,
	acted, acted_right, acted_critical, steps, steps_right, steps_critical`

func readSums(ctx context.Context, db *sql.DB, query string, args ...any) ([]ledger.Sum, error) {
	rows, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	list := []ledger.Sum{}
	for rows.Next() {
		var s ledger.Sum
		var took, last int64
		if err := rows.Scan(&s.Learner, &s.Subject, &s.Named.N, &s.Named.Right, &s.Named.Critical, &took, &last, &s.SureWrong,
			&s.FirstDone.N, &s.FirstDone.Right, &s.FirstDone.Critical, &s.ReadBefore.N, &s.ReadBefore.Right, &s.ReadBefore.Critical); err != nil {
			return nil, err
		}
		s.NamedTook = time.Duration(took) * time.Millisecond
		if last > noTime {
			s.LastNamed = time.UnixMilli(last).UTC()
		}
		list = append(list, s)
	}
	return list, rows.Err()
}

// CheckSums works the sums out from the answers again and reports whether those kept
// agree, everybody's.
func (s *Store) CheckSums(ctx context.Context) (agree bool, err error) {
	kept, err := s.Sums(ctx, "")
	if err != nil {
		return false, err
	}
	again, err := readSums(ctx, s.read, sumsAgain+` ORDER BY 1, 2`)
	if err != nil {
		return false, s.settle(ctx, err)
	}
	return slices.Equal(kept, again), nil
}

// RebuildSums puts the sums worked out from the answers in the place of those kept, in
// one transaction.
func (s *Store) RebuildSums(ctx context.Context) error {
	return s.settle(ctx, s.rebuildSums(ctx))
}

func (s *Store) rebuildSums(ctx context.Context) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() // after Commit this does nothing
	if _, err := tx.ExecContext(ctx, refillSums); err != nil {
		return err
	}
	return tx.Commit()
}

// mendSums rebuilds the sums when they were not made of as many answers as there are: a
// program that knows nothing of them has written to the file. It is looked at whenever
// the file is opened; it reads two rows.
func (s *Store) mendSums(ctx context.Context) error {
	var kept, there int64
	err := s.write.QueryRowContext(ctx, `SELECT answers, (SELECT coalesce(max(seq), 0) FROM answers) FROM summed`).Scan(&kept, &there)
	switch {
	case errors.Is(err, sql.ErrNoRows):
	case err != nil:
		return err
	case kept == there:
		return nil
	}
	return s.rebuildSums(ctx)
}
