//go:build faults

package main

import (
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/store/cluster"
)

// standbyScene is two servers on a database with a synchronous standby, which a
// failover manager promotes when the primary is gone.
func standbyScene() *scene {
	var pair [2]*node
	primary := func() *node {
		for _, n := range pair {
			if n.role() == "primary" {
				return n
			}
		}
		return pair[0]
	}
	return &scene{name: "standby promoted", share: 4, set: func(c *campaign) { pair = startPair(c) }, kinds: []kind{
		{"primary and its manager killed", 55, func(*campaign) {
			n := primary()
			n.killAll()
			other(pair, n).await("primary")
			n.start()
			n.await("standby")
		}},
		{"primary killed", 15, func(*campaign) { n := primary(); n.killDatabase(); awaitPair(pair) }},
		{"standby killed", 15, func(*campaign) { n := other(pair, primary()); n.killDatabase(); n.await("standby") }},
		{"server killed", 15, func(c *campaign) { c.restart(9) }},
	}}
}

func other(pair [2]*node, n *node) *node {
	if pair[0] == n {
		return pair[1]
	}
	return pair[0]
}

// awaitPair waits until one is the primary and the other follows it.
func awaitPair(pair [2]*node) {
	for range 1200 {
		if a, b := pair[0].role(), pair[1].role(); a == "primary" && b == "standby" || a == "standby" && b == "primary" {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	pair[0].c.t.Fatal("the pair did not come back")
}

// node is one database of the pair with its manager.
type node struct {
	program
	name, dir, database, rest string
}

func startPair(c *campaign) (pair [2]*node) {
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
	etcd := &program{c: c, path: "etcd", args: []string{"--data-dir", filepath.Join(dir, "etcd"), "--listen-client-urls", "http://" + client,
		"--advertise-client-urls", "http://" + client, "--listen-peer-urls", "http://" + peer, "--initial-advertise-peer-urls", "http://" + peer,
		"--initial-cluster", "default=http://" + peer, "--log-level", "error"}}
	etcd.path, _ = exec.LookPath("etcd")
	etcd.start()
	c.t.Cleanup(etcd.kill)
	for i := range pair {
		pair[i] = newNode(c, dir, fmt.Sprintf("n%d", i+1), client, found.Dir)
		pair[i].start()
		c.t.Cleanup(pair[i].killAll)
		if i == 0 {
			pair[0].await("primary")
		}
	}
	awaitPair(pair)
	var ports []string
	for _, n := range pair {
		_, port, _ := strings.Cut(n.database, ":")
		ports = append(ports, port)
	}
	url := "postgres://boardlore@/boardlore?host=127.0.0.1,127.0.0.1&port=" + strings.Join(ports, ",") + "&target_session_attrs=read-write&sslmode=disable"
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
	return pair
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
    retry_timeout: 3
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
	lines := strings.Split(n.said.String(), "\n")
	n.c.t.Fatalf("%s is not the %s after two minutes: %s", n.name, role, strings.Join(lines[max(0, len(lines)-15):], "\n"))
}

// killAll kills the manager and the database.
func (n *node) killAll() {
	n.program.kill()
	n.killDatabase()
}

// killDatabase kills the database; its manager starts it again.
func (n *node) killDatabase() {
	text, err := os.ReadFile(filepath.Join(n.dir, "postmaster.pid"))
	if err != nil {
		return
	}
	first, _, _ := strings.Cut(string(text), "\n")
	var pid int
	_, _ = fmt.Sscan(first, &pid)
	kill(pid, 9)
}
