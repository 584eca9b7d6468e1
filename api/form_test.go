package api

import (
	"encoding/csv"
	"net/http"
	"regexp"
	"strings"
	"testing"
)

// TestMapForms asks for a map as JSON, as a table of its positions, and in
// forms that there are none of.
func TestMapForms(t *testing.T) {
	f := serve(t)
	f.release1(t)
	digest := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "").header.Get("ETag")
	for _, path := range []string{"/v1/boards/fen-rx2-main/map", "/v1/boards/fen-rx2-main/revisions/1", "/v1/maps/" +
		strings.Trim(digest, `"`)} {
		for accept, want := range map[string]string{
			"": "application/json", "*/*": "application/json", "application/*": "application/json",
			"text/csv, application/json;q=0.5":                                "text/csv",
			"text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8": "application/json",
			"application/json": "application/json", "text/*": "text/csv",
		} {
			a := f.ask(t, "", "GET", path, "", "Accept", accept).want(t, 200, "")
			if media, _, _ := strings.Cut(a.header.Get("Content-Type"), ";"); media != want ||
				!strings.Contains(strings.Join(a.header.Values("Vary"), ","), "Accept") {
				t.Errorf("%s, Accept %q: %s, Vary %q", path, accept, media, a.header.Values("Vary"))
			}
			if tag := a.header.Get("ETag"); (tag == digest) != (want == "application/json") {
				t.Errorf("%s, Accept %q: tag %s", path, accept, tag)
			}
		}
		for _, accept := range []string{"application/pdf", "text/html", "application/json;q=0"} {
			f.ask(t, "", "GET", path, "", "Accept", accept).want(t, http.StatusNotAcceptable, "not-acceptable")
		}
	}
	a := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "", "Accept", "text/csv").want(t, 200, "")
	rows, err := csv.NewReader(strings.NewReader(string(a.body))).ReadAll()
	if err != nil || len(rows) != 3 || rows[0][0] != "designator" {
		t.Fatalf("%d rows, %v: %s", len(rows), err, a.body)
	}
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/parts-list", "", "Accept", "text/csv").want(t, 200, "")
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/parts-list?as=json", "", "Accept", "text/csv").want(t, 200, "")
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/parts-list", "", "Accept", "application/pdf").want(t, 406,
		"not-acceptable")
}

// TestTimesOfOneLength reads every time in several answers.
func TestTimesOfOneLength(t *testing.T) {
	f := serve(t)
	f.release1(t)
	times := regexp.MustCompile(`"(?:at|released_at|submitted_at|changed_at)":"([^"]*)"`)
	whole := regexp.MustCompile(`^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z$`)
	for _, path := range []string{"/v1/events", "/v1/boards", "/v1/boards/fen-rx2-main",
		"/v1/boards/fen-rx2-main/revisions", "/v1/proposals", "/v1/proposals/1",
		"/v1/boards/fen-rx2-main/map?envelope=true", "/v1/export"} {
		found := times.FindAllStringSubmatch(string(f.ask(t, "", "GET", path, "").want(t, 200, "").body), -1)
		if len(found) == 0 {
			t.Errorf("%s tells no time", path)
		}
		for _, m := range found {
			if !whole.MatchString(m[1]) {
				t.Errorf("%s: %s", path, m[1])
			}
		}
	}
}

// TestLinksOfAClosedProposal offers no act that would be refused.
func TestLinksOfAClosedProposal(t *testing.T) {
	f := serve(t)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "s")).want(t, 201, "")
	for _, path := range []string{"/v1/proposals/1", "/v1/proposals/1/reviews"} {
		if l := f.ask(t, "", "GET", path, "").doc["links"].(map[string]any); l["release"] == nil {
			t.Errorf("%s, open: %v", path, l)
		}
	}
	f.ask(t, "ada", "POST", "/v1/proposals/1/withdraw", "").want(t, 200, "")
	for _, path := range []string{"/v1/proposals/1", "/v1/proposals/1/reviews"} {
		l := f.ask(t, "", "GET", path, "").doc["links"].(map[string]any)
		for _, act := range []string{"release", "decline", "withdraw"} {
			if l[act] != nil {
				t.Errorf("%s, closed, offers %s", path, act)
			}
		}
	}
}
