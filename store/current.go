package store

import (
	"context"
	"hash/maphash"
	"sync/atomic"
	"time"

	"github.com/maypok86/otter/v2"
)

// turns counts what has happened, to each board and to all of them: what was
// read of a board still holds while its turn is the same. Boards share counters,
// which costs a read too many now and then and never one too few.
type turns struct {
	every atomic.Uint64
	of    [4096]atomic.Uint64
}

// turn is how far the counters of a board were.
type turn struct{ every, board uint64 }

var turnSeed = maphash.MakeSeed()

func (t *turns) counter(board string) *atomic.Uint64 {
	return &t.of[maphash.String(turnSeed, board)%uint64(len(t.of))]
}

func (t *turns) now(board string) turn { return turn{t.every.Load(), t.counter(board).Load()} }

// move says that something happened to a board, for "" to any of them.
func (t *turns) move(board string) {
	if board == "" {
		t.every.Add(1)
		return
	}
	t.counter(board).Add(1)
}

// hearing is how well this server hears of what others do. It is believed for
// deafTime after the connection last answered, so that one that was cut off
// without a word, or a server that was halted, misleads nobody for longer.
type hearing struct {
	until atomic.Int64 // nanoseconds since began
	began time.Time
}

const (
	quietTime = 500 * time.Millisecond  // without a word, before a listener asks whether anybody is there
	deafTime  = 1500 * time.Millisecond // that a listener is believed without an answer
)

// answered says that whoever tells of changes was there at a time.
func (h *hearing) answered(at time.Time) { h.until.Store(int64(at.Sub(h.began) + deafTime)) }

func (h *hearing) lost() { h.until.Store(0) }

func (h *hearing) well() bool { return int64(time.Since(h.began)) < h.until.Load() }

// numbers are the current revisions of boards, by what was last heard of them.
type numbers struct {
	known *otter.Cache[string, number]
}

type number struct {
	n  int
	at turn
}

const maxNumbers = 100_000 // boards, of some 150 bytes each

func newNumbers() numbers {
	return numbers{otter.Must(&otter.Options[string, number]{MaximumSize: maxNumbers})}
}

// currentOf is the number of a board's current revision, 0 for none: from
// memory while changes are heard of, else from the database.
func (s *Store) currentOf(ctx context.Context, board string) (int, error) {
	at := s.revised.now(board)
	if k, ok := s.numbers.known.GetIfPresent(board); ok && k.at == at && s.hearing.well() {
		return k.n, nil
	}
	n, err := s.current.ask(ctx, board)
	if err == nil && n > 0 && s.hearing.well() { // what is no board's ID is not worth the memory
		s.numbers.known.Set(board, number{n, at})
	}
	return n, err
}

// Turn tells whether anything that can be read of a board has changed: what was
// read under one Turn holds under the same. ok is false while this server
// does not hear of what others do, and nothing may be kept.
func (s *Store) Turn(board string) (at Turn, ok bool) {
	return Turn{s.changed.now(board)}, s.hearing.well()
}

// Turn is how far a board's events were. Turns are compared, and no more.
type Turn struct{ turn }

// happened says that an act of this server on a board, or for "" on anything,
// has been committed: from here on nobody is told what was before.
func (s *Store) happened(board string) {
	s.revised.move(board)
	s.changed.move(board)
}
