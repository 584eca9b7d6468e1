//go:build faults

package main

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/store/cluster"
)

// standbyScene is two servers on a database with a synchronous standby, which a
// failover manager promotes when the primary is gone. Each fault begins when both
// are there and the standby confirms every commit: with one of them away there is
// nothing to promote, and the manager rightly promotes nothing.
func standbyScene() *scene {
	var p pair
	return &scene{name: "standby promoted", share: 12, set: func(c *campaign) { p = startPair(c) }, kinds: []kind{
		{"primary and its manager killed", 10, func(*campaign) { p.failOver((*node).killAll, (*node).start) }},
		{"primary killed", 30, func(*campaign) { p.failOver((*node).killDatabase, func(*node) {}) }},
		{"primary frozen", 6, func(c *campaign) {
			p.failOver((*node).freeze, func(n *node) { n.thaw(time.Duration(c.rng.IntN(1500)) * time.Millisecond) })
		}},
		{"primary left by its manager", 6, func(*campaign) {
			p.failOver(func(n *node) { n.program.kill() }, func(n *node) { n.hurry(); n.start() })
		}},
		{"places changed as planned", 25, func(*campaign) { p.failOver((*node).giveWay, func(*node) {}) }},
		{"standby killed", 13, func(*campaign) { p.standby().killDatabase(); p.await() }},
		{"server killed", 10, func(c *campaign) { c.restart(syscall.SIGKILL) }},
	}}
}

// pair is a primary and its standby, in whatever order.
type pair [2]*node

// failOver does something to the primary, waits until the other has its place, and
// lets the first one come back as the standby.
func (p pair) failOver(fell func(*node), back func(*node)) {
	n := p.primary()
	fell(n)
	p.other(n).await("primary")
	back(n)
	p.await()
}

func (p pair) other(n *node) *node {
	if p[0] == n {
		return p[1]
	}
	return p[0]
}

func (p pair) primary() *node {
	for _, n := range p {
		if n.role() == "primary" {
			return n
		}
	}
	p[0].c.t.Fatal("none of the pair is the primary")
	return nil
}

func (p pair) standby() *node { return p.other(p.primary()) }

// await waits until one is the primary and the other confirms its commits, as the
// manager and the primary both say, and goes on doing so: each of them says so for
// a moment of a standby that has gone. What does not come back by itself is helped
// as its operator would: managers that hold an old view of things are started again,
// and a standby that went another way than the primary is made anew.
func (p pair) await() {
	sound := 0
	help := []func(){
		func() { p[0].again(); p[1].again() },
		func() { p.standby().makeAnew() },
		func() { p[0].again(); p[1].again() },
	}
	for began := time.Now(); time.Since(began) < 4*time.Minute; {
		if sound++; !p.whole() {
			sound = 0
		}
		if sound == 20 {
			return
		}
		if helped := 3 - len(help); len(help) > 0 && time.Since(began) > time.Duration(helped+1)*40*time.Second {
			help[0]()
			help = help[1:]
		}
		time.Sleep(100 * time.Millisecond)
	}
	p[0].c.over = true // what was done until now is judged all the same
	p[0].c.t.Logf("the pair did not come back: %s\n%s", p[0].lastLines(), p[1].lastLines())
}

func (p pair) whole() bool {
	for _, n := range p {
		if n.role() == "primary" {
			return p.other(n).role() == "standby" && n.isFollowed()
		}
	}
	return false
}

// node is one database of the pair with its manager.
type node struct {
	program
	name, dir, database, rest string
}

func startPair(c *campaign) (p pair) {
	for _, name := range []string{"patroni", "etcd"} {
		if _, err := exec.LookPath(name); err != nil {
			c.t.Skip(name + " is not installed")
		}
	}
	found, err := cluster.Find(c.t.Context())
	if err != nil {
		c.t.Skip(err)
	}
	dir, client, peer := ownFolder(c.t), freeAddress(c.t), freeAddress(c.t)
	register := dir // on a busy disk its writes would outlast the managers' patience
	if _, err := os.Stat("/dev/shm"); err == nil {
		register = ownFolderIn(c.t, "/dev/shm")
	}
	etcd := &program{c: c, path: "etcd", args: []string{"--data-dir", filepath.Join(register, "etcd"),
		"--listen-client-urls", "http://" + client,
		"--advertise-client-urls", "http://" + client, "--listen-peer-urls", "http://" + peer,
		"--initial-advertise-peer-urls", "http://" + peer,
		"--initial-cluster", "default=http://" + peer, "--log-level", "error"}}
	etcd.path, _ = exec.LookPath("etcd")
	etcd.start()
	c.t.Cleanup(etcd.kill)
	for i := range p {
		p[i] = newNode(c, dir, fmt.Sprintf("n%d", i+1), client, found.Dir)
		p[i].start()
		c.t.Cleanup(p[i].killAll)
		if i == 0 {
			p[0].await("primary")
		}
	}
	p.await()
	var ports []string
	for _, n := range p {
		_, port, _ := strings.Cut(n.database, ":")
		ports = append(ports, port)
	}
	url := "postgres://boardlore@/boardlore?host=127.0.0.1,127.0.0.1&port=" + strings.Join(ports, ",") +
		"&target_session_attrs=read-write&sslmode=disable"
	c.url = func() string { return url }
	c.database = []string{"--database-url", url}
	conn, err := pgx.Connect(c.t.Context(), strings.Replace(url, "/boardlore?", "/postgres?", 1))
	if err != nil {
		c.t.Fatal(err)
	}
	if _, err := conn.Exec(c.t.Context(), `CREATE DATABASE boardlore`); err != nil {
		c.t.Fatal(err)
	}
	_ = conn.Close(c.t.Context())
	for range 2 {
		c.serve("--database-url", url)
	}
	return p
}

func newNode(c *campaign, dir, name, etcd, bin string) *node {
	n := &node{name: name, dir: filepath.Join(dir, name), database: freeAddress(c.t), rest: freeAddress(c.t)}
	file := filepath.Join(dir, name+".yml")
	text := fmt.Sprintf(`scope: faults
name: %[1]s
restapi: {listen: %[2]s, connect_address: %[2]s}
etcd3: {hosts: %[3]s}
bootstrap:
  dcs:
    ttl: 20
    loop_wait: 1
    retry_timeout: 9
    primary_start_timeout: 0
    maximum_lag_on_failover: 1073741824
    synchronous_mode: true
    synchronous_mode_strict: true
    postgresql: {use_pg_rewind: true, parameters: {wal_log_hints: 'on', max_connections: 100}}
  initdb: [{encoding: UTF8}, {locale: C.UTF-8}, {auth: trust}]
  pg_hba: ['local all all trust', 'host all all 127.0.0.1/32 trust', 'host replication all 127.0.0.1/32 trust']
postgresql:
  listen: %[4]s
  connect_address: %[4]s
  data_dir: %[5]s
  bin_dir: %[6]s
  pgpass: %[5]s.pass
  remove_data_directory_on_rewind_failure: true
  remove_data_directory_on_diverged_timelines: true
  authentication: {superuser: {username: boardlore}, replication: {username: boardlore}}
  parameters: {unix_socket_directories: %[7]s}
`, name, n.rest, etcd, n.database, n.dir, bin, dir)
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		c.t.Fatal(err)
	}
	path, _ := exec.LookPath("patroni")
	n.program = program{c: c, path: path, args: []string{file}}
	return n
}

// role is what the manager says of its database: primary; standby for one that
// confirms commits, and may be promoted; "" for neither.
func (n *node) role() string {
	for path, role := range map[string]string{"/primary": "primary", "/sync": "standby"} {
		client := http.Client{Timeout: 2 * time.Second}
		res, err := client.Get("http://" + n.rest + path)
		if err != nil {
			return ""
		}
		_ = res.Body.Close()
		if res.StatusCode == http.StatusOK {
			return role
		}
	}
	return ""
}

// await waits until the node has a role.
func (n *node) await(role string) {
	for range 1200 {
		if n.role() == role {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	n.c.over = true
	n.c.t.Logf("%s is not the %s after two minutes: %s", n.name, role, n.lastLines())
}

func (n *node) lastLines() string {
	lines := strings.Split(n.said.String(), "\n")
	return strings.Join(lines[max(0, len(lines)-15):], "\n")
}

// isFollowed reports whether somebody confirms the commits of this database.
func (n *node) isFollowed() (yes bool) {
	n.ask(func(ctx context.Context, conn *pgx.Conn) {
		_ = conn.QueryRow(ctx,
			`SELECT EXISTS (SELECT FROM pg_stat_replication WHERE state = 'streaming' AND sync_state = 'sync')`).Scan(&yes)
	})
	return yes
}

// hurry asks all who wait for the standby to wait no longer: their commits, which
// nobody confirmed, are then told as done, with a warning.
func (n *node) hurry() {
	n.ask(func(ctx context.Context, conn *pgx.Conn) {
		_, _ = conn.Exec(ctx, `SELECT pg_cancel_backend(pid) FROM pg_stat_activity WHERE wait_event = 'SyncRep'`)
	})
}

// ask does something on this database; nothing where it does not answer soon.
func (n *node) ask(do func(context.Context, *pgx.Conn)) {
	ctx, cancel := context.WithTimeout(n.c.t.Context(), 2*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, "postgres://boardlore@"+n.database+"/postgres?sslmode=disable")
	if err != nil {
		return
	}
	defer conn.Close(context.WithoutCancel(ctx))
	do(ctx, conn)
}

// giveWay has the manager hand the primary's place to the other.
func (n *node) giveWay() {
	body := strings.NewReader(`{"leader":"` + n.name + `"}`)
	res, err := http.Post("http://"+n.rest+"/switchover", "application/json", body)
	if err != nil {
		n.c.t.Fatal(err)
	}
	_ = res.Body.Close()
	if res.StatusCode != http.StatusOK {
		n.c.t.Fatalf("switchover: %s: %s", res.Status, n.lastLines())
	}
}

// again starts the manager again, beside its database.
func (n *node) again() {
	n.c.t.Logf("the manager of %s is started again", n.name)
	n.program.kill()
	n.start()
}

// makeAnew has the manager copy the database from the primary.
func (n *node) makeAnew() {
	n.c.t.Logf("%s is made anew", n.name)
	res, err := http.Post("http://"+n.rest+"/reinitialize", "application/json", strings.NewReader(`{"force":true}`))
	if err != nil {
		n.c.t.Fatal(err)
	}
	_ = res.Body.Close()
}

// killAll kills the manager and the database.
func (n *node) killAll() {
	n.program.kill()
	n.killDatabase()
}

// killDatabase kills the database; its manager starts it again.
func (n *node) killDatabase() { kill(n.postmaster(), syscall.SIGKILL) }

// freeze stops the manager and all processes of the database where they are.
func (n *node) freeze() {
	kill(n.cmd.Process.Pid, syscall.SIGSTOP)
	n.signal(syscall.SIGSTOP)
}

// thaw lets the database go on, as the primary that it thinks it is, and after a
// time its manager, who knows better then.
func (n *node) thaw(after time.Duration) {
	n.signal(syscall.SIGCONT)
	time.Sleep(after)
	kill(n.cmd.Process.Pid, syscall.SIGCONT)
}

func (n *node) signal(s syscall.Signal) {
	postmaster := n.postmaster()
	kill(postmaster, s)
	out, _ := exec.Command("pgrep", "-P", strconv.Itoa(postmaster)).Output()
	for line := range strings.Lines(string(out)) {
		pid, _ := strconv.Atoi(strings.TrimSpace(line))
		kill(pid, s)
	}
}

func (n *node) postmaster() (pid int) {
	text, err := os.ReadFile(filepath.Join(n.dir, "postmaster.pid"))
	if err != nil {
		return 0
	}
	_, _ = fmt.Sscan(string(text), &pid)
	return pid
}
