//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package cluster

import (
	"cmp"
	"context"
	"fmt"
	"time"
)

const (
	firstPause = 100 * time.Millisecond // after a start that failed, doubled each time …
	lastPause  = 10 * time.Second       // … up to this
	lastTry    = 10                     // failed starts in a row, or deaths within steady of a start, before giving up
	steady     = time.Minute            // a database that has run for so long is no longer counted as failing
)

// watch starts the postmaster again whenever it ends, until ctx does. It gives up on one that keeps dying.
func (c *Cluster) watch(ctx context.Context) {
	defer close(c.done)
	failed, wait, tries := 0, firstPause, cmp.Or(c.opt.tries, lastTry)
	for {
		p, began := c.current(), time.Now()
		select {
		case <-ctx.Done():
			return
		case <-p.exited:
		}
		if time.Since(began) > steady {
			failed, wait = 0, firstPause
		}
		c.tell("the database ended by itself (%s): starting it again", ended(p))
		for {
			failed++
			next, err := c.start(ctx)
			if ctx.Err() != nil {
				c.settle(next, nil)
				return
			}
			if err == nil {
				c.settle(next, nil)
				break
			}
			if failed >= tries {
				c.settle(nil, fmt.Errorf("the database died and could not be started again in %d tries: %w", tries,
					err))
				return
			}
			c.tell("%v", err)
			if pause(ctx, wait) != nil {
				return
			}
			wait = min(2*wait, lastPause)
		}
		if failed >= tries {
			c.settle(nil, fmt.Errorf("the database keeps dying: %d times since it last ran for %s", failed, steady))
			return
		}
		c.tell("the database runs again")
	}
}

// settle notes the postmaster that Close has to stop, or why there is none.
func (c *Cluster) settle(p *process, err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if p != nil {
		c.proc = p
	}
	if err != nil {
		c.err = err
	}
}

func ended(p *process) string {
	if p.status != nil {
		return p.status.Error()
	}
	return "no reason known"
}
