package store

import (
	"context"
	"sync"
	"sync/atomic"

	"github.com/maypok86/otter/v2"
)

// cacheKey names one immutable thing: a revision, or its map as one variant has it.
type cacheKey struct {
	board   string
	number  int
	variant string
}

// cache keeps revisions in memory, those that are used most and last, bounded by
// an estimate of their bytes. Their maps never change; that one was withdrawn is
// heard of, and while nothing can be heard the database is asked.
type cache struct {
	most         int64
	kept         *otter.Cache[cacheKey, *Revision]
	hits, misses atomic.Int64

	mu   sync.Mutex
	turn uint64 // counts what was heard, so that a revision read before is not kept
}

func newCache(most int64) *cache {
	if most <= 0 {
		most = defaultCache
	}
	return &cache{most: most, kept: otter.Must(&otter.Options[cacheKey, *Revision]{MaximumWeight: uint64(most),
		Weigher: func(_ cacheKey, r *Revision) uint32 { return uint32(r.weight()) }})}
}

// mapCost is how many times its canonical bytes a revision takes in memory,
// with its map beside them; measured on maps of 300 and 2,000 positions.
const mapCost = 5

func (r *Revision) weight() int64 { return int64(len(r.Canonical)) * mapCost }

func (c *cache) get(k cacheKey) (*Revision, bool) {
	r, ok := c.kept.GetIfPresent(k)
	if ok {
		c.hits.Add(1)
	} else {
		c.misses.Add(1)
	}
	return r, ok
}

// put keeps a revision that was read in the given round.
func (c *cache) put(k cacheKey, r *Revision, round uint64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if r.weight() <= c.most && c.turn == round {
		c.kept.SetIfAbsent(k, r)
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
	if board == "" {
		c.kept.InvalidateAll()
		return
	}
	for k := range c.kept.Keys() {
		if k.board == board {
			c.kept.Invalidate(k)
		}
	}
}

func (c *cache) stats() Stats {
	return Stats{CacheHits: c.hits.Load(), CacheMisses: c.misses.Load(), CacheBytes: int64(c.kept.WeightedSize())}
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
		once, cancel := context.WithTimeout(ctx, batchTime)
		now.found, now.err = b.run(once, now.boards)
		cancel()
		close(now.done)
	}
}
