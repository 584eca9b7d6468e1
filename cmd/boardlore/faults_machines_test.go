//go:build faults

package main

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

	"boardlore/store/cluster"
)

// program is something that is started, killed and started again.
type program struct {
	c    *campaign
	path string
	args []string
	cmd  *exec.Cmd
	said bytes.Buffer
	gone chan struct{}
}

func (p *program) start() {
	p.cmd = exec.Command(p.path, p.args...)
	p.cmd.Stdout, p.cmd.Stderr = &p.said, &p.said
	p.cmd.WaitDelay = 100 * time.Millisecond // its children hold the pipe
	p.cmd.Env = append(os.Environ(), "LC_ALL=C.UTF-8")
	p.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Credential: unprivileged(p.c.t)}
	if err := p.cmd.Start(); err != nil {
		p.c.t.Fatal(err)
	}
	gone := make(chan struct{})
	p.gone = gone
	go func(cmd *exec.Cmd) { _ = cmd.Wait(); close(gone) }(p.cmd)
}

func (p *program) kill() {
	_ = p.cmd.Process.Kill()
	<-p.gone
}

// unprivileged is the account that databases run under where this is root.
func unprivileged(t *testing.T) *syscall.Credential {
	if os.Geteuid() != 0 {
		return nil
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		t.Skip("there is no account postgres")
	}
	uid, _ := strconv.ParseUint(u.Uid, 10, 32)
	gid, _ := strconv.ParseUint(u.Gid, 10, 32)
	return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
}

// ownFolder makes a folder of the unprivileged account, with a short name, since
// sockets lie in it.
func ownFolder(t *testing.T) string { return ownFolderIn(t, "") }

func ownFolderIn(t *testing.T, in string) string {
	dir, err := os.MkdirTemp(in, "bf")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	if a := unprivileged(t); a != nil {
		if err := os.Chown(dir, int(a.Uid), int(a.Gid)); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// engine is a PostgreSQL of the test's own, behind a socket in its folder.
type engine struct {
	program
	dir string
}

func startEngine(c *campaign) *engine {
	found, err := cluster.Find(c.t.Context())
	if err != nil {
		c.t.Skip(err)
	}
	e := &engine{dir: ownFolder(c.t)}
	data := filepath.Join(e.dir, "data")
	e.c, e.path = c, filepath.Join(found.Dir, "postgres")
	e.args = []string{"-D", data, "-c", "listen_addresses=", "-c", "unix_socket_directories=" + e.dir, "-c",
		"log_min_messages=fatal"}
	make := &program{c: c, path: filepath.Join(found.Dir, "initdb"), args: []string{"-D", data, "-U", "boardlore", "-A",
		"trust", "-E", "UTF8", "--locale=C.UTF-8", "-N"}}
	make.start()
	<-make.gone
	e.start()
	c.t.Cleanup(e.kill)
	e.create()
	c.pgdata = func() string { return data }
	c.url = e.url
	c.database = []string{"--database-url", e.url()}
	return e
}

func (e *engine) socket() string { return filepath.Join(e.dir, ".s.PGSQL.5432") }
func (e *engine) url() string    { return asURL(e.dir) }

// start starts the engine, again and again where what is left of the one before
// still holds its memory.
func (e *engine) start() {
	for range 100 {
		e.program.start()
		select {
		case <-e.gone:
			time.Sleep(200 * time.Millisecond)
		case <-time.After(time.Second):
			return
		}
	}
	e.c.t.Fatalf("PostgreSQL does not start: %s", e.said.String())
}

// create makes the database boardlore once the engine answers.
func (e *engine) create() {
	for range 300 {
		conn, err := pgx.Connect(e.c.t.Context(), "host="+e.dir+" user=boardlore dbname=postgres")
		if err == nil {
			_, err = conn.Exec(e.c.t.Context(), `CREATE DATABASE boardlore`)
			_ = conn.Close(context.WithoutCancel(e.c.t.Context()))
		}
		if err == nil {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	e.c.t.Fatalf("PostgreSQL does not answer: %s", e.said.String())
}
