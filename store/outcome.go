package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"boardlore/domain/fault"
)

// The time that the database has. A connection that is stuck costs as much and
// no more.
const (
	commitTime  = 10 * time.Second // for a commit, which the caller's going away does not cut off
	resolveTime = 8 * time.Second  // to find out what became of a commit that was cut off
	batchTime   = 3 * time.Second  // for the query that every current map waits for
	loadTime    = 10 * time.Second // for reading one revision
)

// write runs do in a transaction and commits it. READ COMMITTED: do takes the
// locks that it needs.
//
// It has three outcomes. With nil the act is done. With an error it is not, and
// nothing was changed, but for one error: outcome-unknown, when the database
// went away during the commit and did not come back to say what became of it.
func (s *Store) write(ctx context.Context, do func(pgx.Tx) error) error {
	if err := s.writable(); err != nil {
		return err
	}
	tx, err := s.db.BeginTx(ctx, pgx.TxOptions{IsoLevel: pgx.ReadCommitted})
	if err != nil {
		return undone(err)
	}
	if err := do(tx); err != nil {
		closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), batchTime)
		defer cancel()
		_ = tx.Rollback(closing) // without a commit nothing stays, whatever becomes of this
		return undone(err)
	}
	var w witness
	if err := tx.QueryRow(ctx, witnessed).Scan(&w.xact, &w.timeline); err != nil {
		_ = tx.Rollback(context.WithoutCancel(ctx))
		return undone(err)
	}
	// From here on the caller's deadline counts no more: an act that is cut off
	// in its commit is neither done nor undone.
	closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), commitTime)
	defer cancel()
	err = tx.Commit(closing)
	var pe *pgconn.PgError
	switch {
	case err == nil:
		return nil
	case errors.Is(err, pgx.ErrTxCommitRollback), errors.As(err, &pe) && pe.Severity == "ERROR":
		return undone(err) // the database says so itself
	}
	return s.resolve(context.WithoutCancel(ctx), w, err)
}

// witness is by what a transaction can be asked after: its number, and the
// timeline that it was written on, since a standby that was promoted in between
// gives the number to another.
type witness struct{ xact, timeline *string }

const (
	timelineNow = `substr(pg_walfile_name(pg_current_wal_lsn()), 1, 8)`
	witnessed   = `SELECT pg_current_xact_id_if_assigned()::text, ` + timelineNow
)

// resolve asks the database, once it answers again, what became of a commit.
func (s *Store) resolve(ctx context.Context, w witness, cause error) error {
	if w.xact == nil { // nothing was written
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, resolveTime)
	defer cancel()
	for {
		switch s.became(ctx, w) {
		case "committed":
			return nil
		case "aborted":
			return undone(cause)
		}
		select {
		case <-ctx.Done():
			return unknown(cause)
		case <-time.After(100 * time.Millisecond):
		}
	}
}

func (s *Store) became(ctx context.Context, w witness) (status string) {
	ctx, cancel := context.WithTimeout(ctx, batchTime)
	defer cancel()
	err := s.db.QueryRow(ctx, `SELECT CASE WHEN `+timelineNow+` = $2 THEN coalesce(pg_xact_status($1::xid8), '') ELSE '' END`,
		*w.xact, *w.timeline).Scan(&status)
	if err != nil {
		return ""
	}
	return status
}

func unknown(err error) error {
	return &fault.Error{Kind: fault.Unavailable, Code: "outcome-unknown", Err: err,
		Detail: "The database went away while this was being committed, so that it may be done or not. Send it again with the same Idempotency-Key, which does it once however often it comes; without a key, look first whether it is done."}
}

// undone is the refusal of an act that certainly changed nothing, which its
// detail then says.
func undone(err error) error {
	err = refusal(err)
	f, ok := fault.As(err)
	if !ok || f.Kind != fault.Unavailable || f.Code == "try-again" || f.Code == "outcome-unknown" {
		return err
	}
	told := *f
	told.Detail += " Nothing was changed."
	return &told
}

// lost reports whether err is of the kind that a connection ends with, and not
// something that the database said.
func lost(err error) bool {
	var ne net.Error
	var ce *pgconn.ConnectError
	return errors.As(err, &ce) || errors.As(err, &ne) || pgconn.SafeToRetry(err) || pgconn.Timeout(err) ||
		errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed) ||
		errors.Is(err, syscall.ECONNRESET) || errors.Is(err, syscall.EPIPE)
}

// Await waits until the database behind url takes connections: one that is
// being started beside this program may take its time. What waiting can't mend,
// such as a wrong password, comes back at once.
func Await(ctx context.Context, url string, most time.Duration, progress func(string)) error {
	deadline := time.Now().Add(most)
	told := time.Time{}
	for {
		err := reach(ctx, url)
		if err == nil || !passing(err) {
			return err
		}
		if time.Now().After(deadline) {
			return fmt.Errorf("the database did not come up in %s: %w", most, err)
		}
		if time.Since(told) > 10*time.Second && progress != nil {
			told = time.Now()
			progress("waiting for the database: " + Spoken(err))
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(500 * time.Millisecond):
		}
	}
}

func reach(ctx context.Context, url string) error {
	c, err := parse(url)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	conn, err := pgx.ConnectConfig(ctx, c)
	if err != nil {
		return fmt.Errorf("database: %w", err)
	}
	return conn.Close(ctx)
}

// passing reports whether a failure to connect may mend itself: nobody listens
// yet, the name is not known yet, the database is starting, or is full.
func passing(err error) bool {
	var pe *pgconn.PgError
	if errors.As(err, &pe) {
		return pe.Code == "57P03" || pe.Code == tooManyConns || pe.Code == "57P01" || pe.Code == "57P02"
	}
	return lost(err) || errors.Is(err, context.DeadlineExceeded)
}

// Spoken is an error of the database in words for a log: without the address,
// which may hold a password.
func Spoken(err error) string {
	var pe *pgconn.PgError
	var oe *net.OpError
	var de *net.DNSError
	switch {
	case errors.As(err, &pe):
		return pe.Message
	case errors.As(err, &de):
		return "its host " + de.Name + " is not found"
	case errors.As(err, &oe):
		return oe.Error()
	case errors.Is(err, context.DeadlineExceeded):
		return "it does not answer"
	}
	return "it does not take connections"
}

// parse reads a database's address. Its errors never hold the address, since
// the library takes only some of its passwords out.
func parse(url string) (*pgx.ConnConfig, error) {
	c, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, errAddress
	}
	if c.ConnectTimeout == 0 {
		c.ConnectTimeout = 5 * time.Second
	}
	return c, nil
}

var errAddress = errors.New("the database's address can't be read: write postgres://user@host/database, with /, #, ?, % and blanks of a password percent-encoded, " +
	"or better leave the password out and name a file for it in PGPASSFILE")
