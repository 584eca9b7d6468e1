package pages_test

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/labstack/echo/v4"

	"boardlore/api"
	"boardlore/api/pages"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/review"
	"boardlore/store/storetest"
)

// connections is how many clients ask at once.
const connections = 32

// load sends b.N requests, each by its connection and with a key of its own, over connections that are kept, by
// the least work that a client can do, and reports the rate, the bytes of an
// answer and how long 95 of 100 took at most.
func load(b *testing.B, address string, request func(connection int, key string) string, status int) {
	b.Helper()
	each := max(1, b.N/connections)
	times := make([][]time.Duration, connections)
	size := 0
	var all sync.WaitGroup
	conns := make([]net.Conn, connections)
	for i := range conns {
		c, err := net.Dial("tcp", address)
		if err != nil {
			b.Fatal(err)
		}
		defer c.Close()
		conns[i] = c
	}
	b.ResetTimer()
	busy := processor()
	for i, c := range conns {
		all.Go(func() {
			r := bufio.NewReaderSize(c, 64<<10)
			for n := range each {
				began := time.Now()
				if _, err := io.WriteString(c, request(i, fmt.Sprintf("%d-%d-%d", b.N, i, n))); err != nil {
					b.Error(err)
					return
				}
				got, length, err := answered(r)
				if err != nil || got != status {
					b.Errorf("status %d, %v", got, err)
					return
				}
				times[i] = append(times[i], time.Since(began))
				if i == 0 {
					size = length
				}
			}
		})
	}
	all.Wait()
	took, busy := b.Elapsed(), processor()-busy
	flat := slices.Concat(times...)
	slices.Sort(flat)
	if len(flat) == 0 {
		return
	}
	b.ReportMetric(float64(len(flat))/took.Seconds(), "req/s")
	b.ReportMetric(float64(flat[len(flat)*95/100].Microseconds())/1000, "p95-ms")
	b.ReportMetric(float64(size), "bytes")
	b.ReportMetric(float64(busy.Nanoseconds())/1000/float64(len(flat)), "cpu-µs/req")
	b.ReportMetric(0, "ns/op")
}

// processor is the time of the processor that client and server have taken so
// far; unlike the clock it does not depend on what else the machine does.
func processor() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// answered reads one answer whose length its headers say.
func answered(r *bufio.Reader) (status, length int, err error) {
	for first := true; ; first = false {
		line, err := r.ReadSlice('\n')
		if err != nil {
			return 0, 0, err
		}
		if len(line) <= 2 {
			break
		}
		if first && len(line) > 12 {
			status, _ = strconv.Atoi(string(line[9:12]))
		} else if n, ok := bytes.CutPrefix(line, []byte("Content-Length: ")); ok {
			length, _ = strconv.Atoi(string(bytes.TrimSpace(n)))
		}
	}
	_, err = r.Discard(length)
	return status, length, err
}

// echoOf is a bare handler of the framework that answers these bytes.
func echoOf(b *testing.B, body []byte) string {
	b.Helper()
	e := echo.New()
	e.GET("/v1/boards/:board/map", func(c echo.Context) error {
		if c.Request().Header.Get("If-None-Match") != "" {
			return c.NoContent(http.StatusNotModified)
		}
		c.Response().Header().Set("Content-Length", strconv.Itoa(len(body)))
		return c.Blob(http.StatusOK, "application/json", body)
	})
	s := httptest.NewServer(e)
	b.Cleanup(s.Close)
	return s.Listener.Addr().String()
}

// Side by side: the server with its peers, each given the same work by the same
// client. deploy/bench.sh makes a table of it.
func BenchmarkBeside(b *testing.B) {
	w := newEmptySite(b, api.Limits{Off: true})
	p, err := pages.New(w.store, pages.Options{})
	if err != nil {
		b.Fatal(err)
	}
	h, err := api.New(api.Config{Store: w.store, Pages: p.Mount, ErrorPage: p.ErrorPage, Limits: api.Limits{Off: true}})
	if err != nil {
		b.Fatal(err)
	}
	s := httptest.NewServer(h)
	b.Cleanup(s.Close)
	m := boardtest.Big(170)
	w.release(b, w.submit(b, 0, m, "A board of 170 positions.", `["Seen."]`))
	rev, err := w.store.Revision(context.Background(), m.Board, 0, "")
	if err != nil {
		b.Fatal(err)
	}
	hears(b, w.store)
	at, peer := s.Listener.Addr().String(), echoOf(b, rev.Canonical)
	read := func(path string, headers ...string) string {
		return "GET " + path + " HTTP/1.1\r\nHost: bench\r\nAccept: */*\r\n" + strings.Join(append(headers, ""),
			"\r\n") + "\r\n"
	}
	theMap, known := "/v1/boards/"+m.Board+"/map", `If-None-Match: "`+rev.Digest+`"`
	run := func(name, address, request string, status int) {
		b.Run(name, func(b *testing.B) { load(b, address, func(int, string) string { return request }, status) })
	}
	run("map/peer", peer, read(theMap), 200)
	run("map/server", at, read(theMap), 200)
	run("304/peer", peer, read(theMap, known), 304)
	run("304/server", at, read(theMap, known), 304)
	for _, coding := range []string{"gzip", "br", "zstd"} {
		run("map-"+coding+"/server", at, read(theMap, "Accept-Encoding: "+coding), 200)
	}
	run("drawing/server", at, read("/v1/boards/"+m.Board+"/drawing.svg?side=top"), 200)
	run("drawing-gzip/server", at, read("/v1/boards/"+m.Board+"/drawing.svg?side=top", "Accept-Encoding: gzip"), 200)
	run("page/server", at, read("/boards/"+m.Board, "Accept-Encoding: identity"), 200)
	run("page-gzip/server", at, read("/boards/"+m.Board, "Accept-Encoding: gzip"), 200)
	kit := kitOf(m.Board)
	send := func(path, body string, headers ...string) string {
		return "POST " + path + " HTTP/1.1\r\nHost: bench\r\nContent-Type: application/json\r\nContent-Length: " +
			strconv.Itoa(len(body)) + "\r\n" +
			strings.Join(append(headers, ""), "\r\n") + "\r\n" + body
	}
	reconcile := "/v1/boards/" + m.Board + "/reconciliations"
	run("reconcile/server", at, send(reconcile, kit), 200)
	run("reconcile-gzip/server", at, send(reconcile, kit, "Accept-Encoding: gzip"), 200)
	run("reconcile-zstd/server", at, send(reconcile, kit, "Accept-Encoding: zstd"), 200)
	small := boardtest.Big(28)
	small.Board = "bench-small"
	doc := string(document(b, small))
	authors := make([]string, connections) // each has a number of open proposals that it may not exceed
	for i := range authors {
		if authors[i], err = w.store.AddAccount(context.Background(), fmt.Sprintf("Author %d", i),
			review.Contributor); err != nil {
			b.Fatal(err)
		}
	}
	run28 := func(connection int, key string) string {
		return send("/v1/proposals", `{"board":"bench-small","base_revision":0,"summary":"Sent as `+key+`","map":`+doc+
			`}`,
			"Authorization: Bearer "+authors[connection])
	}
	b.Run("submit/peer", func(b *testing.B) { insert(b, []byte(doc)) })
	b.Run("submit/server", func(b *testing.B) { load(b, at, run28, 201) })
}

// insert commits rows of these bytes over 32 connections to a database: the
// peer of a submission.
func insert(b *testing.B, row []byte) {
	b.Helper()
	ctx := context.Background()
	cfg, err := pgxpool.ParseConfig(storetest.DSN(b, migrate))
	if err != nil {
		b.Fatal(err)
	}
	cfg.MaxConns = connections
	db, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(ctx,
		`CREATE TABLE bench (id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, body bytea NOT NULL)`); err != nil {
		b.Fatal(err)
	}
	each := max(1, b.N/connections)
	times := make([][]time.Duration, connections)
	var all sync.WaitGroup
	b.ResetTimer()
	for i := range times {
		all.Go(func() {
			for range each {
				began := time.Now()
				if _, err := db.Exec(ctx, `INSERT INTO bench (body) VALUES ($1)`, row); err != nil {
					b.Error(err)
					return
				}
				times[i] = append(times[i], time.Since(began))
			}
		})
	}
	all.Wait()
	took, flat := b.Elapsed(), slices.Concat(times...)
	if len(flat) == 0 {
		return
	}
	slices.Sort(flat)
	b.ReportMetric(float64(len(flat))/took.Seconds(), "req/s")
	b.ReportMetric(float64(flat[len(flat)*95/100].Microseconds())/1000, "p95-ms")
	b.ReportMetric(float64(len(row)), "bytes")
	b.ReportMetric(0, "ns/op")
}

// kitOf is a kit of 30 lines of text.
func kitOf(id string) string {
	lines := make([]string, 30)
	for i := range lines {
		lines[i] = fmt.Sprintf(`{"line":%d,"quantity":6,"text":"%d µF %d V radial"}`, i+1, []int{10, 22, 47, 100, 220,
			470}[i%6], []int{16, 25, 35, 50, 63}[i/6])
	}
	return `{"scope":"all","kit":{"kit":"bench","title":"Bench","for":["` + id + `"],"lines":[` +
		strings.Join(lines, ",") + `]}}`
}
