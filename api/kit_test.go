package api

import (
	"bytes"
	"strings"
	"testing"
)

const sampleKit = `{"kit":"rx2-caps","title":"Capacitors","lines":[{"line":1,"quantity":1,"part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"47 µF","voltage":"16 V","polarised":true}}]}`

func TestKits(t *testing.T) {
	f := serve(t)
	f.release1(t)
	f.ask(t, "ada", "PUT", "/v1/kits/rx2-caps", sampleKit).want(t, 201, "")
	f.ask(t, "ada", "PUT", "/v1/kits/rx2-caps", sampleKit).want(t, 200, "")
	k := f.ask(t, "", "GET", "/v1/kits/rx2-caps", "").want(t, 200, "")
	if k.header.Get("ETag") != `"`+hash(k.body)+`"` {
		t.Errorf("ETag %s does not name the kit", k.header.Get("ETag"))
	}
	f.ask(t, "ada", "PUT", "/v1/kits/rx2-caps", strings.Replace(sampleKit, "Capacitors", "Others", 1), "If-Match",
		`"x"`).want(t, 412, "")
	f.ask(t, "ada", "PUT", "/v1/kits/rx2-caps", `{"title":"x"}`).want(t, 422, "")

	r := f.ask(t, "", "POST", "/v1/boards/fen-rx2-main/reconciliations?pairs=true", `{"kit":`+sampleKit+`}`).want(t,
		200, "")
	if r.doc["outcome"] != "complete" || r.doc["pairs"] == nil {
		t.Errorf("a kit of the wanted part is not complete: %s", r.body)
	}
	kept := f.ask(t, "", "POST", "/v1/boards/fen-rx2-main/reconciliations?pairs=true", `{"kit":"rx2-caps"}`).want(t,
		200, "")
	if !bytes.Equal(r.body, kept.body) {
		t.Errorf("the kept kit is reconciled otherwise:\n%s%s", r.body, kept.body)
	}
	f.ask(t, "", "POST", "/v1/boards/fen-rx2-main/reconciliations", `{"kit":"none"}`).want(t, 404, "kit-unknown")
	f.ask(t, "", "POST", "/v1/boards/fen-rx2-main/reconciliations", `{"scope":"some","kit":"rx2-caps"}`).want(t, 422,
		"request-refused")
}

func TestDifferences(t *testing.T) {
	f := serve(t)
	f.release1(t)
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/differences", "").want(t, 404, "revision-unknown")
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":70`, 1),
		"moved")).want(t, 201, "")
	f.ask(t, "rob", "POST", "/v1/proposals/2/release", "").want(t, 409, "endorsement-needed")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	f.ask(t, "rob", "POST", "/v1/proposals/2/release", "").want(t, 200, "")
	f.ask(t, "rob", "POST", "/v1/proposals/2/release", "").want(t, 409, "proposal-closed")
	d := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/differences?from=1&to=2", "").want(t, 200, "")
	if !bytes.Contains(d.body, []byte(`"kind":"moved","designator":"R1"`)) {
		t.Errorf("R1 moved: %s", d.body)
	}
	for as, media := range map[string]string{"text": "text/plain", "json-patch": "application/json-patch+json",
		"svg": "image/svg+xml"} {
		a := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/differences?from=1&to=2&as="+as, "", "Accept-Encoding",
			"identity")
		if a.status != 200 || !strings.HasPrefix(a.header.Get("Content-Type"), media) || len(a.body) == 0 {
			t.Errorf("as=%s: %d %s", as, a.status, a.header.Get("Content-Type"))
		}
	}
}
