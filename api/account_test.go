package api

import (
	"fmt"
	"strings"
	"testing"
)

// TestTokens has an owner make, use and revoke tokens, each of which may no
// more than its scope says.
func TestTokens(t *testing.T) {
	f := serve(t)
	f.release1(t)
	made := func(who, body string) (id, token string) {
		t.Helper()
		a := f.ask(t, who, "POST", "/v1/account/tokens", body).want(t, 201, "")
		f.token["made"] = a.doc["token"].(string)
		return a.header.Get("Location"), f.token["made"]
	}
	readOnly, _ := made("rob", `{"name":"wall display","scope":"read","days":30}`)
	f.ask(t, "made", "GET", "/v1/boards", "").want(t, 200, "")
	if a := f.ask(t, "made", "GET", "/v1/account", "").want(t, 200, ""); a.doc["scope"] != "read" ||
		a.doc["name"] != "rob" {
		t.Errorf("account %s", a.body)
	}
	f.ask(t, "made", "POST", "/v1/proposals", "{}").want(t, 403, "role-needed")
	f.ask(t, "made", "POST", "/v1/account/tokens", `{"name":"more"}`).want(t, 403, "role-needed")

	_, _ = made("sue", `{"name":"importer","scope":"contribute"}`)
	f.ask(t, "made", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, "47 µF", "100 µF", 1),
		"by a tool")).want(t, 201, "")
	f.ask(t, "made", "GET", "/v1/acts", "").want(t, 403, "role-needed")
	f.ask(t, "made", "POST", "/v1/account/tokens", `{"name":"more"}`).want(t, 403, "scope-needed")

	l := f.ask(t, "rob", "GET", "/v1/account/tokens", "").want(t, 200, "")
	if n := len(l.doc["tokens"].([]any)); n != 2 || strings.Contains(string(l.body), `"token":`) {
		t.Errorf("tokens %s", l.body)
	}
	f.ask(t, "eve", "DELETE", readOnly, "").want(t, 404, "token-unknown")
	f.ask(t, "rob", "DELETE", readOnly, "").want(t, 204, "")
	f.ask(t, "rob", "DELETE", readOnly, "").want(t, 404, "token-unknown")
	for _, body := range []string{`{"name":" "}`, `{"name":"x","scope":"everything"}`, `{"name":"x","days":0}`,
		`{"name":"x","days":99999}`, `{}`} {
		f.ask(t, "rob", "POST", "/v1/account/tokens", body).want(t, 422, "")
	}
}

// TestJoining has people join by a link, and without one where a steward
// allows that.
func TestJoining(t *testing.T) {
	f := serve(t)
	const me = `{"name":"wren","accept_terms":true}`
	f.ask(t, "", "POST", "/v1/join", me).want(t, 403, "sign-up-closed")
	f.ask(t, "rob", "POST", "/v1/invitations", `{}`).want(t, 403, "role-needed")
	f.ask(t, "sue", "POST", "/v1/invitations", `{"role":"steward"}`).want(t, 422, "")
	a := f.ask(t, "sue", "POST", "/v1/invitations", `{"uses":2,"days":1,"reason":"the club"}`).want(t, 201, "")
	_, secret, _ := strings.Cut(a.doc["link"].(string), "/join?invitation=")
	f.ask(t, "", "POST", "/v1/join", `{"name":"wren","accept_terms":false,"invitation":"`+secret+`"}`).want(t, 422,
		"terms-not-accepted")
	f.ask(t, "", "POST", "/v1/join", `{"name":"ada","accept_terms":true,"invitation":"`+secret+`"}`).want(t, 409,
		"account-exists")
	j := f.ask(t, "", "POST", "/v1/join", `{"name":"wren","accept_terms":true,"invitation":"`+secret+`"}`).want(t, 201,
		"")
	f.token["wren"] = j.doc["token"].(string)
	p := f.ask(t, "wren", "POST", "/v1/proposals", submission1("0", sampleMap, "first")).want(t, 201, "")
	if d := f.ask(t, "", "GET", p.header.Get("Location"), "").want(t, 200, ""); d.doc["new_contributor"] != true {
		t.Errorf("not marked: %s", d.body)
	}
	f.ask(t, "", "POST", "/v1/join", `{"name":"finch","accept_terms":true,"invitation":"`+secret+`"}`).want(t, 201, "")
	f.ask(t, "", "POST", "/v1/join", `{"name":"owl","accept_terms":true,"invitation":"`+secret+`"}`).want(t, 404,
		"invitation-unknown")
	f.ask(t, "sue", "DELETE", a.header.Get("Location"), "").want(t, 404, "invitation-unknown") // used up

	f.ask(t, "rob", "PUT", "/v1/join", `{"open":true}`).want(t, 403, "role-needed")
	f.ask(t, "sue", "PUT", "/v1/join", `{"open":true,"reason":"we are ready"}`).want(t, 200, "")
	if s := f.ask(t, "", "GET", "/v1/join", "").want(t, 200, ""); s.doc["open"] != true || s.doc["terms"] == "" {
		t.Errorf("joining: %s", s.body)
	}
	f.ask(t, "", "POST", "/v1/join", `{"name":"owl","accept_terms":true}`).want(t, 201, "")
	acts := string(f.ask(t, "sue", "GET", "/v1/acts", "").want(t, 200, "").body)
	for _, want := range []string{"owl joined as contributor, without an invitation.", "the club", "we are ready",
		"wren joined as contributor, by invitation 1."} {
		if !strings.Contains(acts, want) {
			t.Errorf("acts lack %q: %s", want, acts)
		}
	}
}

// TestProposalQuota fills an account's day.
func TestProposalQuota(t *testing.T) {
	f := serveWith(t, Config{Limits: Limits{Off: true}})
	big := strings.Replace(sampleMap, `"name":"Main board"`, `"name":"Main board","x-own":"`+strings.Repeat("x", 3<<20)+
		`"`, 1)
	for i := range 22 {
		another := strings.Replace(big, `"Main board"`, fmt.Sprintf(`"Main board %d"`, i), 1) // the same again is one
		a := f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", another, "n"))
		if a.status == 409 {
			if i != 21 || a.doc["code"] != "proposal-quota" {
				t.Errorf("refused at %d: %s", i, a.body)
			}
			break
		}
		a.want(t, 201, "")
		if i == 21 {
			t.Error("66 MiB were taken")
		}
	}
}
