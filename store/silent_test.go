package store_test

import (
	"context"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/store"
	"boardlore/store/storetest"
)

// reads are reads of several kinds at once, none of which has a deadline of seconds.
func reads(t *testing.T, s *store.Store) map[string]error {
	t.Helper()
	ctx, cancel := context.WithTimeout(ctx, 45*time.Second)
	defer cancel()
	kinds := map[string]func() error{
		"kits":       func() error { _, err := s.Kits(ctx, store.KitFilter{}); return err },
		"events":     func() error { _, err := s.Events(ctx, store.EventFilter{}); return err },
		"boards":     func() error { _, err := s.Boards(ctx, store.BoardFilter{}); return err },
		"a proposal": func() error { _, err := s.Proposal(ctx, 1); return err },
		"a revision": func() error { _, err := s.Revision(ctx, "tarn-a", 1, ""); return err },
		"records":    func() error { _, err := s.Records(ctx, store.RecordFilter{}); return err },
	}
	var mu sync.Mutex
	var all sync.WaitGroup
	out := map[string]error{}
	for what, read := range kinds {
		all.Go(func() {
			err := read()
			mu.Lock()
			defer mu.Unlock()
			out[what] = err
		})
	}
	all.Wait()
	return out
}

// TestSilent: a connection that gives no answer any more costs a read one more
// try; a database that gives none is told of, though nobody set a deadline.
func TestSilent(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	line, through := storetest.Through(t, d.dsn)
	s, err := store.Open(ctx, through, store.Options{MaxConns: 40})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	t.Cleanup(line.Thaw)
	for what, err := range reads(t, s) {
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	line.Stick()
	for what, err := range reads(t, s) {
		if err != nil {
			t.Errorf("%s over another connection: %v", what, err)
		}
	}
	line.Freeze()
	for what, err := range reads(t, s) {
		if err != nil || what != "a revision" { // which may be in memory
			refused(t, err, fault.Unavailable, "deadline-cut")
		}
	}
	line.Thaw()
	awaited(t, "reads", func() bool { _, err := s.Kits(ctx, store.KitFilter{}); return err == nil })
}

// TestSlowIsNotSilent: a query that takes its time in a database that is well
// has it.
func TestSlowIsNotSilent(t *testing.T) {
	d := newDesk(t)
	conn, err := pgx.Connect(ctx, d.dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	tx, err := conn.Begin(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(ctx, `LOCK TABLE kits IN ACCESS EXCLUSIVE MODE`); err != nil {
		t.Fatal(err)
	}
	got := make(chan error, 1)
	go func() { _, err := d.Kits(ctx, store.KitFilter{}); got <- err }()
	awaited(t, "a second try", func() bool {
		return answered(t,
			d.dsn, `SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'
			AND now() - query_start < interval '1 second'
			AND EXISTS (SELECT FROM pg_stat_activity x WHERE x.datname = current_database() AND x.query LIKE 'LOCK TABLE%' AND now() - x.state_change > interval '2 seconds')`) == "1"
	})
	if err := tx.Rollback(ctx); err != nil {
		t.Fatal(err)
	}
	if err := <-got; err != nil {
		t.Errorf("a slow query: %v", err)
	}
}
