package api

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
)

// waiting starts so many requests of a caller for a turn, and returns once they
// all wait. What had its turn comes out of the channel.
func (t *turns) waiting1(tb testing.TB, ctx context.Context, caller string, n int, came chan<- *turn) {
	tb.Helper()
	before := t.waits()
	for range n {
		go func() { came <- t.begin(ctx, caller) }()
	}
	for t.waits() < before+n {
		runtime.Gosched()
	}
}

// TestTurnsAreFair: of callers who wait, each has a turn before any has its second,
// however many one of them waits for.
func TestTurnsAreFair(t *testing.T) {
	t.Parallel()
	g := newTurns()
	g.free = 0 // all cores are busy
	came := make(chan *turn, 200)
	g.waiting1(t, t.Context(), "greedy", maxWaiting, came)
	if w := g.begin(t.Context(), "greedy"); w != nil {
		t.Error("one caller waits for more than it may")
	}
	for i := range 5 {
		g.waiting1(t, t.Context(), fmt.Sprint("modest ", i), 1, came)
	}
	had := map[string]int{}
	var held []*turn
	for range 6 {
		g.mu.Lock()
		g.free++
		g.next()
		g.mu.Unlock()
		w := <-came
		had[w.caller]++
		held = append(held, w)
	}
	if len(had) != 6 || had["greedy"] != 1 {
		t.Errorf("the first six turns went to %v", had)
	}
	for _, w := range held {
		w.done()
	}
	for range maxWaiting - 1 {
		(<-came).done()
	}
	g.whole(t)
}

// whole: nothing is held by anybody any more.
func (t *turns) whole(tb testing.TB) {
	tb.Helper()
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.room != roomInAll || len(t.held) > 0 || len(t.waiting) > 0 || len(t.circle) > 0 {
		tb.Errorf("left over: %d bytes, held %v, waiting %v, circle %v", roomInAll-t.room, t.held, t.waiting, t.circle)
	}
}

// TestTurnsComeBack: whatever order callers come, leave and are answered in, all
// cores and all room are there again in the end, and never more.
func TestTurnsComeBack(t *testing.T) {
	t.Parallel()
	g := newTurns()
	cores := g.free
	var running, most atomic.Int64
	var done sync.WaitGroup
	for i := range 400 {
		done.Go(func() {
			ctx, cancel := context.WithCancel(t.Context())
			defer cancel()
			if i%5 == 0 {
				cancel() // left before
			}
			w := g.begin(ctx, fmt.Sprint("caller ", i%7))
			if w == nil {
				return
			}
			n := running.Add(1)
			for old := most.Load(); n > old && !most.CompareAndSwap(old, n); old = most.Load() {
			}
			running.Add(-1)
			if i%3 == 0 {
				w.answer = int64(i)
				w.answered()
			}
			w.done()
		})
	}
	done.Wait()
	if g.free != cores || most.Load() > int64(cores) {
		t.Errorf("%d cores of %d are free, %d computed at once", g.free, cores, most.Load())
	}
	g.whole(t)
}

// TestLoad: a flood from one address is answered, or turned away with a word when to
// come again, while another caller's request is answered.
func TestLoad(t *testing.T) {
	f := serveWith(t, Config{Limits: Limits{Off: true}})
	f.release1(t)
	ask := func(address string) int {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/v1/boards?q=main", nil)
		r.RemoteAddr = address
		w := httptest.NewRecorder()
		f.Config.Handler.ServeHTTP(w, r)
		if w.Code == http.StatusServiceUnavailable && w.Header().Get("Retry-After") == "" {
			t.Error("turned away without a word when to come again")
		}
		return w.Code
	}
	var flood sync.WaitGroup
	var mu sync.Mutex
	codes := map[int]int{}
	for range 500 {
		flood.Go(func() {
			code := ask("192.0.2.1:1")
			mu.Lock()
			defer mu.Unlock()
			codes[code]++
		})
	}
	for range 20 {
		if code := ask("192.0.2.2:1"); code != http.StatusOK {
			t.Errorf("another caller has %d", code)
		}
	}
	flood.Wait()
	if codes[200] == 0 || codes[200]+codes[503] != 500 {
		t.Errorf("the flood had %v", codes)
	}
}
