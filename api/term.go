package api

import (
	"context"
	"sync"
	"time"
)

// term is a request's context with an end. The timer for it is set only when
// somebody waits for the end: what is answered from memory never does.
type term struct {
	context.Context // the request's own
	until           time.Time

	mu     sync.Mutex
	timed  context.Context // with the timer; nil until it is asked for
	cancel context.CancelFunc
	ended  bool
}

// Deadline is when the time is over.
func (t *term) Deadline() (time.Time, bool) {
	if d, ok := t.Context.Deadline(); ok && d.Before(t.until) {
		return d, true
	}
	return t.until, true
}

// Done is closed at the end.
func (t *term) Done() <-chan struct{} {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.timed == nil {
		t.timed, t.cancel = context.WithDeadline(t.Context, t.until)
		if t.ended {
			t.cancel()
		}
	}
	return t.timed.Done()
}

// Err is why the time is over, nil while it isn't.
func (t *term) Err() error {
	t.mu.Lock()
	defer t.mu.Unlock()
	switch {
	case t.timed != nil:
		return t.timed.Err()
	case t.Context.Err() != nil:
		return t.Context.Err()
	case t.ended:
		return context.Canceled
	case !time.Now().Before(t.until):
		return context.DeadlineExceeded
	}
	return nil
}

// Value is what the request's context holds; with the timer, also what the
// standard library looks for to hang contexts below this one on it.
func (t *term) Value(key any) any {
	t.mu.Lock()
	timed := t.timed
	t.mu.Unlock()
	if timed != nil {
		return timed.Value(key)
	}
	return t.Context.Value(key)
}

// end is called when the request has been answered.
func (t *term) end() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.ended = true
	if t.cancel != nil {
		t.cancel()
	}
}
