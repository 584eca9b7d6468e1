// Package store keeps boardlore's documents in PostgreSQL: accounts, boards,
// revisions, proposals, reviews, kits, photographs and events.
//
// Its methods are whole acts. Each is judged by package domain/review, written
// together with its event in one transaction, and acknowledged after commit.
// The obvious smaller surface, rows in and rows out, would leave the rules to
// whoever calls, and the rules would then differ from door to door.
//
// All transactions run at READ COMMITTED and take row locks, because each act
// turns on a few rows that can be named beforehand, and a lock makes the second
// of two acts wait and judge afresh, where a stricter isolation level would
// make it fail and be run again. The order of locks is the same everywhere:
// idempotency key, board, proposal or kit, and last the log of events, whose
// lock is held until commit so that its order is the order of commits.
//
// Expected failures are *fault.Error; anything else is a defect or a machine
// that fails.
package store

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/jackc/pgx/v5/pgxpool"
	"golang.org/x/sync/singleflight"

	"boardlore/domain/fault"
)

// Options says how a database is used. The zero value is right for one server
// beside its database.
type Options struct {
	// Replica is the address of a read-only copy that lists, searches and
	// histories are read from; what was just written may be missing there for a
	// moment. Current revisions and open proposals always come from the primary.
	// Empty for none.
	Replica string

	// MaxConns is the most connections held to each database; 0 for 16.
	MaxConns int32

	// CacheBytes bounds the memory that released maps are kept in, roughly; 0 for 256 MiB.
	CacheBytes int64
}

const (
	defaultConns = 16
	defaultCache = 256 << 20
)

// Store is an open database. It may be used by any number of goroutines.
type Store struct {
	db       *pgxpool.Pool // the primary
	replica  *pgxpool.Pool // where lists are read; the primary where there is no replica
	cache    *cache
	flights  singleflight.Group
	current  batcher
	accounts accountCache
	stop     context.CancelFunc
	done     sync.WaitGroup
}

// querier is what reads: a pool, or the transaction that an act runs in.
type querier interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
	Exec(ctx context.Context, sql string, args ...any) (pgconn.CommandTag, error)
}

// Open connects to a database and makes sure that it is neither behind nor
// ahead of this program. Both come back as plain errors that say what to run.
func Open(ctx context.Context, url string, o Options) (*Store, error) {
	s := &Store{cache: newCache(o.CacheBytes)}
	var err error
	if s.db, err = connect(ctx, url, o); err != nil {
		return nil, err
	}
	s.replica = s.db
	if o.Replica != "" {
		if s.replica, err = connect(ctx, o.Replica, o); err != nil {
			s.db.Close()
			return nil, fmt.Errorf("replica: %w", err)
		}
	}
	if err := s.checkVersion(ctx); err != nil {
		s.closePools()
		return nil, err
	}
	s.current.run = s.currentNumbers
	background, stop := context.WithCancel(context.WithoutCancel(ctx))
	s.stop = stop
	s.done.Go(func() { s.listen(background) })
	s.done.Go(func() { s.tidy(background) })
	return s, nil
}

// connect makes a pool whose times are in UTC.
func connect(ctx context.Context, url string, o Options) (*pgxpool.Pool, error) {
	c, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("database address: %w", err)
	}
	c.MaxConns = defaultConns
	if o.MaxConns > 0 {
		c.MaxConns = o.MaxConns
	}
	c.AfterConnect = func(_ context.Context, conn *pgx.Conn) error {
		conn.TypeMap().RegisterType(&pgtype.Type{Name: "timestamptz", OID: pgtype.TimestamptzOID,
			Codec: &pgtype.TimestamptzCodec{ScanLocation: time.UTC}})
		return nil
	}
	pool, err := pgxpool.NewWithConfig(ctx, c)
	if err != nil {
		return nil, fmt.Errorf("database: %w", err)
	}
	if err := pool.Ping(ctx); err != nil {
		pool.Close()
		return nil, fmt.Errorf("database: %w", err)
	}
	return pool, nil
}

// Close ends the background work and lets go of all connections, once what is
// under way has ended.
func (s *Store) Close() {
	s.stop()
	s.done.Wait()
	s.closePools()
}

func (s *Store) closePools() {
	if s.replica != s.db {
		s.replica.Close()
	}
	s.db.Close()
}

// Ready reports whether the database answers: nil, or Unavailable
// database-unavailable.
func (s *Store) Ready(ctx context.Context) error {
	if err := s.db.Ping(ctx); err != nil {
		return &fault.Error{Kind: fault.Unavailable, Code: "database-unavailable", Err: err,
			Detail: "The database does not answer; try again in a moment."}
	}
	return nil
}

// Stats is what an operator watches.
type Stats struct {
	CacheHits, CacheMisses int64 // of released maps, since the start
	CacheBytes             int64 // estimate of what the cache holds
	Conns, ConnsIdle       int32 // connections to the primary
	Waits                  int64 // how often work waited for a free connection
}

// Stats tells how the cache and the pool of connections do.
func (s *Store) Stats() Stats {
	p := s.db.Stat()
	st := s.cache.stats()
	st.Conns, st.ConnsIdle, st.Waits = p.TotalConns(), p.IdleConns(), p.EmptyAcquireCount()
	return st
}

// write runs do in a transaction and commits it. READ COMMITTED: do takes the
// locks that it needs.
func (s *Store) write(ctx context.Context, do func(pgx.Tx) error) error {
	return refusal(pgx.BeginTxFunc(ctx, s.db, pgx.TxOptions{IsoLevel: pgx.ReadCommitted}, do))
}

// answers remembers an idempotent answer for this long.
const answersKept = 30 * 24 * time.Hour

// tidy forgets old idempotent answers and brings up what boards are found by,
// at the start and once a day.
func (s *Store) tidy(ctx context.Context) {
	tick := time.NewTicker(24 * time.Hour)
	defer tick.Stop()
	for {
		// Left for the next day where it does not work: nothing hangs on it.
		_, _ = s.db.Exec(ctx, `DELETE FROM idempotency WHERE at < now() - $1::interval`, answersKept)
		_ = s.reindex(ctx)
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// listen keeps the caches right: they are believed only while this connection
// hears of changes, and forgotten whenever it might have missed one.
func (s *Store) listen(ctx context.Context) {
	for ctx.Err() == nil {
		s.hear(ctx)
		s.trust(false)
		select {
		case <-ctx.Done():
		case <-time.After(time.Second): // not in a hurry: without it every request asks the database
		}
	}
}

// channel is where servers on one database tell each other what their memories
// have to forget: accounts, or the revisions of a board.
const (
	channel         = "boardlore"
	noticeAccounts  = "accounts"
	noticeRevisions = "revisions " // and the board's ID
)

// heard forgets what another server says has changed.
func (s *Store) heard(notice string) {
	if board, ok := strings.CutPrefix(notice, noticeRevisions); ok {
		s.cache.forget(board)
		return
	}
	s.accounts.forget()
}

// trust says whether changes are heard of from here on.
func (s *Store) trust(yes bool) {
	s.accounts.trust(yes)
	s.cache.trust(yes)
}

// hear listens on one connection until it fails.
func (s *Store) hear(ctx context.Context) {
	pooled, err := s.db.Acquire(ctx)
	if err != nil {
		return
	}
	conn := pooled.Hijack() // a listener is no use to anybody else
	defer func() {
		closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), time.Second)
		defer cancel()
		_ = conn.Close(closing)
	}()
	if _, err := conn.Exec(ctx, "LISTEN "+channel); err != nil {
		return
	}
	s.trust(true)
	for {
		n, err := conn.WaitForNotification(ctx)
		if err != nil {
			return
		}
		s.heard(n.Payload)
	}
}

// noRows tells an empty result apart from a failure.
func noRows(err error) bool { return errors.Is(err, pgx.ErrNoRows) }
