package client_test

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"boardlore/api/client"
)

const fen = `{"board":"fen-a","name":"Main board"}`

// TestMapWithoutANetwork fetches a map, asks for it again on condition, and has
// it with its age when the registry is gone; a refusal is no age.
func TestMapWithoutANetwork(t *testing.T) {
	var asked, unchanged atomic.Int32
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked.Add(1)
		if r.URL.Path != "/v1/boards/fen-a/map" {
			w.Header().Set("Content-Type", "application/problem+json")
			w.WriteHeader(http.StatusGone)
			_, _ = io.WriteString(w, `{"type":"/problems/withdrawn","code":"withdrawn","detail":"Turned polarity."}`)
			return
		}
		w.Header().Set("ETag", `"one"`)
		if r.Header.Get("If-None-Match") == `"one"` {
			unchanged.Add(1)
			w.WriteHeader(http.StatusNotModified)
			return
		}
		_, _ = io.WriteString(w, fen)
	}))
	c, err := client.New(s.URL, client.Options{Cache: t.TempDir(), Tries: 1})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if m, err := c.Map(t.Context(), "fen-a", ""); err != nil || m.Value.Name != "Main board" || m.Fresh.Kept {
			t.Fatalf("%+v, %v", m, err)
		}
	}
	if asked.Load() != 2 || unchanged.Load() != 1 {
		t.Errorf("asked %d times, %d unchanged", asked.Load(), unchanged.Load())
	}
	if _, err := c.Map(t.Context(), "fen-b", ""); client.Refused(err) == nil ||
		client.Refused(err).Code != "withdrawn" {
		t.Errorf("a withdrawn map: %v", err)
	}
	s.Close()
	time.Sleep(2 * time.Millisecond)
	if m, err := c.Map(t.Context(), "fen-a", ""); err != nil || m.Value.Name != "Main board" || !m.Fresh.Kept ||
		m.Fresh.Age < time.Millisecond {
		t.Errorf("without a network: %+v, %v", m, err)
	}
	if _, err := c.Map(t.Context(), "fen-a", "other"); err == nil {
		t.Error("without a network: a build that was never fetched")
	}
}

// TestOneKeyForAllTries has a server that fails twice: each try of a submission
// bears the same key, the next submission another.
func TestOneKeyForAllTries(t *testing.T) {
	var keys []string
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		keys = append(keys, r.Header.Get("Idempotency-Key"))
		if r.Header.Get("Authorization") != "Bearer secret" {
			t.Errorf("Authorization %q", r.Header.Get("Authorization"))
		}
		if len(keys) <= 2 {
			w.WriteHeader(http.StatusServiceUnavailable)
			return
		}
		w.WriteHeader(http.StatusCreated)
		_, _ = io.WriteString(w, `{"id":7}`)
	}))
	defer s.Close()
	c, err := client.New(s.URL, client.Options{Token: "secret"})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if p, err := c.Propose(t.Context(), client.Submission{Board: "fen-a", Map: []byte(fen),
			Summary: "s"}); err != nil || p.ID != 7 {
			t.Fatalf("%+v, %v", p, err)
		}
	}
	if len(keys) != 4 || keys[0] == "" || keys[0] != keys[1] || keys[1] != keys[2] || keys[3] == keys[0] {
		t.Errorf("keys %q", keys)
	}
}

var errNoNetwork = &net.OpError{Op: "dial", Net: "tcp", Err: errors.New("no network")}

// registryOf is a server that answers so, and a client of it that tries three times.
func registryOf(t *testing.T, cache string, answer http.HandlerFunc) (*httptest.Server, *client.Client) {
	t.Helper()
	s := httptest.NewServer(answer)
	t.Cleanup(s.Close)
	c, err := client.New(s.URL, client.Options{Cache: cache, Tries: 3})
	if err != nil {
		t.Fatal(err)
	}
	return s, c
}

// cut ends a connection without an answer, as a network does that goes away.
func cut(t *testing.T, w http.ResponseWriter) {
	t.Helper()
	c, _, err := http.NewResponseController(w).Hijack()
	if err != nil {
		t.Error(err)
		return
	}
	_ = c.Close()
}

// What may have been done is sent again only where that does it once: under a
// key, or where twice is once. What was refused as not done may be tried again
// whatever it is.
func TestTriesAgainWhereSafe(t *testing.T) {
	for name, c := range map[string]struct {
		do    func(context.Context, *client.Client) error
		first func(*testing.T, http.ResponseWriter)
		want  int32
	}{
		"a submission that was lost": {func(ctx context.Context, c *client.Client) error {
			_, err := c.Propose(ctx, client.Submission{Board: "fen-a", Map: []byte(fen)})
			return err
		}, cut, 2},
		"a map that was lost": {func(ctx context.Context, c *client.Client) error {
			_, err := c.Map(ctx, "fen-a",
				"")
			return err
		}, cut, 2},
		"a token that was lost": {makeToken, cut, 1},
		"a token while the server is busy": {makeToken, func(_ *testing.T, w http.ResponseWriter) {
			w.WriteHeader(http.StatusServiceUnavailable)
			_, _ = io.WriteString(w, `{"code":"busy","detail":"Try again."}`)
		}, 2},
		"a token whose making nobody knows": {makeToken, func(_ *testing.T, w http.ResponseWriter) {
			w.WriteHeader(http.StatusServiceUnavailable)
			_, _ = io.WriteString(w, `{"code":"outcome-unknown","detail":"Perhaps."}`)
		}, 1},
		"a proxy that gave up on a token": {makeToken,
			func(_ *testing.T, w http.ResponseWriter) { w.WriteHeader(http.StatusGatewayTimeout) }, 1},
		"what was not allowed": {makeToken,
			func(_ *testing.T, w http.ResponseWriter) { w.WriteHeader(http.StatusForbidden) }, 1},
	} {
		t.Run(name, func(t *testing.T) {
			var asked atomic.Int32
			_, cl := registryOf(t, "", func(w http.ResponseWriter, _ *http.Request) {
				if asked.Add(1) == 1 {
					c.first(t, w)
					return
				}
				_, _ = io.WriteString(w, `{}`)
			})
			err := c.do(t.Context(), cl)
			if asked.Load() != c.want || (err == nil) != (c.want > 1) {
				t.Errorf("asked %d times, want %d; %v", asked.Load(), c.want, err)
			}
		})
	}
}

func makeToken(ctx context.Context, c *client.Client) error {
	_, err := c.MakeToken(ctx, client.NewToken{Name: "tool"})
	return err
}

// An act goes again under the key of before, which a refusal names.
func TestKeyOfBefore(t *testing.T) {
	var keys []string
	_, c := registryOf(t, "", func(w http.ResponseWriter, r *http.Request) {
		keys = append(keys, r.Header.Get("Idempotency-Key"))
		w.WriteHeader(http.StatusUnprocessableEntity)
	})
	_, err := c.Propose(t.Context(), client.Submission{Map: []byte(fen)})
	if client.Refused(err) == nil || client.Refused(err).Key != keys[0] {
		t.Fatalf("%v, keys %q", err, keys)
	}
	if _, err = c.Propose(client.WithKey(t.Context(), keys[0]), client.Submission{Map: []byte(fen)}); err == nil ||
		keys[1] != keys[0] {
		t.Errorf("%v, keys %q", err, keys)
	}
}

// A map that was withdrawn must not come back from the cache where there is no
// network; what two registries say under one path are two things; what is one
// account's own is kept nowhere; a file that was damaged counts as none.
func TestWhatIsKept(t *testing.T) {
	dir := t.TempDir()
	var withdrawn atomic.Bool
	one, c := registryOf(t, dir, func(w http.ResponseWriter, r *http.Request) {
		switch {
		case withdrawn.Load():
			w.WriteHeader(http.StatusGone)
		case r.URL.Path == "/v1/account":
			_, _ = io.WriteString(w, `{"scope":"all"}`)
		default:
			_, _ = io.WriteString(w, fen)
		}
	})
	another, other := registryOf(t, dir, func(w http.ResponseWriter, _ *http.Request) {
		_, _ = io.WriteString(w, `{"board":"fen-a","name":"Another"}`)
	})
	if _, err := c.Map(t.Context(), "fen-a", ""); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Account(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := other.Map(t.Context(), "fen-a", ""); err != nil {
		t.Fatal(err)
	}
	files, err := os.ReadDir(dir)
	if err != nil || len(files) != 2 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	another.Close()
	if m, err := other.Map(t.Context(), "fen-a", ""); err != nil || m.Value.Name != "Another" || !m.Fresh.Kept {
		t.Errorf("%+v, %v", m, err)
	}
	for _, f := range files {
		if err := os.Truncate(filepath.Join(dir, f.Name()), 200); err != nil {
			t.Fatal(err)
		}
	}
	if m, err := other.Map(t.Context(), "fen-a", ""); err == nil || !client.Unreachable(err) {
		t.Errorf("of a damaged file: %+v, %v", m, err)
	}
	if _, err := c.Map(t.Context(), "fen-a", ""); err != nil {
		t.Fatal(err)
	}
	withdrawn.Store(true)
	if _, err := c.Map(t.Context(), "fen-a", ""); client.Refused(err) == nil {
		t.Fatalf("%v", err)
	}
	one.Close()
	if m, err := c.Map(t.Context(), "fen-a", ""); err == nil {
		t.Errorf("a withdrawn map comes back: %+v", m)
	}
}

// A cache that can't be written is told of, and costs no answer.
func TestCacheThatCannotBeWritten(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "cache")
	var troubles atomic.Int32
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		_,
			_ = io.WriteString(w, fen)
	}))
	t.Cleanup(s.Close)
	c, err := client.New(s.URL, client.Options{Cache: dir, Trouble: func(error) { troubles.Add(1) }})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	if m, err := c.Map(t.Context(), "fen-a", ""); err != nil || m.Value.Name != "Main board" || troubles.Load() != 1 {
		t.Errorf("%+v, %v, %d troubles", m, err, troubles.Load())
	}
}

func TestAddresses(t *testing.T) {
	for _, address := range []string{"", "maps.example.org", "ftp://maps.example.org", "https://",
		"https://u:p@maps.example.org", "https://maps.example.org/?q=1"} {
		if _, err := client.New(address, client.Options{}); err == nil {
			t.Errorf("%q is taken as an address", address)
		}
	}
	if c, err := client.New("https://maps.example.org/v1/", client.Options{}); err != nil ||
		c.Address() != "https://maps.example.org" {
		t.Errorf("%v, %v", c, err)
	}
}

// Events come as they happen, once each, and go on where the registry was away
// for a moment.
func TestWatch(t *testing.T) {
	var asked []string
	_, c := registryOf(t, "", func(w http.ResponseWriter, r *http.Request) {
		asked = append(asked, r.URL.Query().Get("after")+" "+r.Header.Get("Prefer"))
		switch len(asked) {
		case 1:
			_, _ = io.WriteString(w, `{"events":[{"id":4},{"id":5}],"last":5}`)
		case 2:
			cut(t, w)
		case 3:
			_, _ = io.WriteString(w, `{"events":[],"last":9}`)
		default:
			_, _ = io.WriteString(w, `{"events":[{"id":10}],"last":10}`)
		}
	})
	var ids []int64
	for e, err := range c.Watch(t.Context(), "", client.EventFilter{After: 3}) {
		if err != nil {
			t.Fatal(err)
		}
		if ids = append(ids, e.ID); e.ID == 10 {
			break
		}
	}
	if !slices.Equal(ids, []int64{4, 5, 10}) || !slices.Equal(asked, []string{"3 wait=25", "5 wait=25", "5 wait=25",
		"9 wait=25"}) {
		t.Errorf("events %v, asked %q", ids, asked)
	}
}
