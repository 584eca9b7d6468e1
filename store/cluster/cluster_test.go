//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package cluster

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"
)

// childEnv has the test binary run one of the children below instead of the tests, on the data folder that it names.
const (
	childEnv = "CLUSTER_TEST_CHILD"
	dirEnv   = "CLUSTER_TEST_DIR"
)

var children = map[string]func(ctx context.Context, dir string) error{
	"own":  childOwn,
	"use":  childUse,
	"life": childLife,
}

// seed is a data folder with a whole cluster, which tests copy, since initdb takes a second. Empty without PostgreSQL.
var seed string

func TestMain(m *testing.M) {
	if child := children[os.Getenv(childEnv)]; child != nil {
		if err := child(context.Background(), os.Getenv(dirEnv)); err != nil {
			fmt.Println("error:", err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(testMain(m))
}

func testMain(m *testing.M) int {
	ctx := context.Background()
	if _, err := Find(ctx); err != nil {
		return m.Run()
	}
	dir, err := os.MkdirTemp("", "cluster-test-")
	if err != nil {
		fmt.Println(err)
		return 1
	}
	defer os.RemoveAll(dir)
	c, err := Own(ctx, filepath.Join(dir, "seed"), Options{NoFetch: true, Ephemeral: true})
	if err == nil {
		err = errors.Join(keepRow(ctx, c.URL(), "seed"), c.Close(ctx))
	}
	if err != nil {
		fmt.Println(err)
		return 1
	}
	seed = filepath.Join(dir, "seed")
	return m.Run()
}

// childOwn owns the cluster until it is killed.
func childOwn(ctx context.Context, dir string) error {
	c, err := Own(ctx, dir, Options{NoFetch: true})
	if err != nil {
		return err
	}
	fmt.Println(c.URL())
	_, _ = io.Copy(io.Discard, os.Stdin)
	return nil
}

// childUse uses the cluster until its input ends.
func childUse(ctx context.Context, dir string) error {
	c, err := Use(ctx, dir, Options{NoFetch: true})
	if err != nil {
		return err
	}
	fmt.Println(c.URL())
	_, _ = io.Copy(io.Discard, os.Stdin)
	return c.Close(ctx)
}

// childLife makes a cluster, writes, starts it again and reads.
func childLife(ctx context.Context, dir string) error {
	for i := range 2 {
		c, err := Own(ctx, dir, Options{NoFetch: true, Ephemeral: true})
		if err != nil {
			return err
		}
		if i == 0 {
			err = keepRow(ctx, c.URL(), "kept")
		} else {
			var rows []string
			if rows, err = keptRows(ctx, c.URL()); err == nil {
				fmt.Println(rows)
			}
		}
		if err := errors.Join(err, c.Close(ctx)); err != nil {
			return err
		}
	}
	return nil
}

func keepRow(ctx context.Context, u, word string) error {
	return onDatabase(ctx, u, func(conn *pgx.Conn) error {
		if _, err := conn.Exec(ctx, `CREATE TABLE IF NOT EXISTS kept (word text)`); err != nil {
			return err
		}
		_, err := conn.Exec(ctx, `INSERT INTO kept VALUES ($1)`, word)
		return err
	})
}

func keptRows(ctx context.Context, u string) (words []string, err error) {
	err = onDatabase(ctx, u, func(conn *pgx.Conn) error {
		rows, err := conn.Query(ctx, `SELECT word FROM kept ORDER BY word`)
		if err != nil {
			return err
		}
		words, err = pgx.CollectRows(rows, pgx.RowTo[string])
		return err
	})
	return words, err
}

func onDatabase(ctx context.Context, u string, do func(*pgx.Conn) error) error {
	conn, err := pgx.Connect(ctx, u)
	if err != nil {
		return err
	}
	return errors.Join(do(conn), conn.Close(ctx))
}

// patience bounds every wait of a test.
func patience(t *testing.T) context.Context {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	t.Cleanup(cancel)
	return ctx
}

func needPostgres(t *testing.T) {
	t.Helper()
	if seed == "" {
		if strings.Contains(os.Getenv("BOARDLORE_TEST_REQUIRE"), "postgres") {
			t.Fatal("no PostgreSQL here, and BOARDLORE_TEST_REQUIRE asks for it")
		}
		t.Skip("NO POSTGRESQL HERE: the private cluster is not tested")
	}
}

// folderWithCluster is a data folder with the seed's cluster in it. As root it lies where the database's account
// cannot walk to.
func folderWithCluster(t *testing.T) string {
	t.Helper()
	needPostgres(t)
	dir := filepath.Join(t.TempDir(), "data")
	if out, err := exec.Command("cp", "-a", seed, dir).CombinedOutput(); err != nil {
		t.Fatalf("copy the seed: %v: %s", err, out)
	}
	t.Cleanup(func() { endPostmaster(dir) })
	return dir
}

// endPostmaster ends what a test left running on purpose, or because it failed halfway.
func endPostmaster(dir string) {
	data := folder{dir}.data()
	if pm, err := readPostmaster(data); err != nil || !alive(pm.pid) || !serves(pm.pid, data) {
		return
	}
	if c, err := Own(context.Background(), dir, Options{NoFetch: true}); err == nil {
		_ = c.Close(context.Background())
	}
}

// openFolder is an empty folder that every account can get into.
func openFolder(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "cluster test ")
	if err == nil {
		err = os.Chmod(dir, 0o755)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

func own(t *testing.T, dir string, opt Options) *Cluster {
	t.Helper()
	opt.NoFetch = true
	c, err := Own(patience(t), dir, opt)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close(context.Background()) })
	return c
}

func wantRows(t *testing.T, c *Cluster, want ...string) {
	t.Helper()
	got, err := keptRows(patience(t), c.URL())
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("rows (-want +got):\n%s", d)
	}
}

func show(t *testing.T, c *Cluster, query string) (value string) {
	t.Helper()
	ctx := patience(t)
	err := onDatabase(ctx, c.URL(), func(conn *pgx.Conn) error { return conn.QueryRow(ctx, query).Scan(&value) })
	if err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return value
}

// start runs a child and answers it with the line that it says first.
func start(t *testing.T, name, dir string) (*exec.Cmd, string, io.Closer) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childEnv+"="+name, dirEnv+"="+dir)
	in, err1 := cmd.StdinPipe()
	out, err2 := cmd.StdoutPipe()
	if err := errors.Join(err1, err2, cmd.Start()); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil || strings.HasPrefix(line, "error:") {
		t.Fatalf("child %s: %q, %v", name, line, err)
	}
	return cmd, strings.TrimSpace(line), in
}

func kill(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = cmd.Wait() // it answers that the child was killed
}

func postmasterOf(t *testing.T, dir string) int {
	t.Helper()
	pm, err := readPostmaster(folder{dir}.data())
	if err != nil {
		t.Fatal(err)
	}
	return pm.pid
}

func TestStartStopStart(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := filepath.Join(t.TempDir(), "new", "data")
	var told []string
	var mu sync.Mutex
	c := own(t, dir, Options{Progress: func(s string) { mu.Lock(); told = append(told, s); mu.Unlock() }})
	if !c.Owner() || c.Err() != nil {
		t.Errorf("owner %v, error %v", c.Owner(), c.Err())
	}
	for query, want := range map[string]string{
		"SHOW listen_addresses":     "",
		"SHOW fsync":                "on",
		"SHOW full_page_writes":     "on",
		"SHOW synchronous_commit":   "on",
		"SHOW data_checksums":       "on",
		"SHOW server_encoding":      "UTF8",
		"SHOW timezone":             "UTC",
		"SELECT current_database()": "boardlore",
		"SELECT current_user":       "boardlore",
		"SELECT ('Z' < 'a')::text":  "true", // text sorts by bytes
	} {
		if got := show(t, c, query); got != want {
			t.Errorf("%s: got %q, want %q", query, got, want)
		}
	}
	if err := keepRow(patience(t), c.URL(), "one"); err != nil {
		t.Fatal(err)
	}
	pid := postmasterOf(t, dir)
	if group, err := syscall.Getpgid(pid); err != nil || group != pid {
		t.Errorf("process group %d, %v: Ctrl-C in a terminal would reach the database", group, err)
	}
	if err := c.Close(patience(t)); err != nil {
		t.Fatal(err)
	}
	<-c.Done()
	if alive(pid) {
		t.Error("the postmaster outlives Close")
	}
	if len(told) == 0 || !strings.Contains(told[0], "new database") {
		t.Errorf("told %q", told)
	}
	c = own(t, dir, Options{})
	wantRows(t, c, "one")
	if logs := glob(filepath.Join(dir, "log", "postgres-*.log")); len(logs) != 1 {
		t.Errorf("logs %q", logs)
	}
}

func TestKilledOwner(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	child, u, _ := start(t, "own", dir)
	if err := keepRow(patience(t), u, "written"); err != nil {
		t.Fatal(err)
	}
	before := postmasterOf(t, dir)
	kill(t, child)
	c := own(t, dir, Options{})
	wantRows(t, c, "seed", "written")
	if after := postmasterOf(t, dir); after != before {
		t.Errorf("postmaster %d was not adopted: now %d", before, after)
	}
	if err := c.Close(patience(t)); err != nil {
		t.Fatal(err)
	}
	if alive(before) {
		t.Error("an adopted postmaster outlives Close")
	}
}

// An adopted postmaster is watched like one's own.
func TestKilledOwnerThenDatabase(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	child, _, _ := start(t, "own", dir)
	kill(t, child)
	c := own(t, dir, Options{})
	killDatabase(t, c, dir)
	wantRows(t, c, "seed")
}

func TestKilledBoth(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	child, u, _ := start(t, "own", dir)
	if err := keepRow(patience(t), u, "written"); err != nil {
		t.Fatal(err)
	}
	pid := postmasterOf(t, dir)
	kill(t, child)
	if err := syscall.Kill(pid, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	wantRows(t, own(t, dir, Options{}), "seed", "written")
}

func TestKilledDatabase(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	c := own(t, dir, Options{})
	for _, word := range []string{"t1", "t2"} {
		if err := keepRow(patience(t), c.URL(), word); err != nil {
			t.Fatal(err)
		}
		killDatabase(t, c, dir)
	}
	wantRows(t, c, "seed", "t1", "t2")
	select {
	case <-c.Done():
		t.Errorf("given up: %v", c.Err())
	default:
	}
}

// killDatabase kills the postmaster and waits until another answers.
func killDatabase(t *testing.T, c *Cluster, dir string) {
	t.Helper()
	before := postmasterOf(t, dir)
	if err := syscall.Kill(before, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	ctx := patience(t)
	for {
		pm, err := readPostmaster(folder{dir}.data())
		if err == nil && pm.pid != before && ping(ctx, c.URL()) == nil {
			return
		}
		if err := pause(ctx, pollEvery); err != nil {
			t.Fatal("the database was not started again")
		}
	}
}

func TestGivesUpOnADatabaseThatCannotStart(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	c := own(t, dir, Options{tries: 2})
	pid := postmasterOf(t, dir)
	conf := filepath.Join(folder{dir}.data(), "postgresql.conf")
	if err := os.WriteFile(conf, []byte("no_such_setting = 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Kill(pid, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	select {
	case <-c.Done():
	case <-patience(t).Done():
		t.Fatal("still trying")
	}
	if err := c.Err(); err == nil || !strings.Contains(err.Error(), "no_such_setting") {
		t.Errorf("the reason is not named: %v", err)
	}
	if err := c.Close(patience(t)); err != nil {
		t.Errorf("close: %v", err)
	}
	if socket := c.current().socket; !strings.HasPrefix(socket, dir) {
		_ = os.RemoveAll(socket) // what a killed postmaster left keeps Close from removing it
	}
}

func TestSecondOwner(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	child, _, _ := start(t, "own", dir)
	_, err := Own(patience(t), dir, Options{NoFetch: true})
	var owned *OwnedError
	if !errors.As(err, &owned) || owned.PID != child.Process.Pid || owned.Passing {
		t.Fatalf("got %v, want that process %d owns it", err, child.Process.Pid)
	}
	if !strings.Contains(err.Error(), strconv.Itoa(child.Process.Pid)) {
		t.Errorf("the message does not name the process: %v", err)
	}
}

func TestUseBesideOwner(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	_, u, _ := start(t, "own", dir)
	c, err := Use(patience(t), dir, Options{NoFetch: true})
	if err != nil {
		t.Fatal(err)
	}
	if c.Owner() || c.URL() != u {
		t.Errorf("owner %v, address %s, want that of the owner, %s", c.Owner(), c.URL(), u)
	}
	wantRows(t, c, "seed")
	if err := errors.Join(c.Close(patience(t)), c.Close(patience(t))); err != nil {
		t.Fatal(err)
	}
	if err := ping(patience(t), u); err != nil {
		t.Errorf("the owner's cluster does not outlive a user: %v", err)
	}
}

func TestUseAlone(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	c, err := Use(patience(t), dir, Options{NoFetch: true})
	if err != nil {
		t.Fatal(err)
	}
	wantRows(t, c, "seed")
	pid := postmasterOf(t, dir)
	if err := c.Close(patience(t)); err != nil {
		t.Fatal(err)
	}
	if alive(pid) {
		t.Error("a cluster owned for the time being outlives its owner")
	}
}

// The first of two commands at once owns the cluster, and does not stop it under the second.
func TestTwoUses(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	first, err := Use(patience(t), dir, Options{NoFetch: true})
	if err != nil {
		t.Fatal(err)
	}
	second, _, input := start(t, "use", dir)
	closed := make(chan error, 1)
	go func() { closed <- first.Close(context.Background()) }()
	wantRows(t, first, "seed")
	select {
	case err := <-closed:
		t.Fatalf("the first left while the second was at it: %v", err)
	default:
	}
	if err := errors.Join(input.Close(), second.Wait()); err != nil {
		t.Fatal(err)
	}
	if err := <-closed; err != nil {
		t.Fatal(err)
	}
}

// A server that starts while a command owns the folder for a moment waits for it.
func TestOwnAfterPassing(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	command, _, input := start(t, "use", dir)
	_, err := folder{dir}.tryOwn(false)
	var owned *OwnedError
	if !errors.As(err, &owned) || !owned.Passing || owned.PID != command.Process.Pid {
		t.Fatalf("got %v, want that command %d owns it", err, command.Process.Pid)
	}
	go func() { _ = input.Close() }()
	wantRows(t, own(t, dir, Options{}), "seed")
}

func TestRefusedAndUntouched(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name  string
		files map[string]string
		want  error
		says  string
	}{
		{"other files", map[string]string{"thesis.tex": "years of work"}, ErrForeign, "thesis.tex"},
		{"hidden file", map[string]string{".profile": "x"}, ErrForeign, ".profile"},
		{"another program's cluster", map[string]string{"PG_VERSION": "15\n", "base/1/PG_VERSION": "15\n"}, ErrForeign,
			"empty folder"},
		{"no cluster in its place", map[string]string{"postgres/notes.txt": "x"}, ErrForeign, "no PostgreSQL cluster"},
		{"half a cluster", map[string]string{"postgres/PG_VERSION": "15\n"}, ErrForeign, "not whole"},
		{"nonsense version", map[string]string{"postgres/PG_VERSION": "new\n", "postgres/global/pg_control": "x"},
			ErrForeign, `"new"`},
		{"old version", map[string]string{"postgres/PG_VERSION": "9.6\n", "postgres/global/pg_control": "x"},
			ErrVersion, "9.6"},
		{"future version", map[string]string{"postgres/PG_VERSION": "97\n", "postgres/global/pg_control": "x"},
			ErrVersion, "97"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			for name, text := range c.files {
				path := filepath.Join(dir, name)
				if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, []byte(text),
					0o600)); err != nil {
					t.Fatal(err)
				}
			}
			if os.Geteuid() == 0 {
				giveAway(t, dir)
			}
			for name, open := range map[string]func(context.Context, string, Options) (*Cluster, error){"Own": Own,
				"Use": Use} {
				before := listing(t, dir)
				_, err := open(patience(t), dir, Options{NoFetch: true})
				if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.says) {
					t.Errorf("%s: got %v, want %v with %q", name, err, c.want, c.says)
				}
				if d := cmp.Diff(before, listing(t, dir)); d != "" {
					t.Errorf("%s changed what it refused (-before +after):\n%s", name, d)
				}
			}
		})
	}
}

// giveAway gives what stands for a data directory to an account that PostgreSQL would run under.
func giveAway(t *testing.T, dir string) {
	t.Helper()
	a, err := unprivileged()
	if err != nil {
		t.Skip(err)
	}
	err = filepath.WalkDir(folder{dir}.data(), func(path string, _ fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		return errors.Join(err, os.Chown(path, int(a.uid), int(a.gid)))
	})
	if err != nil {
		t.Fatal(err)
	}
}

// listing describes all that lies in dir but the locks, which every attempt may leave.
func listing(t *testing.T, dir string) []string {
	t.Helper()
	var all []string
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || path == dir || strings.HasSuffix(path, ".lock") {
			return err
		}
		info, err := e.Info()
		if err != nil {
			return err
		}
		text := ""
		if info.Mode().IsRegular() {
			b, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			text = string(b)
		}
		all = append(all, fmt.Sprintf("%s %s %q", path, info.Mode(), text))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(all)
	return all
}

func TestUnfinishedCluster(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := t.TempDir()
	half := filepath.Join(dir, initPrefix+"123")
	if err := errors.Join(os.Mkdir(half, 0o700), os.WriteFile(filepath.Join(half, "PG_VERSION"), []byte("15\n"),
		0o600)); err != nil {
		t.Fatal(err)
	}
	c := own(t, dir, Options{Ephemeral: true})
	if got := show(t, c, "SHOW fsync"); got != "off" {
		t.Errorf("fsync %s in an ephemeral cluster", got)
	}
	if left := glob(filepath.Join(dir, initPrefix+"*")); left != nil {
		t.Errorf("left: %q", left)
	}
}

// A start that is given up, and one that is killed, leave nothing that the next start stumbles over.
func TestInterruptedInit(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	opt := Options{NoFetch: true, Ephemeral: true, Progress: func(string) { cancel() }}
	if _, err := Own(ctx, dir, opt); !errors.Is(err, context.Canceled) {
		t.Fatalf("got %v, want that it was cancelled", err)
	}
	if left := listing(t, dir); slices.ContainsFunc(left,
		func(s string) bool { return strings.Contains(s, "PG_VERSION") }) {
		t.Errorf("left: %q", left)
	}
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childEnv+"=own", dirEnv+"="+dir)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	wait := patience(t)
	for glob(filepath.Join(dir, initPrefix+"*", "base")) == nil {
		if err := pause(wait, pollEvery/10); err != nil {
			t.Fatal("no initdb at work")
		}
	}
	kill(t, cmd)
	c := own(t, dir, Options{Ephemeral: true})
	if got := show(t, c, "SELECT current_database()"); got != "boardlore" {
		t.Errorf("database %q", got)
	}
}

// A stale postmaster.pid whose number some other process of the account has now is no reason not to start.
func TestStaleNumber(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	a, err := chooseAccount(folder{dir}.data())
	if err != nil {
		t.Fatal(err)
	}
	other := exec.Command("cat")
	other.SysProcAttr = a.process()
	in, err := other.StdinPipe()
	if err := errors.Join(err, other.Start()); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = in.Close(); _ = other.Wait() })
	pid := pidFile(folder{dir}.data())
	text := fmt.Sprintf("%d\n%s\n1700000000\n5432\n/nowhere\n\n  1  1\nready   \n", other.Process.Pid,
		folder{dir}.data())
	if err := os.WriteFile(pid, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	if a.drop {
		if err := os.Chown(pid, int(a.uid), int(a.gid)); err != nil {
			t.Fatal(err)
		}
	}
	wantRows(t, own(t, dir, Options{}), "seed")
}

func TestPaths(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	for name, rel := range map[string]string{
		"spaces": "my boards/at home",
		"odd":    `50%, 'quoted' "twice"`,
		"long":   strings.Repeat("0123456789/", 20) + strings.Repeat("x", 150),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := filepath.Join(openFolder(t), rel)
			if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
				t.Fatal(err)
			}
			if out, err := exec.Command("cp", "-a", seed, dir).CombinedOutput(); err != nil {
				t.Fatalf("copy the seed: %v: %s", err, out)
			}
			c := own(t, dir, Options{})
			wantRows(t, c, "seed")
			u, err := url.Parse(c.URL())
			if err != nil {
				t.Fatal(err)
			}
			socket := u.Query().Get("host")
			if info, err := os.Stat(socket); err != nil || info.Mode().Perm() != 0o700 {
				t.Errorf("socket folder %s: %v, %v", socket, info, err)
			}
			user, err := Use(patience(t), dir, Options{NoFetch: true})
			if err != nil {
				t.Fatal(err)
			}
			wantRows(t, user, "seed")
			if err := errors.Join(user.Close(patience(t)), c.Close(patience(t))); err != nil {
				t.Fatal(err)
			}
			if !strings.HasPrefix(socket, dir) {
				_ = os.Remove(socket)
			}
		})
	}
}

// Where the tests run as root, the whole is run once more as the account that has no rights.
func TestUnprivileged(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	if os.Geteuid() != 0 {
		t.Skip("these tests run without rights already")
	}
	a, err := unprivileged()
	if err != nil {
		t.Skip(err)
	}
	dir := openFolder(t)
	binary := filepath.Join(dir, "child")
	if out, err := exec.Command("cp", os.Args[0], binary).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	data := filepath.Join(dir, "data")
	if err := errors.Join(os.Mkdir(data, 0o700), os.Chown(data, int(a.uid), int(a.gid)),
		os.Chmod(binary, 0o755)); err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(patience(t), binary)
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), childEnv + "=life", dirEnv + "=" + data}
	cmd.Dir, cmd.SysProcAttr = "/", a.process()
	out, err := cmd.CombinedOutput()
	if err != nil || string(out) != "[kept]\n" {
		t.Fatalf("%v: %s", err, out)
	}
	// Root takes over the same folder, and leaves the database to the account that it belongs to.
	wantRows(t, own(t, data, Options{}), "kept")
}

// A command without rights is told whose cluster it is that it cannot use.
func TestAnotherAccount(t *testing.T) {
	t.Parallel()
	dir := folderWithCluster(t)
	a, err := unprivileged()
	if os.Geteuid() != 0 || err != nil {
		t.Skip("only root can try what another account may do")
	}
	open := openFolder(t)
	binary := filepath.Join(open, "child")
	if out, err := exec.Command("cp", os.Args[0], binary).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	data := filepath.Join(open, "data")
	if err := errors.Join(os.Rename(dir, data), os.Chmod(binary, 0o755)); err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(patience(t), binary)
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), childEnv + "=use", dirEnv + "=" + data}
	cmd.Dir = "/"
	cmd.SysProcAttr = account{uid: a.uid + 1, gid: a.gid + 1, drop: true}.process()
	out, err := cmd.CombinedOutput()
	if err == nil || !strings.Contains(string(out), "belongs to account "+a.name) {
		t.Errorf("got %v, %s", err, out)
	}
}
