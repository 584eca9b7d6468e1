package store_test

import (
	"context"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/review"
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
	s, err := store.Open(ctx, through, store.Options{MaxConns: 12})
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
	if _, err := s.AddAccount(ctx, "wren", review.Contributor); err != nil {
		t.Errorf("an act over another connection: %v", err)
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

// TestReadsOnly: what is asked twice can't change anything.
func TestReadsOnly(t *testing.T) {
	d := newDesk(t)
	for _, sql := range []string{
		`WITH gone AS (DELETE FROM tokens RETURNING 1) SELECT count(*)::text FROM gone`,
		`SELECT nextval('accounts_id_seq')::text`,
		`UPDATE accounts SET name = 'wren' RETURNING name`,
	} {
		refused(t, store.Ask(ctx, d.Store, sql), fault.Unavailable, "database-read-only")
	}
}

// locked holds a table of the desk's, so that whoever reads it waits; let lets go.
func (d *desk) locked(t *testing.T, table string) (let func()) {
	t.Helper()
	conn, err := pgx.Connect(ctx, d.dsn)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close(ctx) })
	tx, err := conn.Begin(ctx)
	if err == nil {
		_, err = tx.Exec(ctx, `LOCK TABLE `+table+` IN ACCESS EXCLUSIVE MODE`)
	}
	if err != nil {
		t.Fatal(err)
	}
	return func() {
		if err := tx.Rollback(ctx); err != nil {
			t.Error(err)
		}
	}
}

// TestEndedBackend: a read whose connection is ended under it is asked again.
func TestEndedBackend(t *testing.T) {
	d := newDesk(t)
	let := d.locked(t, "kits")
	got := make(chan error, 1)
	go func() { _, err := d.Kits(ctx, store.KitFilter{}); got <- err }()
	awaited(t, "a read that is ended", func() bool {
		return answered(t, d.dsn, `SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity
			WHERE datname = current_database() AND wait_event_type = 'Lock'`) == "1"
	})
	let()
	if err := <-got; err != nil {
		t.Errorf("a read whose backend was ended: %v", err)
	}
}

// TestSlowIsNotSilent: a query that takes its time in a database that is well
// has it.
func TestSlowIsNotSilent(t *testing.T) {
	d := newDesk(t)
	let := d.locked(t, "kits")
	got := make(chan error, 1)
	go func() { _, err := d.Kits(ctx, store.KitFilter{}); got <- err }()
	awaited(t, "a second try", func() bool {
		return answered(t,
			d.dsn, `SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'
			AND now() - query_start < interval '1 second'
			AND EXISTS (SELECT FROM pg_stat_activity x WHERE x.datname = current_database() AND x.query LIKE 'LOCK TABLE%' AND now() - x.state_change > interval '2 seconds')`) == "1"
	})
	let()
	if err := <-got; err != nil {
		t.Errorf("a slow query: %v", err)
	}
}
