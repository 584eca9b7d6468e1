package store

import (
	"context"
	"fmt"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// How a replica is watched. What is read from it is at most maxStale old.
const (
	lookEvery = 2 * time.Second
	maxStale  = 10 * time.Second
	replyTime = 2 * time.Second
)

// reader reads from the replica while that follows the primary closely, and
// from the primary otherwise, and for whoever must see what they just wrote.
type reader struct {
	primary *reading
	replica *pgxpool.Pool // nil where there is none
	follows atomic.Bool
	behind  atomic.Int64 // nanoseconds, as last seen
	looked  atomic.Int64 // when, in nanoseconds since 1970
}

type freshKey struct{}

// Fresh has all reads under the context go to the primary: for callers who may
// have written, and would miss it.
func Fresh(ctx context.Context) context.Context { return context.WithValue(ctx, freshKey{}, true) }

type agedKey struct{}

// Aged is told how old what was read may be: 0 where all of it came from the primary.
type Aged struct{ nanoseconds atomic.Int64 }

// Age is the most that anything read so far may be behind.
func (a *Aged) Age() time.Duration { return time.Duration(a.nanoseconds.Load()) }

// Aging has reads under the context tell how old they may be.
func Aging(ctx context.Context) (context.Context, *Aged) {
	a := new(Aged)
	return context.WithValue(ctx, agedKey{}, a), a
}

// Replicated says whether anything may be read from a replica.
func (s *Store) Replicated() bool { return s.replica.replica != nil }

// away is the replica's pool where a read may go there, else nil.
func (r *reader) away(ctx context.Context) *pgxpool.Pool {
	if r.replica == nil || !r.follows.Load() || ctx.Value(freshKey{}) != nil {
		return nil
	}
	return r.replica
}

// aged notes that something was read from the replica.
func (r *reader) aged(ctx context.Context) {
	a, ok := ctx.Value(agedKey{}).(*Aged)
	if !ok {
		return
	}
	age := r.behind.Load() + max(0, time.Now().UnixNano()-r.looked.Load())
	for old := a.nanoseconds.Load(); age > old && !a.nanoseconds.CompareAndSwap(old, age); {
		old = a.nanoseconds.Load()
	}
}

// Query asks the replica, and the primary where that fails: its first row is
// waited for, since a connection that is gone shows only then, but not for long.
func (r *reader) Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error) {
	if p := r.away(ctx); p != nil {
		rows, err := first(ctx, p, sql, args, replyTime)
		if err == nil || ctx.Err() != nil {
			r.aged(ctx)
			return rows, err
		}
		r.follows.Store(false) // until the next look
	}
	return r.primary.Query(ctx, sql, args...)
}

func (r *reader) QueryRow(ctx context.Context, sql string, args ...any) pgx.Row {
	rows, err := r.Query(ctx, sql, args...)
	return oneRow{rows, err}
}

type oneRow struct {
	rows pgx.Rows
	err  error
}

func (o oneRow) Scan(to ...any) error {
	if o.err != nil {
		return o.err
	}
	defer o.rows.Close()
	if !o.rows.Next() {
		if err := o.rows.Err(); err != nil {
			return err
		}
		return pgx.ErrNoRows
	}
	if err := o.rows.Scan(to...); err != nil {
		return err
	}
	o.rows.Close()
	return o.rows.Err()
}

// BeginTx begins a reading transaction.
func (r *reader) BeginTx(ctx context.Context, o pgx.TxOptions) (pgx.Tx, error) {
	if p := r.away(ctx); p != nil {
		tx, err := begunSoon(ctx, p, o)
		if err == nil || ctx.Err() != nil {
			r.aged(ctx)
			return tx, err
		}
		r.follows.Store(false)
	}
	return r.primary.BeginTx(ctx, o)
}

// State is how the replica does: "" where there is none, else "follows" or "away".
func (r *reader) state() string {
	switch {
	case r.replica == nil:
		return ""
	case r.follows.Load():
		return "follows"
	}
	return "away"
}

// watch looks again and again how far the replica is behind.
func (r *reader) watch(ctx context.Context) {
	var marks []mark
	for {
		marks = r.look(ctx, marks)
		select {
		case <-ctx.Done():
			return
		case <-time.After(lookEvery):
		}
	}
}

// mark is how far the primary had written at a time.
type mark struct {
	at  time.Time
	lsn string
}

// look notes how far the primary is, and finds the newest of the earlier marks
// that the replica has reached: it is as old as that mark.
func (r *reader) look(ctx context.Context, marks []mark) []mark {
	ctx, cancel := context.WithTimeout(ctx, replyTime)
	defer cancel()
	now := mark{at: time.Now()}
	if err := r.primary.QueryRow(ctx, `SELECT pg_current_wal_lsn()::text`).Scan(&now.lsn); err != nil {
		return marks // a dead primary says nothing of the replica
	}
	marks = append(marks, now)
	if len(marks) > 100 {
		marks = marks[1:]
	}
	behind, err := r.age(ctx, marks)
	r.behind.Store(int64(behind))
	r.looked.Store(time.Now().UnixNano())
	r.follows.Store(err == nil && behind <= maxStale)
	return marks
}

func (r *reader) age(ctx context.Context, marks []mark) (time.Duration, error) {
	lsns := make([]string, len(marks))
	for i, m := range marks {
		lsns[i] = m.lsn
	}
	var reached int
	err := r.replica.QueryRow(ctx, `SELECT count(*) FROM unnest($1::text[]) AS m(lsn)
		WHERE m.lsn::pg_lsn <= coalesce(pg_last_wal_replay_lsn(), '0/0')`, lsns).Scan(&reached)
	switch {
	case err != nil:
		return maxStale * 10, fmt.Errorf("replica: %w", err)
	case reached == 0:
		return max(maxStale+1, time.Since(marks[0].at)), nil
	}
	return time.Since(marks[reached-1].at), nil
}
