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
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgtype"
	"github.com/jackc/pgx/v5/pgxpool"
	"golang.org/x/sync/singleflight"
)

// Options says how a database is used. The zero value is right for one server
// beside its database.
type Options struct {
	// Replica is the address of a read-only copy that lists, searches and
	// histories are read from; what was just written may be missing there for a
	// moment. Current revisions and open proposals always come from the primary.
	// Empty for none.
	Replica string

	// Pooler is the address of a pooler in front of the database, which lends its
	// connections for one transaction at a time. All goes through it but what
	// needs a connection of its own: to hear of other servers' changes. Empty for none.
	Pooler string

	// MaxConns is the most connections held to each database, half of those to the
	// primary for what only reads; 0 for 16, 4 at the least. While stuck ones are
	// given up there may be twice as many for some seconds.
	MaxConns int32

	// Disk measures the room where the database lies; nil where it lies elsewhere.
	Disk func() (Disk, error)

	// Budget is the most bytes that the database may come to; 0 for what the disk has.
	Budget int64

	// CacheBytes bounds the memory that released maps are kept in, roughly; 0 for 256 MiB.
	CacheBytes int64
}

const (
	defaultConns = 16
	defaultCache = 256 << 20
)

// Store is an open database. It may be used by any number of goroutines.
type Store struct {
	reads    *reading // from the primary
	writes   *writing
	url      string  // of the primary itself
	replica  *reader // where lists are read
	pooled   bool    // a pooler lends the connections
	measure  func() (Disk, error)
	budget   int64
	size     databaseSize
	ready    readiness
	darkroom chan struct{} // holds who decodes a photograph
	ahead    atomic.Bool   // a newer program has migrated the database
	cache    *cache
	views    views
	flights  singleflight.Group
	current  batcher
	numbers  numbers
	revised  turns // by releases, withdrawals and moves
	changed  turns // by any event
	hearing  hearing
	accounts *accountCache

	identity    memory[*LogIdentity] // who signs the log
	checkpoint  atomic.Pointer[checkpoint]
	experiences experiences
	moves       memory[map[string]moved] // old IDs of boards
	tail        tail
	stop        context.CancelFunc
	done        sync.WaitGroup
}

// querier is what reads: the connections for that, or the transaction that an act runs in.
type querier interface {
	Query(ctx context.Context, sql string, args ...any) (pgx.Rows, error)
	QueryRow(ctx context.Context, sql string, args ...any) pgx.Row
}

// changer is what changes something, too.
type changer interface {
	querier
	Exec(ctx context.Context, sql string, args ...any) (pgconn.CommandTag, error)
}

// Open connects to a database and makes sure that it is neither behind nor
// ahead of this program. Both come back as plain errors that say what to run.
func Open(ctx context.Context, url string, o Options) (*Store, error) {
	s := &Store{url: url, pooled: o.Pooler != "", cache: newCache(o.CacheBytes), accounts: newAccountCache(), numbers: newNumbers(),
		hearing: hearing{began: time.Now()}, darkroom: make(chan struct{}, 1), measure: o.Disk, budget: o.Budget}
	if err := s.connect(ctx, o); err != nil {
		return nil, err
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
	s.done.Go(func() { s.watchVersion(background) })
	if s.replica.replica != nil {
		s.done.Go(func() { s.replica.watch(background) })
	}
	return s, nil
}

// connect makes the pools, and reaches the primary.
func (s *Store) connect(ctx context.Context, o Options) error {
	c, err := poolConfig(cmp.Or(o.Pooler, s.url), o)
	if err != nil {
		return err
	}
	c.MaxConns = max(2, c.MaxConns/2)
	writes, err := connect(ctx, c.Copy())
	if err != nil {
		return err
	}
	s.writes = &writing{newLine(writes)}
	if o.Pooler == "" { // which lends a connection to others, with what was set on it
		c.AfterConnect = onlyReads
	}
	reads, err := pgxpool.NewWithConfig(ctx, c)
	if err != nil {
		s.writes.close()
		return fmt.Errorf("database: %w", err)
	}
	s.reads = &reading{newLine(reads), s.writes.line, &s.hearing}
	s.replica = &reader{primary: s.reads}
	if o.Replica == "" {
		return nil
	}
	// One that is down is done without until it comes back.
	if c, err = poolConfig(o.Replica, o); err == nil {
		s.replica.replica, err = pgxpool.NewWithConfig(ctx, c)
	}
	if err != nil {
		s.closePools()
		return fmt.Errorf("replica: %w", err)
	}
	return nil
}

// connect makes a pool that has reached its database.
func connect(ctx context.Context, c *pgxpool.Config) (*pgxpool.Pool, error) {
	p, err := pgxpool.NewWithConfig(ctx, c)
	if err != nil {
		return nil, fmt.Errorf("database: %w", err)
	}
	if err := p.Ping(ctx); err != nil {
		p.Close()
		return nil, fmt.Errorf("database: %w", err)
	}
	return p, nil
}

// poolConfig is how connections are made and held; their times are in UTC.
func poolConfig(url string, o Options) (*pgxpool.Config, error) {
	c, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, errAddress
	}
	if c.ConnConfig.ConnectTimeout == 0 {
		c.ConnConfig.ConnectTimeout = 5 * time.Second
	}
	c.PingTimeout = replyTime
	c.MaxConns = defaultConns
	if o.MaxConns > 0 {
		c.MaxConns = o.MaxConns
	}
	if o.Pooler != "" {
		// A statement prepared on one connection is not there on the next.
		c.ConnConfig.DefaultQueryExecMode = pgx.QueryExecModeCacheDescribe
	}
	c.ConnConfig.OnNotice = notice
	c.AfterConnect = timesInUTC
	return c, nil
}

func timesInUTC(_ context.Context, conn *pgx.Conn) error {
	conn.TypeMap().RegisterType(&pgtype.Type{Name: "timestamptz", OID: pgtype.TimestamptzOID,
		Codec: &pgtype.TimestamptzCodec{ScanLocation: time.UTC}})
	return nil
}

// onlyReads has a connection refuse what would change something. It is said after
// the connection was made: an address may ask for a database that can be written to.
func onlyReads(ctx context.Context, conn *pgx.Conn) error {
	if _, err := conn.Exec(ctx, `SET default_transaction_read_only = on`); err != nil {
		return fmt.Errorf("connection for reading: %w", err)
	}
	return timesInUTC(ctx, conn)
}

// Close ends the background work and lets go of all connections, once what is
// under way has ended.
func (s *Store) Close() {
	s.stop()
	s.done.Wait()
	s.closePools()
}

func (s *Store) closePools() {
	if s.replica.replica != nil {
		s.replica.replica.Close()
	}
	s.reads.close()
	s.writes.close()
}

// Stats is what an operator watches.
type Stats struct {
	CacheHits, CacheMisses int64 // of released maps, since the start
	CacheBytes             int64 // estimate of what the cache holds
	Conns, ConnsIdle       int32 // connections to the primary
	Waits                  int64 // how often work waited for a free connection

	Replica string        // "" for none, else "follows" or "away"
	Behind  time.Duration // of the replica, as last seen
	Disk    Disk          // zero where the database lies elsewhere
}

// Stats tells how the cache and the pool of connections do.
func (s *Store) Stats() Stats {
	st := s.cache.stats()
	for _, l := range []*line{s.reads.line, s.writes.line} {
		p := l.pool.Load().Stat()
		st.Conns += p.TotalConns()
		st.ConnsIdle += p.IdleConns()
		st.Waits += p.EmptyAcquireCount()
	}
	st.Replica, st.Behind = s.replica.state(), time.Duration(s.replica.behind.Load())
	st.Disk, _ = s.disk() // a disk that can't be measured has no room
	return st
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
		_, _ = s.writes.Exec(ctx, `DELETE FROM idempotency WHERE at < now() - $1::interval`, answersKept)
		_, _ = s.writes.Exec(ctx, `DELETE FROM witnesses WHERE at < now() - interval '1 day'`)
		_, _ = s.writes.Exec(ctx, `DELETE FROM spent WHERE hour < now() - interval '1 day'`)
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
// have to forget: accounts, the revisions of a board, what is said of it.
const (
	channel         = "boardlore"
	noticeAccounts  = "accounts"
	noticeMoves     = "moves"
	noticeLog       = "log"        // another key signs it
	noticeRevisions = "revisions " // and the board's ID: another revision of it is current
	noticeWithdrawn = "withdrawn " // and the board's ID: some revision of it is out of use
	noticeEvent     = "event "     // and the board's ID, or none
	noticeHello     = "hello "     // and a word that only its sender waits for
)

// heard forgets what another server says has changed.
func (s *Store) heard(notice string) {
	about, board, _ := strings.Cut(notice, " ")
	switch about + " " {
	case noticeEvent:
		s.changed.move(board)
	case noticeRevisions:
		s.happened(board)
	case noticeWithdrawn:
		s.cache.forget(board)
		s.happened(board)
	case noticeMoves + " ":
		s.cache.forget("")
		s.moves.forget()
		s.happened("")
	case noticeLog + " ":
		s.identity.forget()
	case noticeHello:
	default:
		s.accounts.forget()
	}
}

// trust says whether changes are heard of from here on. What happened before
// may have been missed.
func (s *Store) trust(yes bool) {
	s.accounts.trust(yes)
	s.cache.forget("")
	s.moves.trust(yes)
	s.identity.trust(yes)
	s.happened("")
	if !yes {
		s.hearing.lost()
	}
}

// hear listens on one connection until it fails.
func (s *Store) hear(ctx context.Context) {
	conn, err := s.listener(ctx)
	if err != nil {
		return
	}
	defer func() {
		closing, cancel := context.WithTimeout(context.WithoutCancel(ctx), time.Second)
		defer cancel()
		_ = conn.Close(closing)
	}()
	asked := time.Now()
	checked := asked
	if _, err := conn.Exec(ctx, "LISTEN "+channel); err != nil {
		return
	}
	if !s.hears(ctx, conn) {
		return
	}
	s.trust(true)
	s.hearing.answered(asked)
	for {
		asked = time.Now()
		quiet, cancel := context.WithTimeout(ctx, quietTime)
		n, err := conn.WaitForNotification(quiet)
		cancel()
		if err == nil {
			s.heard(n.Payload)
		} else if ctx.Err() != nil || !pgconn.Timeout(err) {
			return
		}
		if time.Since(asked) < quietTime && time.Since(checked) < quietTime {
			continue
		}
		checked = time.Now()
		if !answers(ctx, conn) {
			return
		}
		s.hearing.answered(checked)
	}
}

// hears proves that what is told over one connection is heard on another: a
// pooler between takes a LISTEN and then lends the connection to somebody else.
func (s *Store) hears(ctx context.Context, conn *pgx.Conn) bool {
	ctx, cancel := context.WithTimeout(ctx, deafTime)
	defer cancel()
	hello := noticeHello + rand.Text()
	if _, err := s.writes.Exec(ctx, `SELECT pg_notify($1, $2)`, channel, hello); err != nil {
		return false
	}
	for {
		n, err := conn.WaitForNotification(ctx)
		if err != nil {
			return false
		}
		if n.Payload == hello {
			return true
		}
	}
}

// listener connects to the primary itself: a pooler forgets who listens.
func (s *Store) listener(ctx context.Context) (*pgx.Conn, error) {
	c, err := parse(s.url)
	if err != nil {
		return nil, err
	}
	return pgx.ConnectConfig(ctx, c)
}

func answers(ctx context.Context, conn *pgx.Conn) bool {
	ctx, cancel := context.WithTimeout(ctx, deafTime)
	defer cancel()
	return conn.Ping(ctx) == nil
}

// noRows tells an empty result apart from a failure.
func noRows(err error) bool { return errors.Is(err, pgx.ErrNoRows) }
