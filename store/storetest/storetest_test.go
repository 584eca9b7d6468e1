package storetest

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"boardlore/store/cluster"
)

// childEnv has the test binary start a private cluster, say where it is, and wait to be killed.
const childEnv = "STORETEST_CHILD"

func TestMain(m *testing.M) {
	if os.Getenv(childEnv) != "" {
		s, err := private(context.Background())
		if err != nil {
			fmt.Println("error:", err)
			os.Exit(1)
		}
		fmt.Println(s.admin)
		_, _ = io.Copy(io.Discard, os.Stdin)
		os.Exit(0)
	}
	os.Exit(Main(m, Waiting))
}

func patience(t *testing.T) context.Context {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	t.Cleanup(cancel)
	return ctx
}

func onDatabase(ctx context.Context, dsn string, do func(*pgx.Conn) error) error {
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		return err
	}
	return errors.Join(do(conn), conn.Close(ctx))
}

func exec1(t *testing.T, dsn, sql string) {
	t.Helper()
	ctx := patience(t)
	err := onDatabase(ctx, dsn, func(c *pgx.Conn) error { _, err := c.Exec(ctx, sql); return err })
	if err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
}

func query[T any](t *testing.T, dsn, sql string) (v T) {
	t.Helper()
	ctx := patience(t)
	err := onDatabase(ctx, dsn, func(c *pgx.Conn) error { return c.QueryRow(ctx, sql).Scan(&v) })
	if err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return v
}

var migrations int

func migrate(ctx context.Context, dsn string) error {
	migrations++
	return onDatabase(ctx, dsn, func(c *pgx.Conn) error {
		_, err := c.Exec(ctx, `CREATE TABLE board (id text PRIMARY KEY)`)
		return err
	})
}

func TestDSN(t *testing.T) {
	one, two := DSN(t, migrate), DSN(t, migrate)
	exec1(t, one, `INSERT INTO board VALUES ('tarn-mx12-main')`)
	if n := query[int](t, one, `SELECT count(*) FROM board`); n != 1 {
		t.Errorf("%d boards where one was put", n)
	}
	if n := query[int](t, two, `SELECT count(*) FROM board`); n != 0 {
		t.Errorf("%d boards in another test's database", n)
	}
	if migrations != 1 {
		t.Errorf("migrated %d times for two databases", migrations)
	}
	if n := query[int](t, one, `SELECT current_setting('server_version_num')::int`); n < cluster.Oldest*10000 {
		t.Errorf("server version %d", n)
	}
}

func TestDSNIsDropped(t *testing.T) {
	var name string
	t.Run("use", func(t *testing.T) {
		name = query[string](t, DSN(t, nil), `SELECT current_database()`)
	})
	here := DSN(t, nil)
	if query[bool](t, here, `SELECT EXISTS (SELECT FROM pg_database WHERE datname = '`+name+`')`) {
		t.Errorf("database %s outlives its test", name)
	}
}

func TestDSNInParallel(t *testing.T) {
	for i := range 4 {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			dsn := DSN(t, migrate)
			exec1(t, dsn, `INSERT INTO board VALUES ('tarn-mx12-main')`)
		})
	}
}

// A server that others use too is left as it was found, and is cleared of what a killed process left.
func TestExternal(t *testing.T) {
	admin := DSN(t, nil)
	ctx := patience(t)
	left := family(query[string](t, admin, `SELECT current_database()`)) + "0000abcd_1"
	exec1(t, admin, `CREATE DATABASE `+left)
	first, err := external(ctx, admin)
	if err != nil {
		t.Fatal(err)
	}
	name := first.next()
	if err := first.create(ctx, name, "template0"); err != nil {
		t.Fatal(err)
	}
	second, err := external(ctx, admin)
	if err != nil {
		t.Fatal(err)
	}
	there := func(name string) bool {
		return query[bool](t, admin, `SELECT EXISTS (SELECT FROM pg_database WHERE datname = '`+name+`')`)
	}
	if there(left) {
		t.Error("what a killed process left is still there")
	}
	if !there(name) {
		t.Fatal("a database of a process that lives was taken for one that was left")
	}
	if got := query[string](t, first.dsn(name), `SELECT current_database()`); got != name {
		t.Errorf("in database %s, want %s", got, name)
	}
	if err := errors.Join(first.drop(ctx, name), first.close(ctx), second.close(ctx)); err != nil {
		t.Fatal(err)
	}
}

func TestExternalUnreachable(t *testing.T) {
	dir := t.TempDir()
	_, err := external(patience(t), "postgres:///nowhere?host="+dir)
	if err == nil || errors.Is(err, errNone) || !strings.Contains(err.Error(), urlVariable) {
		t.Errorf("a server that is named and does not answer is a failure that names the variable: %v", err)
	}
}

func TestServerDSN(t *testing.T) {
	for _, c := range []struct{ admin, want string }{
		{"postgres://u:p@h:1/a?sslmode=disable", "postgres://u:p@h:1/db?sslmode=disable"},
		{"postgresql://h/a", "postgresql://h/db"},
		{"postgres://u@/a?host=%2Ftmp%2Fa%20b&port=1", "postgres://u@/db?host=%2Ftmp%2Fa%20b&port=1"},
		{"postgres://h/?dbname=a", "postgres://h/db"},
		{"host=/tmp user=u dbname=a", "host=/tmp user=u dbname=a dbname=db"},
	} {
		s := &server{admin: c.admin}
		got := s.dsn("db")
		if got != c.want {
			t.Errorf("%s: got %s, want %s", c.admin, got, c.want)
		}
		conf, err := pgx.ParseConfig(got)
		if err != nil || conf.Database != "db" {
			t.Errorf("%s: read back as %v, %v", got, conf, err)
		}
	}
}

// What a test process that is killed had started goes with it.
func TestKilledProcessLeavesNothing(t *testing.T) {
	if _, err := cluster.Find(context.Background()); err != nil {
		t.Skip(err)
	}
	cmd := exec.Command(os.Args[0])
	tmp := t.TempDir()
	if err := os.Chmod(filepath.Dir(tmp), 0o755); err != nil {
		t.Fatal(err)
	}
	cmd.Env = append(os.Environ(), childEnv+"=1", "TMPDIR="+tmp)
	in, err1 := cmd.StdinPipe()
	out, err2 := cmd.StdoutPipe()
	if err := errors.Join(err1, err2, cmd.Start()); err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil || strings.HasPrefix(line, "error:") {
		t.Fatalf("%q, %v", line, err)
	}
	dsn := strings.TrimSpace(line)
	if n := query[int](t, dsn, `SELECT 1`); n != 1 {
		t.Fatal("no answer")
	}
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = cmd.Wait() // it answers that the process was killed
	ctx := patience(t)
	for {
		left, err := os.ReadDir(tmp)
		if err != nil {
			t.Fatal(err)
		}
		if len(left) == 0 {
			break
		}
		select {
		case <-ctx.Done():
			t.Fatalf("left: %v", left)
		case <-time.After(50 * time.Millisecond):
		}
	}
	if conn, err := pgx.Connect(ctx, dsn); err == nil {
		_ = conn.Close(ctx)
		t.Error("the database outlives its process")
	}
}

func TestRequired(t *testing.T) {
	for _, c := range []struct {
		list string
		want bool
	}{{"", false}, {"browser", true}, {"postgres,browser", true}, {"postgres browser", true}, {"browsers", false}} {
		t.Setenv(requireVariable, c.list)
		if got := Required("browser"); got != c.want {
			t.Errorf("%q: got %v", c.list, got)
		}
	}
}

func TestEngineAnswers(t *testing.T) {
	ctx := context.Background()
	ping := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/_ping" {
			w.WriteHeader(http.StatusNotFound)
		}
	})
	tcp := httptest.NewServer(ping)
	defer tcp.Close()
	sock := filepath.Join(t.TempDir(), "s")
	l, err := net.Listen("unix", sock)
	if err != nil {
		t.Fatal(err)
	}
	unix := &httptest.Server{Listener: l, Config: &http.Server{Handler: ping}}
	unix.Start()
	defer unix.Close()
	other := httptest.NewServer(http.NotFoundHandler())
	defer other.Close()
	for host, want := range map[string]bool{
		strings.Replace(tcp.URL, "http", "tcp", 1): true,
		"unix://" + sock:                             true,
		"unix://" + sock + "x":                       false,
		strings.Replace(other.URL, "http", "tcp", 1): false,
		"::": false,
	} {
		if got := answers(ctx, host); got != want {
			t.Errorf("%s: got %v", host, got)
		}
	}
}

func TestEngines(t *testing.T) {
	home := t.TempDir()
	text := "# engines\ntc.host = tcp://a:1\ndocker.host=tcp://b:2\nryuk.disabled=true\n"
	if err := os.WriteFile(filepath.Join(home, ".testcontainers.properties"), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	t.Setenv("HOME", home)
	t.Setenv("DOCKER_HOST", "unix:///run/engine")
	if d := cmp.Diff([]string{"tcp://a:1", "tcp://b:2", "unix:///run/engine"}, engines()); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	t.Setenv("DOCKER_HOST", "")
	if all := strings.Join(engines(), " "); !strings.Contains(all, "unix:///var/run/docker.sock") {
		t.Errorf("the usual socket is not among %s", all)
	}
}
