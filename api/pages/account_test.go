package pages_test

import (
	"context"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"boardlore/store"
)

var (
	code = regexp.MustCompile(`<code>([^<]+)</code>`)
	end  = regexp.MustCompile(`name="act" value="(end|revoke)"><input type="hidden" name="number" value="([0-9]+)"`)
)

// TestSession holds that a browser's session is another secret than the token,
// that signing out ends it for whoever copied it, and that its owner ends it
// from another browser.
func TestSession(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	u, _ := url.Parse(w.URL)
	jar := v.http.Jar.Cookies(u)
	_, body := v.get("/account")
	want(t, body, "You are Ada, a contributor.", "this one")
	if _, body = v.post("/", "/sign-out", url.Values{}); !strings.Contains(body, "Sign in</a>") {
		t.Error("not signed out")
	}
	v.http.Jar.SetCookies(u, jar) // somebody has a copy
	if status, _ := v.get("/account"); status != 401 {
		t.Errorf("a copy of the cookie works after signing out: %d", status)
	}

	here, there := w.visitor(t, w.author), w.visitor(t, w.author)
	_, body = here.get("/account")
	for _, m := range end.FindAllStringSubmatch(body, -1) {
		if before, _, _ := strings.Cut(body, m[0]); !strings.Contains(before[strings.LastIndex(before, "<li>"):],
			"this one") && m[1] == "end" {
			here.post("/account", "/account", url.Values{"act": {"end"}, "number": {m[2]}})
		}
	}
	if status, _ := there.get("/account"); status != 401 {
		t.Errorf("the other browser is still signed in: %d", status)
	}
	if status, _ := here.get("/account"); status != 200 {
		t.Errorf("this browser is not: %d", status)
	}
}

// TestAccountTokens makes a token on the page and revokes it.
func TestAccountTokens(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	_, body := v.post("/account", "/account", url.Values{"act": {"make"}, "name": {"wall display"}, "scope": {"read"},
		"days": {"30"}})
	m := code.FindStringSubmatch(body)
	if m == nil {
		t.Fatalf("no token: %s", body)
	}
	a, err := w.store.Authenticate(context.Background(), m[1])
	if err != nil || a.Name != "Ada" || a.Scope != store.ScopeRead {
		t.Errorf("%+v, %v", a, err)
	}
	if status, body := v.post("/account", "/account", url.Values{"act": {"make"}, "name": {" "},
		"scope": {"read"}}); status != 422 {
		t.Errorf("a token without a name: %d %s", status, body)
	}
	_, body = v.get("/account")
	want(t, body, "wall display", "read")
	if strings.Contains(body, m[1]) {
		t.Error("a secret is shown twice")
	}
}

// TestJoinPage has somebody join by a steward's link, and somebody who lost
// everything sign in once.
func TestJoinPage(t *testing.T) {
	w := newSite(t)
	steward, nobody := w.visitor(t, w.steward), w.visitor(t, "")
	_, body := nobody.get("/join")
	want(t, body, "People join by invitation")
	if status, _ := nobody.get("/desk/stewards"); status != 401 {
		t.Errorf("anybody sees the stewards' page: %d", status)
	}
	if status, _ := w.visitor(t, w.reviewer).get("/desk/stewards"); status != 403 {
		t.Errorf("a reviewer sees the stewards' page: %d", status)
	}
	_, body = steward.post("/desk/stewards", "/desk/stewards", url.Values{"act": {"invite"}, "role": {"contributor"},
		"uses": {"1"}, "days": {"7"}})
	link := strings.TrimPrefix(code.FindStringSubmatch(body)[1], w.URL)
	_, body = nobody.get(link)
	want(t, body, "You are invited to join as a contributor.", "faces")
	_, secret, _ := strings.Cut(link, "=")
	form := url.Values{"invitation": {secret}, "name": {"Wren"}}
	if status, _ := nobody.post(link, "/join", form); status != 422 {
		t.Errorf("joined without accepting the terms: %d", status)
	}
	form.Set("accept", "yes")
	_, body = nobody.post(link, "/join", form)
	want(t, body, "You are Wren, a contributor.")
	if status, _ := w.visitor(t, "").get(link); status != 404 {
		t.Errorf("a link that was used up: %d", status)
	}

	_, body = steward.post("/desk/stewards", "/desk/stewards", url.Values{"act": {"link"},
		"number": {id(w.authorActor.ID)}})
	link = strings.TrimPrefix(code.FindStringSubmatch(body)[1], w.URL)
	lost := w.visitor(t, "")
	for range 2 { // looking at it does not use it up
		_, body = lost.get(link)
		want(t, body, "Sign in as Ada")
	}
	_, secret, _ = strings.Cut(link, "=")
	_, body = lost.post(link, "/sign-in", url.Values{"link": {secret}})
	want(t, body, "You are Ada")
	if status, _ := w.visitor(t, "").get(link); status != 404 {
		t.Errorf("a one-time link works twice: %d", status)
	}
}

// TestStewardsPage has a steward act from the page.
func TestStewardsPage(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.steward)
	act := func(form url.Values) (int, string) { return v.post("/desk/stewards", "/desk/stewards", form) }
	_, body := act(url.Values{"act": {"disable"}, "number": {id(w.authorActor.ID)}, "reason": {"Floods the desk."}})
	want(t, body, "The account of Ada was disabled.", "Reason: Floods the desk.", ">Enable<")
	_, body = act(url.Values{"act": {"enable"}, "number": {id(w.authorActor.ID)}})
	want(t, body, "enabled again")
	if status, body := act(url.Values{"act": {"withdraw-revision"}, "board": {boardID}, "number": {"99"},
		"kind": {"dangerous"}, "reason": {"x"}}); status != 404 {
		t.Errorf("no such revision: %d %s", status, body)
	}
	_, body = act(url.Values{"act": {"withdraw-revision"}, "board": {boardID}, "number": {"2"}, "kind": {"dangerous"},
		"reason": {"R1 is wrong."}})
	want(t, body, "Revision 2 of "+boardID+" was withdrawn as dangerous.")
	_, body = v.get("/boards/" + boardID)
	want(t, body, "withdrawn as dangerous", "R1 is wrong.")
	status, body := v.get("/boards/" + boardID + "?revision=2")
	if status != 410 {
		t.Errorf("the withdrawn revision: %d", status)
	}
	want(t, body, "R1 is wrong", "throw copies away", "Show the current one")
	_, body = act(url.Values{"act": {"move"}, "board": {boardID}, "to": {"another-name"}})
	want(t, body, "is another-name from now on")
	_, body = v.get("/boards/" + boardID) // follows
	want(t, body, `href="/contribute?board=another-name"`)
}
