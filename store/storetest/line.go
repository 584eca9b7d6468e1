package storetest

import (
	"bytes"
	"fmt"
	"io"
	"net"
	"net/url"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"
)

// Line is a network between a store and its database, or what stands before
// that, which can be cut and frozen.
type Line struct {
	net.Listener
	to string // a socket's path, or tcp: and an address

	mu     sync.Mutex
	moving *sync.Cond
	frozen bool
	arm    string // "", Before or After: where to cut at the next commit
	ends   map[net.Conn]net.Conn
	stuck  map[net.Conn]bool
}

// Where a line is cut at a commit: before the database hears of it, or before
// the store hears the answer.
const (
	Before = "before"
	After  = "after"
)

// NewLine makes a line to a socket's path, or to tcp: and an address.
func NewLine(tb testing.TB, to string) *Line {
	tb.Helper()
	l, err := (&net.ListenConfig{}).Listen(tb.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		tb.Fatal(err)
	}
	n := &Line{Listener: l, to: to, ends: map[net.Conn]net.Conn{}, stuck: map[net.Conn]bool{}}
	n.moving = sync.NewCond(&n.mu)
	tb.Cleanup(func() { _ = l.Close(); n.Thaw(); n.Cut() })
	go n.Serve()
	return n
}

// Through makes a line to the database behind dsn, and the connection string by
// which it is reached over the line.
func Through(tb testing.TB, dsn string) (*Line, string) {
	tb.Helper()
	c, err := pgx.ParseConfig(dsn)
	if err != nil {
		tb.Fatal(err)
	}
	to := fmt.Sprintf("tcp:%s:%d", c.Host, c.Port)
	if strings.HasPrefix(c.Host, "/") {
		to = filepath.Join(c.Host, fmt.Sprintf(".s.PGSQL.%d", c.Port))
	}
	n := NewLine(tb, to)
	user := url.User(c.User)
	if c.Password != "" {
		user = url.UserPassword(c.User, c.Password)
	}
	u := url.URL{Scheme: "postgres", User: user, Host: n.Address(), Path: "/" + c.Database, RawQuery: "sslmode=disable"}
	return n, u.String()
}

// Address is where the line is entered.
func (n *Line) Address() string { return n.Addr().String() }

// Serve lends the line to whoever comes, until its listener is closed.
func (n *Line) Serve() {
	for {
		near, err := n.Accept()
		if err != nil {
			return
		}
		network, address := "unix", n.to
		if after, ok := strings.CutPrefix(n.to, "tcp:"); ok {
			network, address = "tcp", after
		}
		far, err := net.Dial(network, address)
		if err != nil {
			_ = near.Close()
			continue
		}
		n.mu.Lock()
		n.ends[near] = far
		n.mu.Unlock()
		go n.carry(far, near, false)
		go n.carry(near, far, true)
	}
}

// carry passes on what comes from one end; out tells that it comes from the server.
func (n *Line) carry(from, to net.Conn, out bool) {
	defer from.Close()
	defer to.Close()
	buf := make([]byte, 1<<16)
	for {
		k, err := from.Read(buf)
		if err != nil {
			return
		}
		n.mu.Lock()
		for n.frozen || n.stuck[from] || n.stuck[to] {
			n.moving.Wait()
		}
		arm := n.arm
		commits := out && arm != "" && bytes.Contains(buf[:k], []byte("commit\x00"))
		if commits {
			n.arm = ""
		}
		n.mu.Unlock()
		if commits && arm == Before {
			return
		}
		if commits {
			_ = from.Close() // the answer goes to nobody
		}
		if _, err := to.Write(buf[:k]); err != nil {
			return
		}
		if commits {
			_, _ = io.Copy(io.Discard, io.LimitReader(to, 1))
			return
		}
	}
}

// Cut breaks all connections.
func (n *Line) Cut() {
	n.mu.Lock()
	defer n.mu.Unlock()
	for near, far := range n.ends {
		_ = near.Close()
		_ = far.Close()
	}
	clear(n.ends)
}

// CutAtCommit breaks the next connection that commits, Before or After.
func (n *Line) CutAtCommit(arm string) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.arm = arm
}

// Freeze lets nothing through any more; connections stay, and new ones are made.
func (n *Line) Freeze() {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.frozen = true
}

// Stick lets nothing through the connections that are there; new ones work.
func (n *Line) Stick() {
	n.mu.Lock()
	defer n.mu.Unlock()
	for near := range n.ends {
		n.stuck[near] = true
	}
}

// Thaw lets through what was held back, and what comes.
func (n *Line) Thaw() {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.frozen = false
	clear(n.stuck)
	n.moving.Broadcast()
}
