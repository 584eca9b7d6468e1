package api

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"
)

// TestPreferWait reads the preference as RFC 7240, section 2 and 4.3, has it:
// the examples of the RFC, what several say, and what says nothing.
func TestPreferWait(t *testing.T) {
	for value, want := range map[string]time.Duration{
		"respond-async, wait=10":    10 * time.Second, // section 4.3
		"wait=10":                   10 * time.Second,
		`Wait = "7"; x=1`:           7 * time.Second,
		"respond-async":             0,
		"wait=3, wait=9":            3 * time.Second, // section 2: the first counts
		"wait=-1":                   0,
		"wait=soon":                 0,
		"wait":                      0,
		"wait=99999999999999999999": 0,
		"wait=3600":                 longestWait,
	} {
		if got := preferredWait(http.Header{"Prefer": {value}}); got != want {
			t.Errorf("Prefer: %s waits %v, want %v", value, got, want)
		}
	}
	if got := preferredWait(http.Header{"Prefer": {"return=minimal", "wait=5"}}); got != 5*time.Second {
		t.Errorf("two header lines wait %v", got)
	}
}

// TestEventsGoOn reads the log by its last cursor: nothing is missed and
// nothing comes twice, with pages, kinds and boards, and also at the end.
func TestEventsGoOn(t *testing.T) {
	f := serve(t)
	if a := f.ask(t, "", "GET", "/v1/events?after=0&what=released", "").want(t, 200, ""); a.doc["last"] == nil ||
		len(a.doc["events"].([]any)) != 0 {
		t.Errorf("before anything was released: %s", a.body)
	}
	f.release1(t)
	var all []float64
	after := 0.0
	for range 50 {
		a := f.ask(t, "", "GET", fmt.Sprintf("/v1/events?after=%v&limit=2", after), "").want(t, 200, "")
		for _, e := range a.doc["events"].([]any) {
			all = append(all, e.(map[string]any)["id"].(float64))
		}
		last := a.doc["last"].(float64)
		if last == after {
			break
		}
		after = last
	}
	for i := range all {
		if all[i] != float64(i+1) {
			t.Fatalf("events %v", all)
		}
	}
	if int(after) != len(all) {
		t.Errorf("%d events, and the last cursor is %v", len(all), after)
	}
	released := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/events?what=released&what=declined", "").want(t, 200, "")
	if n := len(released.doc["events"].([]any)); n != 1 || released.doc["last"] != after {
		t.Errorf("%d releases, last %v", n, released.doc["last"])
	}
	f.ask(t, "", "GET", "/v1/events?what=relased", "").want(t, 400, "parameter-invalid")
	f.ask(t, "", "GET", "/v1/events?after=x", "").want(t, 400, "parameter-invalid")
}

// TestEventsWait asks for what has not happened yet.
func TestEventsWait(t *testing.T) {
	f := serve(t)
	f.release1(t)
	last := f.ask(t, "", "GET", "/v1/events", "").doc["last"]
	path := fmt.Sprintf("/v1/events?after=%v&what=submitted", last)
	began := time.Now()
	a := f.ask(t, "", "GET", path, "", "Prefer", "wait=1").want(t, 200, "")
	if took := time.Since(began); took < time.Second || a.header.Get("Preference-Applied") != "wait=1" ||
		len(a.doc["events"].([]any)) != 0 {
		t.Errorf("took %v, applied %q: %s", took, a.header.Get("Preference-Applied"), a.body)
	}
	if vary := strings.Join(a.header.Values("Vary"), ","); !strings.Contains(vary, "Prefer") {
		t.Errorf("Vary %q", vary)
	}
	got := make(chan answer, 1)
	go func() { got <- f.ask(t, "", "GET", path, "", "Prefer", "wait=20") }()
	time.Sleep(300 * time.Millisecond) // so that it waits before anything happens
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, `"47 µF"`, `"100 µF"`, 1),
		"s")).want(t, 201, "")
	select {
	case a := <-got:
		if e := a.doc["events"].([]any); len(e) != 1 || e[0].(map[string]any)["what"] != "submitted" {
			t.Errorf("waited for a submission: %s", a.body)
		}
	case <-time.After(5 * time.Second):
		t.Error("a submission woke nobody who waited for it")
	}
	began = time.Now()
	f.ask(t, "", "HEAD", "/v1/events?after=999999", "", "Prefer", "wait=20")
	if took := time.Since(began); took > 5*time.Second {
		t.Errorf("HEAD waited %v", took)
	}
}

// TestWaitsAreFew fills the places of one caller: the next is answered at once,
// and told that nothing was waited for.
func TestWaitsAreFew(t *testing.T) {
	var w waits
	for i := range waitsForOne {
		if !w.begin("a") {
			t.Fatalf("no place for wait %d", i)
		}
	}
	if w.begin("a") {
		t.Error("more waits than one caller has places")
	}
	for i := range waitsInAll - waitsForOne {
		if !w.begin(fmt.Sprint("b", i)) {
			t.Fatalf("no place for caller %d", i)
		}
	}
	if w.begin("c") {
		t.Error("more waits than there are places")
	}
	w.end("a")
	if !w.begin("c") {
		t.Error("a place that was given back is not there")
	}
}
