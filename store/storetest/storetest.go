// Package storetest gives tests a real PostgreSQL, since what matters about stored data (what a constraint refuses, who
// waits for whom, what a rollback leaves) a stand-in can only guess. It is imported by tests alone.
//
// The server is, in this order: the one that BOARDLORE_TEST_DATABASE_URL names, whose role must be allowed to create
// databases; a container, where a container engine answers, of the image BOARDLORE_TEST_POSTGRES_IMAGE
// (postgres:15-alpine if unset); a private cluster of PostgreSQL's programs on this machine, in a temporary folder and
// with nothing forced to disk. Servers of the last two kinds are one for each test process, and end with it.
//
// Without any, tests are skipped and say so, unless BOARDLORE_TEST_REQUIRE holds the word postgres: then they fail. The
// word container in it rules out every source but the container.
package storetest

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"reflect"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

const (
	urlVariable     = "BOARDLORE_TEST_DATABASE_URL"
	imageVariable   = "BOARDLORE_TEST_POSTGRES_IMAGE"
	requireVariable = "BOARDLORE_TEST_REQUIRE"
)

// startWait bounds the start of a server, an image's download included.
const startWait = 5 * time.Minute

// errNone is why tests are skipped.
var errNone = errors.New("NO POSTGRESQL FOR TESTS")

// shared is the one server of this process.
var shared struct {
	sync.Mutex
	server    *server
	err       error
	templates map[uintptr]*template
}

// template is a migrated database that others are cloned from.
type template struct {
	once sync.Once
	name string
	err  error
}

// DSN answers the connection string of a fresh database for tb, with the schema that migrate makes, and drops it when
// tb ends. migrate runs once in a process; its databases are clones of the first. Two values made from one function
// literal count as the same migrate. A nil migrate gives an empty database.
//
// tb is skipped where there is no PostgreSQL, and fails where the server does not do what it should.
func DSN(tb testing.TB, migrate func(ctx context.Context, dsn string) error) string {
	tb.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), startWait)
	defer cancel()
	s, err := serverFor(ctx, tb.Logf)
	if errors.Is(err, errNone) && !Required("postgres") && !Required("container") {
		tb.Skipf("%v; see %s in DEVELOPERS.md", err, urlVariable)
	}
	if err != nil {
		tb.Fatal(err)
	}
	from, err := templateFor(ctx, s, migrate)
	if err != nil {
		tb.Fatal(err)
	}
	name := s.next()
	if err := s.create(ctx, name, from); err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		defer cancel()
		if err := s.drop(ctx, name); err != nil {
			tb.Errorf("%v", err)
		}
	})
	return s.dsn(name)
}

const (
	Waiting = 3 // tests per core that wait for a database more than they work
	Working = 1 // tests per core that keep it busy, as a browser does
)

// Main runs a package's tests and then stops the server that they were given. A TestMain calls it as
// os.Exit(storetest.Main(m, Waiting)). Without it the server ends with the process all the same, a little later. m is a
// *testing.M, or what runs one with something of its own before and behind.
//
// perCore is how many tests run at a time for each core, unless -parallel says otherwise.
func Main(m interface{ Run() int }, perCore int) int {
	if !flag.Parsed() {
		if err := flag.Set("test.parallel", strconv.Itoa(perCore*runtime.GOMAXPROCS(0))); err != nil {
			fmt.Fprintln(os.Stderr, "storetest:", err)
			return 1
		}
	}
	code := m.Run()
	if err := stop(); err != nil {
		fmt.Fprintln(os.Stderr, "storetest:", err)
		code = max(code, 1)
	}
	return code
}

// Required tells whether BOARDLORE_TEST_REQUIRE, a list parted by commas or spaces, holds name: what a test needs and
// would else be skipped without.
func Required(name string) bool {
	list := strings.FieldsFunc(os.Getenv(requireVariable), func(r rune) bool { return r == ',' || r == ' ' })
	return slices.Contains(list, name)
}

// serverFor starts this process's server, or answers the one that runs, or why there is none.
func serverFor(ctx context.Context, logf func(string, ...any)) (*server, error) {
	shared.Lock()
	defer shared.Unlock()
	if shared.server == nil && shared.err == nil {
		shared.server, shared.err = open(ctx, logf)
		shared.templates = map[uintptr]*template{}
	}
	return shared.server, shared.err
}

// open goes through the sources of servers.
func open(ctx context.Context, logf func(string, ...any)) (*server, error) {
	if u := os.Getenv(urlVariable); u != "" && !Required("container") {
		return external(ctx, u)
	}
	s, err := container(ctx)
	if err == nil {
		return s, nil
	}
	if Required("container") {
		return nil, fmt.Errorf("%w: %w", errNone, err)
	}
	if !errors.Is(err, errNoEngine) {
		logf("storetest: no container: %v; trying a private cluster", err)
	}
	return private(ctx)
}

// templateFor makes the database that migrate's clones come from.
func templateFor(ctx context.Context, s *server, migrate func(context.Context, string) error) (string, error) {
	if migrate == nil {
		return "template0", nil
	}
	key := reflect.ValueOf(migrate).Pointer()
	shared.Lock()
	t := shared.templates[key]
	if t == nil {
		t = &template{name: s.next()}
		shared.templates[key] = t
	}
	shared.Unlock()
	t.once.Do(func() {
		if t.err = s.create(ctx, t.name, "template0"); t.err != nil {
			return
		}
		if err := migrate(ctx, s.dsn(t.name)); err != nil {
			t.err = fmt.Errorf("migrate the template of the test databases: %w", err)
		}
	})
	return t.name, t.err
}

// stop drops the templates and stops the server, if there is one.
func stop() error {
	shared.Lock()
	defer shared.Unlock()
	if shared.server == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	s := shared.server
	var errs []error
	for _, t := range shared.templates {
		errs = append(errs, s.drop(ctx, t.name))
	}
	shared.server, shared.templates = nil, nil
	return errors.Join(append(errs, s.close(ctx))...)
}
