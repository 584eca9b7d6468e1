// Package costtest measures what one request costs a server in its process: for
// the tables of dearest requests, which hold every route and every page to what a
// stranger may cost.
package costtest

import (
	"net/http"
	"syscall"
	"testing"
	"time"

	"boardlore/domain/heldtest"
)

// What a request without an account may cost (the export has its own bounds).
const (
	MaxTime   = time.Second // of processor
	MaxHeld   = 64 << 20    // bytes of memory at a time
	MaxAnswer = 8 << 20     // bytes
)

// Cost is what a request cost.
type Cost struct {
	Status int
	Answer int           // bytes
	CPU    time.Duration // of all threads of this process
	Held   int64         // bytes, the most that was reachable at a time
}

// Of measures a request, made anew for each of two runs: one for the processor
// time, one for the memory, since looking at that takes processor time itself.
func Of(tb testing.TB, h http.Handler, request func() *http.Request) Cost {
	tb.Helper()
	var c Cost
	run := func() {
		w := &answer{header: http.Header{}, status: http.StatusOK}
		h.ServeHTTP(w, request())
		c.Status, c.Answer = w.status, w.bytes
	}
	start := processor(tb)
	run()
	c.CPU = processor(tb) - start
	c.Held = heldtest.Held(run)
	return c
}

// answer is counted and not kept, as by a network.
type answer struct {
	header        http.Header
	status, bytes int
}

func (a *answer) Header() http.Header    { return a.header }
func (a *answer) WriteHeader(status int) { a.status = status }

func (a *answer) Write(b []byte) (int, error) {
	a.bytes += len(b)
	return len(b), nil
}

func processor(tb testing.TB) time.Duration {
	tb.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		tb.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// Report gives a measure to a benchmark, and fails it where a stranger's request
// costs more than it may. The database's share of the time is not in it.
func Report(b *testing.B, c Cost, stranger bool) {
	b.Helper()
	b.ReportMetric(float64(c.CPU.Microseconds())/1000, "cpu-ms/op")
	b.ReportMetric(float64(c.Held)/(1<<20), "MiB-held")
	b.ReportMetric(float64(c.Answer)/(1<<20), "MiB-answer")
	b.ReportMetric(float64(c.Status), "status")
	if stranger && (c.CPU > MaxTime || c.Held > MaxHeld || c.Answer > MaxAnswer) {
		b.Errorf("costs %s of processor and %d MiB, answers %d bytes", c.CPU, c.Held>>20, c.Answer)
	}
}
