package api

import (
	"context"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/store"
)

// Waiting for events (RFC 7240, section 4.3) costs a connection of the network
// and no other: bounded in time, for each caller and for all of them.
const (
	longestWait = 25 * time.Second // under the half minute after which many a proxy gives up
	waitsInAll  = 1000
	waitsForOne = 16
)

const aboutWaiting = "last is the number to go on after: whoever asks with after=last, again and again, misses no event. " +
	"With the header Prefer: wait=N an answer that would be empty comes with the first event that happens."

// waits counts who waits for events.
type waits struct {
	mu  sync.Mutex
	all int
	of  map[string]int
}

// begin takes a place to wait in; false where there is none left.
func (w *waits) begin(caller string) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.all >= waitsInAll || w.of[caller] >= waitsForOne {
		return false
	}
	if w.of == nil {
		w.of = map[string]int{}
	}
	w.all++
	w.of[caller]++
	return true
}

func (w *waits) end(caller string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.all--
	if w.of[caller]--; w.of[caller] == 0 {
		delete(w.of, caller)
	}
}

// preferredWait is how long the Prefer header asks to wait; 0 where it does not,
// or says it in no way that RFC 7240 knows.
func preferredWait(h http.Header) time.Duration {
	for _, preference := range strings.Split(strings.Join(h.Values("Prefer"), ","), ",") {
		token, _, _ := strings.Cut(preference, ";")
		name, value, _ := strings.Cut(token, "=")
		if !strings.EqualFold(strings.TrimSpace(name), "wait") {
			continue
		}
		n, err := strconv.ParseUint(strings.Trim(strings.TrimSpace(value), `"`), 10, 31)
		if err != nil {
			return 0
		}
		return min(time.Duration(n)*time.Second, longestWait) // of several the first counts
	}
	return 0
}

// awaitEvents reads events, and where there are none yet waits as long as the
// caller prefers. Where there is no room to wait the preference goes unheeded,
// and the answer does not claim that it was applied.
func (s *server) awaitEvents(c echo.Context, f store.EventFilter) (store.EventList, error) {
	r := c.Request()
	c.Response().Header().Add("Vary", "Prefer")
	list, err := s.store.Events(r.Context(), f)
	wait := min(preferredWait(r.Header), s.timeout-s.timeout/6)
	if err != nil || wait <= 0 || f.Newest || r.Method == http.MethodHead {
		return list, err
	}
	caller := callerOf(c, actor(c))
	if !s.waits.begin(caller) {
		return list, nil
	}
	defer s.waits.end(caller)
	c.Response().Header().Set("Preference-Applied", "wait="+strconv.Itoa(int(wait.Seconds())))
	ctx, cancel := context.WithTimeout(r.Context(), wait)
	defer cancel()
	go func() {
		select {
		case <-s.closing:
			cancel()
		case <-ctx.Done():
		}
	}()
	for err == nil && len(list.Items) == 0 && ctx.Err() == nil {
		s.store.AwaitEvent(ctx, list.Last)
		list, err = s.store.Events(r.Context(), f)
	}
	return list, err
}
