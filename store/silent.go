package store

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
)

// How long a database may be silent before a read is given up: one backend that
// is stuck costs a read replyTime, and a database that answers nobody any more
// againTime besides.
const (
	againTime = time.Second
	longTime  = time.Minute      // for the first row of a slow query, in a database that is well
	rowTime   = 10 * time.Second // between two rows
	leaveTime = 5 * time.Second
)

// errSilent says that the database gave no answer in the time that it had.
var errSilent = fmt.Errorf("the database gives no answer: %w", context.DeadlineExceeded)

// line is the connections to one database, of one kind. Where some of them turn
// out to be stuck, others of the same kind may be: the line is then given up for
// a new one, since a pool whose connections are all stuck has no room for a sound
// one until the last of them has been given up in its turn.
type line struct {
	pool    atomic.Pointer[pgxpool.Pool]
	leaving atomic.Bool // an earlier pool still has connections that somebody holds
	left    sync.WaitGroup
	closing chan struct{}
}

func newLine(p *pgxpool.Pool) *line {
	l := &line{closing: make(chan struct{})}
	l.pool.Store(p)
	return l
}

// renew gives up a pool in which a connection was stuck. It holds no more than two
// pools' connections: where an earlier one is not yet gone, only those that nobody
// uses are given up.
func (l *line) renew(stuck *pgxpool.Pool) {
	stuck.Reset()
	if l.pool.Load() != stuck || !l.leaving.CompareAndSwap(false, true) {
		return
	}
	fresh, err := pgxpool.NewWithConfig(context.Background(), stuck.Config())
	if err != nil { // it had been made of the same before
		l.leaving.Store(false)
		return
	}
	l.pool.Store(fresh)
	l.left.Go(func() {
		select {
		case <-l.closing:
		case <-time.After(leaveTime): // for whoever is about to use it
		}
		stuck.Close()
		l.leaving.Store(false)
	})
}

func (l *line) close() {
	close(l.closing)
	l.pool.Load().Close()
	l.left.Wait()
}

// reading is for what changes nothing, so that it may be asked again over another
// connection: it is the connection that is stuck or gone, more often than the
// database. The database itself refuses what would change something here, unless
// a pooler stands between. Where the database is not heard of either, the second
// try is short; where it is, a long query has the time that it needs.
type reading struct {
	*line
	writes  *line // which may be stuck, too
	hearing *hearing
}

// Query reads as a pool does.
func (r *reading) Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error) {
	p := r.pool.Load()
	rows, err := first(ctx, p, sql, args, replyTime)
	if !mayDoBetter(ctx, err) {
		return rows, err
	}
	r.another(p, err)
	return first(ctx, r.pool.Load(), sql, args, r.patience())
}

// QueryRow likewise.
func (r *reading) QueryRow(ctx context.Context, sql string, args ...any) pgx.Row {
	rows, err := r.Query(ctx, sql, args...)
	return oneRow{rows, err}
}

// BeginTx begins a reading transaction.
func (r *reading) BeginTx(ctx context.Context, o pgx.TxOptions) (pgx.Tx, error) {
	p := r.pool.Load()
	tx, err := begunSoon(ctx, p, o)
	if !mayDoBetter(ctx, err) {
		return tx, err
	}
	r.another(p, err)
	return begunSoon(ctx, r.pool.Load(), o)
}

// another makes room for sound connections where one has given no answer.
func (r *reading) another(p *pgxpool.Pool, err error) {
	if errors.Is(err, context.DeadlineExceeded) {
		r.renew(p)
		r.writes.renew(r.writes.pool.Load())
	}
}

func (r *reading) patience() time.Duration {
	if r.hearing.well() {
		return longTime
	}
	return againTime
}

// mayDoBetter tells a failure that another connection may not have.
func mayDoBetter(ctx context.Context, err error) bool {
	if err == nil || ctx.Err() != nil {
		return false
	}
	var pe *pgconn.PgError
	return errors.Is(err, errSilent) || lost(err) || errors.As(err, &pe) && pe.Code == adminShutdown
}

func begunSoon(ctx context.Context, p *pgxpool.Pool, o pgx.TxOptions) (pgx.Tx, error) {
	soon, cancel := context.WithTimeout(ctx, replyTime)
	defer cancel()
	return p.BeginTx(soon, o)
}

// writing is for what changes something, which is asked once.
type writing struct{ *line }

func (w *writing) Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error) {
	return w.pool.Load().Query(ctx, sql, args...)
}

func (w *writing) QueryRow(ctx context.Context, sql string, args ...any) pgx.Row {
	return w.pool.Load().QueryRow(ctx, sql, args...)
}

func (w *writing) Exec(ctx context.Context, sql string, args ...any) (pgconn.CommandTag, error) {
	return w.pool.Load().Exec(ctx, sql, args...)
}

// Begin begins a transaction: nothing has been changed yet, so that this may be
// asked again over another connection.
func (w *writing) Begin(ctx context.Context) (pgx.Tx, error) {
	conn, tx, err := w.begin(ctx)
	if err != nil {
		return nil, err
	}
	return heldTx{tx, conn}, nil
}

// begin likewise, with the connection, which the caller releases.
func (w *writing) begin(ctx context.Context) (*pgxpool.Conn, pgx.Tx, error) {
	p := w.pool.Load()
	conn, tx, err := begunOn(ctx, p)
	if !mayDoBetter(ctx, err) {
		return conn, tx, err
	}
	if errors.Is(err, context.DeadlineExceeded) {
		w.renew(p)
	}
	return begunOn(ctx, w.pool.Load())
}

func begunOn(ctx context.Context, p *pgxpool.Pool) (*pgxpool.Conn, pgx.Tx, error) {
	conn, err := p.Acquire(ctx)
	if err != nil {
		return nil, nil, err
	}
	soon, cancel := context.WithTimeout(ctx, replyTime)
	defer cancel()
	tx, err := conn.BeginTx(soon, pgx.TxOptions{BeginQuery: beginWrite})
	if err != nil {
		conn.Release()
		return nil, nil, err
	}
	return conn, tx, nil
}

// heldTx gives its connection back at its end.
type heldTx struct {
	pgx.Tx
	conn *pgxpool.Conn
}

func (h heldTx) Commit(ctx context.Context) error {
	defer h.conn.Release()
	return h.Tx.Commit(ctx)
}

func (h heldTx) Rollback(ctx context.Context) error {
	defer h.conn.Release() // once more is nothing
	return h.Tx.Rollback(ctx)
}

// first asks and waits for the first row, since a connection that is gone shows
// only then, but not for longer than most.
func first(ctx context.Context, p *pgxpool.Pool, sql string, args []any, most time.Duration) (pgx.Rows, error) {
	ctx, cancel := context.WithCancel(ctx)
	b := &begunRows{held: true, cancel: cancel}
	b.late = time.AfterFunc(most, func() { b.silent.Store(true); cancel() })
	rows, err := p.Query(ctx, sql, args...)
	if err != nil {
		b.end()
		return nil, b.told(err)
	}
	b.Rows, b.more = rows, rows.Next()
	if !b.late.Stop() {
		b.Close()
		return nil, errSilent
	}
	if !b.more {
		b.Close()
		if err := rows.Err(); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// begunRows are rows of which the first has been fetched. The others are waited
// for, too, no longer than rowTime each.
type begunRows struct {
	pgx.Rows
	more, held bool
	cancel     context.CancelFunc
	late       *time.Timer
	silent     atomic.Bool
}

func (b *begunRows) Close() {
	b.late.Reset(rowTime)
	b.Rows.Close()
	b.end()
}

func (b *begunRows) end() {
	b.late.Stop()
	b.cancel()
}

func (b *begunRows) Next() bool {
	more := b.more
	if !b.held {
		b.late.Reset(rowTime)
		more = b.Rows.Next()
		b.late.Stop()
	}
	if b.held = false; !more {
		b.end()
	}
	return more
}

func (b *begunRows) Err() error { return b.told(b.Rows.Err()) }

func (b *begunRows) told(err error) error {
	if err != nil && b.silent.Load() {
		return errSilent
	}
	return err
}
