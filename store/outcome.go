package store

import (
	"context"
	"crypto/rand"
	"errors"
	"io"
	"net"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/puddle/v2"

	"boardlore/domain/fault"
	"boardlore/domain/message"
)

// The time that the database has. A connection that is stuck costs as much and
// no more.
const (
	commitTime  = 10 * time.Second // for a commit, which the caller's going away does not cut off
	resolveTime = 8 * time.Second  // to find out what became of a commit that was cut off
	batchTime   = 4 * time.Second  // for the query that every current map waits for
	loadTime    = 10 * time.Second // for reading one revision, however large
)

// beginWrite begins an act. One whose server went away without a word is ended by
// the database, since it holds locks that others wait for.
const beginWrite = `BEGIN ISOLATION LEVEL READ COMMITTED; SET LOCAL idle_in_transaction_session_timeout = '30s'`

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
	conn, tx, err := s.writes.begin(ctx)
	if err != nil {
		return undone(err)
	}
	defer conn.Release()
	if err := do(tx); err != nil {
		closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), batchTime)
		defer cancel()
		_ = tx.Rollback(closing) // without a commit nothing stays, whatever becomes of this
		return undone(err)
	}
	w, err := testify(ctx, tx)
	if err != nil {
		_ = tx.Rollback(context.WithoutCancel(ctx))
		return undone(err)
	}
	// From here on the caller's deadline counts no more: an act that is cut off
	// in its commit is neither done nor undone.
	closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), commitTime)
	defer cancel()
	notices := conn.Conn().PgConn().CustomData()
	delete(notices, unconfirmed)
	if err = tx.Commit(closing); err == nil && notices[unconfirmed] != nil {
		err = errUnconfirmed
	}
	var pe *pgconn.PgError
	switch {
	case err == nil:
		return nil
	case errors.Is(err, pgx.ErrTxCommitRollback), errors.As(err, &pe) && pe.Severity == "ERROR":
		return undone(err) // the database says so itself
	}
	return s.resolve(context.WithoutCancel(ctx), w, err)
}

// A commit that a standby has to confirm, and whose wait for it was called off (by
// a statement timeout, an operator), is told as done, with a warning: it is lost if
// the standby then takes the primary's place. PostgreSQL's words for it are in the
// language of the server; the routine that they come from is not.
const (
	unconfirmed     = "unconfirmed" // in a connection's own data
	waitsForStandby = "SyncRepWaitForLSN"
)

var errUnconfirmed = errors.New("no standby confirmed the commit")

// notice notes a commit that nobody confirmed.
func notice(conn *pgconn.PgConn, n *pgconn.Notice) {
	if n.Routine == waitsForStandby {
		conn.CustomData()[unconfirmed] = true
	}
}

// witness is by what a transaction can be asked after: a row of its own, which
// is there if and only if all of it is; and its number and the timeline that it
// was written on, which tell whether it is still under way. The number alone
// would not do: after a crash, and on a standby that was promoted, another
// transaction may get it.
type witness struct {
	row      [16]byte
	xact     string
	timeline string
}

const timelineNow = `substr(pg_walfile_name(pg_current_wal_lsn()), 1, 8)`

// testify leaves a witness in a transaction; nil where nothing was written.
func testify(ctx context.Context, tx pgx.Tx) (*witness, error) {
	w := new(witness)
	_, _ = rand.Read(w.row[:]) // never fails
	err := tx.QueryRow(ctx, `INSERT INTO witnesses (id) SELECT $1::uuid WHERE pg_current_xact_id_if_assigned() IS NOT NULL
		RETURNING pg_current_xact_id()::text, `+timelineNow, w.row).Scan(&w.xact, &w.timeline)
	if noRows(err) {
		return nil, nil
	}
	return w, err
}

// resolve asks the database, once it answers again, what became of a commit.
func (s *Store) resolve(ctx context.Context, w *witness, cause error) error {
	if w == nil { // nothing was written
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, resolveTime)
	defer cancel()
	for {
		switch s.became(ctx, w) {
		case committed:
			return nil
		case aborted:
			return cameToNothing(cause)
		}
		select {
		case <-ctx.Done():
			return unknown(cause)
		case <-time.After(100 * time.Millisecond):
		}
	}
}

// cameToNothing is the refusal of an act whose commit came to nothing: whatever broke it off,
// it was no defect of ours.
func cameToNothing(cause error) error {
	if _, ok := fault.As(refusal(cause)); !ok {
		cause = unavailable(cause)
	}
	return undone(cause)
}

// What became of a transaction.
const (
	committed = "committed"
	aborted   = "aborted"
	underWay  = "in progress"
)

// became tells what became of a transaction, "" where nobody can say yet. It
// asks in a transaction that writes: where a standby has to confirm commits, it
// has then confirmed what is told as done.
func (s *Store) became(ctx context.Context, w *witness) (status string) {
	ctx, cancel := context.WithTimeout(ctx, batchTime)
	defer cancel()
	err := pgx.BeginFunc(ctx, s.writes, func(tx pgx.Tx) (err error) {
		if status, err = w.ask(ctx, tx); err != nil || status != committed {
			return err
		}
		return confirm(ctx, tx)
	})
	var pe *pgconn.PgError
	switch {
	case errors.As(err, &pe) && pe.Code == inFuture: // the database crashed and never had heard of it
		return aborted
	case err != nil:
		return ""
	}
	return status
}

// confirm makes a transaction one that writes, so that its commit waits for
// whatever a commit has to wait for.
func confirm(ctx context.Context, tx pgx.Tx) error {
	_, err := tx.Exec(ctx, `SELECT pg_logical_emit_message(true, 'boardlore', 'confirm')`)
	return err
}

// ask looks for the witness. The number is asked after first: a transaction that
// is no longer under way then shows its row, if it left one.
func (w *witness) ask(ctx context.Context, tx pgx.Tx) (string, error) {
	var status string
	err := tx.QueryRow(ctx, `SELECT CASE WHEN `+timelineNow+
		` = $2 THEN coalesce(pg_xact_status($1::xid8), '') ELSE '' END`,
		w.xact, w.timeline).Scan(&status)
	if err != nil || status == underWay || status == aborted {
		return status, err
	}
	var there bool
	if err := tx.QueryRow(ctx, `SELECT EXISTS (SELECT FROM witnesses WHERE id = $1::uuid)`,
		w.row).Scan(&there); err != nil {
		return "", err
	}
	if there {
		return committed, nil
	}
	return aborted, nil
}

func unknown(err error) error {
	return &fault.Error{Kind: fault.Unavailable, Code: "outcome-unknown", Err: err,
		Detail: message.Of("store.outcome-unknown")}
}

// unshown is the refusal of an act that is done, where its answer could not be read.
func unshown(err error) error {
	err = refusal(err)
	if f, ok := fault.As(err); !ok || f.Kind != fault.Unavailable {
		return err
	}
	return &fault.Error{Kind: fault.Unavailable, Code: "outcome-unknown", Err: err,
		Detail: message.Of("store.outcome-done")}
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
	told.Detail = told.Detail.And(message.Of("store.nothing-changed"))
	return &told
}

// lost reports whether err is of the kind that a connection ends with, and not
// something that the database said.
func lost(err error) bool {
	var ne net.Error
	var ce *pgconn.ConnectError
	return errors.As(err, &ce) || errors.As(err, &ne) || errors.Is(err, puddle.ErrClosedPool) || pgconn.SafeToRetry(err) || pgconn.Timeout(err) ||
		errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed) ||
		errors.Is(err, syscall.ECONNRESET) || errors.Is(err, syscall.EPIPE)
}
