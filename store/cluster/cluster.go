//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package cluster

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
)

const (
	database = "boardlore" // name of the database, and of the role that owns it
	port     = "5432"      // only names the socket file: nothing listens on it
)

const (
	passingWait = 15 * time.Second // how long Own waits for a command that owns the folder for the time being
	stopWait    = 60 * time.Second // how long a fast shutdown may take before it is made an immediate one
	usersWait   = 60 * time.Second // how long a passing owner waits for the other users of its cluster
	pollEvery   = 50 * time.Millisecond
)

// Cluster is a running private cluster, owned by this process or used beside its owner.
type Cluster struct {
	dir  folder
	opt  Options
	acct account
	prog Programs
	url  string

	lock    *os.File // held while this process owns the cluster, nil in a user
	users   *os.File // shared while this process uses another's cluster, nil in an owner
	passing bool     // owns it only because no server did when Use was called

	cancel context.CancelFunc // ends the watch over the postmaster
	done   chan struct{}      // closed when the watch has ended
	once   sync.Once

	mu   sync.Mutex
	proc *process
	err  error
}

// Own starts the cluster in dir, making it first if dir is absent or empty, and keeps it running until Close: a
// database that dies is started again. One that a killed owner left running is adopted. ctx bounds the start only.
//
// The errors to tell apart: *OwnedError when another process owns dir; ErrForeign when dir holds something else;
// ErrVersion when it needs a PostgreSQL that is not here; ErrNoPostgres when there is none at all.
func Own(ctx context.Context, dir string, opt Options) (*Cluster, error) {
	f, err := inspect(dir, opt)
	if err != nil {
		return nil, err
	}
	lock, err := f.own(ctx)
	if err != nil {
		return nil, err
	}
	return run(ctx, f, lock, false, opt)
}

// Use gives the cluster in dir to a command beside the server. If a process owns dir its cluster is used, else this one
// owns it for the time being and stops it at Close. The errors are those of Own.
func Use(ctx context.Context, dir string, opt Options) (*Cluster, error) {
	f, err := inspect(dir, opt)
	if err != nil {
		return nil, err
	}
	users, err := f.join(ctx)
	if err != nil {
		return nil, err
	}
	for {
		lock, err := f.tryOwn(true)
		var owned *OwnedError
		switch {
		case err == nil:
			_ = users.Close()
			return run(ctx, f, lock, true, opt)
		case !errors.As(err, &owned):
			_ = users.Close()
			return nil, err
		}
		if c, ok := borrow(ctx, f, users, opt); ok {
			return c, nil
		}
		if err := pause(ctx, pollEvery); err != nil {
			_ = users.Close()
			return nil, fmt.Errorf("the database in %s, owned by process %d, does not answer: %w", f.path, owned.PID,
				err)
		}
	}
}

// borrow answers a cluster that another process runs, if it is up.
func borrow(ctx context.Context, f folder, users *os.File, opt Options) (*Cluster, bool) {
	pm, err := readPostmaster(f.data())
	if err != nil || pm.socket == "" {
		return nil, false
	}
	u := address(pm.socket, database)
	if ping(ctx, u) != nil {
		return nil, false
	}
	return &Cluster{dir: f, opt: opt, url: u, users: users, done: make(chan struct{}), cancel: func() {}}, true
}

// run starts or adopts the cluster whose lock this process holds. The lock goes with the cluster, or is given back.
func run(ctx context.Context, f folder, lock *os.File, passing bool, opt Options) (_ *Cluster, err error) {
	c := &Cluster{dir: f, opt: opt, lock: lock, passing: passing, done: make(chan struct{})}
	defer func() {
		if err != nil {
			_ = lock.Close()
		}
	}()
	if err := c.prepare(ctx); err != nil {
		return nil, err
	}
	p, err := c.start(ctx)
	if err != nil {
		return nil, err
	}
	if err := createDatabase(ctx, p.socket); err != nil {
		return nil, errors.Join(err, p.stop(ctx))
	}
	c.proc, c.url = p, address(p.socket, database)
	watch, cancel := context.WithCancel(context.Background())
	c.cancel = cancel
	go c.watch(watch)
	return c, nil
}

// prepare finds account and programs, and makes the data directory if there is none.
func (c *Cluster) prepare(ctx context.Context) (err error) {
	if c.acct, err = chooseAccount(c.dir.data()); err != nil {
		return err
	}
	major, err := c.dir.version()
	if err != nil {
		return err
	}
	if c.prog, err = find(ctx, c.dir, major, c.acct, c.opt); err != nil {
		return err
	}
	if err := c.dir.lay(c.acct); err != nil {
		return err
	}
	if major != 0 {
		return nil
	}
	c.tell("making a new database in %s with PostgreSQL %d", c.dir.path, c.prog.Major)
	return c.initdb(ctx)
}

// URL is the connection string of the database, for pgx and PostgreSQL's own programs. It stays the same while the
// Cluster is open, also when the database is started again.
func (c *Cluster) URL() string { return c.url }

// Owner tells whether this process runs the cluster, and did not find it running under another.
func (c *Cluster) Owner() bool { return c.lock != nil }

// Done is closed when the cluster has been closed, or when its database died and could not be started again; Err then
// says why.
func (c *Cluster) Done() <-chan struct{} { return c.done }

// Err is nil while the cluster runs and after Close, else the reason why the database could not be started again.
func (c *Cluster) Err() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.err
}

// Close stops the database if this process owns it, by a fast shutdown: open transactions are rolled back, committed
// ones are on disk. When ctx ends first, or after a minute, the shutdown is an immediate one, which loses nothing but
// makes the next start slower. A cluster that is only used is left running. Closing twice is harmless.
func (c *Cluster) Close(ctx context.Context) error {
	var err error
	c.once.Do(func() { err = c.close(ctx) })
	return err
}

func (c *Cluster) close(ctx context.Context) error {
	if c.users != nil {
		close(c.done)
		return c.users.Close()
	}
	if c.passing {
		// An owner for the time being outlasts the commands that came to use its cluster, so that none is cut off.
		users := c.dir.alone(ctx)
		defer users.Close()
	}
	c.cancel()
	<-c.done
	p := c.current()
	err := p.stop(ctx)
	if err == nil && p.socket != c.dir.run() {
		_ = os.Remove(p.socket) // empty now; if not, somebody else's business
	}
	return errors.Join(err, c.lock.Close())
}

func (c *Cluster) current() *process {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.proc
}

func (c *Cluster) tell(format string, a ...any) {
	if c.opt.Progress != nil {
		c.opt.Progress(fmt.Sprintf(format, a...))
	}
}

// address is the connection string for one database behind the socket in dir. It names everything that the
// environment (PGPORT and the like) could else change.
func address(dir, db string) string {
	q := url.Values{"host": {dir}, "port": {port}, "sslmode": {"disable"}}
	// Not every reader of such an address takes a plus for a space.
	return "postgres://" + database + "@/" + db + "?" + strings.ReplaceAll(q.Encode(), "+", "%20")
}

// ping asks the database behind u for an answer, for at most a few seconds.
func ping(ctx context.Context, u string) error {
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, u)
	if err != nil {
		return err
	}
	defer func() { _ = conn.Close(ctx) }()
	return conn.Ping(ctx)
}

func createDatabase(ctx context.Context, socket string) error {
	conn, err := pgx.Connect(ctx, address(socket, "postgres"))
	if err != nil {
		return fmt.Errorf("connect to the private database: %w", err)
	}
	defer func() { _ = conn.Close(ctx) }()
	var there bool
	const q = `SELECT EXISTS (SELECT FROM pg_database WHERE datname = $1)`
	if err := conn.QueryRow(ctx, q, database).Scan(&there); err != nil {
		return fmt.Errorf("look for database %s: %w", database, err)
	}
	if there {
		return nil
	}
	if _, err := conn.Exec(ctx, "CREATE DATABASE "+database); err != nil {
		return fmt.Errorf("create database %s: %w", database, err)
	}
	return nil
}

// pause waits for d, or answers why ctx ended first.
func pause(ctx context.Context, d time.Duration) error {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-t.C:
		return nil
	}
}
