package pages_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"html"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"boardlore/api"
	"boardlore/api/pages"
	"boardlore/domain/board/boardtest"
)

// everyPage is an address of each page.
func (w *site) everyPage() map[string]string {
	b := "/boards/" + boardID
	return map[string]string{
		"home": "/", "found": "/?q=fellside&width=84&height=158", "board": b, "board marked": b +
			"?mark=C124&service=replace&zoom=2",
		"variant": b + "?variant=export", "old revision": b + "?revision=1", "position": b + "/positions/C3",
		"position gone": b + "/positions/C124?variant=export",
		"differences":   b + "/differences?from=1&to=2", "kit check": b + "/kit-check", "parts list": b + "/parts-list",
		"job": b + "/job", "desk": "/desk",
		"proposal": "/proposals/" + id(w.hazardous), "closed proposal": "/proposals/1", "contribute": "/contribute",
		"draft": "/contribute?board=" + boardID, "sign in": "/sign-in",
		"not found": "/boards/nothing-here",
	}
}

var inlined = regexp.MustCompile(`(?i)<style|<script>|<script [^>]*>[^<]|\sstyle="|\son[a-z]+="|(src|href)="(https?:)?//`)

// ofItself is what a page says of itself, which loads nothing: whole addresses
// and data for search engines.
var ofItself = regexp.MustCompile(`<link rel="(canonical|alternate)"[^>]*>|<script type="application/ld\+json">`)

// TestPages looks at what must hold for every page.
func TestPages(t *testing.T) {
	w := newSite(t)
	for _, who := range []string{"", w.reviewer} {
		v := w.visitor(t, who)
		for name, path := range w.everyPage() {
			status, body := v.get(path)
			if want := map[bool]int{true: 404, false: 200}[name == "not found"]; status != want {
				t.Errorf("%s: %d", name, status)
			}
			if m := inlined.FindString(ofItself.ReplaceAllString(body, "")); m != "" {
				t.Errorf("%s: %q is against the pages' own policy", name, m)
			}
			if m := regexp.MustCompile(`\[[a-z]+\.[a-z.]+\]`).FindString(body); m != "" {
				t.Errorf("%s: %q has no sentence", name, m)
			}
			if n := strings.Count(body, "<h1"); n != 1 {
				t.Errorf("%s has %d h1", name, n)
			}
			if strings.Contains(body, `<form method="post"`) && !keyField.MatchString(body) {
				t.Errorf("%s has a form without a key", name)
			}
		}
	}
}

func TestHeaders(t *testing.T) {
	w := newSite(t)
	for _, path := range []string{"/", "/boards/" + boardID, "/boards/nothing-here"} {
		r, _ := http.NewRequest("GET", w.URL+path, nil)
		r.Header.Set("Accept", "text/html")
		resp, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		csp := resp.Header.Get("Content-Security-Policy")
		for _, part := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'",
			"form-action 'self'", "frame-ancestors 'none'", "base-uri 'none'"} {
			if !strings.Contains(csp, part) {
				t.Errorf("%s: the policy lacks %s: %s", path, part, csp)
			}
		}
		if strings.Contains(csp, "unsafe") {
			t.Errorf("%s: %s", path, csp)
		}
		for _, c := range resp.Cookies() {
			if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode {
				t.Errorf("%s: cookie %s: %+v", path, c.Name, c)
			}
		}
	}
}

// TestSecureCookies holds that cookies stay off plain connections where the
// world sees the server by https.
func TestSecureCookies(t *testing.T) {
	w := newEmptySite(t, api.Limits{Off: true})
	p, err := pages.New(w.store, pages.Options{Secure: true})
	if err != nil {
		t.Fatal(err)
	}
	h, err := api.New(api.Config{Store: w.store, Pages: p.Mount, ErrorPage: p.ErrorPage, Limits: api.Limits{Off: true}})
	if err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRecorder()
	h.ServeHTTP(r, httptest.NewRequest("GET", "/sign-in", nil))
	cookies := r.Result().Cookies()
	if len(cookies) == 0 {
		t.Error("no cookie was set")
	}
	for _, c := range cookies {
		if !c.Secure || !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" {
			t.Errorf("%+v", c)
		}
	}
}

func TestSignIn(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	status, body := v.post("/sign-in", "/sign-in", url.Values{"token": {"no-such-token"}, "back": {"/desk"}})
	if status != 401 {
		t.Errorf("a wrong token: %d", status)
	}
	want(t, body, "Nobody has this token", `role="alert"`)
	status, body = v.post("/sign-in", "/sign-in", url.Values{"token": {" " + w.author + " "}, "back": {"/desk"}})
	if status != 200 {
		t.Errorf("sign in: %d", status)
	}
	want(t, body, "Sign out Ada", "<h1>Desk</h1>")
	u, _ := url.Parse(w.URL)
	for _, c := range v.http.Jar.Cookies(u) {
		if c.Value == w.author {
			t.Error("a cookie holds the token")
		}
	}
	if _, err := w.store.NewToken(context.Background(), "Ada"); err != nil {
		t.Fatal(err)
	}
	if _, body = v.get("/"); !strings.Contains(body, "Sign in</a>") {
		t.Error("a replaced token still signs in")
	}
	v = w.visitor(t, w.reviewer)
	if _, body = v.post("/", "/sign-out", url.Values{}); !strings.Contains(body, "Sign in</a>") {
		t.Error("signing out leaves the account signed in")
	}
}

// TestForeignForms sends forms that were not made for the visitor.
func TestForeignForms(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.reviewer)
	path := "/proposals/" + id(w.harmless)
	_, page := v.get(path)
	read := regexp.MustCompile(`name="digest" value="([0-9a-f]{64})"`).FindStringSubmatch(page)[1]
	send := func(key string, header ...string) int {
		form := url.Values{"verdict": {"endorse"}, "summary": {"x"}, "digest": {read}, "form_key": {key}}
		r, _ := http.NewRequest("POST", w.URL+path+"/review", strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for i := 0; i+1 < len(header); i += 2 {
			r.Header.Set(header[i], header[i+1])
		}
		status, _ := v.do(r)
		return status
	}
	_, body := v.get(path)
	own := keyField.FindStringSubmatch(body)[1]
	_, other := w.visitor(t, w.second).get(path)
	_, anonymous := w.visitor(t, "").get("/sign-in")
	for name, status := range map[string]int{
		"no key": send(""), "another account's key": send(keyField.FindStringSubmatch(other)[1]),
		"an anonymous key":  send(keyField.FindStringSubmatch(anonymous)[1]),
		"from another site": send(own, "Sec-Fetch-Site", "cross-site"), "from another origin": send(own, "Origin",
			"https://elsewhere.example"),
	} {
		if status != 403 {
			t.Errorf("%s: %d, want 403", name, status)
		}
	}
	d, err := w.store.Proposal(context.Background(), w.harmless)
	if err != nil || len(d.Reviews) != 0 {
		t.Errorf("a foreign form was acted on: %+v %v", d, err)
	}
	if status := send(own, "Sec-Fetch-Site", "same-origin"); status != 200 {
		t.Errorf("the own form: %d", status)
	}
}

func TestFind(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	for path, found := range map[string]bool{"/?q=fellside": true, "/?marking=fs+4410b": true, "/?marking=4410": true,
		"/?marking=44": false, "/?q=nothing-like-it": false, "/?width=158&height=84": true, "/?q=158+x+84": true,
		"/?q=158+×+84+mm": true, "/?q=4410": true, "/?q=" + boardID: true, "/?width=300": false, "/?replaced=40": true,
		"/?kind=location+recorder": true} {
		_, body := v.get(path)
		if got := strings.Contains(body, "Fellside MP-4, microphone preamplifier</a>"); got != found {
			t.Errorf("%s: found is %v", path, got)
		}
	}
}

func TestBoard(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	_, body := v.get("/boards/" + boardID)
	want(t, body, "Microphone preamplifier", "FS-4410-B", "Do not power up before", `<g id="pos-C1"`, `data-row="C1"`,
		"Export build, 1988", "The backup cell leaks", "No short on the 9 V rail",
		`rel="alternate" type="application/json" href="/v1/boards/fellside-mp4-preamp/map"`)
	at := func(s string) int { return strings.Index(body, s) }
	if !(at(`class="stops"`) < at(`id="drawing"`) && at(`id="drawing"`) < at(`id="cautions"`) &&
		at(`id="cautions"`) < at(`id="failures"`)) {
		t.Error("stops, drawing, cautions and failure points do not come in this order")
	}
	_, body = v.get("/boards/" + boardID + "?mark=c14")
	want(t, body, `id="row-C14" data-row="C14" class="one marked"`, `<b class="name">C14</b>`)
	_, body = v.get("/boards/" + boardID + "?mark=Z99")
	want(t, body, "This board has no position Z99")
	_, body = v.get("/boards/" + boardID + "?mark=C124")
	want(t, body, `id="row-C124" data-row="C124" class="one marked"`, "Bottom side, turned over left to right")
	_, body = v.get("/boards/" + boardID + "?variant=export")
	if strings.Contains(body, `data-row="C124"`) {
		t.Error("the export build shows a part that it lacks")
	}
	_, body = v.get("/boards/" + boardID + "?service=inspect")
	if strings.Contains(body, `data-row="C1"`) || !strings.Contains(body, `data-row="U1"`) {
		t.Error("the filter by service does not filter")
	}
	for path, want := range map[string]int{"?revision=9": 404, "?revision=x": 400, "?variant=none": 404} {
		if status, _ := v.get("/boards/" + boardID + path); status != want {
			t.Errorf("%s: %d, want %d", path, status, want)
		}
	}
}

func TestPosition(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	_, body := v.get("/boards/" + boardID + "/positions/C3")
	want(t, body, "100 µF", "Minus to the left, as drawn", `rel="prev"`, `rel="next"`, "What stands round it",
		"proposed by Ada, released by Rune", "1.5 mm away", "Calliper.")
	_, body = v.get("/boards/" + boardID + "/positions/C40")
	want(t, body, "Fit instead:", "The original ran at its rating", "The bulk capacitor dries out", "9 V rail")
	if status, _ := v.get("/boards/" + boardID + "/positions/Z1"); status != 404 {
		t.Errorf("a position that never was: %d", status)
	}
}

// Words that tell of a symptom find what may be behind it, whatever boards are called so.
func TestSymptomsFromHome(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	_, body := v.get("/?q=HUM")
	want(t, body, "What may be behind it", "The bulk capacitor dries out")
	for _, none := range []string{"/?q=Tarnwright", "/?q=%21%3F", "/", "/?q=" + strings.Repeat("hum", 1500)} {
		if status, body := v.get(none); status != 200 || strings.Contains(body, "What may be behind it") {
			t.Errorf("%s finds something behind it", none)
		}
	}
}

func TestDifferences(t *testing.T) {
	w := newSite(t)
	_, body := w.visitor(t, "").get("/boards/" + boardID + "/differences")
	want(t, body, "From revision 1 to 2", "C3 was at", "changes, top side", `<option value="1" selected>`)
}

func TestReviewAndRelease(t *testing.T) {
	w := newSite(t)
	path := "/proposals/" + id(w.hazardous)
	_, body := w.visitor(t, "").get(path)
	want(t, body, "Sign in to review it", "Hazard 1 of 1:", "Hazardous: what people were told", "polarity turned",
		"What it says", "Would be told", `href="#pos-C5"`)
	author := w.visitor(t, w.author)
	_, body = author.get(path)
	want(t, body, "somebody else reviews it", "Amend it")
	if strings.Contains(body, `action="`+path+`/review"`) {
		t.Error("an author is shown the review form")
	}
	rune, sefa := w.visitor(t, w.reviewer), w.visitor(t, w.second)
	status, body := rune.post(path, path+"/release", url.Values{})
	if status != 409 {
		t.Errorf("release without endorsement: %d", status)
	}
	want(t, body, `role="alert"`)
	status, body = rune.post(path, path+"/review", url.Values{"verdict": {"query"}, "summary": {"Which board?"},
		"remark_designator": {"ZZ9"}, "remark_text": {"Look here."}})
	if status != 422 {
		t.Errorf("a remark on no position: %d", status)
	}
	want(t, body, "Which board?", `value="ZZ9"`, "Look here.")
	for _, v := range []*visitor{rune, sefa} {
		status, body = v.post(path, path+"/review", url.Values{"verdict": {"endorse"}, "summary": {"Same on mine."},
			"seen": {"C5"}, "seen_on": {"board"}, "remark_designator": {"C5"}, "remark_text": {"Measured."}})
		if status != 200 {
			t.Fatalf("review: %d", status)
		}
		want(t, body, "Your review was kept.", "Measured.", "It rests on 1 positions")
	}
	_, body = sefa.post(path, path+"/release", url.Values{"reason": {"Two agree."}})
	want(t, body, "The proposal was released.", "Revision 3")
	_, body = rune.get("/desk")
	if strings.Contains(body, path+`"`) && strings.Index(body, path+`"`) < strings.Index(body, "Closed lately") {
		t.Error("a released proposal is still open on the desk")
	}
}

func TestDeclineAndWithdraw(t *testing.T) {
	w := newSite(t)
	path := "/proposals/" + id(w.harmless)
	_, body := w.visitor(t, w.steward).post(path, path+"/decline", url.Values{"reason": {"No source."}})
	want(t, body, "The proposal was declined.", "No source.")
	path = "/proposals/" + id(w.hazardous)
	_, body = w.visitor(t, w.author).post(path, path+"/withdraw", url.Values{"reason": {"My mistake."}})
	want(t, body, "The proposal was withdrawn.")
}

func TestDesk(t *testing.T) {
	w := newSite(t)
	body := w.judgedDesk(t)
	if h, o := strings.Index(body, "/proposals/"+id(w.hazardous)), strings.Index(body, "/proposals/"+
		id(w.harmless)); h < 0 || o < 0 || h > o {
		t.Errorf("the hazardous proposal stands at %d, the older harmless one at %d", h, o)
	}
	if _, again := w.visitor(t, "").get("/desk"); strings.Count(again, "<li>") != strings.Count(body, "<li>") {
		t.Error("the desk is another when nothing happened")
	}
	// What was judged before is judged again once something happened to it.
	path := "/proposals/" + id(w.harmless)
	if status, _ := w.visitor(t, w.reviewer).post(path, path+"/review", url.Values{"verdict": {"endorse"},
		"summary": {"Same on mine."}}); status != 200 {
		t.Fatalf("review: %d", status)
	}
	want(t, w.judgedDesk(t), "ready for release")
	if strings.Contains(body, "ready for release") {
		t.Error("ready before its endorsement")
	}
}

// judgedDesk is the desk once all its proposals are judged: a visit of a busy
// server's goes on where the one before ended, by one proposal at the least.
func (w *site) judgedDesk(t *testing.T) (body string) {
	t.Helper()
	const more = 20 // than there are proposals
	for range more {
		if _, body = w.visitor(t, "").get("/desk"); !strings.Contains(body, "not judged yet") {
			return body
		}
	}
	t.Fatal("the desk does not come to its end")
	return ""
}

func TestKitCheck(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	path := "/boards/" + boardID + "/kit-check"
	status, body := v.post(path, path, url.Values{"list": {""}})
	if status != 422 {
		t.Errorf("an empty list: %d", status)
	}
	want(t, body, "Paste a list")
	_, body = v.post(path, path, url.Values{"list": {"8 x 47uF 25V\n8 x 10uF 25V\nmoonshine\n"}})
	want(t, body, "The kit is short", "To buy", "moonshine", "Cautions")
	_, body = v.post(path, path, url.Values{"list": {"quantity,value,voltage,designators\n1,10uF,6.3V,C1\n"}})
	want(t, body, "Do not fit this kit as it is labelled", "unsuitable", "Do this first")
	_, body = v.post(path, path, url.Values{"list": {"1 x 47uF 25V C1"}, "scope": {"C1"}})
	want(t, body, "The kit is complete")
	twin := html.UnescapeString(regexp.MustCompile(`href="(/boards/[^"]*/kit-check\?[^"]*)"`).FindStringSubmatch(body)[1])
	if status, again := v.get(twin); status != 200 || !strings.Contains(again, "The kit is complete") ||
		!strings.Contains(twin, "revision=2") {
		t.Errorf("the address of the result, %s: %d", twin, status)
	}
	if status, pdf := v.get(strings.Replace(twin, "kit-check?", "kit-check/report.pdf?", 1)); status != 200 ||
		!strings.HasPrefix(pdf, "%PDF-") {
		t.Errorf("its report: %d", status)
	}
	if _, body := v.post(path, path,
		url.Values{"list": {strings.Repeat("1 x 47uF 25V for C1\n", 400)}}); strings.Contains(body,
		"/kit-check?revision") {
		t.Error("an address of any length is given away")
	}
	status, body = v.post(path, path, url.Values{"list": {"1 x 47uF 25V"}, "scope": {"Q99"}})
	if status != 422 {
		t.Errorf("a scope that is not there: %d", status)
	}
	want(t, body, `role="alert"`)
	status, body = v.post(path, path+"/report.pdf", url.Values{"list": {"8 x 47uF 25V"}})
	if status != 200 || !strings.HasPrefix(body, "%PDF-") {
		t.Errorf("the report: %d %.20q", status, body)
	}
}

func TestSheet(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	status, one := v.get("/boards/" + boardID + "/sheet.pdf")
	if status != 200 || !strings.HasPrefix(one, "%PDF-") {
		t.Fatalf("%d %.20q", status, one)
	}
	if _, two := v.get("/boards/" + boardID + "/sheet.pdf"); one != two {
		t.Error("printed again, the bytes differ")
	}
}

// file is a form with uploads.
func (v *visitor) file(page, action string, fields, files map[string]string) (int, string) {
	v.t.Helper()
	_, body := v.get(page)
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	_ = m.WriteField("form_key", keyField.FindStringSubmatch(body)[1])
	for k, x := range fields {
		_ = m.WriteField(k, x)
	}
	for k, x := range files {
		f, err := m.CreateFormFile(k, k+".txt")
		if err != nil {
			v.t.Fatal(err)
		}
		_, _ = f.Write([]byte(x))
	}
	m.Close()
	r, err := http.NewRequest("POST", v.w.URL+action, &b)
	if err != nil {
		v.t.Fatal(err)
	}
	r.Header.Set("Content-Type", m.FormDataContentType())
	return v.do(r)
}

var hiddenMap = regexp.MustCompile(`name="map" value="([^"]*)"`)

func TestContribute(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	data, err := os.ReadFile("testdata/preamp.json")
	if err != nil {
		t.Fatal(err)
	}
	bad := strings.Replace(strings.Replace(string(data), `"47 µF"`, `"47 whales"`, 1), `"x_mm": 26`, `"x_mm": 999`, 1)
	status, body := v.file("/contribute", "/contribute", map[string]string{"act": "map"},
		map[string]string{"file": bad})
	if status != 200 {
		t.Errorf("a map with faults: %d", status)
	}
	want(t, body, "To put right before it can be submitted", "47 whales", "row 1, C1", `<g id="pos-C1"`)
	status, body = v.file("/contribute", "/contribute", map[string]string{"act": "map"}, map[string]string{"file": "{"})
	if status != 422 {
		t.Errorf("no JSON: %d", status)
	}
	want(t, body, "not a JSON document")

	_, body = v.get("/contribute?board=" + boardID)
	doc := htmlUnescape(hiddenMap.FindStringSubmatch(body)[1])
	form := url.Values{"map": {doc}, "base": {"2"}, "act": {"check"}, "p0.part.voltage": {"25V"},
		"p1.notes": {"New note."}}
	status, body = v.post("/contribute", "/contribute", form)
	if status != 200 {
		t.Fatalf("check: %d", status)
	}
	want(t, body, "Nothing stands against submitting it", "25 V", "Changes against revision 2")
	form.Set("map", htmlUnescape(hiddenMap.FindStringSubmatch(body)[1]))
	form.Set("act", "submit")
	form.Set("summary", "C1 is a 25 V part.")
	form.Set("evidence", "Read on the sleeve.\nMeasured too.")
	status, body = v.post("/contribute", "/contribute", form)
	if status != 200 {
		t.Fatalf("submit: %d", status)
	}
	want(t, body, "The proposal was submitted.", "C1 is a 25 V part.", "Read on the sleeve.", "Measured too.")

	form.Set("p0.notes", "Read twice.")
	stranger := w.visitor(t, "")
	status, body = stranger.post("/contribute", "/contribute", form)
	if status != 401 {
		t.Errorf("submit without signing in: %d", status)
	}
	want(t, body, "C1 is a 25 V part.", "Read twice.")
	form.Set("act", "sign-in")
	form.Set("token", "wrong")
	status, body = stranger.post("/contribute", "/contribute", form)
	if status != 401 {
		t.Errorf("sign in at the draft with a wrong token: %d", status)
	}
	want(t, body, "Nobody has this token", "Read twice.")
	form.Set("token", w.author)
	status, body = stranger.post("/contribute", "/contribute", form)
	if status != 200 {
		t.Errorf("sign in at the draft: %d", status)
	}
	want(t, body, "Sign out Ada", "C1 is a 25 V part.", "Read twice.", "Submit for review")
	form.Set("act", "submit")
	form.Set("form_key", keyField.FindStringSubmatch(body)[1])
	status, body = stranger.post("/contribute", "/contribute", form)
	if status != 200 {
		t.Errorf("submit after signing in at the draft: %d", status)
	}
	want(t, body, "The proposal was submitted.")
}

func TestAmend(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	page := "/contribute?proposal=" + id(w.harmless)
	_, body := v.get(page)
	digest := regexp.MustCompile(`name="digest" value="([^"]*)"`).FindStringSubmatch(body)[1]
	form := url.Values{"map": {htmlUnescape(hiddenMap.FindStringSubmatch(body)[1])}, "base": {"2"},
		"proposal": {id(w.harmless)}, "digest": {digest}, "act": {"submit"}, "summary": {"Told better."},
		"evidence": {"C1: read again."}}
	for _, k := range []string{"unchanged", "amended"} {
		was := url.Values{}
		for name, x := range form {
			was[name] = x
		}
		if k == "unchanged" { // as the page came
			was.Set("summary",
				htmlUnescape(regexp.MustCompile(`(?s)name="summary"[^>]*>(.*?)</textarea>`).FindStringSubmatch(body)[1]))
			was.Set("evidence",
				htmlUnescape(regexp.MustCompile(`(?s)name="evidence"[^>]*>(.*?)</textarea>`).FindStringSubmatch(body)[1]))
		}
		status, told := v.post(page, "/contribute", was)
		if status != 200 {
			t.Fatalf("%s: %d", k, status)
		}
		want(t, told, map[string]string{"unchanged": "Nothing was changed", "amended": "The amended map was kept."}[k])
	}
	_, told := v.get("/proposals/" + id(w.harmless))
	want(t, told, "Told better.", "read again.")
	form.Set("p3.notes", "Another note.")
	status, body := v.post(page, "/contribute", form)
	if status != 200 {
		t.Fatalf("amend: %d", status)
	}
	want(t, body, "The amended map was kept.")
	form.Set("p3.notes", "Too late.")
	if status, _ = v.post(page, "/contribute", form); status != 412 {
		t.Errorf("amend on an older version: %d", status)
	}
}

func TestPlacements(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	fields := map[string]string{"act": "placements", "board": "fellside-psu", "name": "Supply", "maker": "Fellside",
		"model": "PS-1"}
	_, body := v.file("/contribute", "/contribute", fields,
		map[string]string{"placements": "Designator,X (mm),Y (mm),Rotation,Side,Value\nC1,10,10,0,top,47uF " +
			"25V\nC2,20,10,90,top,10uF\nR1,oops,10,0,top,10k\n"})
	want(t, body, `<g id="pos-C1"`, "Please confirm", "Rows that were not used", "oops")
	status, body := v.file("/contribute", "/contribute", fields, map[string]string{"placements": "hello"})
	if status != 422 {
		t.Errorf("no list: %d", status)
	}
	want(t, body, "No position could be read")
}

// TestHostileTexts puts markup into every text of a map and looks for it.
func TestHostileTexts(t *testing.T) {
	w := newSite(t)
	const evil = `"><script>alert(1)</script>`
	m := readMap(t)
	m.Board, m.Name, m.Equipment.Maker, m.Markings = "evil-board", evil, evil, []string{evil}
	for i := range m.Positions {
		m.Positions[i].Notes, m.Positions[i].Function = evil, evil
	}
	m.FailurePoints[0].Title, m.Cautions[0].Text, m.Variants[0].Title, m.Checks[0].Title = evil, evil, evil, evil
	p := w.submit(t, 0, m, evil, `["`+`\"><script>alert(1)</script>`+`"]`)
	w.release(t, p)
	v := w.visitor(t, w.reviewer)
	for _, path := range []string{"/", "/boards/evil-board", "/boards/evil-board/positions/C1", "/proposals/" + id(p),
		"/contribute?board=evil-board", "/boards/evil-board/kit-check",
		"/?q=" + url.QueryEscape(evil), "/boards/" + url.PathEscape(evil), "/boards/evil-board?mark=" +
			url.QueryEscape(evil)} {
		if _, body := v.get(path); strings.Contains(body, "<script>alert") {
			t.Errorf("%s: text became markup", path)
		}
	}
}

// TestBeginnings holds that an empty registry says how to begin and that
// refusals say how to go on.
func TestBeginnings(t *testing.T) {
	w := newEmptySite(t, api.Limits{Off: true})
	v := w.visitor(t, "")
	_, body := v.get("/")
	want(t, body, "This registry is new", `href="/sign-in"`, `href="/contribute"`, "A reviewer looks at it")
	if _, body = v.get("/?q=x"); strings.Contains(body, "This registry is new") ||
		!strings.Contains(body, "Contribute its map.") {
		t.Error("a search without a hit speaks of a new registry, or of nothing to do")
	}
	for path, next := range map[string]string{"/boards/none": "No board with the ID &#34;none&#34; is known here.",
		"/proposals/9": "look at the desk", "/nothing": "typing error"} {
		status, body := v.get(path)
		if status != 404 {
			t.Errorf("%s: %d", path, status)
		}
		want(t, body, next, `class="button" href="/"`)
		if strings.Contains(body, "/v1/boards") {
			t.Errorf("%s sends a person to the API", path)
		}
	}
	status, body := v.post("/sign-in", "/proposals/9/release", url.Values{})
	if status != 401 && status != 404 {
		t.Errorf("release without an account: %d", status)
	}
	want(t, body, "/proposals/9")
}

// TestTransfer holds the aim of 150 kB for a board of 300 positions, all files
// together, compressed.
func TestTransfer(t *testing.T) {
	w := newSite(t)
	m := boardtest.Big(300)
	w.release(t, w.submit(t, 0, m, "A big one.", `["Seen."]`))
	v := w.visitor(t, "")
	total := 0
	_, page := v.get("/boards/" + m.Board)
	paths := []string{"/boards/" + m.Board}
	for _, s := range regexp.MustCompile(`"(/static/[^"]+)"`).FindAllStringSubmatch(page, -1) {
		paths = append(paths, s[1])
	}
	for _, p := range paths {
		status, body := v.get(p)
		if status != 200 {
			t.Errorf("%s: %d", p, status)
		}
		var b bytes.Buffer
		z := gzip.NewWriter(&b)
		_, _ = z.Write([]byte(body))
		z.Close()
		total += b.Len()
	}
	t.Logf("%d bytes compressed", total)
	if total > 150_000 {
		t.Errorf("%d bytes compressed", total)
	}
}

func BenchmarkBoardPage(b *testing.B) {
	w := newSite(b)
	m := boardtest.Big(300)
	w.release(b, w.submit(b, 0, m, "A big one.", `["Seen."]`))
	h := w.Config.Handler
	for b.Loop() {
		r, _ := http.NewRequest("GET", "/boards/"+m.Board, nil)
		h.ServeHTTP(&sink{h: http.Header{}}, r)
	}
}

// sink is a response that nobody reads.
type sink struct{ h http.Header }

func (s *sink) Header() http.Header         { return s.h }
func (s *sink) Write(b []byte) (int, error) { return len(b), nil }
func (s *sink) WriteHeader(int)             {}

// Pages draw on the same allowances as the API, and guessing tokens at the
// sign-in page is braked like guessing them there.
func TestPagesAreLimited(t *testing.T) {
	w := newSiteWith(t, api.Limits{Labour: api.Rate{PerSecond: 0.001, Burst: 3}, Failed: api.Rate{PerSecond: 0.001,
		Burst: 2}})
	v := w.visitor(t, "")
	statuses := func(n int, ask func() int) (out []int) {
		for range n {
			out = append(out, ask())
		}
		return out
	}
	n := 0
	got := statuses(4, func() int { // a page that was made already is a mere read
		n++
		status, _ := v.get("/boards/" + boardID + "?mark=C" + id(int64(n)))
		return status
	})
	if want := []int{200, 200, 200, 429}; !slices.Equal(got, want) {
		t.Errorf("a visitor with three looks got %v, want %v", got, want)
	}
	got = statuses(3, func() int {
		status, _ := v.post("/sign-in", "/sign-in", url.Values{"token": {"guessed"}})
		return status
	})
	if want := []int{401, 401, 429}; !slices.Equal(got, want) {
		t.Errorf("three guesses at a token got %v, want %v", got, want)
	}
}
