package store

import (
	"container/list"
	"context"
	"errors"
	"sync"
)

// cacheKey names one immutable thing: a revision, or its map as one variant has it.
type cacheKey struct {
	board   string
	number  int
	variant string
}

// cache keeps revisions in memory, the most recently used ones, bounded by an
// estimate of their bytes. Their maps never change; that one was withdrawn is
// heard of, and while nothing can be heard the database is asked.
type cache struct {
	mu           sync.Mutex
	trusted      bool   // withdrawals are being heard of
	turn         uint64 // counts what was heard, so that a revision read before is not kept
	most, size   int64
	hits, misses int64
	order        *list.List // of *cached, newest first
	byKey        map[cacheKey]*list.Element
}

type cached struct {
	key    cacheKey
	value  *Revision
	weight int64
}

func newCache(most int64) *cache {
	if most <= 0 {
		most = defaultCache
	}
	return &cache{most: most, order: list.New(), byKey: map[cacheKey]*list.Element{}}
}

func (c *cache) get(k cacheKey) (*Revision, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	e, ok := c.byKey[k]
	if !ok {
		c.misses++
		return nil, false
	}
	c.hits++
	c.order.MoveToFront(e)
	return e.Value.(*cached).value, true
}

// mapCost is how many times its canonical bytes a revision takes in memory,
// with its map beside them; measured on maps of 300 and 2,000 positions.
const mapCost = 5

// put keeps a revision that was read in the given round.
func (c *cache) put(k cacheKey, r *Revision, round uint64) {
	w := int64(len(r.Canonical)) * mapCost
	c.mu.Lock()
	defer c.mu.Unlock()
	if _, ok := c.byKey[k]; ok || w > c.most || c.turn != round {
		return
	}
	c.byKey[k] = c.order.PushFront(&cached{k, r, w})
	c.size += w
	for c.size > c.most {
		last := c.order.Back()
		old := c.order.Remove(last).(*cached)
		delete(c.byKey, old.key)
		c.size -= old.weight
	}
}

func (c *cache) round() uint64 {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.turn
}

// forget drops what it keeps of a board, of all boards for "".
func (c *cache) forget(board string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.turn++
	for k, e := range c.byKey {
		if board == "" || k.board == board {
			c.size -= c.order.Remove(e).(*cached).weight
			delete(c.byKey, k)
		}
	}
}

// trust says whether withdrawals are heard of from here on. What happened
// before may have been missed.
func (c *cache) trust(yes bool) {
	c.forget("")
	c.mu.Lock()
	defer c.mu.Unlock()
	c.trusted = yes
}

func (c *cache) hears() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.trusted
}

func (c *cache) stats() Stats {
	c.mu.Lock()
	defer c.mu.Unlock()
	return Stats{CacheHits: c.hits, CacheMisses: c.misses, CacheBytes: c.size}
}

// batcher asks the database for the current revision numbers of boards, many
// requests in one query: those that come while a query is under way wait for
// the next, which starts after they came and so is never too old for them.
type batcher struct {
	run func(ctx context.Context, boards []string) (map[string]int, error)

	mu   sync.Mutex
	next *batch // gathering requests; nil where none wait
	busy bool
}

type batch struct {
	boards []string
	done   chan struct{}
	found  map[string]int
	err    error
}

// ask returns the current revision number of a board, 0 where it has none.
func (b *batcher) ask(ctx context.Context, board string) (int, error) {
	b.mu.Lock()
	if b.next == nil {
		b.next = &batch{done: make(chan struct{})}
	}
	mine := b.next
	mine.boards = append(mine.boards, board)
	if !b.busy {
		b.busy = true
		go b.work(context.WithoutCancel(ctx))
	}
	b.mu.Unlock()
	select {
	case <-mine.done:
		return mine.found[board], mine.err
	case <-ctx.Done():
		return 0, ctx.Err()
	}
}

// twice runs a batch within a time that a reader waits, and once more, over
// another connection, where the first is stuck.
func (b *batcher) twice(ctx context.Context, boards []string) (found map[string]int, err error) {
	for range 2 {
		once, cancel := context.WithTimeout(ctx, batchTime)
		found, err = b.run(once, boards)
		cancel()
		if err == nil || !lost(err) && !errors.Is(err, context.DeadlineExceeded) {
			break
		}
	}
	return found, err
}

// work runs one batch after the other until none waits.
func (b *batcher) work(ctx context.Context) {
	for {
		b.mu.Lock()
		now := b.next
		b.next = nil
		if now == nil {
			b.busy = false
			b.mu.Unlock()
			return
		}
		b.mu.Unlock()
		now.found, now.err = b.twice(ctx, now.boards)
		close(now.done)
	}
}
