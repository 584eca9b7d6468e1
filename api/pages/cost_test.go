package pages_test

import (
	"bytes"
	"context"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/labstack/echo/v4"

	"boardlore/api"
	"boardlore/api/costtest"
	"boardlore/api/pages"
	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/storetest"
)

// dear is the request of a page that costs most, without an account. Where
// nothing is said, the address is filled in and no form is sent.
type dear struct {
	query string
	form  url.Values
}

var list500 = strings.Repeat("9x 47u 16V C1-C9\n", 500)

// dearest has a row for every page: who adds a page adds to it what would cost most there.
var dearest = map[string]dear{
	"GET /": {query: "q=" + strings.Repeat("wide+board+", 15)}, "GET /boards/:board": {query: "zoom=8&mark=C1"},
	"GET /boards/:board/sheet.pdf":             {},
	"GET /boards/:board/positions/:designator": {}, "GET /boards/:board/job": {query: "scope=all"},
	"GET /boards/:board/job/sheet.pdf":         {query: "scope=all"},
	"POST /boards/:board/job":                  {form: url.Values{"unit": {"1"}}},
	"GET /boards/:board/differences":           {query: "from=1&to=2"},
	"GET /boards/:board/kit-check":             {query: "scope=all&kit=wide"},
	"GET /boards/:board/parts-list":            {query: "scope=all"},
	"POST /boards/:board/kit-check":            {form: url.Values{"list": {list500}, "scope": {"all"}}},
	"POST /boards/:board/kit-check/report.pdf": {form: url.Values{"list": {list500}, "scope": {"all"}}},
	"GET /desk": {}, "GET /proposals/:id": {},
	"POST /proposals/:id/review":  {form: url.Values{"summary": {strings.Repeat("a", 1<<20)}}},
	"POST /proposals/:id/release": {form: url.Values{}}, "POST /proposals/:id/decline": {form: url.Values{}},
	"POST /proposals/:id/withdraw": {form: url.Values{}},
	"GET /contribute":              {query: "board=tarn-big-sample"},
	"POST /contribute":             {form: url.Values{"map": {strings.Repeat("{", 3<<20)}}},
	"GET /contribute/photo":        {},
	"POST /contribute/photo":       {form: url.Values{"points": {strings.Repeat("1 2 3 4\n", 300_000)}}},
	"GET /sign-in":                 {query: "link=" + strings.Repeat("a", 1000)},
	"POST /sign-in":                {form: url.Values{"token": {strings.Repeat("a", 3<<20)}}},
	"POST /sign-out":               {form: url.Values{}},
	"GET /join":                    {query: "invitation=" + strings.Repeat("a", 1000)},
	"POST /join":                   {form: url.Values{"name": {strings.Repeat("a", 3<<20)}, "accept": {"yes"}}},
	"GET /account":                 {}, "POST /account": {form: url.Values{"name": {strings.Repeat("a", 3<<20)}}},
	"GET /account/watches":  {query: "board=" + strings.Repeat("a", 1000)},
	"POST /account/watches": {form: url.Values{"act": {"watch"}, "maker": {strings.Repeat("a", 3<<20)}}},
	"GET /desk/stewards":    {}, "POST /desk/stewards": {form: url.Values{"reason": {strings.Repeat("a", 3<<20)}}},
	"GET /static/:file": {},

	"GET /boards/:board/kit-check/report.pdf": {query: "scope=all&kit=wide"}, "GET /boards/:board/thumb.svg": {},
	"GET /language/:tag": {}, "GET /oembed": {query: "url=/boards/tarn-big-sample"},
	"GET /b/:board": {}, "GET /boards/:board/card.png": {}, "GET /robots.txt": {}, "GET /sitemap.xml": {},
	"POST /boards/:board/doubts":            {form: url.Values{"text": {strings.Repeat("a", 1<<20)}}},
	"POST /boards/:board/doubts/:id/answer": {form: url.Values{"text": {strings.Repeat("a", 1<<20)}}},
	"POST /proposals/:id/answer":            {form: url.Values{"text": {strings.Repeat("a", 1<<20)}}},
}

// wideSite is a server with a board of n positions in two revisions, twelve open
// proposals that change every one of them, and a kit.
type wideSite struct {
	handler  http.Handler
	routes   []string
	proposal int64
}

func newWide(tb testing.TB, n int) *wideSite {
	tb.Helper()
	besideOthers(tb)
	ctx := context.Background()
	s, err := store.Open(ctx, storetest.DSN(tb, migrate), store.Options{})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(s.Close)
	account := func(name string, role review.Role) store.Actor {
		token, err := s.AddAccount(ctx, name, role)
		if err != nil {
			tb.Fatal(err)
		}
		a, err := s.Authenticate(ctx, token)
		if err != nil {
			tb.Fatal(err)
		}
		return a
	}
	w, ada, rune := &wideSite{}, account("Ada", review.Contributor), account("Rune", review.Reviewer)
	sefa := account("Sefa", review.Reviewer)
	submit := func(base int, m *board.Map) store.Receipt {
		doc, err := m.Canonical()
		if err != nil {
			tb.Fatal(err)
		}
		r, err := s.Submit(ctx, ada, store.Submission{Board: m.Board, Base: base, Map: doc, Summary: "Wide."})
		if err != nil {
			tb.Fatal(err)
		}
		return r
	}
	m := boardtest.Big(n)
	for base := range 2 {
		m.Name += "."
		for i := range m.Positions {
			m.Positions[i].X += 0.5
		}
		r := submit(base, m)
		for _, a := range []store.Actor{rune, sefa} {
			if _, err := s.Review(ctx, a, store.Verdict{Proposal: r.Proposal, Verdict: review.Endorse, Summary: "Read.",
				IfMatch: r.Digest}); err != nil {
				tb.Fatal(err)
			}
		}
		if _, err := s.Release(ctx, rune, store.Decision{Proposal: r.Proposal, IfMatch: r.Digest}); err != nil {
			tb.Fatal(err)
		}
	}
	for range 12 {
		for i := range m.Positions {
			m.Positions[i].Y += 0.25
			m.Positions[i].Notes += "."
		}
		w.proposal = submit(2, m).Proposal
	}
	kit := []byte(`{"kit":"wide","title":"wide","for":["` + m.Board +
		`"],"lines":[{"line":1,"quantity":5000,"text":"47uF 16V"}]}`)
	if _, _, err := s.PutKit(ctx, ada, store.KitPut{Kit: "wide", Document: kit}); err != nil {
		tb.Fatal(err)
	}
	p, err := pages.New(s, pages.Options{})
	if err != nil {
		tb.Fatal(err)
	}
	mount := func(e *echo.Echo, gate *api.Gate) {
		before := map[string]bool{}
		for _, r := range e.Routes() {
			before[r.Method+r.Path] = true
		}
		p.Mount(e, gate)
		for _, r := range e.Routes() {
			if !before[r.Method+r.Path] && r.Method != http.MethodHead {
				w.routes = append(w.routes, r.Method+" "+r.Path)
			}
		}
	}
	w.handler, err = api.New(api.Config{Store: s, Pages: mount, ErrorPage: p.ErrorPage, Limits: api.Limits{Off: true}})
	if err != nil {
		tb.Fatal(err)
	}
	slices.Sort(w.routes)
	return w
}

// request is the dearest of a page, from a visitor without an account.
func (w *wideSite) request(tb testing.TB, page string) *http.Request {
	tb.Helper()
	d := dearest[page]
	method, path, _ := strings.Cut(page, " ")
	path = strings.NewReplacer(":board", "tarn-big-sample", ":designator", "C1", ":id", id(w.proposal), ":file",
		"pages.css", ":tag", "de").Replace(path)
	if d.query != "" {
		path += "?" + d.query
	}
	if d.form == nil {
		return httptest.NewRequestWithContext(tb.Context(), method, path, nil)
	}
	return w.sent(tb, path, d.form)
}

// sent is a form from a visitor without an account.
func (w *wideSite) sent(tb testing.TB, path string, fields url.Values) *http.Request {
	tb.Helper()
	first := httptest.NewRecorder()
	w.handler.ServeHTTP(first, httptest.NewRequestWithContext(tb.Context(), "GET", "/sign-in", nil))
	key := keyField.FindStringSubmatch(first.Body.String())
	if key == nil {
		tb.Fatal("the page has no form")
	}
	form := url.Values{"form_key": key[1:]}
	for name, values := range fields {
		form[name] = values
	}
	body, media := strings.NewReader(form.Encode()), "application/x-www-form-urlencoded"
	if body.Len() > api.MaxBody { // in parts nothing is escaped
		var parts bytes.Buffer
		m := multipart.NewWriter(&parts)
		for name, values := range form {
			for _, v := range values {
				if err := m.WriteField(name, v); err != nil {
					tb.Fatal(err)
				}
			}
		}
		if err := m.Close(); err != nil {
			tb.Fatal(err)
		}
		body, media = strings.NewReader(parts.String()), m.FormDataContentType()
	}
	r := httptest.NewRequestWithContext(tb.Context(), http.MethodPost, path, body)
	r.Header.Set("Content-Type", media)
	for _, c := range first.Result().Cookies() {
		r.AddCookie(c)
	}
	return r
}

// TestCostOfEveryPage: every page has a dearest request, which is answered or
// refused in bounds.
func TestCostOfEveryPage(t *testing.T) {
	w := newWide(t, 300)
	for _, key := range w.routes {
		if _, ok := dearest[key]; !ok {
			t.Errorf("%s has no row in dearest: add the request that costs most there", key)
			continue
		}
		r := httptest.NewRecorder()
		w.handler.ServeHTTP(r, w.request(t, key))
		if r.Code >= 500 || r.Body.Len() > costtest.MaxAnswer {
			t.Errorf("%s: status %d with %d bytes: %.300s", key, r.Code, r.Body.Len(), r.Body.String())
		}
	}
	for key := range dearest {
		if !slices.Contains(w.routes, key) {
			t.Errorf("%s has a row in dearest and is no page", key)
		}
	}
}

// BenchmarkCostOfEveryPage measures the table on a board of 5,000 positions.
func BenchmarkCostOfEveryPage(b *testing.B) {
	w := newWide(b, 5000)
	for _, key := range w.routes {
		b.Run(strings.ReplaceAll(key, " ", "_"), func(b *testing.B) {
			var c costtest.Cost
			for b.Loop() {
				c = costtest.Of(b, w.handler, func() *http.Request { return w.request(b, key) })
			}
			costtest.Report(b, c, true)
		})
	}
}
