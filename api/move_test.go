package api

import (
	"net/http"
	"strings"
	"testing"
)

// stay has a client show a redirect instead of following it.
func stay(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }

// TestMove follows an old ID to every address of a board.
func TestMove(t *testing.T) {
	f := serve(t)
	f.release1(t)
	f.Client().CheckRedirect = stay
	old := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/revisions/1", "").want(t, 200, "")
	for who, want := range map[string]int{"": 401, "ada": 403, "rob": 403} {
		f.ask(t, who, "POST", "/v1/boards/fen-rx2-main/move", `{"to":"fen-rx2-amp"}`).want(t, want, "")
	}
	f.ask(t, "sue", "POST", "/v1/boards/fen-rx2-main/move", `{"to":"Fen RX2"}`).want(t, 422, "")
	f.ask(t, "sue", "POST", "/v1/boards/no/move", `{"to":"fen-rx2-amp"}`).want(t, 404, "board-unknown")
	f.ask(t, "sue", "POST", "/v1/boards/fen-rx2-main/move",
		`{"to":"fen-rx2-amp","reason":"It is the amplifier."}`).want(t, 200, "")
	for _, c := range []struct{ method, path string }{
		{"GET", ""}, {"GET", "/map"}, {"GET", "/map?variant=x"}, {"GET", "/revisions"}, {"GET", "/revisions/1"},
		{"GET", "/drawing.svg?side=top&mark=C1"},
		{"GET", "/positions/C1/history"}, {"GET", "/events.atom"}, {"POST", "/reconciliations"}, {"HEAD", "/map"},
	} {
		a := f.ask(t, "", c.method, "/v1/boards/fen-rx2-main"+c.path, "")
		if want := "/v1/boards/fen-rx2-amp" + c.path; a.status != 308 || a.header.Get("Location") != want {
			t.Errorf("%s %s: %d to %q, want %q", c.method, c.path, a.status, a.header.Get("Location"), want)
		}
	}
	now := f.ask(t, "", "GET", "/v1/boards/fen-rx2-amp/revisions/1", "").want(t, 200, "")
	if string(now.body) != string(old.body) || now.header.Get("ETag") != old.header.Get("ETag") {
		t.Error("the revision's bytes or digest changed")
	}
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/nowhere", "").want(t, 404, "not-found")

	// The same map again under the freed name is the board's own: it is taken as such.
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "again")).want(t, 409, "board-exists")
}

// TestMerge holds that a number of a revision is never answered with another
// board's map.
func TestMerge(t *testing.T) {
	f := serve(t)
	f.release1(t)
	f.Client().CheckRedirect = stay
	second := strings.NewReplacer("fen-rx2-main", "fen-rx2-amp", "47 µF", "100 µF").Replace(sampleMap)
	f.ask(t, "ada", "POST", "/v1/proposals", strings.Replace(submission1("0", second, "second"), `"fen-rx2-main"`,
		`"fen-rx2-amp"`, 1)).want(t, 201, "")
	f.endorse(t, 2)
	old := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/revisions/1", "").want(t, 200, "")
	f.ask(t, "sue", "POST", "/v1/boards/fen-rx2-main/move", `{"to":"fen-rx2-amp"}`).want(t, 200, "")
	a := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/revisions/1", "").want(t, 308, "")
	at := a.header.Get("Location")
	if at != "/v1/boards/fen-rx2-amp/revisions/1?of=fen-rx2-main" {
		t.Fatalf("leads to %s", at)
	}
	if now := f.ask(t, "", "GET", at, "").want(t, 200, ""); string(now.body) != string(old.body) {
		t.Error("another map under the old number")
	}
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-amp/revisions/1?of=other", "").want(t, 404, "board-unknown")
	a = f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/drawing.svg?revision=1", "").want(t, 308, "")
	f.ask(t, "", "GET", a.header.Get("Location"), "").want(t, 400, "parameter-invalid")
	if m := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "").want(t, 308,
		""); m.header.Get("Location") != "/v1/boards/fen-rx2-amp/map" {
		t.Errorf("the map leads to %s", m.header.Get("Location"))
	}
}
