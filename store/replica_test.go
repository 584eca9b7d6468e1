package store_test

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/cluster"
)

// pair is a PostgreSQL with a standby that follows it, both in one folder.
type pair struct {
	dir, bin string
	cred     *syscall.Credential
	standby  *exec.Cmd
}

func newPair(t *testing.T) *pair {
	t.Helper()
	found, err := cluster.Find(t.Context())
	if err != nil {
		t.Skip(err)
	}
	dir, err := os.MkdirTemp("", "bp") // short: sockets lie in it
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	p := &pair{dir: dir, bin: found.Dir}
	if os.Geteuid() == 0 {
		u, err := user.Lookup("nobody")
		if err != nil {
			t.Skip(err)
		}
		uid, _ := strconv.Atoi(u.Uid)
		gid, _ := strconv.Atoi(u.Gid)
		p.cred = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
		if err := os.Chown(dir, uid, gid); err != nil {
			t.Fatal(err)
		}
	}
	p.run(t, "initdb", "-D", filepath.Join(dir, "1"), "-U", "boardlore", "-A", "trust", "-E", "UTF8", "--locale=C", "-N", "--no-instructions")
	p.start(t, "1", "5432")
	p.run(t, "pg_basebackup", "-D", filepath.Join(dir, "2"), "-h", dir, "-p", "5432", "-U", "boardlore", "-R", "-c", "fast", "--no-sync")
	p.standby = p.start(t, "2", "5433")
	return p
}

func (p *pair) command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(filepath.Join(p.bin, name), args...)
	cmd.Dir = p.dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: p.cred, Setpgid: true}
	return cmd
}

func (p *pair) run(t *testing.T, name string, args ...string) {
	t.Helper()
	if out, err := p.command(name, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v: %s", name, err, out)
	}
}

// start starts one of the two and waits until it answers.
func (p *pair) start(t *testing.T, name, port string) *exec.Cmd {
	t.Helper()
	cmd := p.command("postgres", "-D", filepath.Join(p.dir, name), "-p", port, "-k", p.dir, "-c", "listen_addresses=", "-c", "fsync=off")
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGCONT)
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
		_ = cmd.Wait()
	})
	for range 300 {
		if conn, err := pgx.Connect(t.Context(), p.url(port)); err == nil {
			_ = conn.Close(t.Context())
			return cmd
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatalf("PostgreSQL does not answer: %s", said.String())
	return nil
}

func (p *pair) url(port string) string {
	return "postgres://boardlore@/postgres?host=" + p.dir + "&port=" + port
}

// TestReplica: lists come from a replica while it follows closely, with their
// age; whoever writes reads what they wrote; a replica that is behind, stuck or
// dead costs its readers no answer.
func TestReplica(t *testing.T) {
	t.Parallel()
	p := newPair(t)
	primary, replica := p.url("5432"), p.url("5433")
	if err := store.Migrate(t.Context(), primary, nil); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(t.Context(), primary, store.Options{Replica: replica})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	ann := account(t, s, "ann", "contributor")
	kits := func(ctx context.Context) (n int, age, took time.Duration) {
		t.Helper()
		ctx, aged := store.Aging(ctx)
		began := time.Now()
		list, err := s.Kits(ctx, store.KitFilter{})
		if err != nil {
			t.Error(err)
		}
		return len(list.Items), aged.Age(), time.Since(began)
	}
	await := func(state string) {
		t.Helper()
		for range 400 {
			if s.Stats().Replica == state {
				return
			}
			time.Sleep(50 * time.Millisecond)
		}
		t.Fatalf("the replica is %q, want %q", s.Stats().Replica, state)
	}

	await("follows")
	answered(t, replica, `SELECT pg_wal_replay_pause()`)
	if _, _, err := s.PutKit(t.Context(), ann, store.KitPut{Kit: "full-set", Document: []byte(kitText)}); err != nil {
		t.Fatal(err)
	}
	if n, age, _ := kits(t.Context()); n != 0 || age <= 0 || age > 15*time.Second {
		t.Errorf("a replica that stands still: %d kits, at most %s old", n, age)
	}
	if n, age, _ := kits(store.Fresh(t.Context())); n != 1 || age != 0 {
		t.Errorf("who wrote reads %d kits, %s old", n, age)
	}

	await("away") // more than ten seconds behind
	if n, age, _ := kits(t.Context()); n != 1 || age != 0 {
		t.Errorf("past the bound: %d kits, %s old", n, age)
	}
	answered(t, replica, `SELECT pg_wal_replay_resume()`)

	await("follows")
	freeze := func(sig syscall.Signal) {
		for _, pid := range p.processes() {
			_ = syscall.Kill(pid, sig)
		}
	}
	freeze(syscall.SIGSTOP)
	if n, age, took := kits(t.Context()); n != 1 || age != 0 || took > 4*time.Second {
		t.Errorf("stuck: %d kits, %s old, after %s", n, age, took)
	}
	if n, _, took := kits(t.Context()); n != 1 || took > time.Second {
		t.Errorf("known to be stuck: %d kits after %s", n, took)
	}
	freeze(syscall.SIGCONT)

	await("follows")
	_ = p.standby.Process.Kill()
	// Its processes end a moment after their parent: until then they answer, and bear the age.
	if n, age, took := kits(t.Context()); n != 1 || took > 4*time.Second {
		t.Errorf("dead: %d kits, %s old, after %s", n, age, took)
	}
	if err := s.Ready(t.Context()); err != nil {
		t.Errorf("a server is ready without its replica: %v", err)
	}
	await("away")
}

// processes are the standby's.
func (p *pair) processes() []int {
	pids := []int{p.standby.Process.Pid}
	out, _ := exec.Command("pgrep", "-P", strconv.Itoa(p.standby.Process.Pid)).Output()
	for line := range bytes.Lines(out) {
		if pid, err := strconv.Atoi(string(bytes.TrimSpace(line))); err == nil {
			pids = append(pids, pid)
		}
	}
	return pids
}

// TestUnconfirmed: a commit whose wait for the standby was called off is told as
// done only once a standby has it.
func TestUnconfirmed(t *testing.T) {
	t.Parallel()
	p := newPair(t)
	primary := p.url("5432")
	if err := store.Migrate(t.Context(), primary, nil); err != nil {
		t.Fatal(err)
	}
	s := openStore(t, primary)
	demand := func(names string) {
		t.Helper()
		raw(t, primary, `ALTER SYSTEM SET synchronous_standby_names = '`+names+`'`)
		answered(t, primary, `SELECT pg_reload_conf()`)
		awaited(t, "the setting", func() bool {
			return answered(t, primary, `SELECT current_setting('synchronous_standby_names')`) == names
		})
	}
	for name, there := range map[string]bool{"wren": true, "lark": false} {
		demand("nobody")
		told := make(chan error, 1)
		go func() {
			_, err := s.AddAccount(context.Background(), name, review.Contributor)
			told <- err
		}()
		awaited(t, "a commit that waits", func() bool {
			return answered(t, primary, `SELECT count(pg_cancel_backend(pid)) FROM pg_stat_activity
				WHERE wait_event = 'SyncRep' AND query ILIKE 'commit'`) != "0"
		})
		if there {
			demand("")
		}
		if err := <-told; there != (err == nil) {
			t.Errorf("with a standby %v, told as %v", there, err)
		} else if !there {
			refused(t, err, fault.Unavailable, "outcome-unknown")
		}
	}
}
