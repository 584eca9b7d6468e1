package store_test

import (
	"bytes"
	"context"
	"net"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"boardlore/domain/fault"
	"boardlore/store"
)

// line stands between a server and its database, and can be stopped in the
// middle without a word to either end.
type line struct {
	net.Listener
	mu               sync.Mutex
	deaf, dumb       bool // connections that listen, and all others, are stopped
	network, address string
}

func (l *line) stop(deaf, dumb bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.deaf, l.dumb = deaf, dumb
}

func (l *line) stopped(listens bool) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.deaf && listens || l.dumb && !listens
}

// newLine is a line to a database, and the address at which it begins.
func newLine(t *testing.T, dsn string) (*line, string) {
	t.Helper()
	c, err := pgconn.ParseConfig(dsn)
	if err != nil {
		t.Fatal(err)
	}
	l := new(line)
	l.network, l.address = pgconn.NetworkAddress(c.Host, c.Port)
	if l.Listener, err = net.Listen("tcp", "127.0.0.1:0"); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = l.Close() })
	go func() {
		for {
			from, err := l.Accept()
			if err != nil {
				return
			}
			go l.carry(from)
		}
	}()
	at := l.Addr().(*net.TCPAddr)
	u := url.URL{Scheme: "postgres", User: url.UserPassword(c.User, c.Password), Host: "127.0.0.1:" +
		strconv.Itoa(at.Port), Path: "/" + c.Database, RawQuery: "sslmode=disable"}
	return l, u.String()
}

func (l *line) carry(from net.Conn) {
	to, err := net.Dial(l.network, l.address)
	if err != nil {
		_ = from.Close()
		return
	}
	var mu sync.Mutex
	listens := false
	pass := func(to, from net.Conn) {
		defer func() { _, _ = to.Close(), from.Close() }()
		b := make([]byte, 64<<10)
		for {
			n, err := from.Read(b)
			mu.Lock()
			listens = listens || bytes.Contains(b[:n], []byte("LISTEN "))
			is := listens
			mu.Unlock()
			for l.stopped(is) {
				time.Sleep(5 * time.Millisecond)
			}
			if _, werr := to.Write(b[:n]); err != nil || werr != nil {
				return
			}
		}
	}
	go pass(to, from)
	pass(from, to)
}

// within waits for something to hold, and says how long that took.
func within(t *testing.T, most time.Duration, what string, holds func() bool) time.Duration {
	t.Helper()
	began := time.Now()
	for !holds() {
		if time.Since(began) > most {
			t.Fatalf("%s: not within %s", what, most)
		}
		time.Sleep(2 * time.Millisecond)
	}
	return time.Since(began)
}

// slack is what a loaded machine may add to the times of this file.
const slack = 3 * time.Second

func current(t *testing.T, s *store.Store, board string) int {
	t.Helper()
	r, err := s.Revision(t.Context(), board, 0, "")
	if err != nil {
		t.Fatal(err)
	}
	return r.Number
}

// settled waits until a server answers from memory: the line to its database is
// stopped for all that asks.
func settled(t *testing.T, l *line, s *store.Store, board string) {
	t.Helper()
	within(t, 10*time.Second, "answers from memory", func() bool {
		_ = current(t, s, board)
		l.stop(false, true)
		defer l.stop(false, false)
		soon, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
		defer cancel()
		_, err := s.Revision(soon, board, 0, "")
		return err == nil
	})
}

// TestCurrentFromMemory: which revision is current needs no visit to the
// database; a release and a withdrawal are told at once by the server that did
// them, and by another within 2 s: also when what it would hear of them by is
// cut off without a word.
func TestCurrentFromMemory(t *testing.T) {
	d := newDesk(t)
	l, dsn := newLine(t, d.dsn)
	other := openStore(t, dsn)
	d.released(t, 0, newMap("tarn-a"))
	n := 1
	release := func() {
		t.Helper()
		r := d.submit(t, d.ann, n, newMap("tarn-a", note("C1", strings.Repeat("seen ", n)+"here")))
		d.endorse(t, d.rob, r.Proposal)
		if _, err := d.Release(t.Context(), d.stew, store.Decision{Proposal: r.Proposal}); err != nil {
			t.Fatal(err)
		}
		n++
		if got := current(t, d.Store, "tarn-a"); got != n {
			t.Fatalf("the server that released revision %d tells of %d", n, got)
		}
	}
	for _, cut := range []bool{false, true} {
		settled(t, l, other, "tarn-a")
		l.stop(cut, false)
		release()
		t.Logf("line cut: %v; a release was told elsewhere after %s", cut,
			within(t, 2*time.Second+slack, "release", func() bool { return current(t, other, "tarn-a") == n }))
		l.stop(false, false)
	}
	for _, cut := range []bool{false, true} {
		settled(t, l, other, "tarn-a")
		l.stop(cut, false)
		if _, err := d.WithdrawRevision(t.Context(), d.stew, "tarn-a", n, store.Withdrawal{Kind: "mistaken",
			Reason: "wrong board"}, store.Once{}); err != nil {
			t.Fatal(err)
		}
		if got := current(t, d.Store, "tarn-a"); got != n-1 {
			t.Fatalf("the server that withdrew revision %d tells of %d", n, got)
		}
		t.Logf("line cut: %v; a withdrawal was told elsewhere after %s", cut, within(t, 2*time.Second+slack,
			"withdrawal", func() bool {
				_, err := other.Revision(t.Context(), "tarn-a", n, "")
				return current(t, other, "tarn-a") == n-1 && fault.Is(err, fault.Gone)
			}))
		l.stop(false, false)
		n--
	}
}

// TestTurn: what was read of a board holds while its turn is the same, on the
// server that acts and on another; and nothing is believed by who does not hear.
func TestTurn(t *testing.T) {
	d := newDesk(t)
	l, dsn := newLine(t, d.dsn)
	other := openStore(t, dsn)
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 0, newMap("tarn-b"))
	within(t, 10*time.Second, "hears", func() bool { _, ok := other.Turn("tarn-a"); return ok })
	for name, do := range map[string]func(){
		"submission": func() { d.submit(t, d.ann, 1, newMap("tarn-a", note("C1", "seen"))) },
		"account":    func() { account(t, d.Store, "zoe", "contributor") },
	} {
		time.Sleep(200 * time.Millisecond) // what was told before has arrived
		here, _ := d.Turn("tarn-a")
		there, _ := other.Turn("tarn-a")
		elsewhere, _ := other.Turn("tarn-b")
		do()
		if name == "submission" {
			if now, _ := d.Turn("tarn-a"); now == here {
				t.Error("the server that took a submission does not know of it")
			}
		}
		within(t, 2*time.Second+slack, name, func() bool { now, _ := other.Turn("tarn-a"); return now != there })
		if now, _ := other.Turn("tarn-b"); name == "submission" && now != elsewhere {
			t.Error("a submission for one board moved another's turn")
		}
	}
	l.stop(true, false)
	within(t, 2*time.Second+slack, "deaf", func() bool { _, ok := other.Turn("tarn-a"); return !ok })
}
