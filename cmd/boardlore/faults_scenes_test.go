//go:build faults

package main

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"time"

	"boardlore/store/cluster"
	"boardlore/store/storetest"
)

// privateScene is a server with its own database.
func privateScene() *scene {
	return &scene{name: "private", share: 45,
		set: func(c *campaign) { c.private(filepath.Join(c.t.TempDir(), "data")) }, kinds: []kind{
			{"server killed", 30, func(c *campaign) { c.restart(syscall.SIGKILL) }},
			{"server stopped", 5, func(c *campaign) { c.restart(syscall.SIGTERM) }},
			{"postmaster killed", 15, func(c *campaign) { kill(c.postmaster(), syscall.SIGKILL) }},
			{"backend killed", 20,
				func(c *campaign) { kill(c.backend(), syscall.SIGKILL) }}, // PostgreSQL restarts all of its backends
			{"backend ended", 15, func(c *campaign) { kill(c.backend(), syscall.SIGTERM) }},
			{"backend frozen", 10, freezeBackend},
			{"both killed", 5, func(c *campaign) { kill(c.postmaster(), syscall.SIGKILL); c.restart(syscall.SIGKILL) }},
		}}
}

// private has one server on a folder.
func (c *campaign) private(dir string) {
	c.database = []string{"--data", dir}
	c.serve("--data", dir)
	c.pgdata = func() string { return filepath.Join(dir, "postgres") }
	c.url = func() string {
		c.servers[0].stop(syscall.SIGTERM)
		own, err := cluster.Own(c.t.Context(), dir, cluster.Options{NoFetch: true})
		if err != nil {
			c.t.Fatal(err)
		}
		c.t.Cleanup(func() { _ = own.Close(context.WithoutCancel(c.t.Context())) })
		return own.URL()
	}
}

func (c *campaign) restart(s syscall.Signal) {
	v := c.anyServer()
	v.stop(s)
	v.start()
}

func freezeBackend(c *campaign) {
	pid := c.backend()
	kill(pid, syscall.SIGSTOP)
	time.Sleep(time.Duration(c.rng.IntN(3000)) * time.Millisecond)
	kill(pid, syscall.SIGCONT)
}

// postmaster is the number of the database's first process, 0 where there is none.
func (c *campaign) postmaster() int {
	text, err := os.ReadFile(filepath.Join(c.pgdata(), "postmaster.pid"))
	if err != nil {
		return 0
	}
	first, _, _ := strings.Cut(string(text), "\n")
	pid, _ := strconv.Atoi(first)
	return pid
}

var backend = regexp.MustCompile(`: boardlore boardlore `)

// backend is one of the processes that serve connections.
func (c *campaign) backend() int {
	out, _ := exec.Command("ps", "--ppid", strconv.Itoa(c.postmaster()), "-o", "pid=,args=").Output()
	var pids []int
	for line := range strings.Lines(string(out)) {
		if f := strings.Fields(line); backend.MatchString(line) {
			pid, _ := strconv.Atoi(f[0])
			pids = append(pids, pid)
		}
	}
	if len(pids) == 0 {
		return 0
	}
	return pids[c.rng.IntN(len(pids))]
}

func kill(pid int, s syscall.Signal) {
	if pid > 1 {
		_ = syscall.Kill(pid, s)
	}
}

// lineScene is two servers on one database, each over a line that is cut and frozen.
func lineScene() *scene {
	var pg *engine
	var lines []*storetest.Line
	one := func(c *campaign) *storetest.Line { return lines[c.rng.IntN(len(lines))] }
	return &scene{name: "two servers, lines cut", share: 23, set: func(c *campaign) {
		pg = startEngine(c)
		for range 2 {
			l := storetest.NewLine(c.t, pg.socket())
			lines = append(lines, l)
			c.serve("--database-url", throughTCP(l.Address()))
		}
	}, kinds: []kind{
		{"line cut", 15, func(c *campaign) { one(c).Cut() }},
		{"line cut before a commit", 15, func(c *campaign) { cutAtCommit(one(c), storetest.Before) }},
		{"line cut after a commit", 15, func(c *campaign) { cutAtCommit(one(c), storetest.After) }},
		{"line frozen", 12, func(c *campaign) { c.freeze(one(c), 4000) }},
		{"line frozen, then cut", 8, func(c *campaign) {
			l := one(c)
			c.freeze(l, 3000)
			l.Cut()
		}},
		{"server killed", 15, func(c *campaign) { c.restart(syscall.SIGKILL) }},
		{"backend killed", 10, func(c *campaign) { kill(c.backend(), syscall.SIGKILL) }},
		{"backend ended", 5, func(c *campaign) { kill(c.backend(), syscall.SIGTERM) }},
		{"database killed", 5, func(c *campaign) { pg.kill(); pg.start() }},
	}}
}

// cutAtCommit cuts a line at a commit, and gives somebody the time for one.
func cutAtCommit(l *storetest.Line, where string) {
	l.CutAtCommit(where)
	time.Sleep(300 * time.Millisecond)
}

// freeze lets nothing through a line for up to so many milliseconds.
func (c *campaign) freeze(l *storetest.Line, most int) {
	l.Freeze()
	time.Sleep(time.Duration(c.rng.IntN(most)) * time.Millisecond)
	l.Thaw()
}

func throughTCP(address string) string {
	return "postgres://boardlore@" + address + "/boardlore?sslmode=disable"
}

// poolerScene is two servers whose connections a pooler lends by transaction.
func poolerScene() *scene {
	var pg *engine
	var pool *program
	var l *storetest.Line
	return &scene{name: "transaction pooler", share: 12, set: func(c *campaign) {
		pg = startEngine(c)
		var at string
		pool, at = startPooler(c, pg)
		l = storetest.NewLine(c.t, "tcp:"+at)
		for range 2 {
			c.serve("--database-url", pg.url(), "--pooler-url", throughTCP(l.Address()))
		}
	}, kinds: []kind{
		{"pooler killed", 30, func(*campaign) { pool.kill(); pool.start() }},
		{"line to the pooler cut at a commit", 15, func(c *campaign) { cutAtCommit(l, storetest.After) }},
		{"line to the pooler cut", 15, func(*campaign) { l.Cut() }},
		{"server killed", 15, func(c *campaign) { c.restart(syscall.SIGKILL) }},
		{"backend killed", 15, func(c *campaign) { kill(c.backend(), syscall.SIGKILL) }},
		{"database killed", 10, func(*campaign) { pg.kill(); pg.start() }},
	}}
}

func startPooler(c *campaign, pg *engine) (*program, string) {
	path, err := exec.LookPath("pgbouncer")
	if err != nil {
		c.t.Skip("pgbouncer is not installed")
	}
	address := freeAddress(c.t)
	_, port, _ := strings.Cut(address, ":")
	file := filepath.Join(pg.dir, "pooler.ini")
	text := fmt.Sprintf("[databases]\nboardlore = host=%s dbname=boardlore "+
		"user=boardlore\n[pgbouncer]\nlisten_addr = 127.0.0.1\nlisten_port = %s\n"+
		"unix_socket_dir =\nauth_type = any\npool_mode = transaction\ndefault_pool_size = 8\nmax_client_conn = "+
		"200\nserver_login_retry = 1\n", pg.dir, port)
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		c.t.Fatal(err)
	}
	p := &program{c: c, path: path, args: []string{file}}
	p.start()
	c.t.Cleanup(p.kill)
	return p, address
}

// diskScene is a server on a small disk, which is filled up.
func diskScene() *scene {
	var dir string
	full := func(c *campaign, meanwhile func()) {
		filler := filepath.Join(dir, "filler")
		fill(c, filler)
		time.Sleep(time.Duration(300+c.rng.IntN(2000)) * time.Millisecond)
		meanwhile()
		if err := os.Remove(filler); err != nil {
			c.t.Error(err)
		}
	}
	return &scene{name: "disk full", share: 8, set: func(c *campaign) {
		dir = smallDisk(c, "1200m")
		c.private(filepath.Join(dir, "data"))
	}, kinds: []kind{
		{"disk full", 50, func(c *campaign) { full(c, func() {}) }},
		{"disk full, server killed", 20, func(c *campaign) { full(c, func() { c.restart(syscall.SIGKILL) }) }},
		{"disk full, postmaster killed", 15,
			func(c *campaign) { full(c, func() { kill(c.postmaster(), syscall.SIGKILL) }) }},
		{"disk full, backend killed", 15, func(c *campaign) { full(c, func() { kill(c.backend(), syscall.SIGKILL) }) }},
	}}
}

// smallDisk mounts a disk in memory.
func smallDisk(c *campaign, size string) string {
	dir, err := os.MkdirTemp("", "boardlore-disk")
	if err != nil {
		c.t.Fatal(err)
	}
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "mode=0755,size="+size, "tmpfs",
		dir).CombinedOutput(); err != nil {
		_ = os.Remove(dir)
		c.t.Skipf("no small disk: %v: %s", err, out)
	}
	c.t.Cleanup(func() {
		_ = exec.Command("umount", "-l", dir).Run()
		_ = os.Remove(dir)
	})
	return dir
}

// fill takes what is left of a disk, to the last page.
func fill(c *campaign, path string) {
	f, err := os.Create(path)
	if err != nil {
		c.t.Error(err)
		return
	}
	defer f.Close()
	size := int64(0)
	for step := int64(64 << 20); step >= 4<<10; {
		if err := syscall.Fallocate(int(f.Fd()), 0, size, step); err != nil {
			step /= 4
			continue
		}
		size += step
	}
}

// asURL is an address of a database behind a socket.
func asURL(dir string) string {
	return (&url.URL{Scheme: "postgres", User: url.User("boardlore"), Path: "/boardlore", RawQuery: "host=" +
		url.QueryEscape(dir)}).String()
}
