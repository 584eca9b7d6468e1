package store_test

import (
	"context"
	"fmt"
	"net"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/storetest"
)

const secret = "tarn/w#o?r%d \"x"

// TestAwait: a database that is not up yet is waited for, with a word of it; what
// waiting does not mend comes back at once; and no word of it holds the password.
func TestAwait(t *testing.T) {
	t.Parallel()
	dsn := storetest.DSN(t, nil)
	l, through := storetest.Through(t, dsn)
	if err := l.Close(); err != nil { // nobody listens there now
		t.Fatal(err)
	}
	u, err := url.Parse(through)
	if err != nil {
		t.Fatal(err)
	}
	u.User = url.UserPassword(u.User.Username(), secret)
	told := make(chan string, 100)
	done := make(chan error, 1)
	go func() { done <- store.Await(t.Context(), through, time.Minute, func(s string) { told <- s }) }()
	if s := <-told; !strings.HasPrefix(s, "waiting for the database: ") || !strings.Contains(s, "refused") {
		t.Errorf("says %q", s)
	}
	again, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", l.Address())
	if err != nil {
		t.Skip(err) // somebody took the port meanwhile
	}
	l.Listener = again
	go l.Serve()
	if err := <-done; err != nil {
		t.Errorf("a database that came up: %v", err)
	}
	_ = again.Close()
	l.Cut()

	var words []string
	err = store.Await(t.Context(), u.String(), 0, func(s string) { words = append(words, s) })
	if err == nil || !strings.Contains(err.Error(), "did not come up") {
		t.Errorf("a database that stays away: %v", err)
	}
	holdsNoSecret(t, append(words, err.Error(), store.Spoken(err))...)

	u, err = url.Parse(dsn)
	if err != nil {
		t.Skip(err)
	}
	u.User = url.UserPassword("nobody-of-this-name", secret)
	began := time.Now()
	err = store.Await(t.Context(), u.String(), time.Hour, nil)
	if err == nil || time.Since(began) > time.Minute {
		t.Errorf("an account that there is not: %v", err)
	}
	holdsNoSecret(t, err.Error())
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := store.Await(ctx, through, time.Hour, nil); err == nil {
		t.Error("waits for a database though it was called off")
	}
}

func holdsNoSecret(t *testing.T, texts ...string) {
	t.Helper()
	for _, s := range texts {
		for _, form := range []string{secret, url.PathEscape(secret), url.QueryEscape(secret),
			url.UserPassword("", secret).String()[1:], "w#o", "r%d"} {
			if strings.Contains(s, form) {
				t.Errorf("the password is in %q", s)
			}
		}
	}
}

// TestMigrationIsWaitedFor: a second server says that it waits for the first one's
// migration, and finds nothing to do then.
func TestMigrationIsWaitedFor(t *testing.T) {
	t.Parallel()
	dsn := storetest.DSN(t, migrate)
	first, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := first.Exec(t.Context(), `SELECT pg_advisory_lock($1)`, int64(store.MigrationLock)); err != nil {
		t.Fatal(err)
	}
	told, done := make(chan string, 100), make(chan error, 1)
	go func() { done <- store.Migrate(t.Context(), dsn, func(s string) { told <- s }) }()
	if s := <-told; s != "waiting for another server, which migrates the database" {
		t.Errorf("says %q", s)
	}
	select {
	case err := <-done:
		t.Errorf("did not wait: %v", err)
	default:
	}
	if err := first.Close(t.Context()); err != nil {
		t.Fatal(err)
	}
	if err := <-done; err != nil || len(told) > 0 {
		t.Errorf("%v, and %d steps more", err, len(told))
	}
}

// TestOldBesideNew: a server that a newer program's migration finds running sees
// so by itself, takes no act from then on, and goes on to be read.
func TestOldBesideNew(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	raw(t, d.dsn, `INSERT INTO migrations (version_id, is_applied) VALUES (99999, true)`)
	var err error
	acts := 0
	act := func() error {
		acts++
		_, err = d.AddAccount(ctx, fmt.Sprintf("wren %d", acts), review.Contributor)
		return err
	}
	awaited(t, "an act that is refused", func() bool { return act() != nil })
	refused(t, err, fault.Unavailable, "database-ahead")
	refused(t, d.Ready(ctx), fault.Unavailable, "database-ahead")
	if r, err := d.Revision(ctx, "tarn-a", 0, ""); err != nil || r.Number != 1 {
		t.Errorf("reads %+v, %v", r, err)
	}
	raw(t, d.dsn, `DELETE FROM migrations WHERE version_id = 99999`) // as when the newer one was taken back
	awaited(t, "acts that are taken again", func() bool { return act() == nil })
}

// TestStuck: a database that answers nobody any more, though its connections
// stand, costs readers and whoever asks for readiness an answer that says so.
func TestStuck(t *testing.T) {
	t.Parallel()
	dsn := storetest.DSN(t, migrate)
	l, through := storetest.Through(t, dsn)
	s := openStore(t, through)
	ann := account(t, s, "ann", review.Contributor)
	doc, err := newMap("tarn-a").Canonical()
	if err != nil {
		t.Fatal(err)
	}
	l.Freeze()
	store.Again(s)
	refused(t, s.Ready(ctx), fault.Unavailable, "database-unavailable")
	_, err = s.Revision(ctx, "tarn-a", 0, "")
	refused(t, err, fault.Unavailable, "deadline-cut")
	soon, cancel := context.WithTimeout(ctx, 500*time.Millisecond)
	defer cancel()
	_, err = s.Submit(soon, ann, store.Submission{Board: "tarn-a", Map: doc, Summary: "First."})
	refused(t, err, fault.Unavailable, "deadline-cut")
	l.Thaw()
	awaited(t, "readiness", func() bool { store.Again(s); return s.Ready(ctx) == nil })
	if _, err := s.Submit(ctx, ann, store.Submission{Board: "tarn-a", Map: doc, Summary: "First."}); err != nil {
		t.Errorf("after the database came back: %v", err)
	}
}
