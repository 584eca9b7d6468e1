package api

import (
	"cmp"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"boardlore/api/costtest"
	"boardlore/domain/board/boardtest"
)

// dear is a request that costs as much as one of its route can: of the largest
// board, kit or proposal that the server holds, or with the worst body that we
// know. Where nothing is said, the address is filled in and nothing is sent.
type dear struct {
	id    string // in the path, where it must not be the proposal's: nobody's own token is to go
	query string
	media string // of the body; JSON where ""
	body  func() string
}

// filled repeats a piece between a head and a tail up to the most that a body has.
func filled(head, piece, tail string) func() string { return filledTo(MaxBody, head, piece, tail) }

func filledTo(most int, head, piece, tail string) func() string {
	return func() string {
		n := (most - len(head) - len(tail)) / len(piece)
		return head + strings.TrimSuffix(strings.Repeat(piece, n), ",") + tail
	}
}

// times repeats a piece as often as a schema lets it stand.
func times(n int, head, piece, tail string) func() string {
	return func() string { return head + strings.TrimSuffix(strings.Repeat(piece, n), ",") + tail }
}

const emptyMap = `"board":"a","equipment":{"maker":"M","model":"O"},"name":"N","frame":{"width_mm":9,"height_mm":9,"basis":"measured"},"positions":[`

// dearest has a row for every route: who adds a route adds to it what would cost
// most there.
var dearest = map[string]dear{
	"GET /v1": {}, "GET /v1/openapi.json": {}, "GET /v1/reference": {}, "GET /v1/schemas": {},
	"GET /v1/schemas/:name": {}, "GET /v1/rules": {},
	"GET /problems": {}, "GET /problems/:name": {}, "GET /healthz": {}, "GET /readyz": {},

	"GET /v1/boards":        {query: "q=" + strings.Repeat("wide+board+", 15) + "&limit=200"},
	"GET /v1/boards/:board": {}, "GET /v1/boards/:board/map": {},
	"GET /v1/boards/:board/revisions":    {query: "limit=200"},
	"GET /v1/boards/:board/revisions/:n": {}, "GET /v1/boards/:board/differences": {query: "from=1&to=2"},
	"GET /v1/boards/:board/drawing.svg": {query: "mark=" + strings.Repeat("C1&mark=", 500) + "C1"},
	"GET /v1/boards/:board/plan":        {query: "scope=all"},
	"GET /v1/boards/:board/records":     {query: "limit=200"}, "GET /v1/boards/:board/experience": {},
	"GET /v1/boards/:board/positions/:designator/history": {},
	"GET /v1/boards/:board/events":                        {query: "limit=200"},
	"GET /v1/boards/:board/events.atom":                   {},
	"GET /v1/symptoms":                                    {query: "q=" + strings.Repeat("hum+", 40)},
	"POST /v1/boards/:board/reconciliations": {query: "pairs=true&scope=all", media: "text/plain",
		body: times(500, "", "9x 47u 16V C1-C9\n", "")},

	"GET /v1/proposals": {query: "limit=200"}, "GET /v1/proposals/:id": {}, "GET /v1/proposals/:id/checklist": {},
	"GET /v1/proposals/:id/map":     {},
	"GET /v1/proposals/:id/reviews": {}, "GET /v1/proposals/:id/reviews/:review": {},
	"POST /v1/proposals": {body: filled(`{"board":"a","base_revision":0,"summary":"s","map":{`+emptyMap,
		`{},`, `]}}`)},
	"PUT /v1/proposals/:id/map": {body: filled(`{`+emptyMap, `{},`, `]}`)},
	"POST /v1/proposals/:id/reviews": {body: filledTo(256<<10, `{"verdict":"query","summary":"s","remarks":[`, `{},`,
		`]}`)},
	"POST /v1/proposals/:id/release":  {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
	"POST /v1/proposals/:id/decline":  {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
	"POST /v1/proposals/:id/withdraw": {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},

	"POST /v1/maps/check": {body: times(5000, `{`+emptyMap,
		`{"designator":"C1","side":"top","x_mm":5,"y_mm":5,"part":{"class":"capacitor","value":"oh","voltage":"no","tolerance":"so","current":"do","power":"be","esr_max":"up","ripple":"on"},"body":{"mount":"surface","length_mm":9,"width_mm":9}},`, `]}`)},
	"POST /v1/maps/from-placements": {body: filled(`{"board":"a","equipment":{"maker":"M","model":"O"},"name":"N","placements":"Ref,X,Y,Side\n`, `C1,1,1,top\n`, `"}`)},
	"POST /v1/maps/from-photograph": {body: filled(`{"board":"a","equipment":{"maker":"M","model":"O"},"name":"N","frame":{"width_mm":9,"height_mm":9},"photographs":[{"width_px":9,"height_px":9,"side":"top","points":[`,
		`{"pixel":[1,2],"mm":[3,4]},`, `],"marks":[]}]}`)},
	"POST /v1/parts/read":      {body: filledTo(256<<10, `{"text":"`, `47u 16V `, `"}`)},
	"POST /v1/quantities/read": {body: filledTo(256<<10, `{"kind":"capacitance","text":"`, `47u `, `"}`)},

	"GET /v1/kits": {query: "limit=200"}, "GET /v1/kits/:kit": {}, "GET /v1/kits/:kit/boards": {query: "limit=200"},
	"GET /v1/kits/:kit/versions": {query: "limit=200"},
	"PUT /v1/kits/:kit":          {media: "text/csv", body: filled("", "C1 C1 C1 C1\n", "")},

	"GET /v1/drafts": {}, "GET /v1/drafts/:draft": {}, "GET /v1/drafts/:draft/versions": {}, "GET /v1/shared-draft": {},
	"PUT /v1/drafts/:draft":    {body: filled(`{"x":[`, `{},`, `]}`)},
	"DELETE /v1/drafts/:draft": {}, "POST /v1/drafts/:draft/link": {}, "DELETE /v1/drafts/:draft/link": {},

	"GET /v1/records": {query: "limit=200"}, "GET /v1/records/:id": {},
	"POST /v1/boards/:board/records":  {body: filled(`{"board":"tarn-big-sample","revision":1,"unit":"1","serviced_on":"2026-01-02","outcome":"working","positions":[`, `{},`, `]}`)},
	"POST /v1/records/:id/withdrawal": {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},

	"GET /v1/events": {query: "limit=200"}, "GET /v1/events.atom": {},
	"POST /v1/photographs":        {media: "image/png", body: filled("\x89PNG\r\n\x1a\n", "\x00", "")},
	"GET /v1/photographs/:sha256": {}, "GET /v1/boards/:board/photograph": {query: "width=2400"},

	"GET /v1/boards/:board/revisions/:n/proof": {}, "GET /v1/boards/:board/parts-list": {query: "scope=all"},
	"GET /v1/export": {}, "GET /v1/maps/:digest": {}, "GET /v1/parts/read": {query: "explain=true&text=" +
		strings.Repeat("47u+16V+", 60)},
	"GET /v1/boards/:board/doubts":             {},
	"POST /v1/boards/:board/doubts":            {body: filledTo(256<<10, `{"revision":1,"text":"`, `a`, `"}`)},
	"POST /v1/boards/:board/doubts/:id/answer": {body: filledTo(256<<10, `{"text":"`, `a`, `"}`)},
	"GET /v1/account":                          {}, "GET /v1/account/tokens": {}, "GET /v1/account/sessions": {},
	"DELETE /v1/account/tokens/:id": {id: "999"}, "DELETE /v1/account/sessions/:id": {id: "999"},
	"POST /v1/account/tokens": {body: filledTo(256<<10, `{"name":"`, `a`, `"}`)},
	"GET /v1/account/watches": {}, "DELETE /v1/account/watches/:id": {}, "POST /v1/account/feed": {},
	"DELETE /v1/account/feed": {}, "GET /v1/watched.atom": {query: "feed=x"},
	"POST /v1/account/watches": {body: filledTo(256<<10, `{"maker":"`, `a`, `"}`)},
	"GET /v1/hooks":            {}, "DELETE /v1/hooks/:id": {}, "GET /v1/hooks/:id/deliveries": {},
	"POST /v1/hooks":      {body: filledTo(256<<10, `{"address":"https://`, `a`, `"}`)},
	"GET /v1/invitations": {}, "DELETE /v1/invitations/:id": {},
	"POST /v1/invitations":               {body: filledTo(256<<10, `{"note":"`, `a`, `"}`)},
	"POST /v1/accounts/:id/sign-in-link": {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
	"GET /v1/join":                       {},
	"POST /v1/join":                      {body: filledTo(256<<10, `{"name":"`, `a`, `"}`)},
	"PUT /v1/join":                       {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
	"GET /log/checkpoint":                {}, "GET /log/tile/*": {},
	"POST /v1/proposals/:id/reviews/:review/answers":   {body: filledTo(256<<10, `{"text":"`, `a`, `"}`)},
	"POST /v1/proposals/:id/reviews/:review/set-aside": {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},

	"GET /v1/acts": {query: "limit=200"}, "GET /v1/accounts": {},
	"POST /v1/accounts/:id/disable":                  {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
	"POST /v1/accounts/:id/enable":                   {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
	"POST /v1/accounts/:id/role":                     {body: filledTo(256<<10, `{"role":"`, `a`, `"}`)},
	"POST /v1/accounts/:id/erasure":                  {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
	"POST /v1/acts/:id/erasure":                      {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
	"POST /v1/photographs/:sha256/erasure":           {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
	"POST /v1/photographs/:sha256/withdrawal":        {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
	"POST /v1/boards/:board/move":                    {body: filledTo(256<<10, `{"to":"`, `a`, `"}`)},
	"POST /v1/boards/:board/revisions/:n/withdrawal": {body: filledTo(256<<10, `{"reason":"`, `a`, `"}`)},
}

// wide serves a board of n positions in two revisions, with an open proposal
// that changes every one of them, and a kit.
func wide(tb testing.TB, n int) *fixture {
	tb.Helper()
	f := serve(tb)
	m := boardtest.Big(n)
	submit := func(base int) {
		b, err := m.Canonical()
		if err != nil {
			tb.Fatal(err)
		}
		f.ask(tb, "ada", "POST", "/v1/proposals",
			fmt.Sprintf(`{"board":%q,"base_revision":%d,"map":%s,"summary":"wide"}`, m.Board, base, b)).want(tb, 201,
			"")
	}
	submit(0)
	f.endorse(tb, 1)
	m.Name = "Wide board"
	for i := range m.Positions {
		m.Positions[i].X += 0.5
		m.Positions[i].Notes = "Moved."
	}
	submit(1)
	f.endorse(tb, 2)
	for i := range m.Positions {
		m.Positions[i].Y += 0.5
	}
	submit(2)
	f.ask(tb, "ada", "PUT", "/v1/kits/wide", `{"title":"wide","for":["`+m.Board+
		`"],"lines":[{"line":1,"quantity":5000,"text":"47uF 16V"}]}`).want(tb, 201, "")
	return f
}

// request is the dearest of a route.
func (d dear) request(tb testing.TB, f *fixture, r *route) *http.Request {
	tb.Helper()
	id := cmp.Or(d.id, "3")
	path := strings.NewReplacer(":board", "tarn-big-sample", ":n", "2", ":designator", "C1", ":id", id, ":review", "1",
		":kit", "wide",
		":sha256", strings.Repeat("0", 64), ":name", "map", ":draft", "wide").Replace(r.path)
	if d.query != "" {
		path += "?" + d.query
	}
	body := ""
	if d.body != nil {
		body = d.body()
	}
	q := httptest.NewRequestWithContext(tb.Context(), r.method, path, strings.NewReader(body))
	if body != "" {
		q.Header.Set("Content-Type", "application/json")
		if d.media != "" {
			q.Header.Set("Content-Type", d.media)
		}
	}
	switch r.role {
	case contributor:
		q.Header.Set("Authorization", "Bearer "+f.token["ada"])
	case reviewer:
		q.Header.Set("Authorization", "Bearer "+f.token["rob"])
	case steward:
		q.Header.Set("Authorization", "Bearer "+f.token["sue"])
	}
	return q
}

// TestCostOfEveryRoute: every route has a dearest request, which is answered or
// refused in bounds; a body that says that it is larger than the route reads is
// not read at all.
func TestCostOfEveryRoute(t *testing.T) {
	f := wide(t, 300)
	known := map[string]bool{}
	for _, r := range routes() {
		known[r.key()] = true
		d, ok := dearest[r.key()]
		if !ok {
			t.Errorf("%s has no row in dearest: add the request that costs most there", r.key())
			continue
		}
		w := httptest.NewRecorder()
		f.Config.Handler.ServeHTTP(w, d.request(t, f, &r))
		if w.Code >= 500 || w.Body.Len() > maxAnswer {
			t.Errorf("%s: status %d with %d bytes: %s", r.key(), w.Code, w.Body.Len(), clipped(w.Body.String()))
		}
		if most := map[bool]size{false: MaxBody, true: picture}[r.key() == "POST /v1/photographs"]; r.body > most {
			t.Errorf("%s reads %d bytes", r.key(), r.body)
		}
		if r.body == noBody {
			continue
		}
		q := d.request(t, f, &r)
		q.Body, q.ContentLength = io.NopCloser(unread{t, r.key()}), int64(r.body)+1
		w = httptest.NewRecorder()
		if f.Config.Handler.ServeHTTP(w, q); w.Code != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: a body that is too large is %d", r.key(), w.Code)
		}
	}
	for key := range dearest {
		if !known[key] {
			t.Errorf("%s has a row in dearest and is no route", key)
		}
	}
}

// unread is a body that nobody should read.
type unread struct {
	t   *testing.T
	key string
}

func (u unread) Read([]byte) (int, error) {
	u.t.Errorf("%s reads a body that is too large", u.key)
	return 0, io.EOF
}

// BenchmarkCostOfEveryRoute measures the table on a board of 5,000 positions.
func BenchmarkCostOfEveryRoute(b *testing.B) {
	f := wide(b, 5000)
	rs := routes()
	slices.SortFunc(rs, func(x, y route) int { return strings.Compare(x.key(), y.key()) })
	for _, r := range rs {
		b.Run(strings.ReplaceAll(r.key(), " ", "_"), func(b *testing.B) {
			d := dearest[r.key()]
			var c costtest.Cost
			for b.Loop() {
				c = costtest.Of(b, f.Config.Handler, func() *http.Request { return d.request(b, f, &r) })
			}
			costtest.Report(b, c, r.role == anyone && r.path != exportPath)
		})
	}
}
