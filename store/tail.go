package store

import (
	"context"
	"sync"
	"time"
)

// tailEvery is how often the end of the log is looked at while anybody waits
// for it to move.
const tailEvery = 200 * time.Millisecond

// tail lets many wait for the next event at the cost of one: a single look-up
// for all of them, on a connection that is given back at once. A notice of the
// database would come sooner, but before the replica has what it tells of.
type tail struct {
	mu    sync.Mutex
	last  int64
	wake  chan struct{} // closed when last moves; nil while nobody waits
	await int
}

// AwaitEvent waits until there is an event of a higher number, or ctx ends.
func (s *Store) AwaitEvent(ctx context.Context, after int64) {
	t := &s.tail
	t.mu.Lock()
	t.await++
	if t.wake == nil {
		t.wake = make(chan struct{})
		go s.follow()
	}
	t.mu.Unlock()
	defer func() {
		t.mu.Lock()
		t.await--
		t.mu.Unlock()
	}()
	for {
		t.mu.Lock()
		last, wake := t.last, t.wake
		t.mu.Unlock()
		if last > after {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-wake:
		}
	}
}

// follow looks for the end of the log for as long as anybody waits.
func (s *Store) follow() {
	t := &s.tail
	for {
		time.Sleep(tailEvery)
		last, err := s.lastEvent()
		t.mu.Lock()
		if err == nil && last > t.last {
			t.last = last
			close(t.wake)
			t.wake = make(chan struct{})
		}
		if t.await == 0 {
			t.wake = nil
			t.mu.Unlock()
			return
		}
		t.mu.Unlock()
	}
}

func (s *Store) lastEvent() (n int64, err error) {
	ctx, cancel := context.WithTimeout(context.Background(), replyTime)
	defer cancel()
	err = s.replica.QueryRow(ctx, `SELECT coalesce(max(id), 0) FROM events`).Scan(&n)
	return n, err
}
