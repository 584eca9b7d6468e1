//go:build faults

package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	mathrand "math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/backup"
	"boardlore/store/cluster"
)

// The fault run. A server with its private database is killed again and again,
// whole or in part, while contributors submit. Every act goes into a ledger as
// the server told it: acknowledged, refused, or unknown; afterwards the ledger is
// held against what the database has. Run it with
//
//	go test -tags faults -run Faults -timeout 60m ./cmd/boardlore -faults 500 -seed 1
var (
	faults = flag.Int("faults", 20, "how many faults to make")
	seed   = flag.Uint64("seed", 1, "of the order and the times of the faults")
)

// verdict is what the server said of an act.
type verdict string

const (
	tellsDone    verdict = "acknowledged"
	tellsRefused verdict = "refused" // and nothing was changed
	tellsUnknown verdict = "unknown" // outcome-unknown, or the connection broke
)

// entry is one act of the ledger. Its board names it: no two acts share one.
type entry struct {
	board     string
	key       string
	told      verdict // of the submission
	tries     int
	id        int64   // of the proposal
	withdrawn verdict // of the withdrawal that follows what was acknowledged; "" for none
	heard     []string
}

type run1 struct {
	t       *testing.T
	bin     string
	dir     string
	address string
	token   string
	rng     *mathrand.Rand

	mu     sync.Mutex
	ledger []*entry
	server *exec.Cmd
	said   *bytes.Buffer // by the server; read after gone
	gone   chan struct{} // closed when it has ended
	codes  map[string]int
}

func TestFaults(t *testing.T) {
	r := &run1{t: t, dir: filepath.Join(t.TempDir(), "data"), rng: mathrand.New(mathrand.NewPCG(*seed, 0)), codes: map[string]int{}}
	r.bin = filepath.Join(t.TempDir(), "boardlore")
	if out, err := exec.CommandContext(t.Context(), "go", "build", "-o", r.bin, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	r.address = l.Addr().String()
	_ = l.Close()
	r.start()
	defer func() { r.stop(syscall.SIGKILL) }()
	r.ready()
	out, err := exec.CommandContext(t.Context(), r.bin, "account", "add", "ada", "--role", "contributor", "--data", r.dir).Output()
	if err != nil {
		t.Fatal(err)
	}
	r.token = strings.TrimSpace(string(out))

	ctx, stop := context.WithCancel(t.Context())
	var workers sync.WaitGroup
	for w := range 4 {
		workers.Go(func() { r.work(ctx, w) })
	}
	began, made := time.Now(), map[string]int{}
	for i := range *faults {
		kind := r.fault()
		made[kind]++
		r.ready()
		if i%50 == 49 {
			t.Logf("%d faults in %s: %v", i+1, time.Since(began).Round(time.Second), made)
		}
	}
	stop()
	workers.Wait()
	r.ready()
	r.judge(made)
}

// start starts the server.
func (r *run1) start() {
	cmd := exec.Command(r.bin, "serve", "--data", r.dir, "--listen", r.address, "--metrics-listen", "off", "--log-level", "error", "--limits", "off", "--grace", "2s")
	said, gone := new(bytes.Buffer), make(chan struct{})
	cmd.Stderr = said
	if err := cmd.Start(); err != nil {
		r.t.Fatal(err)
	}
	r.server, r.said, r.gone = cmd, said, gone
	go func() { _ = cmd.Wait(); close(gone) }()
}

func (r *run1) stop(s syscall.Signal) {
	_ = r.server.Process.Signal(s)
	<-r.gone
}

// ready waits until the server is. One that ended by itself, as it does when its
// database died ten times in a minute, is started again, as a service manager does.
func (r *run1) ready() {
	deadline := time.Now().Add(90 * time.Second)
	for time.Now().Before(deadline) {
		client := http.Client{Timeout: 5 * time.Second}
		if res, err := client.Get("http://" + r.address + "/readyz"); err == nil {
			_ = res.Body.Close()
			if res.StatusCode == http.StatusOK {
				return
			}
		}
		select {
		case <-r.gone:
			lines := strings.Split(strings.TrimSpace(r.said.String()), "\n")
			r.t.Logf("the server ended by itself: %s", lines[len(lines)-1])
			r.start()
		case <-time.After(50 * time.Millisecond):
		}
	}
	r.stop(syscall.SIGKILL)
	r.t.Fatalf("not ready again in 90 s; it said: %s", r.said)
}

var backend = regexp.MustCompile(`boardlore boardlore \[local\]`)

// processes are the postmaster and its backends, by their numbers.
func (r *run1) processes() (postmaster int, backends []int) {
	text, err := os.ReadFile(filepath.Join(r.dir, "postgres", "postmaster.pid"))
	if err != nil {
		return 0, nil
	}
	first, _, _ := strings.Cut(string(text), "\n")
	postmaster, _ = strconv.Atoi(first)
	out, _ := exec.Command("ps", "--ppid", first, "-o", "pid=,args=").Output()
	for line := range strings.Lines(string(out)) {
		if f := strings.Fields(line); backend.MatchString(line) && len(f) > 0 {
			pid, _ := strconv.Atoi(f[0])
			backends = append(backends, pid)
		}
	}
	return postmaster, backends
}

// fault waits a moment, then makes one fault of a kind that the seed chooses.
func (r *run1) fault() string {
	time.Sleep(time.Duration(50+r.rng.IntN(700)) * time.Millisecond)
	postmaster, backends := r.processes()
	pick := func() int {
		if len(backends) == 0 {
			return 0
		}
		return backends[r.rng.IntN(len(backends))]
	}
	switch n := r.rng.IntN(100); {
	case n < 30:
		r.stop(syscall.SIGKILL)
		r.start()
		return "server killed"
	case n < 35:
		r.stop(syscall.SIGTERM)
		r.start()
		return "server stopped"
	case n < 50:
		kill(postmaster, syscall.SIGKILL)
		return "postmaster killed"
	case n < 70:
		kill(pick(), syscall.SIGKILL) // PostgreSQL restarts all of its backends
		return "backend killed"
	case n < 85:
		kill(pick(), syscall.SIGTERM)
		return "backend ended"
	case n < 95:
		pid := pick()
		kill(pid, syscall.SIGSTOP)
		time.Sleep(time.Duration(r.rng.IntN(3000)) * time.Millisecond)
		kill(pid, syscall.SIGCONT)
		return "backend frozen"
	}
	kill(postmaster, syscall.SIGKILL)
	r.stop(syscall.SIGKILL)
	r.start()
	return "both killed"
}

func kill(pid int, s syscall.Signal) {
	if pid > 1 {
		_ = syscall.Kill(pid, s)
	}
}

// work submits new boards, one after the other, each with a key of its own. An
// act whose outcome is unknown is sent again with its key, as the refusal
// advises, or, one time in three, left as it is.
func (r *run1) work(ctx context.Context, worker int) {
	for i := 0; ctx.Err() == nil; i++ {
		var b [8]byte
		_, _ = rand.Read(b[:])
		e := &entry{board: fmt.Sprintf("w%d-a%d", worker, i), key: hex.EncodeToString(b[:])}
		for {
			e.told = r.submit(e)
			e.tries++
			if e.told != tellsUnknown || i%3 == 0 || ctx.Err() != nil {
				break
			}
			time.Sleep(200 * time.Millisecond)
		}
		if e.told == tellsDone && e.id > 0 {
			e.withdrawn, _ = r.act(e, fmt.Sprintf("/v1/proposals/%d/withdraw", e.id), `{"reason":"r"}`, e.key+"-w")
		}
		r.mu.Lock()
		r.ledger = append(r.ledger, e)
		r.mu.Unlock()
		if e.told != tellsDone {
			time.Sleep(100 * time.Millisecond)
		}
	}
}

func (r *run1) submit(e *entry) verdict {
	m := `{"board":"` + e.board + `","equipment":{"maker":"Fenwright","model":"RX2"},"name":"Main board","frame":{"width_mm":100,"height_mm":80,"basis":"measured"},` +
		`"positions":[{"designator":"C1","side":"top","x_mm":20,"y_mm":20,"rotation_deg":0,"part":{"class":"capacitor","value":"47 µF"}}]}`
	told, id := r.act(e, "/v1/proposals", `{"board":"`+e.board+`","base_revision":0,"map":`+m+`,"summary":"first"}`, e.key)
	e.id = id
	return told
}

// act asks for one act and hears what is said of it.
func (r *run1) act(e *entry, path, body, key string) (verdict, int64) {
	req, err := http.NewRequest(http.MethodPost, "http://"+r.address+path, strings.NewReader(body))
	if err != nil {
		r.t.Error(err)
		return tellsRefused, 0
	}
	req.GetBody = nil // else the client sends it again by itself where a connection breaks, and tells of the second time only
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Authorization", "Bearer "+r.token)
	req.Header.Set("Idempotency-Key", key)
	client := http.Client{Timeout: 60 * time.Second}
	res, err := client.Do(req)
	if err != nil {
		e.heard = append(e.heard, err.Error())
		if strings.Contains(err.Error(), "connection refused") {
			return tellsRefused, 0 // nobody heard it
		}
		return tellsUnknown, 0
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	e.heard = append(e.heard, fmt.Sprint(res.StatusCode, string(text[:min(len(text), 600)]), err))
	if err != nil {
		return tellsUnknown, 0
	}
	var p struct {
		Code string
		ID   int64
	}
	_ = json.Unmarshal(text, &p)
	r.mu.Lock()
	r.codes[strconv.Itoa(res.StatusCode)+" "+p.Code]++
	r.mu.Unlock()
	switch {
	case res.StatusCode == http.StatusCreated, res.StatusCode == http.StatusOK:
		return tellsDone, p.ID
	case p.Code == "outcome-unknown":
		return tellsUnknown, 0
	case res.StatusCode == http.StatusServiceUnavailable:
		return tellsRefused, 0
	}
	r.t.Errorf("%s: %d %s", path, res.StatusCode, bytes.TrimSpace(text))
	return tellsRefused, 0
}

// judge holds the ledger against the database: nothing acknowledged is lost,
// nothing stands twice, nothing that was refused was done.
func (r *run1) judge(made map[string]int) {
	r.stop(syscall.SIGTERM)
	c, err := cluster.Own(r.t.Context(), r.dir, cluster.Options{NoFetch: true})
	if err != nil {
		r.t.Fatal(err)
	}
	defer func() { _ = c.Close(context.WithoutCancel(r.t.Context())) }()
	s, err := store.Open(r.t.Context(), c.URL(), store.Options{})
	if err != nil {
		r.t.Fatal(err)
	}
	defer s.Close()
	there, withdrawn := map[string]int{}, map[string]bool{}
	for after := ""; ; {
		list, err := s.Proposals(r.t.Context(), store.ProposalFilter{Page: store.Page{After: after, Limit: 100}})
		if err != nil {
			r.t.Fatal(err)
		}
		for _, p := range list.Items {
			there[p.Board]++
			withdrawn[p.Board] = p.State == review.Withdrawn
		}
		if after = list.Next; after == "" {
			break
		}
	}
	lost, doubled, wrong := 0, 0, 0
	counts := map[verdict]int{}
	unknownDone := 0
	for _, e := range r.ledger {
		counts[e.told]++
		n := there[e.board]
		w0 := lost + doubled + wrong
		switch {
		case e.told == tellsDone && n == 0:
			lost++
		case e.told == tellsRefused && n > 0 && e.tries == 1:
			wrong++
		case e.told == tellsUnknown && n > 0:
			unknownDone++
		}
		if n > 1 {
			doubled++
		}
		switch {
		case e.withdrawn == tellsDone && !withdrawn[e.board]:
			lost++
		case e.withdrawn == tellsRefused && withdrawn[e.board]:
			wrong++
		}
		if lost+doubled+wrong > w0 {
			r.t.Logf("%+v there %d %v", *e, n, withdrawn[e.board])
		}
		if e.withdrawn != "" {
			counts[e.withdrawn]++
		}
	}
	checked, err := s.CheckData(r.t.Context(), nil)
	if err != nil {
		r.t.Fatal(err)
	}
	r.t.Logf("faults %v", made)
	r.t.Logf("answers %v", r.codes)
	r.t.Logf("acts: %d acknowledged, %d refused, %d unknown (%d of them done)", counts[tellsDone], counts[tellsRefused], counts[tellsUnknown], unknownDone)
	r.t.Logf("lost %d, doubled %d, wrongly told %d; faults of the data %d", lost, doubled, wrong, len(checked.Faults))
	if lost+doubled+wrong+len(checked.Faults) > 0 {
		r.t.Error(checked.Faults)
	}
	if counts[tellsDone] == 0 || counts[tellsRefused]+counts[tellsUnknown] == 0 {
		r.t.Error("the run met nothing to judge")
	}
	if _, err := backup.Save(r.t.Context(), c.URL(), filepath.Join(r.t.TempDir(), "after.backup"), "fault run", nil); err != nil {
		r.t.Error(err)
	}
}
