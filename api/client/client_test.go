package client_test

import (
	"io"
	"net/http"
	"net/http/httptest"
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
		if m, fresh, err := c.Map(t.Context(), "fen-a", ""); err != nil || m.Name != "Main board" || fresh.Kept {
			t.Fatalf("%+v, %+v, %v", m, fresh, err)
		}
	}
	if asked.Load() != 2 || unchanged.Load() != 1 {
		t.Errorf("asked %d times, %d unchanged", asked.Load(), unchanged.Load())
	}
	if _, _, err := c.Map(t.Context(), "fen-b", ""); client.Refused(err) == nil || client.Refused(err).Code != "withdrawn" {
		t.Errorf("a withdrawn map: %v", err)
	}
	s.Close()
	time.Sleep(2 * time.Millisecond)
	if m, fresh, err := c.Map(t.Context(), "fen-a", ""); err != nil || m.Name != "Main board" || !fresh.Kept || fresh.Age < time.Millisecond {
		t.Errorf("without a network: %+v, %+v, %v", m, fresh, err)
	}
	if _, _, err := c.Map(t.Context(), "fen-a", "other"); err == nil {
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
		if id, err := c.Propose(t.Context(), client.Submission{Board: "fen-a", Summary: "s"}); err != nil || id != 7 {
			t.Fatalf("%d, %v", id, err)
		}
	}
	if len(keys) != 4 || keys[0] == "" || keys[0] != keys[1] || keys[1] != keys[2] || keys[3] == keys[0] {
		t.Errorf("keys %q", keys)
	}
}
