package api

import (
	"context"
	"errors"
	"net/http"
	"runtime"
	"strconv"
	"sync"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/store"
)

// What goes on at once. Each request alone is bounded by what it may send; these
// bound all of them together.
const (
	roomInAll  = 512 << 20 // bytes of bodies and answers that are held at once
	roomForOne = 64 << 20  // of one caller
	answerRoom = 8 << 20   // kept free for an answer before it is begun
	maxAnswer  = 8 << 20   // bytes of an answer that is no export
	maxWaiting = 64        // requests of one caller that wait for a turn
	patience   = 10 * time.Second
)

// slowest is the rate in bytes a second below which a reader is not waited for,
// after graceTime.
const (
	slowest   = 64 << 10
	graceTime = 15 * time.Second
)

// turns lets as many computations run beside each other as there are cores.
// Callers who wait have their turns in a circle, so that one who asks for a
// hundred things keeps the others waiting for one of them.
type turns struct {
	mu      sync.Mutex
	free    int
	room    int64            // bytes left of roomInAll
	held    map[string]int64 // bytes that each caller holds
	waiting map[string][]*turn
	circle  []string // callers who wait, whose turn is next first
}

// turn is one request's place: a core until its answer begins, and room for
// body and answer until it is gone.
type turn struct {
	of      *turns
	caller  string
	bytes   int64
	answer  int64 // bytes of the answer, as far as they are known
	running bool
	ready   chan struct{}
}

func newTurns() *turns {
	return &turns{free: max(2, runtime.GOMAXPROCS(0)), room: roomInAll, held: map[string]int64{},
		waiting: map[string][]*turn{}}
}

// waits tells how many requests wait for a turn.
func (t *turns) waits() (n int) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, w := range t.waiting {
		n += len(w)
	}
	return n
}

// hold takes room for bytes that the caller sends; false where there
// is none left for this caller or at all.
func (t *turns) hold(caller string, bytes int64) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.take(caller, bytes)
}

func (t *turns) take(caller string, bytes int64) bool {
	if bytes > t.room || t.held[caller]+bytes > roomForOne {
		return false
	}
	t.room -= bytes
	t.held[caller] += bytes
	return true
}

func (t *turns) give(caller string, bytes int64) {
	t.room += bytes
	if t.held[caller] -= bytes; t.held[caller] <= 0 {
		delete(t.held, caller)
	}
}

// begin waits for the caller's turn. It gives nil where there are too many of
// the caller's before, or the wait was in vain.
func (t *turns) begin(ctx context.Context, caller string) *turn {
	w := &turn{of: t, caller: caller, ready: make(chan struct{})}
	t.mu.Lock()
	if len(t.waiting[caller]) >= maxWaiting {
		t.mu.Unlock()
		return nil
	}
	if len(t.waiting[caller]) == 0 {
		t.circle = append(t.circle, caller)
	}
	t.waiting[caller] = append(t.waiting[caller], w)
	t.next()
	t.mu.Unlock()
	timer := time.NewTimer(patience)
	defer timer.Stop()
	select {
	case <-w.ready:
		return w
	case <-ctx.Done():
	case <-timer.C:
	}
	t.leave(w)
	return nil
}

// next starts those whose turn it is. The lock is held.
func (t *turns) next() {
	for tries := len(t.circle); t.free > 0 && tries > 0; tries-- {
		caller := t.circle[0]
		t.circle = t.circle[1:]
		w := t.waiting[caller][0]
		if !t.take(caller, answerRoom) {
			t.circle = append(t.circle, caller) // until one of the answers before has gone
			continue
		}
		if t.waiting[caller] = t.waiting[caller][1:]; len(t.waiting[caller]) > 0 {
			t.circle = append(t.circle, caller)
		} else {
			delete(t.waiting, caller)
		}
		t.free--
		w.running, w.bytes = true, answerRoom
		close(w.ready)
	}
}

// leave takes a turn back that was not waited for.
func (t *turns) leave(w *turn) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if w.running { // it came at the last moment
		t.end(w)
		return
	}
	list := t.waiting[w.caller]
	for i := range list {
		if list[i] == w {
			t.waiting[w.caller] = append(list[:i:i], list[i+1:]...)
			break
		}
	}
	if len(t.waiting[w.caller]) > 0 {
		return
	}
	delete(t.waiting, w.caller)
	for i, c := range t.circle {
		if c == w.caller {
			t.circle = append(t.circle[:i:i], t.circle[i+1:]...)
			return
		}
	}
}

// answered gives the core to the next one: what is left to do is to wait for
// the reader, who has the answer to take.
func (w *turn) answered() {
	t := w.of
	t.mu.Lock()
	defer t.mu.Unlock()
	if !w.running {
		return
	}
	w.running = false
	t.free++
	if w.answer < w.bytes {
		t.give(w.caller, w.bytes-w.answer)
		w.bytes = w.answer
	}
	t.next()
}

// done gives back all that the turn holds.
func (w *turn) done() {
	w.of.mu.Lock()
	defer w.of.mu.Unlock()
	w.of.end(w)
}

func (t *turns) end(w *turn) {
	if w.running {
		w.running = false
		t.free++
	}
	t.give(w.caller, w.bytes)
	w.bytes = 0
	t.next()
}

// Turn waits until a computation for the caller may begin; the core is given on
// when the answer begins, and the room for the answer when it has gone.
func (g *Gate) Turn(c echo.Context, a store.Actor) error {
	if c.Get(turnKey) != nil {
		return nil // a request has one
	}
	w := g.turns.begin(c.Request().Context(), callerOf(c, a))
	if w == nil {
		if err := c.Request().Context().Err(); err != nil {
			return err
		}
		return Busy()
	}
	leaving(c, w.done)
	c.Set(turnKey, w)
	c.Response().Before(w.answered)
	return nil
}

// Labour draws a computation on the caller's allowance, and waits for its turn.
func (g *Gate) Labour(c echo.Context, a store.Actor) error {
	if err := g.Take(c, a, Labour); err != nil {
		return err
	}
	return g.Turn(c, a)
}

// room is what a request's body takes of it until the request has been answered.
type room struct {
	of     *turns
	caller string
	held   int64
}

func (g *Gate) room(c echo.Context, a store.Actor) *room {
	r := &room{of: g.turns, caller: callerOf(c, a)}
	leaving(c, func() {
		r.of.mu.Lock()
		defer r.of.mu.Unlock()
		r.of.give(r.caller, r.held)
		r.of.next()
	})
	return r
}

// reach has the room be as large as so many bytes, or turns the request away.
func (r *room) reach(bytes int64) error {
	if !r.of.hold(r.caller, bytes-r.held) {
		return Busy()
	}
	r.held = bytes
	return nil
}

// Busy turns a request away for the moment.
func Busy() error {
	return refuse("busy", "api.server-much-under-way")
}

// callerOf names whose share a request draws on: the account's, or the
// address's of a caller without one.
func callerOf(c echo.Context, a store.Actor) string {
	if a.ID != 0 {
		return "account:" + strconv.FormatInt(a.ID, 10)
	}
	return addressKey(c.RealIP())
}

// Names under which a request's turn and what is put off are kept.
const (
	turnKey    = "turn"
	leavingKey = "leaving"
)

// leaving has do done when the request has been answered, whatever the answer.
func leaving(c echo.Context, do func()) {
	l, _ := c.Get(leavingKey).([]func())
	c.Set(leavingKey, append(l, do))
}

// left does what leaving put off.
func left(c echo.Context) {
	l, _ := c.Get(leavingKey).([]func())
	for _, do := range l {
		do()
	}
}

// Bounded is to be called with an answer's size before it is written: it refuses
// one that is larger than any may be, and gives the reader the time that it
// takes, and not more.
func Bounded(c echo.Context, bytes int) error {
	if bytes > maxAnswer {
		return tooLong()
	}
	if w, ok := c.Get(turnKey).(*turn); ok {
		w.answer = int64(bytes)
	}
	limit := graceTime + time.Duration(bytes/slowest)*time.Second
	// Not every writer has deadlines; the server's own are the last resort.
	_ = http.NewResponseController(c.Response()).SetWriteDeadline(time.Now().Add(limit))
	return nil
}

func tooLong() error {
	return refuse("answer-too-large", "api.answer-too-large", maxAnswer>>20)
}

// Short is a buffer for an answer; it stops where the answer would be too large.
type Short struct{ b []byte }

// Bytes is what was written.
func (s *Short) Bytes() []byte { return s.b }

func (s *Short) Write(p []byte) (int, error) {
	if len(s.b)+len(p) > maxAnswer {
		return 0, tooLong()
	}
	s.b = append(s.b, p...)
	return len(p), nil
}

// Writing is why an answer could not be written: that it is too large, where it is.
func Writing(err error) error {
	var p *Problem
	if errors.As(err, &p) {
		return p
	}
	return err
}
