package storetest

import (
	"context"
	"crypto/rand"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/fnv"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"

	"github.com/jackc/pgx/v5"

	"boardlore/store/cluster"
)

// server is a PostgreSQL server on which this process may create databases.
type server struct {
	admin  string // connection string of a database from which others are created
	prefix string // of the names of this process's databases
	count  atomic.Int64
	close  func(context.Context) error
}

// next is a name that no other database has.
func (s *server) next() string { return s.prefix + strconv.FormatInt(s.count.Add(1), 10) }

// create clones a database by copying its files: by way of the log, which is
// what the server does unasked, each clone takes a quarter of a second of processor time.
func (s *server) create(ctx context.Context, name, from string) error {
	return s.exec(ctx, "CREATE DATABASE "+name+" TEMPLATE "+from+" STRATEGY FILE_COPY")
}

func (s *server) drop(ctx context.Context, name string) error {
	return s.exec(ctx, "DROP DATABASE IF EXISTS "+name+" WITH (FORCE)")
}

func (s *server) exec(ctx context.Context, sql string) error {
	conn, err := pgx.Connect(ctx, s.admin)
	if err != nil {
		return fmt.Errorf("%s: %w", sql, err)
	}
	defer func() { _ = conn.Close(ctx) }()
	if _, err := conn.Exec(ctx, sql); err != nil {
		return fmt.Errorf("%s: %w", sql, err)
	}
	return nil
}

// dsn is the server's connection string with another database in it, in whichever form the server's is.
func (s *server) dsn(name string) string {
	u, err := url.Parse(s.admin)
	if err != nil || u.Scheme != "postgres" && u.Scheme != "postgresql" {
		return s.admin + " dbname=" + name // of a keyword given twice the last counts
	}
	q := u.Query()
	for _, key := range []string{"dbname", "database"} {
		q.Del(key)
	}
	u.Path, u.RawQuery = "/"+name, strings.ReplaceAll(q.Encode(), "+", "%20")
	return u.String()
}

// private starts a cluster of this process's own.
func private(ctx context.Context) (*server, error) {
	if _, err := cluster.Find(ctx); err != nil {
		return nil, fmt.Errorf("%w: %w", errNone, err)
	}
	dir, err := os.MkdirTemp(inMemory(), "boardlore-test-")
	if err != nil {
		return nil, err
	}
	// Whoever the database runs as must get in, but need not look around.
	if err := os.Chmod(dir, 0o711); err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	release, err := guard(dir)
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	c, err := cluster.Own(ctx, filepath.Join(dir, "data"), cluster.Options{Ephemeral: true, NoFetch: true})
	if err != nil {
		return nil, errors.Join(err, release())
	}
	return &server{admin: c.URL(), prefix: "test_", close: func(ctx context.Context) error {
		return errors.Join(c.Close(ctx), release())
	}}, nil
}

// memoryNeeded is what the folder in memory must have free, in bytes: a clone takes 10 MB, of which some ten
// are there at once, beside the log.
const memoryNeeded = 1 << 30

// inMemory is a folder whose files are never written to a disk, if this machine has one with room: databases are
// cloned and dropped there for half the work. It is "" where there is none, or where TMPDIR says where to go.
func inMemory() string {
	const dir = "/dev/shm"
	var fs syscall.Statfs_t
	if os.Getenv("TMPDIR") != "" || syscall.Statfs(dir, &fs) != nil ||
		fs.Bavail*uint64(fs.Bsize) < memoryNeeded || syscall.Access(dir, writable) != nil {
		return ""
	}
	return dir
}

const writable = 2 // W_OK of access(2)

// cleanup waits until its input ends, which it does with the test process, however that ends; then it stops what runs
// in the folder $1, if anything does, and removes the folder.
const cleanup = `cat
pid=$(head -n 1 "$1/data/postgres/postmaster.pid" 2>/dev/null)
case $(ps -o comm= -p "${pid:-0}" 2>/dev/null) in
*postgres*)
	kill -QUIT "$pid"
	tries=0
	while kill -0 "$pid" 2>/dev/null && [ $tries -lt 100 ]; do sleep 0.1; tries=$((tries+1)); done
esac
rm -rf "$1"`

// guard starts a process that clears dir away when this one ends or calls the function that it answers.
func guard(dir string) (func() error, error) {
	cmd := exec.Command("/bin/sh", "-c", cleanup, "sh", dir)
	cmd.Dir = "/"
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true} // Ctrl-C ends the tests, and leaves the cleaning to this
	in, err := cmd.StdinPipe()
	if err != nil {
		return nil, fmt.Errorf("guard of %s: %w", dir, err)
	}
	if err := cmd.Start(); err != nil {
		return nil, fmt.Errorf("guard of %s: %w", dir, err)
	}
	return func() error { return errors.Join(in.Close(), cmd.Wait()) }, nil
}

// external prepares a server that others may use too, at the same time and for the same tests. Each process holds an
// advisory lock on the number that is in the names of its databases, and clears away those of processes that have lost
// theirs by being killed. Advisory locks count in one database, so its name is in the names as well.
func external(ctx context.Context, u string) (*server, error) {
	conn, err := pgx.Connect(ctx, u)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", urlVariable, err)
	}
	key, err := number()
	if err == nil {
		_, err = conn.Exec(ctx, `SELECT pg_advisory_lock($1, $2)`, lockClass, key)
	}
	family := family(conn.Config().Database)
	s := &server{admin: u, prefix: fmt.Sprintf("%s%08x_", family, uint32(key)), close: conn.Close}
	if err == nil {
		err = s.sweep(ctx, conn, family)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", urlVariable, err), conn.Close(ctx))
	}
	return s, nil
}

// lockClass tells our advisory locks from other programs'.
const lockClass = int32(0x626c7465)

// family is how the names of all test databases begin that are created from the database named admin.
func family(admin string) string {
	h := fnv.New32a()
	_, _ = h.Write([]byte(admin)) // never fails
	return fmt.Sprintf("boardlore_test_%08x_", h.Sum32())
}

func number() (int32, error) {
	var b [4]byte
	if _, err := rand.Read(b[:]); err != nil {
		return 0, err
	}
	return int32(binary.BigEndian.Uint32(b[:])), nil
}

var keyed = regexp.MustCompile(`^([0-9a-f]{8})_[0-9]+$`)

// sweep drops the databases of test processes that ended without dropping them.
func (s *server) sweep(ctx context.Context, conn *pgx.Conn, family string) error {
	rows, err := conn.Query(ctx, `SELECT datname FROM pg_database WHERE starts_with(datname, $1)`, family)
	if err != nil {
		return err
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return err
	}
	for _, name := range names {
		m := keyed.FindStringSubmatch(strings.TrimPrefix(name, family))
		if m == nil {
			continue
		}
		key, err := strconv.ParseUint(m[1], 16, 32)
		if err != nil {
			continue
		}
		if err := s.sweepOne(ctx, conn, name, int32(uint32(key))); err != nil {
			return err
		}
	}
	return nil
}

func (s *server) sweepOne(ctx context.Context, conn *pgx.Conn, name string, key int32) error {
	var free bool
	if err := conn.QueryRow(ctx, `SELECT pg_try_advisory_lock($1, $2)`, lockClass, key).Scan(&free); err != nil ||
		!free {
		return err
	}
	err := s.drop(ctx, name)
	_, unlocked := conn.Exec(ctx, `SELECT pg_advisory_unlock($1, $2)`, lockClass, key)
	return errors.Join(err, unlocked)
}
