//go:build faults

package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"
)

// Two servers on one database, through a transaction pooler, behind a caching
// proxy that runs by deploy/nginx.conf: what it answers by itself, how old that
// gets, and what is lost while the servers are restarted one after the other.
//
//	go test -tags faults -run Proxy -timeout 30m -v ./cmd/boardlore
func TestProxy(t *testing.T) {
	bin := filepath.Join(t.TempDir(), "boardlore")
	if out, err := exec.CommandContext(t.Context(), "go", "build", "-o", bin, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	c := &campaign{t: t, bin: bin, codes: map[string]int{}}
	pg := startEngine(c)
	_, pooler := startPooler(c, pg)
	for range 2 {
		c.serve("--database-url", pg.url(), "--pooler-url", throughTCP(pooler), "--trusted-proxies", "127.0.0.1/32")
	}
	for _, v := range c.servers {
		v.start()
		t.Cleanup(func() { v.stop(syscall.SIGKILL) })
	}
	c.ready()
	p := &behind{c: c, at: startProxy(c), client: &http.Client{Timeout: 30 * time.Second,
		Transport: &http.Transport{MaxIdleConnsPerHost: 64}}}
	p.author, p.reviewer, p.steward = p.account("ada", "contributor"), p.account("rob", "reviewer"),
		p.account("sue", "steward")
	for i := range 10 {
		p.release(fmt.Sprintf("held-%d", i), 0)
	}
	t.Run("hits", p.hits)
	t.Run("after a release", p.afterRelease)
	t.Run("after a withdrawal", p.afterWithdrawal)
	t.Run("rolling restarts", p.rolling)
}

// behind is a client of the servers behind the proxy.
type behind struct {
	c                         *campaign
	at                        string
	client                    *http.Client
	author, reviewer, steward string
}

func (p *behind) account(name, role string) string {
	out, err := exec.CommandContext(p.c.t.Context(), p.c.bin, append([]string{"account", "add", name, "--role", role},
		p.c.database...)...).Output()
	if err != nil {
		p.c.t.Fatal(err)
	}
	return strings.TrimSpace(string(out))
}

// startProxy starts nginx by the configuration that deploy has.
func startProxy(c *campaign) string {
	path, err := exec.LookPath("nginx")
	if err != nil {
		c.t.Skip("nginx is not installed")
	}
	text, err := os.ReadFile("../../deploy/nginx.conf")
	if err != nil {
		c.t.Fatal(err)
	}
	dir, at := ownFolder(c.t), freeAddress(c.t)
	set := strings.NewReplacer("CACHE", dir+"/cache", "LISTEN", at, "SERVER1", c.servers[0].address, "SERVER2",
		c.servers[1].address)
	conf := "daemon off; pid " + dir + "/pid; error_log " + dir +
		"/errors crit; events { worker_connections 1024; }\nhttp {\naccess_log off;\n"
	for _, temp := range []string{"client_body", "proxy", "fastcgi", "uwsgi", "scgi"} {
		conf += temp + "_temp_path " + dir + "/" + temp + ";\n"
	}
	file := filepath.Join(dir, "nginx.conf")
	if err := os.WriteFile(file, []byte(conf+set.Replace(string(text))+"}\n"), 0o644); err != nil {
		c.t.Fatal(err)
	}
	run := &program{c: c, path: path, args: []string{"-c", file, "-e", dir + "/errors"}}
	run.start()
	c.t.Cleanup(func() { _ = syscall.Kill(-run.cmd.Process.Pid, syscall.SIGKILL); <-run.gone }) // its workers, too
	for range 100 {
		if res, err := http.Get("http://" + at + "/healthz"); err == nil {
			_ = res.Body.Close()
			return at
		}
		time.Sleep(50 * time.Millisecond)
	}
	c.t.Fatalf("nginx does not answer: %s", run.said.String())
	return ""
}

// ask sends one request through the proxy and reads the answer.
func (p *behind) ask(ctx context.Context, method, path, token, body string, headers ...string) (*http.Response, []byte,
	error) {
	req, err := http.NewRequestWithContext(ctx, method, "http://"+p.at+path, strings.NewReader(body))
	if err != nil {
		return nil, nil, err
	}
	if body == "" {
		req.Body = http.NoBody
	}
	req.Header.Set("Content-Type", "application/json")
	if token != "" {
		req.Header.Set("Authorization", "Bearer "+token)
	}
	for i := 0; i < len(headers); i += 2 {
		req.Header.Set(headers[i], headers[i+1])
	}
	res, err := p.client.Do(req)
	if err != nil {
		return nil, nil, err
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	return res, text, err
}

func (p *behind) must(method, path, token, body string, headers ...string) (http.Header, []byte) {
	res, text, err := p.ask(p.c.t.Context(), method, path, token, body, headers...)
	if err != nil || res.StatusCode >= 300 {
		p.c.t.Fatalf("%s %s: %v %v %s", method, path, res, err, text)
	}
	return res.Header, text
}

// release has a board's next revision submitted, endorsed and released.
func (p *behind) release(board string, base int) {
	m := fmt.Sprintf(`{"board":%q,"equipment":{"maker":"Fenwright","model":"RX2"},"name":"Main board","frame":{"width_mm":100,"height_mm":80,"basis":"measured"},`+
		`"positions":[{"designator":"C1","side":"top","x_mm":%d,"y_mm":20,"rotation_deg":0,"part":{"class":"capacitor","value":"47 µF"}}]}`, board, 20+base)
	_, text := p.must("POST", "/v1/proposals", p.author,
		fmt.Sprintf(`{"board":%q,"base_revision":%d,"map":%s,"summary":"s","evidence":["Seen."]}`, board, base, m))
	var made struct{ ID int }
	if err := json.Unmarshal(text, &made); err != nil {
		p.c.t.Fatal(err)
	}
	path := fmt.Sprintf("/v1/proposals/%d", made.ID)
	for _, act := range []struct{ path, body string }{{"/reviews", `{"verdict":"endorse","summary":"Read it."}`},
		{"/release", ""}} {
		h, _ := p.must("GET", path, p.reviewer, "")
		p.must("POST", path+act.path, p.reviewer, act.body, "If-Match", h.Get("ETag"))
	}
}

// hits counts what the proxy answers by itself while maps are read.
func (p *behind) hits(t *testing.T) {
	const readers, each = 16, 1500
	var own, all, failed atomic.Int64
	var group sync.WaitGroup
	began := time.Now()
	for r := range readers {
		group.Go(func() {
			for i := range each {
				path := fmt.Sprintf("/v1/boards/held-%d/map", (r+i)%10)
				if i%3 == 0 {
					path = fmt.Sprintf("/v1/boards/held-%d/revisions/1", (r+i)%10)
				}
				res, _, err := p.ask(t.Context(), "GET", path, "", "")
				if err != nil || res.StatusCode != http.StatusOK {
					failed.Add(1)
					continue
				}
				all.Add(1)
				if res.Header.Get("X-Cache") == "HIT" {
					own.Add(1)
				}
			}
		})
	}
	group.Wait()
	if failed.Load() > 0 || all.Load() == 0 {
		t.Fatalf("%d requests failed", failed.Load())
	}
	t.Logf("%d of %d answered by the proxy (%.2f %%), %.0f/s", own.Load(), all.Load(),
		100*float64(own.Load())/float64(all.Load()),
		float64(all.Load())/time.Since(began).Seconds())
	if own.Load()*10 < all.Load()*9 {
		t.Error("the proxy keeps too little")
	}
}

// until asks through the proxy until ok, and answers how long that took.
func (p *behind) until(t *testing.T, path string, ok func(*http.Response) bool) time.Duration {
	for began := time.Now(); time.Since(began) < 30*time.Second; time.Sleep(5 * time.Millisecond) {
		res, _, err := p.ask(t.Context(), "GET", path, "", "")
		if err != nil {
			t.Fatal(err)
		}
		if ok(res) {
			return time.Since(began)
		}
	}
	t.Fatalf("%s does not change in half a minute", path)
	return 0
}

func (p *behind) afterRelease(t *testing.T) {
	var worst time.Duration
	for i := range 10 {
		name := fmt.Sprintf("held-%d", i)
		p.must("GET", "/v1/boards/"+name+"/map", "", "")
		p.release(name, 1)
		worst = max(worst, p.until(t, "/v1/boards/"+name+"/map", func(r *http.Response) bool {
			return strings.HasSuffix(r.Header.Get("Content-Location"), "/revisions/2")
		}))
	}
	t.Logf("a release shows through the proxy after %v at most, of ten", worst.Round(time.Millisecond))
}

func (p *behind) afterWithdrawal(t *testing.T) {
	const current, fixed = "/v1/boards/held-3/map", "/v1/boards/held-3/revisions/2"
	p.must("GET", fixed, "", "")
	p.must("POST", fixed+"/withdrawal", p.steward, `{"kind":"dangerous","reason":"Reversed."}`)
	took := p.until(t, current, func(r *http.Response) bool {
		return strings.HasSuffix(r.Header.Get("Content-Location"), "/revisions/1")
	})
	t.Logf("a withdrawal shows in the current map after %v", took.Round(time.Millisecond))
	res, _, err := p.ask(t.Context(), "GET", fixed, "", "")
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("the revision's own address: %d, %s, %s", res.StatusCode, res.Header.Get("X-Cache"),
		res.Header.Get("Cache-Control"))
	if res, _, err := p.ask(t.Context(), "GET", fixed, p.author, ""); err != nil || res.StatusCode != http.StatusGone {
		t.Errorf("with a token: %v %v", res, err)
	}
}

// rolling restarts each server three times while people read and submit.
func (p *behind) rolling(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	var reads, acts, failed atomic.Int64
	var group sync.WaitGroup
	note := func(what string, res *http.Response, err error, text []byte) {
		if ctx.Err() != nil {
			return
		}
		failed.Add(1)
		status := 0
		if res != nil {
			status = res.StatusCode
		}
		t.Errorf("%s: %d %v %.200s", what, status, err, text)
	}
	for r := range 8 {
		group.Go(func() {
			for i := 0; ctx.Err() == nil; i++ {
				path := []string{"/v1/boards/held-%d/map", "/boards/held-%d", "/v1/boards?q=fenwright&limit=%d"}[i%3]
				res, text, err := p.ask(ctx, "GET", fmt.Sprintf(path, 1+(r+i)%9), "", "")
				if err != nil || res.StatusCode != http.StatusOK {
					note("read", res, err, text)
				}
				reads.Add(1)
			}
		})
	}
	for w := range 2 {
		group.Go(func() {
			for i := 0; ctx.Err() == nil; i++ {
				board := fmt.Sprintf("roll-%d-%d", w, i)
				m := fmt.Sprintf(`{"board":%q,"equipment":{"maker":"Fenwright","model":"RX2"},"name":"Main board","frame":{"width_mm":100,"height_mm":80,"basis":"measured"},`+
					`"positions":[{"designator":"C1","side":"top","x_mm":20,"y_mm":20,"rotation_deg":0,"part":{"class":"capacitor","value":"47 µF"}}]}`, board)
				body := fmt.Sprintf(`{"board":%q,"base_revision":0,"map":%s,"summary":"s"}`, board, m)
				res, text, err := p.ask(ctx, "POST", "/v1/proposals", p.author, body, "Idempotency-Key", board)
				if err != nil || res.StatusCode != http.StatusCreated {
					note("act", res, err, text)
				}
				acts.Add(1)
			}
		})
	}
	for range 3 {
		for _, v := range p.c.servers {
			v.stop(syscall.SIGTERM)
			v.start()
			v.ready()
			time.Sleep(1500 * time.Millisecond) // for the proxy to try it again
		}
	}
	stop()
	group.Wait()
	t.Logf("six restarts: %d reads, %d acts, %d failed", reads.Load(), acts.Load(), failed.Load())
}
