//go:build faults

package main

import (
	"context"
	"flag"
	mathrand "math/rand/v2"
	"net"
	"net/http"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// The fault run. Servers, their database and what stands between them are killed,
// cut off, frozen and starved of disk again and again, while contributors submit.
// Every act goes into a ledger as a server told it: acknowledged, refused, or
// unknown; afterwards the ledger is held against what the database has. Run it with
//
//	go test -tags faults -run Faults -timeout 180m -v ./cmd/boardlore -faults 600 -seed 1
//
// A scene whose programs this machine lacks (pgbouncer; patroni and etcd; the right
// to mount) is skipped, and says so.
var (
	howMany = flag.Int("faults", 20, "how many faults to make in all scenes together")
	seed    = flag.Uint64("seed", 1, "of the order and the times of the faults")
)

// scene is an arrangement of servers and database, with the faults that it knows.
type scene struct {
	name  string
	share int             // of a hundred faults
	set   func(*campaign) // starts the database and names the servers
	kinds []kind          // of faults
}

// kind is a kind of fault. Its weight is among those of its scene.
type kind struct {
	name   string
	weight int
	make   func(*campaign)
}

func TestFaults(t *testing.T) {
	bin := filepath.Join(t.TempDir(), "boardlore")
	if out, err := exec.CommandContext(t.Context(), "go", "build", "-o", bin, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for i, s := range []*scene{privateScene(), lineScene(), poolerScene(), diskScene(), standbyScene()} {
		t.Run(s.name, func(t *testing.T) {
			c := &campaign{t: t, bin: bin, rng: mathrand.New(mathrand.NewPCG(*seed, uint64(i))),
				codes: map[string]int{}}
			c.run(s, max(1, *howMany*s.share/100))
		})
	}
}

// campaign is the run of one scene.
type campaign struct {
	t     *testing.T
	bin   string
	rng   *mathrand.Rand
	token string

	servers  []*server1
	url      func() string // of the database, for commands and for the judge
	pgdata   func() string // folder of the database whose processes are killed
	database []string      // arguments by which commands reach the database

	over bool // what stands behind the database did not come back: no more faults can be made

	mu     sync.Mutex
	ledger []*entry
	codes  map[string]int
}

func (c *campaign) run(s *scene, n int) {
	s.set(c)
	for _, v := range c.servers {
		v.start()
		c.t.Cleanup(func() { v.stop(syscall.SIGKILL) })
	}
	c.ready()
	out, err := exec.CommandContext(c.t.Context(), c.bin, append([]string{"account", "add", "ada", "--role",
		"contributor"}, c.database...)...).Output()
	if err != nil {
		c.t.Fatal(err)
	}
	c.token = strings.TrimSpace(string(out))
	ctx, stop := context.WithCancel(c.t.Context())
	var workers sync.WaitGroup
	for w := range 4 {
		workers.Go(func() { c.work(ctx, w) })
	}
	began, made := time.Now(), map[string]int{}
	for i := range n {
		time.Sleep(time.Duration(50+c.rng.IntN(700)) * time.Millisecond)
		k := c.choose(s.kinds)
		k.make(c)
		made[k.name]++
		if c.over {
			break
		}
		c.ready()
		if i%25 == 24 {
			c.t.Logf("%d faults in %s: %v", i+1, time.Since(began).Round(time.Second), made)
		}
	}
	stop()
	workers.Wait()
	if !c.over {
		c.ready()
	}
	c.judge(made)
}

func (c *campaign) choose(kinds []kind) kind {
	all := 0
	for _, k := range kinds {
		all += k.weight
	}
	n := c.rng.IntN(all)
	for _, k := range kinds {
		if n -= k.weight; n < 0 {
			return k
		}
	}
	return kinds[0]
}

// server1 is one server program.
type server1 struct {
	c       *campaign
	address string
	args    []string
	cmd     *exec.Cmd
	said    *words
	gone    chan struct{} // closed when it has ended
}

// serve adds a server to the scene.
func (c *campaign) serve(args ...string) {
	c.servers = append(c.servers, &server1{c: c, address: freeAddress(c.t), args: args})
}

func freeAddress(t *testing.T) string {
	l, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

func (v *server1) start() {
	cmd := exec.Command(v.c.bin, append([]string{"serve", "--listen", v.address, "--metrics-listen", "off",
		"--log-level", "error",
		"--limits", "off", "--grace", "2s"}, v.args...)...)
	said, gone := new(words), make(chan struct{})
	cmd.Stderr = said
	if err := cmd.Start(); err != nil {
		v.c.t.Fatal(err)
	}
	v.cmd, v.said, v.gone = cmd, said, gone
	go func() { _ = cmd.Wait(); close(gone) }()
}

func (v *server1) stop(s syscall.Signal) {
	_ = v.cmd.Process.Signal(s)
	<-v.gone
}

// anyServer is one of the servers.
func (c *campaign) anyServer() *server1 { return c.servers[c.rng.IntN(len(c.servers))] }

// ready waits until all servers are.
func (c *campaign) ready() {
	for _, v := range c.servers {
		v.ready()
	}
}

// ready waits until the server is. One that ended by itself, as it does when its
// database died ten times in a minute, is started again, as a service manager does.
func (v *server1) ready() {
	deadline := time.Now().Add(3 * time.Minute)
	said := ""
	for time.Now().Before(deadline) {
		client := http.Client{Timeout: 5 * time.Second}
		if res, err := client.Get("http://" + v.address + "/readyz"); err == nil {
			_ = res.Body.Close()
			if res.StatusCode == http.StatusOK {
				return
			}
			said = res.Status
		}
		select {
		case <-v.gone:
			v.c.t.Logf("the server ended by itself: %s", v.lastWords())
			v.start()
			time.Sleep(time.Second)
		case <-time.After(50 * time.Millisecond):
		}
	}
	v.stop(syscall.SIGKILL)
	v.c.t.Fatalf("not ready again in three minutes (%s); it said: %s", said, v.lastWords())
}

func (v *server1) lastWords() string { return v.said.last("") }

// words are what a program says, as it says it.
type words struct {
	mu   sync.Mutex
	text strings.Builder
}

func (w *words) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.text.Write(p)
}

// last is the last line that has something in it.
func (w *words) last(something string) (line string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for l := range strings.Lines(w.text.String()) {
		if strings.Contains(l, something) {
			line = strings.TrimSpace(l)
		}
	}
	return line
}
