package api

import (
	"net/http"
	"strings"
	"testing"
)

// TestWatched: an account's own feed has what happens to the boards and makers
// that it watches, for whoever knows its address, until that is made anew.
func TestWatched(t *testing.T) {
	f := serve(t)
	f.release1(t)
	other := strings.NewReplacer("fen-rx2-main", "oke-a1", "Fenwright", "Ökeby").Replace(sampleMap)
	f.ask(t, "ada", "POST", "/v1/proposals", `{"board":"oke-a1","base_revision":0,"map":`+other+`,"summary":"another"}`).
		want(t, 201, "")
	f.endorse(t, 2)
	const list = "/v1/account/watches"
	for body, code := range map[string]string{`{"board":"nowhere"}`: "board-unknown", `{}`: "", `{"maker":" "}`: "watch-refused",
		`{"board":"oke-a1","maker":"x"}`: ""} {
		if a := f.ask(t, "eve", "POST", list, body); a.status < 400 || code != "" && a.doc["code"] != code {
			t.Errorf("%s: %d %s", body, a.status, a.body)
		}
	}
	made := f.ask(t, "eve", "POST", "/v1/account/feed", "").want(t, 201, "")
	address := strings.TrimPrefix(made.doc["address"].(string), f.URL)
	entries := func(who, address string) int {
		t.Helper()
		a := f.ask(t, who, "GET", address, "").want(t, 200, "")
		if cc := a.header.Get("Cache-Control"); !strings.Contains(cc, "private") {
			t.Errorf("a feed of one's own is cached as %q", cc)
		}
		return len(readFeed(t, a.body).all("entry"))
	}
	if n := entries("", address); n != 0 {
		t.Errorf("%d entries of nothing watched", n)
	}
	w := f.ask(t, "eve", "POST", list, `{"board":"fen-rx2-main"}`).want(t, 201, "")
	if again := f.ask(t, "eve", "POST", list, `{"board":"fen-rx2-main"}`).want(t, 201, ""); again.doc["id"] != w.doc["id"] {
		t.Errorf("watched twice: %s", again.body)
	}
	one := entries("", address)
	if one != 4 { // submitted, endorsed twice, released
		t.Errorf("%d entries of one board", one)
	}
	f.ask(t, "eve", "POST", list, `{"maker":"  okeby "}`).want(t, 201, "")
	if n := entries("", address+"&what=released"); n != 2 {
		t.Errorf("%d releases of a board and a maker", n)
	}
	f.ask(t, "sue", "POST", "/v1/boards/fen-rx2-main/move", `{"to":"fen-rx3"}`).want(t, 200, "")
	f.ask(t, "eve", "DELETE", w.header.Get("Location"), "").want(t, 204, "")
	f.ask(t, "eve", "DELETE", w.header.Get("Location"), "").want(t, 404, "watch-unknown")
	f.ask(t, "eve", "POST", list, `{"board":"fen-rx3"}`).want(t, 201, "")
	if n := entries("", address); n != one+5 {
		t.Errorf("%d entries of a moved board and a maker", n)
	}
	if a := f.ask(t, "ada", "GET", list, ""); len(a.doc["watches"].([]any)) != 0 {
		t.Errorf("another's list: %s", a.body)
	}
	if a := f.ask(t, "eve", "GET", list, ""); len(a.doc["watches"].([]any)) != 2 || a.doc["feed_made_at"] == nil ||
		strings.Contains(string(a.body), "feed=") {
		t.Errorf("one's own list: %s", a.body)
	}
	anew := f.ask(t, "eve", "POST", "/v1/account/feed", "").want(t, 201, "")
	f.ask(t, "", "GET", address, "").want(t, http.StatusNotFound, "feed-unknown")
	address = strings.TrimPrefix(anew.doc["address"].(string), f.URL)
	entries("rob", address)
	f.ask(t, "eve", "DELETE", "/v1/account/feed", "").want(t, 204, "")
	f.ask(t, "", "GET", address, "").want(t, 404, "feed-unknown")
	f.ask(t, "", "GET", "/v1/watched.atom", "").want(t, 404, "feed-unknown")
}
