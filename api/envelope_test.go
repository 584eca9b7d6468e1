package api

import (
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
)

// A map in its envelope says which it is, and comes back as a submission
// against just that revision, also with the map edited.
func TestEnvelope(t *testing.T) {
	f := serve(t)
	f.release1(t)
	a := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map?envelope=true", "").want(t, 200, "")
	m := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "").want(t, 200, "")
	if a.doc["board"] != "fen-rx2-main" || a.doc["revision"] != 1.0 || a.doc["digest"] != hash(m.body) ||
		a.doc["schema"] != "/v1/schemas/map" ||
		!strings.HasPrefix(a.doc["server"].(string), "http://127.0.0.1") || a.doc["variant"] != nil {
		t.Errorf("%s", a.body)
	}
	if a.header.Get("ETag") == m.header.Get("ETag") || !strings.HasPrefix(a.header.Get("ETag"),
		strings.TrimSuffix(m.header.Get("ETag"), `"`)) {
		t.Errorf("tag %s beside %s", a.header.Get("ETag"), m.header.Get("ETag"))
	}
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/revisions/1?envelope=true", "").want(t, 200, "")
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map?envelope=perhaps", "").want(t, 400, "")
	edited := strings.Replace(string(a.body), `"x_mm":60`, `"x_mm":61`, 1)
	f.ask(t, "", "POST", "/v1/maps/check", edited).want(t, 200, "")
	p := f.ask(t, "ada", "POST", "/v1/proposals", `{"board":"fen-rx2-main","summary":"moved","map":`+edited+`}`).want(t,
		201, "")
	d := f.ask(t, "", "GET", p.header.Get("Location"), "").want(t, 200, "")
	if d.doc["base_revision"] != 1.0 {
		t.Errorf("base %v", d.doc["base_revision"])
	}
	f.ask(t, "ada", "POST", "/v1/proposals", `{"board":"fen-rx2-main","base_revision":2,"summary":"moved","map":`+
		edited+`}`).want(t, 422, "submission-invalid")
	f.ask(t, "ada", "PUT", p.header.Get("Location")+"/map", strings.Replace(string(a.body), `"x_mm":60`, `"x_mm":62`,
		1), "If-Match", d.header.Get("ETag")).want(t, 200, "")
}

// A submission for a board that is known says what it was made from; the
// newest revision is never taken for it.
func TestBaseIsAsked(t *testing.T) {
	f := serve(t)
	bare := strings.Replace(submission1("0", sampleMap, "first"), `"base_revision":0,`, "", 1)
	f.ask(t, "ada", "POST", "/v1/proposals", bare).want(t, 201, "") // a new board
	f.endorse(t, 1)
	moved := strings.Replace(bare, `"x_mm":60`, `"x_mm":61`, 1)
	a := f.ask(t, "ada", "POST", "/v1/proposals", moved).want(t, 422, "submission-invalid")
	if e := a.doc["errors"].([]any)[0].(map[string]any); e["pointer"] != "/base_revision" {
		t.Errorf("%s", a.body)
	}
}

// A map without a base is recognised by the digest that its envelope names, or
// by its own; never by the number that another registry gave it, and never
// where the envelope is of another board.
func TestBaseIsRecognised(t *testing.T) {
	f := serve(t)
	f.release1(t)
	first := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map?envelope=true", "").want(t, 200, "")
	second := strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":61`, 1)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", second, "moved")).want(t, 201, "")
	f.endorse(t, 2)
	digest := first.doc["digest"].(string)
	edited := func(envelope, was, now string) string {
		return `{"board":"fen-rx2-main","summary":"moved again","map":{` + envelope + `"map":` +
			strings.Replace(sampleMap, was, now, 1) + `}}`
	}
	for name, c := range map[string]struct {
		in   string
		base float64 // 0 where it has to be asked
	}{
		"by the digest alone": {edited(`"digest":"`+digest+`",`, `"x_mm":60`, `"x_mm":59`), 1},
		"by the digest and its number": {edited(`"board":"fen-rx2-main","revision":1,"digest":"`+digest+`",`,
			`"x_mm":60`, `"x_mm":58`), 1},
		"by its number": {edited(`"board":"fen-rx2-main","revision":1,`, `"x_mm":60`, `"x_mm":57`), 1},
		"another registry's number": {edited(`"board":"fen-rx2-main","revision":1,"digest":"`+
			strings.Repeat("0", 64)+`",`, `"x_mm":60`, `"x_mm":56`), 0},
		"another board's envelope": {edited(`"board":"fen-rx3-main","revision":1,`, `"x_mm":60`, `"x_mm":55`), 0},
		"edited, in nothing": {`{"board":"fen-rx2-main","summary":"moved again","map":` +
			strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":54`, 1) + `}`, 0},
		"said, and the envelope another": {`{"base_revision":2,` + edited(`"revision":2,"digest":"`+
			strings.Repeat("0", 64)+`",`, `"x_mm":60`, `"x_mm":53`)[1:], 0},
	} {
		t.Run(name, func(t *testing.T) {
			a := f.ask(t, "ada", "POST", "/v1/proposals", c.in)
			if c.base == 0 {
				a.want(t, 422, "submission-invalid")
				if e := a.doc["errors"].([]any)[0].(map[string]any); e["pointer"] != "/base_revision" {
					t.Errorf("%s", a.body)
				}
				return
			}
			if d := f.ask(t, "", "GET", a.want(t, 201, "").header.Get("Location"),
				""); d.doc["base_revision"] != c.base {
				t.Errorf("base %v", d.doc["base_revision"])
			}
		})
	}
	f.ask(t, "ada", "POST", "/v1/proposals", `{"board":"fen-rx2-main","summary":"as it was","map":`+sampleMap+
		`}`).want(t, 422, "no-difference")
}

// The same submission twice, without a key, is one proposal.
func TestAlikeIsOne(t *testing.T) {
	f := serve(t)
	in := submission1("0", sampleMap, "first")
	first := f.ask(t, "ada", "POST", "/v1/proposals", in).want(t, 201, "").doc["id"]
	if again := f.ask(t, "ada", "POST", "/v1/proposals", in).want(t, 201, "").doc["id"]; again != first {
		t.Errorf("%v, then %v", first, again)
	}
	if other := f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "second")).want(t, 201,
		"").doc["id"]; other == first {
		t.Error("another summary is the same proposal")
	}
	if eve := f.ask(t, "eve", "POST", "/v1/proposals", in).want(t, 201, "").doc["id"]; eve == first {
		t.Error("another's submission is answered with this one")
	}
	if keyed := f.ask(t, "ada", "POST", "/v1/proposals", in, "Idempotency-Key", "k").want(t, 201,
		"").doc["id"]; keyed == first {
		t.Error("a key of its own asks for an act of its own")
	}
}

// A map made for one build says so, and is no submission.
func TestMapOfVariant(t *testing.T) {
	f := serve(t)
	both := strings.TrimSuffix(sampleMap, "}") +
		`,"variants":[{"variant":"late","title":"Late","identified_by":"Label","changes":[{"omit":"R1"}]}]}`
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", both, "first")).want(t, 201, "")
	f.endorse(t, 1)
	base := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "").want(t, 200, "")
	late := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map?variant=late", "").want(t, 200, "")
	if late.doc["variant"] != "late" || late.doc["of"] != hash(base.body) || base.doc["variant"] != nil {
		t.Errorf("%s", late.body)
	}
	for _, m := range []string{string(late.body),
		string(f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map?variant=late&envelope=true", "").body)} {
		a := f.ask(t, "ada", "POST", "/v1/proposals", `{"board":"fen-rx2-main","base_revision":1,"summary":"x","map":`+
			m+`}`).want(t, 422, "map-refused")
		if !strings.Contains(string(a.body), "map-of-variant") {
			t.Errorf("%s", a.body)
		}
		f.ask(t, "", "POST", "/v1/maps/check", m).want(t, 422, "map-refused")
	}
}

func TestMapByDigest(t *testing.T) {
	f := serve(t)
	f.release1(t)
	m := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "").want(t, 200, "")
	a := f.ask(t, "", "GET", "/v1/maps/"+hash(m.body), "").want(t, 200, "")
	if string(a.body) != string(m.body) || a.header.Get("Content-Location") != "/v1/boards/fen-rx2-main/revisions/1" {
		t.Errorf("%v %s", a.header, a.body)
	}
	e := f.ask(t, "", "GET", "/v1/maps/"+hash(m.body)+"?envelope=true", "").want(t, 200, "")
	var in struct{ Revision int }
	if err := json.Unmarshal(e.body, &in, json.MatchCaseInsensitiveNames(true)); err != nil || in.Revision != 1 {
		t.Errorf("%s: %v", e.body, err)
	}
	f.ask(t, "", "GET", "/v1/maps/"+strings.Repeat("0", 64), "").want(t, 404, "map-unknown")
	f.ask(t, "", "GET", "/v1/maps/C1", "").want(t, 404, "map-unknown")
}
