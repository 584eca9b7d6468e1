package storetest

import (
	"bytes"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/store/cluster"
)

// Pair is a PostgreSQL with a standby that follows it, both in one folder.
type Pair struct {
	dir, bin string
	cred     *syscall.Credential
	standby  *exec.Cmd
}

// NewPair starts both; where this machine has no PostgreSQL, tb is skipped.
func NewPair(tb testing.TB) *Pair {
	tb.Helper()
	found, err := cluster.Find(tb.Context())
	if err != nil {
		tb.Skip(err)
	}
	dir, err := os.MkdirTemp("", "bp") // short: sockets lie in it
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { _ = os.RemoveAll(dir) })
	p := &Pair{dir: dir, bin: found.Dir}
	if os.Geteuid() == 0 {
		u, err := user.Lookup("nobody")
		if err != nil {
			tb.Skip(err)
		}
		uid, _ := strconv.Atoi(u.Uid)
		gid, _ := strconv.Atoi(u.Gid)
		p.cred = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
		if err := os.Chown(dir, uid, gid); err != nil {
			tb.Fatal(err)
		}
	}
	p.run(tb, "initdb", "-D", filepath.Join(dir, "1"), "-U", "boardlore", "-A", "trust", "-E", "UTF8", "--locale=C",
		"-N", "--no-instructions")
	p.start(tb, "1", "5432")
	p.run(tb, "pg_basebackup", "-D", filepath.Join(dir, "2"), "-h", dir, "-p", "5432", "-U", "boardlore", "-R", "-c",
		"fast", "--no-sync")
	p.standby = p.start(tb, "2", "5433")
	return p
}

func (p *Pair) command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(filepath.Join(p.bin, name), args...)
	cmd.Dir = p.dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: p.cred, Setpgid: true}
	return cmd
}

func (p *Pair) run(tb testing.TB, name string, args ...string) {
	tb.Helper()
	if out, err := p.command(name, args...).CombinedOutput(); err != nil {
		tb.Fatalf("%s: %v: %s", name, err, out)
	}
}

// start starts one of the two and waits until it answers.
func (p *Pair) start(tb testing.TB, name, port string) *exec.Cmd {
	tb.Helper()
	cmd := p.command("postgres", "-D", filepath.Join(p.dir, name), "-p", port, "-k", p.dir, "-c", "listen_addresses=",
		"-c", "fsync=off")
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Start(); err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() {
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGCONT)
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
		_ = cmd.Wait()
	})
	for range 300 {
		if conn, err := pgx.Connect(tb.Context(), p.url(port)); err == nil {
			_ = conn.Close(tb.Context())
			return cmd
		}
		time.Sleep(100 * time.Millisecond)
	}
	tb.Fatalf("PostgreSQL does not answer: %s", said.String())
	return nil
}

func (p *Pair) url(port string) string {
	return "postgres://boardlore@/postgres?host=" + p.dir + "&port=" + port
}

// Primary and Replica are the connection strings of the two.
func (p *Pair) Primary() string { return p.url("5432") }
func (p *Pair) Replica() string { return p.url("5433") }

// Kill kills the standby.
func (p *Pair) Kill() { _ = p.standby.Process.Kill() }

// Signal sends all processes of the standby a signal.
func (p *Pair) Signal(s syscall.Signal) {
	for _, pid := range p.processes() {
		_ = syscall.Kill(pid, s)
	}
}

// processes are the standby's.
func (p *Pair) processes() []int {
	pids := []int{p.standby.Process.Pid}
	out, _ := exec.Command("pgrep", "-P", strconv.Itoa(p.standby.Process.Pid)).Output()
	for line := range bytes.Lines(out) {
		if pid, err := strconv.Atoi(string(bytes.TrimSpace(line))); err == nil {
			pids = append(pids, pid)
		}
	}
	return pids
}
