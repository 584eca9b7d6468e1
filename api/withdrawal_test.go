package api

import (
	"strings"
	"testing"
)

const dangerous = `{"reason":"R1 stands where F1 belongs.","kind":"dangerous"}`

// TestWithdrawal goes to every address at which a revision can be named after
// it was withdrawn, and after no revision is left.
func TestWithdrawal(t *testing.T) {
	f := serve(t)
	f.release1(t)
	second := strings.Replace(sampleMap, "4.7 kΩ", "4.7 Ω", 1)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", second, "second")).want(t, 201, "")
	f.endorse(t, 2)

	const under = "/v1/boards/fen-rx2-main"
	for who, want := range map[string]int{"": 401, "ada": 403, "rob": 403} {
		f.ask(t, who, "POST", under+"/revisions/2/withdrawal", dangerous).want(t, want, "")
	}
	f.ask(t, "sue", "POST", under+"/revisions/3/withdrawal", dangerous).want(t, 404, "revision-unknown")
	f.ask(t, "sue", "POST", under+"/revisions/2/withdrawal", `{"reason":"x"}`).want(t, 422, "request-refused")
	f.ask(t, "sue", "POST", under+"/revisions/2/withdrawal", `{"reason":"  ","kind":"dangerous"}`).want(t, 422,
		"withdrawal-invalid")
	a := f.ask(t, "sue", "POST", under+"/revisions/2/withdrawal", dangerous, "Idempotency-Key", "w").want(t, 200, "")
	if a.doc["current"] != 1.0 || a.doc["revision"] != 2.0 || a.doc["kind"] != "dangerous" {
		t.Errorf("receipt %s", a.body)
	}
	f.ask(t, "sue", "POST", under+"/revisions/2/withdrawal", dangerous, "Idempotency-Key", "w").want(t, 200, "")
	f.ask(t, "sue", "POST", under+"/revisions/2/withdrawal", dangerous).want(t, 409, "already-withdrawn")

	named := []string{"/revisions/2", "/drawing.svg?revision=2", "/differences?from=1&to=2", "/differences?from=2"}
	for _, path := range named {
		g := f.ask(t, "", "GET", under+path, "", "If-None-Match", "*").want(t, 410, "withdrawn")
		data, _ := g.doc["data"].(map[string]any)
		if !strings.Contains(g.doc["detail"].(string), "R1 stands where F1 belongs") || data["current"] != 1.0 {
			t.Errorf("%s: %s", path, g.body)
		}
	}
	f.ask(t, "", "POST", under+"/reconciliations", `{"revision":2,"kit":{"kit":"k","title":"t","lines":[]}}`).want(t,
		410, "withdrawn")
	f.ask(t, "", "GET", "/v1/proposals/2/map", "").want(t, 410, "withdrawn")
	m := f.ask(t, "", "GET", under+"/map", "").want(t, 200, "")
	if m.header.Get("Content-Location") != under+"/revisions/1" {
		t.Errorf("current is %s", m.header.Get("Content-Location"))
	}
	if b := f.ask(t, "", "GET", under, "").want(t, 200, ""); b.doc["revision"] != 1.0 ||
		len(b.doc["withdrawn"].([]any)) != 1 {
		t.Errorf("summary %s", b.body)
	}
	if l := f.ask(t, "", "GET", under+"/revisions", "").want(t, 200, ""); !strings.Contains(string(l.body),
		`"withdrawn":{"kind":"dangerous"`) {
		t.Errorf("history %s", l.body)
	}
	if e := f.ask(t, "", "GET", under+"/events.atom", "").want(t, 200, ""); !strings.Contains(string(e.body),
		"Revision 2 of fen-rx2-main was withdrawn as dangerous") {
		t.Errorf("feed %s", e.body)
	}

	f.ask(t, "sue", "POST", under+"/revisions/1/withdrawal",
		`{"reason":"By order of a court.","kind":"illegal"}`).want(t, 200, "")
	for _, path := range []string{"", "/map", "/revisions/1", "/drawing.svg"} {
		f.ask(t, "", "GET", under+path, "").want(t, 451, "withdrawn-by-law")
	}
	f.ask(t, "", "GET", under+"/revisions", "").want(t, 200, "")
	f.ask(t, "", "GET", under+"/events.atom", "").want(t, 200, "")
	f.ask(t, "", "GET", "/v1/proposals/1", "").want(t, 451, "withdrawn-by-law")
}

// TestDiscipline has a steward disable an author and enable them again, by the
// routes, and reads the acts.
func TestDiscipline(t *testing.T) {
	f := serve(t)
	f.release1(t)
	f.ask(t, "eve", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, "47 µF", "100 µF", 1),
		"eve's")).want(t, 201, "")
	number := map[string]string{}
	for _, a := range f.ask(t, "sue", "GET", "/v1/accounts", "").want(t, 200, "").doc["accounts"].([]any) {
		a := a.(map[string]any)
		number[a["name"].(string)] = strings.TrimSuffix(a["links"].(map[string]any)["disable"].(string), "/disable")
	}
	f.ask(t, "rob", "POST", number["eve"]+"/disable", `{"reason":"x"}`).want(t, 403, "role-needed")
	f.ask(t, "sue", "POST", number["sue"]+"/disable", "").want(t, 409, "last-steward")
	f.ask(t, "sue", "POST", number["eve"]+"/disable", `{"reason":"Floods the desk."}`).want(t, 200, "")
	if l := f.ask(t, "", "GET", "/v1/proposals?state=open", "").want(t, 200, ""); len(l.doc["proposals"].([]any)) != 0 {
		t.Errorf("still on the desk: %s", l.body)
	}
	p := f.ask(t, "", "GET", "/v1/proposals/2", "").want(t, 200, "")
	if p.doc["suspended"] != true {
		t.Errorf("not told: %s", p.body)
	}
	f.ask(t, "rob", "POST", "/v1/proposals/2/decline", `{"reason":"no"}`, "If-Match", p.header.Get("ETag")).want(t, 409,
		"proposal-suspended")
	f.ask(t, "eve", "GET", "/v1/boards", "").want(t, 401, "token-invalid")
	f.ask(t, "rob", "GET", "/v1/acts", "").want(t, 403, "role-needed")
	acts := f.ask(t, "sue", "GET", "/v1/acts", "").want(t, 200, "").doc["acts"].([]any)
	if a := acts[0].(map[string]any); a["who"] != "sue" || a["account"] != "eve" || a["why"] != "Floods the desk." ||
		a["what"] != "account-disabled" {
		t.Errorf("act %v", a)
	}
	if e := f.ask(t, "", "GET", "/v1/events", "").want(t, 200, ""); strings.Contains(string(e.body), "Floods") ||
		strings.Contains(string(e.body), `"account":`) {
		t.Errorf("public: %s", e.body)
	}
	f.ask(t, "sue", "POST", number["eve"]+"/enable", "").want(t, 200, "")
	f.ask(t, "eve", "GET", "/v1/boards", "").want(t, 200, "")
	f.ask(t, "sue", "POST", number["eve"]+"/role", `{"role":"reviewer"}`).want(t, 200, "")
	f.ask(t, "sue", "POST", number["eve"]+"/erasure", "").want(t, 200, "")
	f.ask(t, "sue", "POST", number["eve"]+"/enable", "").want(t, 409, "already-erased")
	if p := f.ask(t, "", "GET", "/v1/proposals?author=eve", "").want(t, 200, ""); len(p.doc["proposals"].([]any)) != 0 {
		t.Errorf("the name is still there: %s", p.body)
	}
}
