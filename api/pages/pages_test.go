package pages_test

import (
	"context"
	"html"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"boardlore/api"
	"boardlore/api/pages"
	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/review"
	"boardlore/schema"
	"boardlore/store"
	"boardlore/store/storetest"
)

func TestMain(m *testing.M) { os.Exit(storetest.Main(m, storetest.Working)) }

func migrate(ctx context.Context, dsn string) error { return store.Migrate(ctx, dsn, nil) }

const boardID = "fellside-mp4-preamp"

// site is a server with a board of two revisions and two open proposals, of
// which the newer is hazardous.
type site struct {
	*httptest.Server
	store                                 *store.Store
	author, reviewer, second, steward     string // tokens
	harmless, hazardous                   int64
	authorActor, reviewActor, secondActor store.Actor
}

func readMap(t testing.TB) *board.Map {
	t.Helper()
	data, err := os.ReadFile("testdata/preamp.json")
	if err != nil {
		t.Fatal(err)
	}
	m, fs := schema.ReadMap(data)
	if m == nil {
		t.Fatalf("the sample map is refused: %+v", fs)
	}
	for _, f := range fs {
		if f.Severity == finding.Stop {
			t.Fatalf("the sample map: %+v", f)
		}
	}
	return m
}

func at(t testing.TB, m *board.Map, d string) *board.Position {
	t.Helper()
	for i := range m.Positions {
		if m.Positions[i].Designator == d {
			return &m.Positions[i]
		}
	}
	t.Fatalf("no position %s", d)
	return nil
}

func document(t testing.TB, m *board.Map) []byte {
	t.Helper()
	b, err := m.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func newSite(t testing.TB) *site {
	t.Helper()
	return newSiteWith(t, api.Limits{Off: true})
}

func newSiteWith(t testing.TB, limits api.Limits) *site {
	t.Helper()
	w := newEmptySite(t, limits)
	w.fill(t)
	return w
}

// besideOthers lets a test run beside others: each has a database and a tab of
// its own. A test that makes a second site runs beside them already.
func besideOthers(tb testing.TB) {
	if t, ok := tb.(*testing.T); ok {
		if _, already := running.LoadOrStore(t, true); !already {
			t.Cleanup(func() { running.Delete(t) })
			t.Parallel()
		}
	}
}

var running sync.Map // of the *testing.T that run beside others

// newEmptySite is a server with accounts and nothing else.
func newEmptySite(t testing.TB, limits api.Limits) *site {
	t.Helper()
	besideOthers(t)
	ctx := context.Background()
	s, err := store.Open(ctx, storetest.DSN(t, migrate), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	w := &site{store: s}
	account := func(name string, role review.Role) (string, store.Actor) {
		token, err := s.AddAccount(ctx, name, role)
		if err != nil {
			t.Fatal(err)
		}
		a, err := s.Authenticate(ctx, token)
		if err != nil {
			t.Fatal(err)
		}
		return token, a
	}
	w.author, w.authorActor = account("Ada", review.Contributor)
	w.reviewer, w.reviewActor = account("Rune", review.Reviewer)
	w.second, w.secondActor = account("Sefa", review.Reviewer)
	w.steward, _ = account("Stig", review.Steward)

	p, err := pages.New(s, pages.Options{})
	if err != nil {
		t.Fatal(err)
	}
	h, err := api.New(api.Config{Store: s, Pages: p.Mount, ErrorPage: p.ErrorPage, Limits: limits})
	if err != nil {
		t.Fatal(err)
	}
	w.Server = httptest.NewServer(h)
	t.Cleanup(w.Close)
	return w
}

// fill releases two revisions and submits two proposals.
func (w *site) fill(t testing.TB) {
	m := readMap(t)
	w.release(t, w.submit(t, 0, m, "The map of a board that I serviced.", `["Measured with a rule on two boards."]`))
	at(t, m, "C2").Notes = "Stands close to the screening can."
	at(t, m, "C3").X += 1.5
	w.release(t, w.submit(t, 1, m, "C3 sits further right.", `[{"text":"Calliper.","designators":["C3"]}]`))
	at(t, m, "C4").Notes = "Often replaced before."
	w.harmless = w.submit(t, 2, m, "A note on C4.", `["Seen on three boards."]`)
	m = readMap(t)
	at(t, m, "C2").Notes = "Stands close to the screening can."
	at(t, m, "C3").X += 1.5
	turned := 180.0
	at(t, m, "C5").Negative = &turned
	w.hazardous = w.submit(t, 2, m, "C5 stands the other way round.",
		`[{"text":"The plus is printed on the board.","designators":["C5"]}]`)
}

func (w *site) submit(t testing.TB, base int, m *board.Map, summary, evidence string) int64 {
	t.Helper()
	r, err := w.store.Submit(context.Background(), w.authorActor, store.Submission{Board: m.Board, Base: base,
		Map: document(t, m), Summary: summary, Evidence: []byte(evidence)})
	if err != nil {
		t.Fatal(err)
	}
	return r.Proposal
}

func (w *site) release(t testing.TB, id int64) {
	t.Helper()
	ctx := context.Background()
	read, err := w.store.ProposalMap(ctx, id, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range []store.Actor{w.reviewActor, w.secondActor} {
		if _, err := w.store.Review(ctx, a, store.Verdict{Proposal: id, IfMatch: read.Digest, Verdict: "endorse",
			Summary: "Looked at mine."}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := w.store.Release(ctx, w.reviewActor, store.Decision{Proposal: id, IfMatch: read.Digest}); err != nil {
		t.Fatal(err)
	}
}

// visitor is a browser without a script engine.
type visitor struct {
	t    testing.TB
	w    *site
	http *http.Client
}

func (w *site) visitor(t testing.TB, token string) *visitor {
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	v := &visitor{t: t, w: w, http: &http.Client{Jar: jar}}
	if token != "" {
		if status, body := v.post("/sign-in", "/sign-in", url.Values{"token": {token}}); status != 200 {
			t.Fatalf("sign in: %d %s", status, body)
		}
	}
	return v
}

func (v *visitor) do(r *http.Request) (int, string) {
	v.t.Helper()
	r.Header.Set("Accept", "text/html")
	resp, err := v.http.Do(r)
	if err != nil {
		v.t.Fatal(err)
	}
	defer resp.Body.Close()
	b, err := io.ReadAll(resp.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	return resp.StatusCode, string(b)
}

func (v *visitor) get(path string) (int, string) {
	v.t.Helper()
	r, err := http.NewRequest("GET", v.w.URL+path, nil)
	if err != nil {
		v.t.Fatal(err)
	}
	return v.do(r)
}

var keyField = regexp.MustCompile(`name="form_key" value="([0-9a-f]+)"`)

// post sends a form with the key of the page it stands on.
func (v *visitor) post(page, action string, form url.Values) (int, string) {
	v.t.Helper()
	_, body := v.get(page)
	m := keyField.FindStringSubmatch(body)
	if m == nil {
		v.t.Fatalf("%s has no form", page)
	}
	form.Set("form_key", m[1])
	if read := digestField.FindStringSubmatch(body); read != nil && !form.Has("digest") {
		form.Set("digest", read[1])
	}
	r, err := http.NewRequest("POST", v.w.URL+action, strings.NewReader(form.Encode()))
	if err != nil {
		v.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return v.do(r)
}

var digestField = regexp.MustCompile(`name="digest" value="([0-9a-f]{64})"`)

func want(t testing.TB, body string, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if !strings.Contains(body, p) {
			t.Errorf("the page lacks %q", p)
		}
	}
}

func id(n int64) string { return strconv.FormatInt(n, 10) }

func htmlUnescape(s string) string { return html.UnescapeString(s) }
