package api

import (
	"bytes"
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/storetest"
)

func TestMain(m *testing.M) { os.Exit(storetest.Main(m, storetest.Waiting)) }

// fixture is a server on a database of its own, with one account of each role.
type fixture struct {
	*httptest.Server
	token map[string]string
}

func serve(tb testing.TB) *fixture { return serveWith(tb, Config{}) }

func storeOf(tb testing.TB) *store.Store {
	tb.Helper()
	if t, ok := tb.(*testing.T); ok {
		t.Parallel() // each has a database of its own
	}
	st, err := store.Open(tb.Context(), storetest.DSN(tb, migrate), store.Options{})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(st.Close)
	return st
}

// openOn opens a store on a database of the caller's.
func openOn(tb testing.TB, dsn string, o store.Options) *store.Store {
	tb.Helper()
	st, err := store.Open(tb.Context(), dsn, o)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(st.Close)
	return st
}

// sql does something on a database that no act would do.
func sql(tb testing.TB, dsn, statement string) {
	tb.Helper()
	conn, err := pgx.Connect(tb.Context(), dsn)
	if err != nil {
		tb.Fatal(err)
	}
	defer conn.Close(context.WithoutCancel(tb.Context()))
	if _, err := conn.Exec(tb.Context(), statement); err != nil {
		tb.Fatalf("%s: %v", statement, err)
	}
}

func migrate(ctx context.Context, url string) error { return store.Migrate(ctx, url, func(string) {}) }

// serveWith serves as cfg says, on a store of its own.
func serveWith(tb testing.TB, cfg Config) *fixture {
	tb.Helper()
	if cfg.Store == nil {
		cfg.Store = storeOf(tb)
	}
	st := cfg.Store
	if cfg.Log == nil {
		cfg.Log = slog.New(slog.NewTextHandler(tb.Output(), &slog.HandlerOptions{Level: slog.LevelError}))
	}
	h, err := New(cfg)
	if err != nil {
		tb.Fatal(err)
	}
	f := &fixture{httptest.NewServer(h), map[string]string{}}
	tb.Cleanup(f.Close)
	for name, role := range map[string]review.Role{"ada": review.Contributor, "eve": review.Contributor,
		"rob": review.Reviewer, "roy": review.Reviewer, "sue": review.Steward} {
		if f.token[name], err = st.AddAccount(tb.Context(), name, role); err != nil {
			tb.Fatal(err)
		}
	}
	return f
}

type answer struct {
	status int
	header http.Header
	body   []byte
	doc    map[string]any
}

// reads are the acts that need the digest of the map that was read.
var reads = regexp.MustCompile(`^(/v1/proposals/[0-9]+)/(?:reviews|release)$`)

// ask sends a request as who ("" for nobody); headers come in pairs. Reviews
// and releases say that the present map was read, where the caller says
// nothing of it; "If-Match", "" sends none.
func (f *fixture) ask(tb testing.TB, who, method, path, body string, headers ...string) answer {
	tb.Helper()
	if m := reads.FindStringSubmatch(path); m != nil && method == http.MethodPost && !slices.Contains(headers,
		"If-Match") {
		if tag := f.ask(tb, "", http.MethodGet, m[1], "").header.Get("ETag"); tag != "" {
			headers = append(slices.Clone(headers), "If-Match", tag)
		}
	}
	req, err := http.NewRequestWithContext(tb.Context(), method, f.URL+path, strings.NewReader(body))
	if err != nil {
		tb.Fatal(err)
	}
	if body != "" {
		req.Header.Set("Content-Type", "application/json")
	}
	if who != "" {
		req.Header.Set("Authorization", "Bearer "+f.token[who])
	}
	req.Header.Set("Accept-Encoding", "identity") // the transport would ask for more by itself
	for i := 0; i < len(headers); i += 2 {
		if headers[i+1] != "" {
			req.Header.Set(headers[i], headers[i+1])
		}
	}
	res, err := f.Client().Do(req)
	if err != nil {
		tb.Fatal(err)
	}
	defer func() { _ = res.Body.Close() }()
	a := answer{status: res.StatusCode, header: res.Header}
	if a.body, err = io.ReadAll(res.Body); err != nil {
		tb.Fatal(err)
	}
	if plain := unpacked(tb, a); len(plain) > 0 && plain[0] == '{' &&
		a.header.Get("Content-Type") != "application/x-ndjson" {
		if err := json.Unmarshal(plain, &a.doc); err != nil {
			tb.Fatalf("%s %s answers no JSON object: %v\n%s", method, path, err, a.body)
		}
	}
	conform(tb, method, path, body, a)
	if m := keyTold.Find(a.body); m != nil && a.status >= 400 {
		tb.Errorf("%s %s tells a key and no sentence: %s", method, path, m)
	}
	return a
}

// keyTold finds a problem that tells the key of its sentence, as one does whose
// text is taken for words already.
var keyTold = regexp.MustCompile(`"detail": ?"[a-z]+(\.[a-z0-9-]+)+"`)

func (a answer) want(tb testing.TB, status int, code string) answer {
	tb.Helper()
	if a.status != status || code != "" && a.doc["code"] != code {
		tb.Fatalf("status %d code %v, want %d %q: %s", a.status, a.doc["code"], status, code, a.body)
	}
	if status >= 400 {
		if a.header.Get("Content-Type") != "application/problem+json" || a.doc["type"] == "" ||
			a.doc["request_id"] != a.header.Get("X-Request-Id") {
			tb.Fatalf("no problem details: %v %s", a.header, a.body)
		}
	}
	return a
}

const sampleMap = `{"board":"fen-rx2-main","equipment":{"maker":"Fenwright","model":"RX2","kind":"recorder"},"name":"Main board",
"frame":{"width_mm":100,"height_mm":80,"basis":"measured","uncertainty_mm":0.5},
"positions":[
{"designator":"C1","side":"top","x_mm":20,"y_mm":20,"rotation_deg":0,"part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"47 µF","voltage":"16 V","polarised":true},"negative_deg":180,"service":"replace"},
{"designator":"R1","side":"top","x_mm":60,"y_mm":40,"rotation_deg":90,"part":{"class":"resistor","value":"4.7 kΩ"}}]}`

func submission1(base, m, summary string) string {
	return `{"board":"fen-rx2-main","base_revision":` + base + `,"map":` + m + `,"summary":"` + summary + `"}`
}

// release1 brings sampleMap to revision 1.
func (f *fixture) release1(tb testing.TB) {
	tb.Helper()
	f.ask(tb, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first")).want(tb, 201, "")
	f.endorse(tb, 1)
}

// endorse has both reviewers endorse a proposal, and releases it.
func (f *fixture) endorse(tb testing.TB, id int) {
	tb.Helper()
	under := "/v1/proposals/" + strconv.Itoa(id)
	for _, who := range []string{"rob", "roy"} {
		f.ask(tb, who, "POST", under+"/reviews", `{"verdict":"endorse"}`).want(tb, 201, "")
	}
	f.ask(tb, "rob", "POST", under+"/release", "").want(tb, 200, "")
}

func TestWholeWay(t *testing.T) {
	f := serve(t)
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main", "").want(t, 404, "board-unknown")
	f.release1(t)
	b := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main", "").want(t, 200, "")
	m := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "").want(t, 200, "")
	digest := b.doc["digest"].(string)
	if hash(m.body) != digest || m.header.Get("ETag") != `"`+digest+`"` ||
		m.header.Get("Repr-Digest") != reprDigest(digest) {
		t.Errorf("digest %s, ETag %s, Repr-Digest %s do not name the body", digest, m.header.Get("ETag"),
			m.header.Get("Repr-Digest"))
	}
	if got := m.header.Get("Content-Location"); got != "/v1/boards/fen-rx2-main/revisions/1" {
		t.Errorf("Content-Location %s", got)
	}
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "", "If-None-Match", `"x", "`+digest+`"`).want(t, 304, "")
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "", "If-Match", `"x"`).want(t, 412, "stale")
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map?variant=none", "").want(t, 404, "variant-not-found")
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map?varaint=x", "").want(t, 400, "parameter-invalid")
	r := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/revisions/1", "").want(t, 200, "")
	if !bytes.Equal(r.body, m.body) || r.header.Get("Cache-Control") != "public, max-age=86400, must-revalidate" {
		t.Errorf("revision 1 differs from the map, or is kept for more than a day: %v", r.header)
	}
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/revisions/2", "").want(t, 404, "revision-unknown")
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/revisions/two", "").want(t, 400, "parameter-invalid")
	svg := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/drawing.svg?side=top&mark=C1", "").want(t, 200, "")
	if !bytes.Contains(svg.body, []byte("<svg")) {
		t.Error("no drawing")
	}
	feed := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/events.atom", "").want(t, 200, "")
	if !bytes.Contains(feed.body, []byte("<entry>")) {
		t.Errorf("no entries: %s", feed.body)
	}
}

func TestAmend(t *testing.T) {
	f := serve(t)
	p := f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first"), "Idempotency-Key", "k1").want(t,
		201, "")
	again := f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first"), "Idempotency-Key",
		"k1").want(t, 201, "")
	if !bytes.Equal(p.body, again.body) || p.header.Get("Location") != again.header.Get("Location") {
		t.Errorf("the first answer was not given again:\n%s%s", p.body, again.body)
	}
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "other"), "Idempotency-Key", "k1").want(t, 422,
		"idempotency-key-reused")
	changed := strings.Replace(sampleMap, "47 µF", "100 µF", 1)
	f.ask(t, "ada", "PUT", "/v1/proposals/1/map", changed).want(t, 428, "if-match-needed")
	f.ask(t, "ada", "PUT", "/v1/proposals/1/map", changed, "If-Match", `"x"`).want(t, 412, "")
	tag := f.ask(t, "", "GET", "/v1/proposals/1", "").want(t, 200, "").header.Get("ETag")
	f.ask(t, "ada", "PUT", "/v1/proposals/1/map", changed, "If-Match", tag).want(t, 200, "")
	f.ask(t, "ada", "PUT", "/v1/proposals/1/map", sampleMap, "If-Match", tag).want(t, 412, "")
}

func TestRefusals(t *testing.T) {
	f := serve(t)
	for _, c := range []struct {
		name, who, method, path, body string
		status                        int
		code                          string
		headers                       []string
	}{
		{"nowhere", "", "GET", "/v1/nowhere", "", 404, "not-found", nil},
		{"wrong method", "", "PUT", "/v1/boards", "{}", 405, "method-not-allowed", nil},
		{"token not valid", "", "GET", "/v1/boards", "", 401, "token-invalid", []string{"Authorization",
			"Bearer nonsense"}},
		{"no token", "", "POST", "/v1/proposals", "{}", 401, "token-needed", nil},
		{"role too low", "ada", "POST", "/v1/proposals/1/reviews", "{}", 403, "role-needed", nil},
		{"not JSON by type", "", "POST", "/v1/maps/check", "{}", 415, "unsupported-media-type", []string{"Content-Type",
			"text/xml"}},
		{"not JSON", "", "POST", "/v1/maps/check", `{"a":1,"a":2}`, 400, "json-malformed", nil},
		{"too large", "", "POST", "/v1/parts/read", strings.Repeat(" ", 300<<10), 413, "too-large", nil},
		{"unknown member", "", "POST", "/v1/parts/read", `{"txt":"4u7"}`, 422, "request-refused", nil},
		{"faulty map", "ada", "POST", "/v1/proposals",
			`{"board":"a","base_revision":0,"map":{"board":"a"},"summary":"s"}`, 422, "map-refused", nil},
		{"bad limit", "", "GET", "/v1/boards?limit=ten", "", 400, "parameter-invalid", nil},
		{"bad cursor", "", "GET", "/v1/boards?cursor=%2B%2B", "", 400, "cursor-malformed", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := f.ask(t, c.who, c.method, c.path, c.body, c.headers...).want(t, c.status, c.code)
			if c.status == 405 && a.header.Get("Allow") == "" || c.status == 401 &&
				a.header.Get("WWW-Authenticate") == "" {
				t.Errorf("a header is missing: %v", a.header)
			}
		})
	}
}

// TestRankings asks for the boards of a kept kit and for a proposal's checklist.
func TestRankings(t *testing.T) {
	f := serve(t)
	f.release1(t)
	var m struct {
		Board     string `json:"board"`
		Positions []struct {
			Designator string         `json:"designator"`
			Part       jsontext.Value `json:"part"`
		} `json:"positions"`
	}
	if err := json.Unmarshal([]byte(sampleMap), &m); err != nil {
		t.Fatal(err)
	}
	f.ask(t, "ada", "PUT", "/v1/kits/ranked",
		`{"kit":"ranked","title":"one part","lines":[{"line":1,"quantity":9,"part":`+string(m.Positions[0].Part)+
			`}]}`).want(t, 201, "")
	a := f.ask(t, "", "GET", "/v1/kits/ranked/boards", "").want(t, 200, "")
	if boards, _ := a.doc["boards"].([]any); len(boards) != 1 || boards[0].(map[string]any)["board"] != m.Board {
		t.Errorf("boards of the kit: %s", a.body)
	}
	f.ask(t, "", "GET", "/v1/kits/unheard-of/boards", "").want(t, 404, "kit-unknown")
	l := f.ask(t, "", "GET", "/v1/proposals/1/checklist", "").want(t, 200, "")
	if _, ok := l.doc["positions"].([]any); !ok {
		t.Errorf("checklist: %s", l.body)
	}
	f.ask(t, "", "GET", "/v1/proposals/99/checklist", "").want(t, 404, "proposal-unknown")
}

// TestRoles asks for every route of the table as nobody, as each role, and as
// the author of the proposal or the owner of the kit that it is about: who may
// not is told 401 or 403, before anything else, and who may is told neither.
func TestRoles(t *testing.T) {
	f := serve(t)
	f.release1(t)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":70`, 1),
		"ada's")).want(t, 201, "")
	f.ask(t, "rob", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":71`, 1),
		"rob's")).want(t, 201, "")
	f.ask(t, "sue", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":72`, 1),
		"sue's")).want(t, 201, "")
	f.ask(t, "ada", "PUT", "/v1/kits/adas", strings.Replace(sampleKit, "rx2-caps", "adas", 1)).want(t, 201, "")
	own := map[string]string{"ada": "2", "rob": "3", "sue": "4", "": "2", "eve": "2"}
	who := []struct {
		name string
		role review.Role
	}{{"", review.Anonymous}, {"eve", review.Contributor}, {"ada", review.Contributor}, {"rob", review.Reviewer},
		{"sue", review.Steward}}
	elsewhere := strings.NewReplacer("accounts/:id", "accounts/99", "acts/:id", "acts/99", "tokens/:id", "tokens/99",
		"sessions/:id", "sessions/99") // else the stewards' acts end who asks next
	for _, r := range routes() {
		for _, w := range who {
			for _, id := range []string{"2", own[w.name]} {
				author := own[w.name] == id && w.name != "" && w.name != "eve"
				path := strings.NewReplacer(":board", "fen-rx2-main", ":n", "1", ":designator", "C1", ":id", id,
					":review", "1", ":kit", "adas", ":sha256", "00", ":digest", "00", ":name",
					"map").Replace(elsewhere.Replace(r.path))
				a := f.ask(t, w.name, r.method, path, "")
				want := denial(&r, w.role, author, w.name)
				if got, _ := a.doc["code"].(string); want != "" && got != want {
					t.Errorf("%s as %q of role %q, author %v: %d %s, want %s", r.key(), w.name, w.role, author,
						a.status, got, want)
				}
				if want == "" && (a.status == 401 || a.status == 403) || a.status >= 500 {
					t.Errorf("%s as %q of role %q, author %v: %d %s", r.key(), w.name, w.role, author, a.status, a.body)
				}
			}
		}
	}
}

// denial is the refusal that somebody gets from a route before anything else is
// looked at; "" for none. Bodies are empty here, so a route that reads one
// before it knows whose proposal or kit it is says nothing of that.
func denial(r *route, role review.Role, author bool, name string) string {
	switch {
	case r.role == review.Anonymous || role.AtLeast(r.role):
	case role == review.Anonymous:
		return "token-needed"
	default:
		return "role-needed"
	}
	switch r.path[strings.LastIndex(r.path, "/")+1:] {
	case "withdraw":
		if r.method == "POST" && !author {
			return "not-the-author"
		}
	case "decline":
		if author {
			return "own-proposal"
		}
	}
	return ""
}

// TestOwners: nobody reviews or declines their own proposal, only its author
// amends or withdraws one, and another's kit is a reviewer's to change.
func TestOwners(t *testing.T) {
	f := serve(t)
	f.release1(t)
	changed := strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":70`, 1)
	f.ask(t, "rob", "POST", "/v1/proposals", submission1("1", changed, "rob's")).want(t, 201, "")
	verdict := `{"verdict":"endorse"}`
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", verdict).want(t, 403, "own-proposal")
	f.ask(t, "rob", "POST", "/v1/proposals/2/decline", "{}").want(t, 403, "own-proposal")
	for _, who := range []string{"ada", "roy", "sue"} {
		f.ask(t, who, "PUT", "/v1/proposals/2/map", sampleMap, "If-Match", "*").want(t, 403, "not-the-author")
		f.ask(t, who, "POST", "/v1/proposals/2/withdraw", "{}").want(t, 403, "not-the-author")
	}
	f.ask(t, "rob", "PUT", "/v1/proposals/2/map", strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":71`, 1), "If-Match",
		"*").want(t, 200, "")
	f.ask(t, "roy", "POST", "/v1/proposals/2/reviews", verdict).want(t, 201, "")
	f.ask(t, "rob", "POST", "/v1/proposals/2/release", "").want(t, 200, "") // another's endorsement is there
	for act, who := range map[string]string{"release": "roy", "decline": "roy", "withdraw": "rob"} {
		f.ask(t, who, "POST", "/v1/proposals/2/"+act, "{}").want(t, 409, "proposal-closed")
	}
	f.ask(t, "rob", "PUT", "/v1/proposals/2/map", changed, "If-Match", "*").want(t, 409, "proposal-closed")
	f.ask(t, "roy", "POST", "/v1/proposals/2/reviews", verdict).want(t, 409, "proposal-closed")

	f.ask(t, "ada", "PUT", "/v1/kits/rx2-caps", sampleKit).want(t, 201, "")
	f.ask(t, "eve", "PUT", "/v1/kits/rx2-caps", strings.Replace(sampleKit, "Capacitors", "Eve's", 1)).want(t, 403,
		"kit-not-yours")
	f.ask(t, "rob", "PUT", "/v1/kits/rx2-caps", strings.Replace(sampleKit, "Capacitors", "Rob's", 1)).want(t, 200, "")
	f.ask(t, "ada", "PUT", "/v1/kits/rx2-caps", sampleKit, "If-None-Match", "*").want(t, 412, "kit-changed")
}

func TestReading(t *testing.T) {
	f := serve(t)
	q := f.ask(t, "", "POST", "/v1/quantities/read", `{"text":"4u7","kind":"capacitance"}`).want(t, 200, "")
	if !bytes.Contains(q.body, []byte(`"canonical":"4.7 µF"`)) {
		t.Errorf("4u7: %s", q.body)
	}
	f.ask(t, "", "POST", "/v1/quantities/read", `{"text":"zebra","kind":"capacitance"}`).want(t, 422, "text-unreadable")
	p := f.ask(t, "", "POST", "/v1/parts/read", `{"text":"47 µF 16 V"}`).want(t, 200, "")
	if !bytes.Contains(p.body, []byte(`"capacitor"`)) {
		t.Errorf("47 µF 16 V: %s", p.body)
	}
	f.ask(t, "", "POST", "/v1/maps/check", sampleMap).want(t, 200, "")
}

func BenchmarkMap(b *testing.B) {
	f := serve(b)
	f.release1(b)
	h := f.Config.Handler
	b.ReportAllocs()
	b.ResetTimer()
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			w := httptest.NewRecorder()
			h.ServeHTTP(w, httptest.NewRequest("GET", "/v1/boards/fen-rx2-main/map", nil))
			if w.Code != 200 {
				b.Error(w.Code)
			}
		}
	})
}

func prefixes(tb testing.TB, list ...string) (out []netip.Prefix) {
	tb.Helper()
	for _, s := range list {
		p, err := netip.ParsePrefix(s)
		if err != nil {
			tb.Fatal(err)
		}
		out = append(out, p)
	}
	return out
}
