package store

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// How long a database may be silent before a read is given up: one backend that
// is stuck costs a read replyTime, and a database that answers nobody any more
// againTime besides.
const againTime = time.Second

// errSilent says that the database gave no answer in the time that it had.
var errSilent = fmt.Errorf("the database gives no answer: %w", context.DeadlineExceeded)

// primary is the connections to the primary. A read without an answer is asked
// once more over another connection: it is the connection that is stuck, more
// often than the database. Where the database is not heard of either, the second
// try is short; where it is, a long query has all the time that its caller has.
type primary struct {
	*pgxpool.Pool
	hearing *hearing
}

// Query reads as the pool does; what writes is asked once.
func (p *primary) Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error) {
	if !onlyReads(sql) {
		return p.Pool.Query(ctx, sql, args...)
	}
	rows, err := first(ctx, p.Pool, sql, args, replyTime)
	if !errors.Is(err, errSilent) || ctx.Err() != nil {
		return rows, err
	}
	p.Reset() // the idle ones may be stuck, too
	if p.hearing.well() {
		return p.Pool.Query(ctx, sql, args...)
	}
	return first(ctx, p.Pool, sql, args, againTime)
}

// QueryRow likewise.
func (p *primary) QueryRow(ctx context.Context, sql string, args ...any) pgx.Row {
	if !onlyReads(sql) {
		return p.Pool.QueryRow(ctx, sql, args...)
	}
	rows, err := p.Query(ctx, sql, args...)
	return oneRow{rows, err}
}

// onlyReads tells a query that may be asked twice from one that changes something.
func onlyReads(sql string) bool {
	sql = strings.TrimLeft(sql, " \t\n(")
	if strings.HasPrefix(sql, "WITH") {
		return !strings.Contains(sql, "DELETE ") && !strings.Contains(sql, "UPDATE ") &&
			!strings.Contains(sql, "INSERT ")
	}
	return strings.HasPrefix(sql, "SELECT")
}

// first asks and waits for the first row, since a connection that is gone shows
// only then, but not for longer than most.
func first(ctx context.Context, p *pgxpool.Pool, sql string, args []any, most time.Duration) (pgx.Rows, error) {
	ctx, cancel := context.WithCancel(ctx)
	var silent atomic.Bool
	late := time.AfterFunc(most, func() { silent.Store(true); cancel() })
	rows, err := p.Query(ctx, sql, args...)
	if err != nil {
		late.Stop()
		cancel()
		if silent.Load() {
			return nil, errSilent
		}
		return nil, err
	}
	begun := &begunRows{Rows: rows, more: rows.Next(), held: true, cancel: cancel}
	if !late.Stop() {
		begun.Close()
		return nil, errSilent
	}
	if !begun.more {
		begun.Close()
		if err := rows.Err(); err != nil {
			return nil, err
		}
	}
	return begun, nil
}

// begunRows are rows of which the first has been fetched.
type begunRows struct {
	pgx.Rows
	more, held bool
	cancel     context.CancelFunc
}

func (b *begunRows) Close() {
	b.Rows.Close()
	b.cancel()
}

func (b *begunRows) Next() bool {
	more := b.more
	if !b.held {
		more = b.Rows.Next()
	}
	if b.held = false; !more {
		b.cancel()
	}
	return more
}
