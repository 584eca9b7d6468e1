// Package heldtest measures how much memory a computation holds, for the tables and
// benchmarks of what may be held at a time.
package heldtest

import (
	"runtime"
	"sync"
)

// Reachable is the memory in use, bytes.
func Reachable() int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

// Held is the most memory that was reachable at a time while do ran, bytes beyond
// what was before: the collector runs without a pause, and each time tells what it left.
func Held(do func()) int64 {
	Reachable()
	before, most := Reachable(), int64(0)
	done := make(chan struct{})
	var watcher sync.WaitGroup
	watcher.Go(func() {
		for {
			most = max(most, Reachable()-before)
			select {
			case <-done:
				return
			default:
			}
		}
	})
	do()
	close(done)
	watcher.Wait()
	return most
}
