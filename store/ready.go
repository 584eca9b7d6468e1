package store

import (
	"context"
	"errors"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/message"
)

const (
	readyTime  = 3 * time.Second // for the database to show that it can be written to
	readyKept  = time.Second     // for how long the answer is given again
	aheadEvery = 5 * time.Second // between looks at the database's version
)

// Disk is how much room there is where the database lies.
type Disk struct{ Free, Total int64 }

// minFree is the room that is kept for the database itself: below it nothing
// that fills a disk is taken in, and below a quarter of it the server is not
// ready. Of a small disk or budget it is a tenth.
const minFree = 512 << 20

func (d Disk) least() int64 { return min(minFree, d.Total/10) }

// readiness is the last answer to Ready.
type readiness struct {
	mu  sync.Mutex
	at  time.Time
	err error
}

// Ready reports whether requests can be served, acts too: nil, or Unavailable
// database-unavailable, database-read-only, disk-full or database-ahead. It
// writes to the database's log, since nothing less shows that it can be written
// to, at most once a second.
func (s *Store) Ready(ctx context.Context) error {
	s.ready.mu.Lock()
	defer s.ready.mu.Unlock()
	if time.Since(s.ready.at) > readyKept {
		ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), readyTime)
		defer cancel()
		s.ready.err = s.look(ctx)
		s.ready.at = time.Now()
	}
	return s.ready.err
}

func (s *Store) look(ctx context.Context) error {
	if err := s.compareNow(ctx); err != nil {
		return err
	}
	if d, err := s.disk(); err != nil || d.Total > 0 && d.Free < d.least()/4 {
		return diskFault(err)
	}
	var mayWrite bool
	err := pgx.BeginFunc(ctx, s.writes, func(tx pgx.Tx) error {
		return tx.QueryRow(ctx,
			`SELECT current_setting('transaction_read_only') = 'off', pg_logical_emit_message(true, 'boardlore', 'ready')`).
			Scan(&mayWrite, nil)
	})
	if err == nil && !mayWrite {
		return machine("database-read-only", "store.read-only", nil)
	}
	switch err = refusal(err); {
	case err == nil:
		return nil
	case fault.Is(err, fault.Unavailable):
		return err
	}
	return unavailable(err)
}

// disk is the room where the database lies, zero where it is not ours to know.
func (s *Store) disk() (Disk, error) {
	if s.measure == nil {
		return Disk{}, nil
	}
	return s.measure()
}

// budgeted is what is left of the disk, or of the budget, whichever is less. The
// database's size is asked for at most once in sizeKept.
func (s *Store) budgeted(ctx context.Context) (Disk, error) {
	d, err := s.disk()
	if err != nil || s.budget == 0 {
		return d, err
	}
	s.size.mu.Lock()
	defer s.size.mu.Unlock()
	if time.Since(s.size.at) > sizeKept {
		if err := s.reads.QueryRow(ctx, `SELECT pg_database_size(current_database())`).Scan(&s.size.bytes); err != nil {
			return d, fail(err, "size of the database")
		}
		s.size.at = time.Now()
	}
	if left := max(0, s.budget-s.size.bytes); d.Total == 0 || left < d.Free {
		return Disk{Free: left, Total: s.budget}, nil
	}
	return d, nil
}

const sizeKept = 5 * time.Second

// databaseSize is how large the database was when it was last asked.
type databaseSize struct {
	mu    sync.Mutex
	at    time.Time
	bytes int64
}

func diskFault(err error) error {
	if err != nil {
		return &fault.Error{Kind: fault.Unavailable, Code: "database-unavailable", Err: err,
			Detail: message.Of("store.folder-gone")}
	}
	return fault.New(fault.Unavailable, "disk-full", "store.disk-nearly-full")
}

// Figures is what an operator watches that the database has to be asked for.
type Figures struct {
	Bytes  int64         // of the whole database
	Open   int64         // proposals
	Oldest time.Duration // since the oldest of them came
	Events int64         // number of the newest
}

// Figures asks the database, for a few seconds at most.
func (s *Store) Figures(ctx context.Context) (Figures, error) {
	ctx, cancel := context.WithTimeout(ctx, readyTime)
	defer cancel()
	var f Figures
	var oldest float64
	err := s.reads.QueryRow(ctx, `SELECT pg_database_size(current_database()), (SELECT coalesce(max(id), 0) FROM events), count(*),
		coalesce(extract(epoch FROM now() - min(submitted_at)), 0)::float8 FROM proposals WHERE state IN ('submitted', 'returned')`).
		Scan(&f.Bytes, &f.Events, &f.Open, &oldest)
	f.Oldest = time.Duration(oldest * float64(time.Second))
	return f, fail(err, "figures")
}

// Room refuses what fills a disk when little is left of it: uploads, maps, kits,
// drafts and records. What makes room, or keeps somebody safe, is no part of that:
// reviews, withdrawals, what stewards do.
func (s *Store) Room(ctx context.Context, bytes int) error {
	d, err := s.budgeted(ctx)
	if _, told := fault.As(err); told {
		return err
	}
	if err == nil && (d.Total == 0 || d.Free-int64(bytes) > d.least()) {
		return nil
	}
	return undone(diskFault(err))
}

// writable refuses acts on a database that a newer program has migrated.
func (s *Store) writable() error {
	if s.ahead.Load() {
		return aheadFault()
	}
	return nil
}

func aheadFault() error {
	return fault.New(fault.Unavailable, "database-ahead",
		"store.database-ahead")
}

// compareNow compares the database's version with this program's.
func (s *Store) compareNow(ctx context.Context) error {
	err := compare(ctx, s.reads)
	switch {
	case err == nil:
		s.ahead.Store(false)
		return nil
	case errors.Is(err, errAhead):
		s.ahead.Store(true)
		return aheadFault()
	case errors.Is(err, errBehind):
		return unavailable(err)
	}
	return unavailable(err)
}

// watchVersion looks again and again whether a newer program has come.
func (s *Store) watchVersion(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-time.After(aheadEvery):
		}
		look, cancel := context.WithTimeout(ctx, readyTime)
		_ = s.compareNow(look) // what else is wrong shows elsewhere
		cancel()
	}
}
