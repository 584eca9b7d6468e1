package api

import (
	"strings"
	"testing"
)

// TestPathCharacters: a designator may hold whatever a board has printed beside
// its parts; however a client escapes it, the same position is found.
func TestPathCharacters(t *testing.T) {
	f := serve(t)
	m := strings.NewReplacer(`"C1"`, `"C1/2"`, `"R1"`, `"Ü%1?"`).Replace(sampleMap)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", m, "first")).want(t, 201, "")
	f.endorse(t, 1)
	under := "/v1/boards/fen-rx2-main/positions/"
	for path, want := range map[string]string{
		"C1%2F2":        "C1/2",
		"%43%31%2f%32":  "C1/2",
		"%C3%9C%251%3F": "Ü%1?",
	} {
		if a := f.ask(t, "", "GET", under+path+"/history", "").want(t, 200, ""); a.doc["designator"] != want {
			t.Errorf("%s is read as %v, want %s", path, a.doc["designator"], want)
		}
	}
	f.ask(t, "", "GET", "/v1/boards/%66en-rx2-main", "").want(t, 200, "")
	for _, odd := range []string{"C1%00", "%ff", "C1%0A", strings.Repeat("C", 2000), "C1/2"} {
		f.ask(t, "", "GET", under+odd+"/history", "").want(t, 404, "")
	}
}
