package store_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/url"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/storetest"
)

// cutter stands between a store and its database and cuts the line at the
// commit of an act on an account wren: before the database hears of it, or before the store hears the answer.
type cutter struct {
	net.Listener
	to string // socket of the database

	mu      sync.Mutex
	when    string // "", "before", "after"
	forGood bool
	closed  bool // nobody gets through any more
}

func newCutter(t *testing.T, dsn string) (*cutter, string) {
	t.Helper()
	c, err := pgx.ParseConfig(dsn)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(c.Host, "/") {
		t.Skip("the database is not behind a socket")
	}
	l, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = l.Close() })
	k := &cutter{Listener: l, to: filepath.Join(c.Host, fmt.Sprintf(".s.PGSQL.%d", c.Port))}
	go k.serve()
	u := url.URL{Scheme: "postgres", User: url.User(c.User), Host: l.Addr().String(), Path: "/" + c.Database,
		RawQuery: "sslmode=disable"}
	return k, u.String()
}

func (k *cutter) serve() {
	for {
		client, err := k.Accept()
		if err != nil {
			return
		}
		k.mu.Lock()
		closed := k.closed
		k.mu.Unlock()
		if closed {
			_ = client.Close()
			continue
		}
		server, err := net.Dial("unix", k.to)
		if err != nil {
			_ = client.Close()
			continue
		}
		go func() { _, _ = io.Copy(client, server); _ = client.Close() }()
		go k.forward(client, server)
	}
}

// forward passes on what the store says, up to the commit at which to cut.
func (k *cutter) forward(client, server net.Conn) {
	defer client.Close()
	defer server.Close()
	buf := make([]byte, 1<<16)
	act := false // of the test's, not of the store's own
	for {
		n, err := client.Read(buf)
		if err != nil {
			return
		}
		act = act || bytes.Contains(buf[:n], []byte("wren"))
		k.mu.Lock()
		when := k.when
		cut := when != "" && (act || k.closed) && bytes.Contains(buf[:n], []byte("commit\x00"))
		if cut && !k.forGood {
			k.when = "" // the next commit gets through
		}
		k.mu.Unlock()
		if cut {
			k.shut()
			if when == "after" {
				_ = client.Close()
				_, _ = server.Write(buf[:n])
				time.Sleep(200 * time.Millisecond) // for the commit; its answer goes to nobody
			}
			return
		}
		if _, err := server.Write(buf[:n]); err != nil {
			return
		}
	}
}

func (k *cutter) cut(when string, forGood bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.when, k.forGood = when, forGood
}

// shut keeps out whoever comes from now on, where the cut is for good.
func (k *cutter) shut() {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.closed = k.forGood
}

// TestOutcomes: an act whose commit is cut off is done, not done or unknown,
// and told as what it is.
func TestOutcomes(t *testing.T) {
	for _, test := range []struct {
		name, when string
		forGood    bool
		code       string // of the refusal; "" where the act is told as done
		done       bool
	}{
		{"the answer is lost", "after", false, "", true},
		{"the question is lost", "before", false, "database-unavailable", false},
		{"the database stays away, done", "after", true, "outcome-unknown", true},
		{"the database stays away, not done", "before", true, "outcome-unknown", false},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			dsn := storetest.DSN(t, func(ctx context.Context, u string) error { return store.Migrate(ctx, u, nil) })
			k, through := newCutter(t, dsn)
			s, err := store.Open(t.Context(), through, store.Options{})
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(s.Close)
			k.cut(test.when, test.forGood)
			_, err = s.AddAccount(t.Context(), "wren", review.Contributor)
			f, _ := fault.As(err)
			switch {
			case test.code == "" && err != nil, test.code != "" && (f == nil || f.Code != test.code ||
				f.Kind != fault.Unavailable):
				t.Errorf("told as %v, want %q", err, test.code)
			case test.code == "database-unavailable" && !strings.Contains(f.Detail.String(), "Nothing was changed."):
				t.Errorf("says %q", f.Detail)
			case test.code == "outcome-unknown" && (strings.Contains(f.Detail.String(), "Nothing was changed") ||
				!strings.Contains(f.Detail.String(), "Idempotency-Key")):
				t.Errorf("says %q", f.Detail)
			}
			straight, err := store.Open(t.Context(), dsn, store.Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer straight.Close()
			list, err := straight.Accounts(t.Context())
			if err != nil || (len(list) == 1) != test.done {
				t.Errorf("accounts %v, %v", list, err)
			}
		})
	}
}

// TestNumberGivenAgain: after a crash another transaction may have the number
// of one that was lost with it, and commit; the lost one is not told as done.
func TestNumberGivenAgain(t *testing.T) {
	t.Parallel()
	s := anotherDesk(t).Store
	for _, test := range []struct {
		name    string
		further int64 // from the number of a transaction that was committed
		kept    bool  // with a witness
		want    string
	}{
		{"its own", 0, true, "committed"},
		{"another's, without a witness", 0, false, "aborted"},
		{"a number that nobody has had", 1_000_000, false, "aborted"},
	} {
		got, err := store.Became(t.Context(), s, test.further, test.kept)
		if got != test.want || err != nil {
			t.Errorf("%s: %q, want %q; %v", test.name, got, test.want, err)
		}
	}
}

// TestMachineFaults: what is wrong with the machine is told as such.
func TestMachineFaults(t *testing.T) {
	t.Parallel()
	dsn := storetest.DSN(t, func(ctx context.Context, u string) error { return store.Migrate(ctx, u, nil) })
	s, err := store.Open(t.Context(), dsn+separator(dsn)+"default_transaction_read_only=on", store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	_, err = s.AddAccount(t.Context(), "wren", review.Contributor)
	if f, _ := fault.As(err); f == nil || f.Code != "database-read-only" || !strings.Contains(f.Detail.String(),
		"Nothing was changed.") {
		t.Errorf("read-only: %v", err)
	}
	if f, _ := fault.As(s.Ready(t.Context())); f == nil || f.Code != "database-read-only" {
		t.Errorf("ready: %v", s.Ready(t.Context()))
	}
}

func separator(dsn string) string {
	if strings.Contains(dsn, "?") {
		return "&"
	}
	return "?"
}

// TestReadiness: the disk, its folder and a newer program each have their word.
func TestReadiness(t *testing.T) {
	t.Parallel()
	dsn := storetest.DSN(t, func(ctx context.Context, u string) error { return store.Migrate(ctx, u, nil) })
	var disk store.Disk
	var gone error
	s, err := store.Open(t.Context(), dsn, store.Options{Disk: func() (store.Disk, error) { return disk, gone }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	code := func() string {
		t.Helper()
		store.Again(s)
		f, _ := fault.As(s.Ready(t.Context()))
		if f == nil {
			return ""
		}
		return f.Code
	}
	disk = store.Disk{Free: 1 << 40, Total: 1 << 41}
	if got := code(); got != "" {
		t.Errorf("sound: %s", got)
	}
	disk.Free = 1 << 20
	if got := code(); got != "disk-full" {
		t.Errorf("full: %s", got)
	}
	if err := s.Room(t.Context(), 1<<20); err == nil {
		t.Error("there is room on a full disk")
	}
	gone = io.ErrUnexpectedEOF
	if got := code(); got != "database-unavailable" {
		t.Errorf("folder gone: %s", got)
	}
	gone, disk.Free = nil, 1<<40
	conn, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(t.Context())
	if _, err := conn.Exec(t.Context(),
		`INSERT INTO migrations (version_id, is_applied) VALUES (99999, true)`); err != nil {
		t.Fatal(err)
	}
	if got := code(); got != "database-ahead" {
		t.Errorf("ahead: %s", got)
	}
	if _, err := s.AddAccount(t.Context(), "wren", review.Contributor); err == nil || !strings.Contains(err.Error(),
		"newer version") {
		t.Errorf("an act on a database that is ahead: %v", err)
	}
}

// TestCameToNothing: whatever broke a commit off that was not done, it is no
// defect of the server's.
func TestCameToNothing(t *testing.T) {
	t.Parallel()
	for err, code := range map[error]string{
		store.ErrUnconfirmed:            "database-unavailable",
		errors.New("something unknown"): "database-unavailable",
		io.ErrUnexpectedEOF:             "database-unavailable",
		context.DeadlineExceeded:        "deadline-cut",
	} {
		got := store.CameToNothing(err)
		refused(t, got, fault.Unavailable, code)
		if f, _ := fault.As(got); !strings.Contains(f.Detail.String(), "Nothing was changed.") {
			t.Errorf("%v: says %q", err, f.Detail)
		}
	}
}
