package api

import (
	"bytes"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/andybalholm/brotli"
	"github.com/go-json-experiment/json"
	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
	"github.com/labstack/echo/v4"
)

// unpacked is a body without its content coding.
func unpacked(t testing.TB, a answer) []byte {
	t.Helper()
	if len(a.body) == 0 { // of a HEAD
		return nil
	}
	var r io.Reader = bytes.NewReader(a.body)
	var err error
	switch coding := a.header.Get("Content-Encoding"); coding {
	case "":
	case "gzip":
		r, err = gzip.NewReader(r)
	case "br":
		r = brotli.NewReader(r)
	case "zstd":
		r, err = zstd.NewReader(r, zstd.WithDecoderMaxWindow(8<<20)) // the most that RFC 9659 allows
	default:
		t.Fatalf("coding %q", coding)
	}
	if err != nil {
		t.Fatal(err)
	}
	b, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestTagsNameBytes: a strong ETag and a Repr-Digest name the very bytes that go
// out, whatever the client says of codings, and a HEAD says of them what the
// GET does; the tag of a coded form begins with that of the plain one, and each
// of them is as good in a condition.
func TestTagsNameBytes(t *testing.T) {
	f := serve(t)
	f.release1(t)
	lines := strings.Repeat(`{"line":1,"quantity":1,"text":"47 µF 16 V"},`, 12)
	for n := range 12 {
		lines = strings.Replace(lines, `"line":1,`, fmt.Sprintf(`"line":%d,`, n+2), 1)
	}
	f.ask(t, "ada", "PUT", "/v1/kits/rx2-caps", `{"kit":"rx2-caps","title":"Capacitors","lines":[`+
		strings.TrimSuffix(lines, ",")+`]}`).want(t, 201, "")
	for _, path := range []string{"/v1/boards/fen-rx2-main/map", "/v1/boards/fen-rx2-main/map?envelope=true",
		"/v1/boards/fen-rx2-main/revisions/1", "/v1/proposals/1/map",
		"/v1/kits/rx2-caps", "/v1/boards/fen-rx2-main", "/v1/boards", "/v1/boards/fen-rx2-main/revisions",
		"/v1/boards/fen-rx2-main/plan?scope=all", "/v1/proposals",
		"/v1/proposals/1", "/v1", "/v1/openapi.json", "/v1/schemas", "/v1/schemas/map",
		"/v1/boards/fen-rx2-main/drawing.svg", "/v1/boards/fen-rx2-main/events.atom",
		"/v1/events", "/v1/events.atom", "/v1/rules", "/problems", "/v1/boards/fen-rx2-main/parts-list?as=csv"} {
		whole := f.ask(t, "", "GET", path, "", "Accept-Encoding", "identity").want(t, 200, "")
		opaque := strings.Trim(whole.header.Get("ETag"), `"`)
		for header, coding := range map[string]string{"identity": "", "gzip, deflate, br": "br", "gzip": "gzip",
			"x-gzip": "gzip", "GZIP;Q=0.5": "gzip", "zstd, br": "zstd",
			"br;q=0.9, gzip;q=0.8": "br", "gzip;q=1, identity;q=0.5": "gzip", "gzip, *;q=0": "gzip",
			"identity;q=0, *": "gzip", "*": "gzip", "gzip;q=0.5, identity": "",
			"br;q=0": "", "deflate": "", "gzip;q=0, *;q=0.1": "br"} {
			headers := []string{"Accept-Encoding", header}
			a := f.ask(t, "", "GET", path, "", headers...).want(t, 200, "")
			tag := a.header.Get("ETag")
			want := opaque
			if coding != "" {
				want += "-" + coding
			}
			if tag != `"`+want+`"` || a.header.Get("Content-Encoding") != coding {
				t.Fatalf("%s, %s: tag %s for %s in coding %q", path, header, tag, opaque,
					a.header.Get("Content-Encoding"))
			}
			if !bytes.Equal(unpacked(t, a), whole.body) {
				t.Errorf("%s, %s: holds something else", path, header)
			}
			if coding != "" && len(a.body) >= len(whole.body) {
				t.Errorf("%s, %s: %d bytes for %d", path, header, len(a.body), len(whole.body))
			}
			if d := a.header.Get("Repr-Digest"); d != reprDigest(hash(a.body)) {
				t.Errorf("%s, %s: Repr-Digest %s is not of the bytes", path, header, d)
			}
			if !strings.Contains(strings.Join(a.header.Values("Vary"), ", "), "Accept-Encoding") {
				t.Errorf("%s, %s: Vary %v", path, header, a.header.Values("Vary"))
			}
			h := f.ask(t, "", "HEAD", path, "", headers...)
			for _, name := range []string{"ETag", "Repr-Digest", "Content-Type", "Cache-Control", "Content-Location",
				"Content-Encoding", "Link", "Vary", "Content-Length"} {
				if !slices.Equal(h.header.Values(name), a.header.Values(name)) {
					t.Errorf("%s, %s: HEAD says %s: %q, GET %q", path, header, name, h.header.Values(name),
						a.header.Values(name))
				}
			}
			if h.status != 200 || len(h.body) > 0 || h.header.Get("Content-Length") != fmt.Sprint(len(a.body)) {
				t.Errorf("%s, %s: HEAD %d, %d bytes, Content-Length %s of %d", path, header, h.status, len(h.body),
					h.header.Get("Content-Length"), len(a.body))
			}
			for _, known := range []string{tag, `"` + opaque + `"`, `"` + opaque + `-gzip"`, `"x", "` + opaque + `-br"`,
				`W/"` + opaque + `-zstd"`} {
				n := f.ask(t, "", "GET", path, "", append(headers, "If-None-Match", known)...).want(t, 304, "")
				if !strings.Contains(known, n.header.Get("ETag")) ||
					n.header.Get("Cache-Control") != a.header.Get("Cache-Control") ||
					!slices.Equal(n.header.Values("Vary"), a.header.Values("Vary")) {
					t.Errorf("%s, %s, %s: 304 with %v", path, header, known, n.header)
				}
			}
			f.ask(t, "", "GET", path, "", append(headers, "If-Match", tag)...).want(t, 200, "")
			f.ask(t, "", "GET", path, "", append(headers, "If-Match", `"other-gzip"`)...).want(t, 412, "stale")
		}
	}
	m := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "", "Accept-Encoding", "identity")
	if m.header.Get("ETag") != `"`+hash(m.body)+`"` {
		t.Errorf("the map's tag %s is not its digest", m.header.Get("ETag"))
	}
}

// TestNoCoding: whoever takes no form of an answer is told so before anything is
// done, and what is told comes plain; a body that is not read, an act's and a
// refusal's, is coded as well.
func TestNoCoding(t *testing.T) {
	f := serve(t)
	f.release1(t)
	for _, header := range []string{"identity;q=0", "*;q=0", "identity;q=0, deflate",
		"gzip;q=0, br;q=0, zstd;q=0, identity;q=0"} {
		for _, path := range []string{"/v1/boards/fen-rx2-main/map", "/v1/boards", "/healthz"} {
			a := f.ask(t, "", "GET", path, "", "Accept-Encoding", header).want(t, 406, "not-acceptable")
			if a.header.Get("Content-Encoding") != "" {
				t.Errorf("%s, %s: %v", path, header, a.header)
			}
		}
		f.ask(t, "ada", "PUT", "/v1/kits/rx2-caps", sampleKit, "Accept-Encoding", header).want(t, 406, "not-acceptable")
	}
	f.ask(t, "", "GET", "/v1/kits/rx2-caps", "").want(t, 404, "kit-unknown")
	if a := f.ask(t, "", "GET", "/healthz", "", "Accept-Encoding", "identity;q=0, zstd"); a.status != 200 ||
		a.header.Get("Content-Encoding") != "zstd" || len(unpacked(t, a)) == 0 {
		t.Errorf("a short body for whoever takes no plain one: %d %v", a.status, a.header)
	}
	a := f.ask(t, "", "POST", "/v1/boards/fen-rx2-main/reconciliations", `{"kit":`+sampleKit+`}`, "Accept-Encoding",
		"br")
	if a.status != 200 || a.header.Get("Content-Encoding") != "br" || a.header.Get("ETag") != "" ||
		!bytes.Contains(unpacked(t, a), []byte(`"outcome"`)) {
		t.Errorf("a report: %d %v", a.status, a.header)
	}
	a = f.ask(t, "", "GET", "/v1/boards/nowhere", "", "Accept-Encoding", "br, gzip;q=0.5")
	if a.status != 404 || a.header.Get("Content-Encoding") != "br" || !bytes.Contains(unpacked(t, a),
		[]byte(`"board-unknown"`)) {
		t.Errorf("a refusal: %d %v", a.status, a.header)
	}
	a = f.ask(t, "", "GET", "/v1/export", "", "Accept-Encoding", "zstd")
	if plain := f.ask(t, "", "GET", "/v1/export", "", "Accept-Encoding",
		"identity"); a.header.Get("Content-Encoding") != "zstd" || len(plain.body) == 0 || !bytes.Equal(unpacked(t, a),
		plain.body) {
		t.Errorf("the export: %v", a.header)
	}
}

// TestConditions goes through the forms of the conditional headers.
func TestConditions(t *testing.T) {
	f := serve(t)
	f.release1(t)
	const path = "/v1/boards/fen-rx2-main/map"
	tag := f.ask(t, "", "GET", path, "", "Accept-Encoding", "identity").header.Get("ETag")
	digest := strings.Trim(tag, `"`)
	for _, c := range []struct {
		name, value string
		status      int
	}{
		{"If-None-Match", tag, 304}, {"If-None-Match", "*", 304}, {"If-None-Match", "W/" + tag, 304},
		{"If-None-Match", `"a", W/"b" , ` + tag, 304},
		{"If-None-Match", `"` + digest + `-gzip"`, 304}, {"If-None-Match", `"other"`, 200}, {"If-None-Match", digest,
			200}, {"If-None-Match", `"`, 200},
		{"If-Match", tag, 200}, {"If-Match", "*", 200}, {"If-Match", `"a",` + tag, 200}, {"If-Match", "W/" + tag, 412},
		{"If-Match", `"other"`, 412}, {"If-Match", digest, 412},
	} {
		if a := f.ask(t, "", "GET", path, "", c.name, c.value); a.status != c.status {
			t.Errorf("%s: %s answers %d, want %d", c.name, c.value, a.status, c.status)
		}
	}
	f.ask(t, "", "GET", path, "", "If-None-Match", tag, "If-Match", `"other"`).want(t, 412, "stale")
}

// TestCross: tools in a browser read and, with a token of their own, write; the
// pages have no such door.
func TestCross(t *testing.T) {
	f := serve(t)
	for _, path := range []string{"/v1/boards", "/v1/nowhere", "/v1/proposals/7"} {
		if a := f.ask(t, "", "GET", path, "", "Origin",
			"https://tool.example"); a.header.Get("Access-Control-Allow-Origin") != "*" ||
			a.header.Get("Access-Control-Allow-Credentials") != "" {
			t.Errorf("%s: %v", path, a.header)
		}
	}
	a := f.ask(t, "", "OPTIONS", "/v1/proposals/1/map", "", "Origin", "https://tool.example",
		"Access-Control-Request-Method", "PUT")
	methods, allowed := a.header.Get("Access-Control-Allow-Methods"),
		strings.ToLower(a.header.Get("Access-Control-Allow-Headers"))
	if a.status != 204 || !strings.Contains(methods, "PUT") || !strings.Contains(allowed, "if-match") ||
		!strings.Contains(allowed, "authorization") || !strings.Contains(allowed, "idempotency-key") {
		t.Errorf("%d %v", a.status, a.header)
	}
	exposed := a.header.Get("Access-Control-Expose-Headers")
	for name := range answerHeaders {
		if name != "WWW-Authenticate" && !strings.Contains(exposed, name) {
			t.Errorf("%s is hidden from tools in a browser: %s", name, exposed)
		}
	}
	if a := f.ask(t, "", "GET", "/healthz", "", "Origin",
		"https://tool.example"); a.header.Get("Access-Control-Allow-Origin") != "" {
		t.Errorf("outside the prefix: %v", a.header)
	}
}

// TestMethods asks every address with every method: what the table has not is
// 405, with those that it has.
func TestMethods(t *testing.T) {
	f := serve(t)
	path := strings.NewReplacer(":board", "no", ":n", "1", ":designator", "C1", ":id", "99", ":review", "1", ":kit",
		"no", ":sha256", "00", ":digest", "00", ":name", "map")
	has := map[string][]string{}
	for _, r := range routes() {
		has[r.path] = append(has[r.path], r.method)
		if r.method == "GET" {
			has[r.path] = append(has[r.path], "HEAD")
		}
	}
	for p, methods := range has {
		for _, m := range []string{"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "PROPFIND"} {
			a := f.ask(t, "", m, path.Replace(p), "")
			switch {
			case m == "OPTIONS":
				if a.status != 204 || a.header.Get("Allow") == "" {
					t.Errorf("OPTIONS %s: %d %v", p, a.status, a.header)
				}
			case !slices.Contains(methods, m):
				if a.status != 405 {
					t.Errorf("%s %s: %d", m, p, a.status)
				}
				for _, can := range methods {
					if !strings.Contains(a.header.Get("Allow"), can) {
						t.Errorf("%s %s: Allow %q lacks %s", m, p, a.header.Get("Allow"), can)
					}
				}
			case a.status == 405:
				t.Errorf("%s %s: 405", m, p)
			}
		}
	}
}

// TestBodies sends to every address that reads a body what none may hold.
func TestBodies(t *testing.T) {
	f := serve(t)
	path := strings.NewReplacer(":board", "no", ":n", "1", ":sha256", "00", ":digest", "00", ":id", "99", ":review",
		"1", ":kit", "no")
	deep := strings.Repeat("[", 40) + strings.Repeat("]", 40)
	for _, r := range routes() {
		d := describe[r.key()]
		if r.body == 0 {
			continue
		}
		at := path.Replace(r.path)
		f.ask(t, "sue", r.method, at, "{}", "Content-Type", "text/html").want(t, 415, "unsupported-media-type")
		f.ask(t, "sue", r.method, at, "{}", "Content-Type", "application/json; charset=utf-16").want(t, 415,
			"unsupported-media-type")
		if a := f.ask(t, "sue", r.method, at, "{}", "Content-Encoding", "br").want(t, 415,
			"unsupported-media-type"); a.header.Get("Accept-Encoding") == "" {
			t.Errorf("%s: what codings are read is not told", r.key())
		}
		f.ask(t, "sue", r.method, at, strings.Repeat(" ", int(r.body)+1)).want(t, 413, "")
		if d.takes == "" {
			continue
		}
		for _, c := range []struct {
			body   string
			status int
			code   string
		}{
			{`{`, 400, "json-malformed"}, {`{"text":"a","text":"b"}`, 400, "json-malformed"},
			{"{\"text\":\"\xff\"}", 400, "json-malformed"},
			{`{"text":"\ud800"}`, 400, "json-malformed"}, {`{} {}`, 400, "json-malformed"},
			{"\ufeff{}", 400, "json-malformed"}, {`{"n":1e999}`, 400, "json-malformed"},
			{`{"text":` + deep + `}`, 422, ""}, {`{"text":"a\u0000b"}`, 422, ""}, {`{"a\u0000b":1}`, 422, ""},
			{`[]`, 422, ""}, {`null`, 422, ""}, {`{"no such member":1}`, 422, ""},
		} {
			if d.takes == "draft" && c.status == 422 && c.body[0] == '{' {
				continue // a draft is any object
			}
			a := f.ask(t, "sue", r.method, at, c.body, "If-Match", "*")
			if a.status == 404 || a.status == 200 && d.takes == "decision" { // the proposal is looked for first
				continue
			}
			a.want(t, c.status, c.code)
			if errs, _ := a.doc["errors"].([]any); len(errs) == 0 {
				t.Errorf("%s: %s is refused without saying where: %s", r.key(), c.body, a.body)
			}
		}
	}
}

// TestQueries holds every address to the parameters that it describes.
func TestQueries(t *testing.T) {
	f := serve(t)
	path := strings.NewReplacer(":board", "no", ":n", "1", ":designator", "C1", ":id", "99", ":review", "1", ":kit",
		"no", ":sha256", "00", ":digest", "00", ":name", "map")
	for _, r := range routes() {
		at := path.Replace(r.path)
		bad := []string{"no-such-parameter=1", "%zz=1", "a;b"}
		for _, p := range describe[r.key()].query {
			if bad = append(bad, p.name+"=a%00b"); !p.many {
				bad = append(bad, p.name+"=1&"+p.name+"=1")
			}
			switch {
			case p.number:
				if p.min > 0 {
					bad = append(bad, p.name+"=0")
				}
				bad = append(bad, p.name+"=-1", p.name+"=1.0", p.name+"=+1", p.name+"=99999999999999999999")
			case p.choices != nil:
				bad = append(bad, p.name+"=none")
			default:
				bad = append(bad, p.name+"="+strings.Repeat("a", maxText+1), p.name+"=%ff")
			}
		}
		for _, q := range bad {
			a := f.ask(t, "sue", r.method, at+"?"+q, "")
			if r.method != "HEAD" {
				a.want(t, 400, "parameter-invalid")
			}
		}
	}
}

// TestLimits: each caller has an allowance of each kind; over it, 429 says when
// to come back, and others go on.
func TestLimits(t *testing.T) {
	f := serveWith(t, Config{Limits: Limits{Reads: Rate{0.01, 3}, Labour: Rate{0.01, 2}, Writes: Rate{0.01, 1},
		Failed: Rate{0.01, 2}}})
	over := func(who, method, path string, headers ...string) {
		t.Helper()
		a := f.ask(t, who, method, path, "", headers...).want(t, 429, "too-many-requests")
		if !regexp.MustCompile(`^[1-9][0-9]*$`).MatchString(a.header.Get("Retry-After")) {
			t.Errorf("Retry-After %q", a.header.Get("Retry-After"))
		}
	}
	for range 3 {
		f.ask(t, "", "GET", "/v1", "").want(t, 200, "")
	}
	over("", "GET", "/v1")
	over("", "GET", "/v1", "X-Forwarded-For", "203.0.113.9") // nobody's word counts here
	f.ask(t, "ada", "GET", "/v1", "").want(t, 200, "")       // an account is another caller than its address
	f.ask(t, "", "GET", "/v1/boards", "").want(t, 200, "")   // and labour another allowance
	f.ask(t, "", "GET", "/v1/boards", "").want(t, 200, "")
	over("", "GET", "/v1/boards")
	f.ask(t, "ada", "POST", "/v1/proposals", "{}").want(t, 422, "")
	over("ada", "POST", "/v1/proposals")
	for range 2 {
		f.ask(t, "", "GET", "/v1", "", "Authorization", "Bearer guess").want(t, 401, "token-invalid")
	}
	over("", "GET", "/v1", "Authorization", "Bearer guess")
	f.ask(t, "ada", "GET", "/v1", "").want(t, 200, "") // whoever has a token is not locked out by who has none
}

// TestPanic: a defect is a 500 with the request's ID; what happened is in the
// log and nowhere else.
func TestPanic(t *testing.T) {
	var log bytes.Buffer
	s, e, err := assemble(Config{Store: storeOf(t), Log: slog.New(slog.NewJSONHandler(&log, nil))})
	if err != nil {
		t.Fatal(err)
	}
	e.GET("/v1/defect", func(echo.Context) error { panic("the secret of the house") })
	w := httptest.NewRecorder()
	r := httptest.NewRequest("GET", "/v1/defect", nil)
	r.Header.Set("X-Request-Id", "gateway-7")
	s.outermost(e).ServeHTTP(w, r)
	var p Problem
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil || w.Code != 500 || p.RequestID != "gateway-7" ||
		p.Code != "internal" || w.Header().Get("X-Request-Id") != "gateway-7" {
		t.Errorf("%d %s, %v", w.Code, w.Body, err)
	}
	if strings.Contains(w.Body.String(), "secret") || strings.Contains(w.Body.String(), ".go:") {
		t.Errorf("the answer tells of the inside: %s", w.Body)
	}
	if l := log.String(); !strings.Contains(l, "gateway-7") || !strings.Contains(l, "the secret of the house") ||
		!strings.Contains(l, "http_test.go") || strings.Count(l, "\n") != 1 {
		t.Errorf("log: %s", l)
	}
}

// TestLogHoldsNoTokens sends tokens by every way that people use, right and wrong.
func TestLogHoldsNoTokens(t *testing.T) {
	var mu sync.Mutex
	var log bytes.Buffer
	f := serveWith(t,
		Config{Log: slog.New(slog.NewJSONHandler(lockedWriter{&mu, &log},
			&slog.HandlerOptions{Level: slog.LevelDebug}))})
	token := f.token["sue"]
	f.ask(t, "sue", "GET", "/v1/boards", "")
	f.ask(t, "", "GET", "/v1/boards?token="+token, "")
	f.ask(t, "", "GET", "/v1/boards", "", "Authorization", "Token "+token)
	f.ask(t, "", "GET", "/v1/boards", "", "Authorization", "Bearer "+token+"x")
	f.ask(t, "", "GET", "/v1/boards", "", "Cookie", "boardlore_token="+token)
	f.ask(t, "sue", "POST", "/v1/proposals", "{", "Idempotency-Key", token)
	mu.Lock()
	defer mu.Unlock()
	if l := log.String(); strings.Contains(l, token) || strings.Count(l, `"msg":"request"`) != 6 ||
		!strings.Contains(l, `"account":`) {
		t.Errorf("log: %s", l)
	}
}

type lockedWriter struct {
	mu *sync.Mutex
	w  io.Writer
}

func (l lockedWriter) Write(b []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.w.Write(b)
}

// TestOnce: of many requests at once with one key, one acts and all get its
// answer; so too for each other act; another body is refused.
func TestOnce(t *testing.T) {
	f := serve(t)
	const n = 8
	answers := make([]answer, n)
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() {
			answers[i] = f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first"),
				"Idempotency-Key", "k")
		})
	}
	wg.Wait()
	for _, a := range answers {
		if a.status != 201 || !bytes.Equal(a.body, answers[0].body) || a.header.Get("Location") != "/v1/proposals/1" ||
			a.header.Get("ETag") != answers[0].header.Get("ETag") {
			t.Errorf("%d %v %s", a.status, a.header, a.body)
		}
	}
	if l := f.ask(t, "", "GET", "/v1/proposals", ""); len(l.doc["proposals"].([]any)) != 1 {
		t.Errorf("%s", l.body)
	}
	twice := func(who, path, body, other, key string) {
		t.Helper()
		first := f.ask(t, who, "POST", path, body, "Idempotency-Key", key)
		again := f.ask(t, who, "POST", path, body, "Idempotency-Key", key)
		if first.status > 299 || first.status != again.status || !bytes.Equal(first.body, again.body) ||
			first.header.Get("Location") != again.header.Get("Location") {
			t.Errorf("%s: %d %s\n%d %s", path, first.status, first.body, again.status, again.body)
		}
		f.ask(t, who, "POST", path, other, "Idempotency-Key", key).want(t, 422, "idempotency-key-reused")
	}
	twice("rob", "/v1/proposals/1/reviews", `{"verdict":"endorse"}`, `{"verdict":"endorse","summary":"x"}`,
		"k") // keys are each account's own
	f.ask(t, "roy", "POST", "/v1/proposals/1/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	twice("rob", "/v1/proposals/1/release", `{}`, `{"reason":"x"}`, "k2")
	if l := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/revisions", ""); len(l.doc["revisions"].([]any)) != 1 {
		t.Errorf("%s", l.body)
	}
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first"), "Idempotency-Key",
		strings.Repeat("k", 201)).want(t, 400, "idempotency-key-long")
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("7", sampleMap, "ahead"), "Idempotency-Key", "k3").want(t, 409,
		"base-ahead")
	other := strings.Replace(sampleMap, "47 µF", "100 µF", 1)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", other, "a refusal keeps no key"), "Idempotency-Key",
		"k3").want(t, 201, "")
}

// TestPages follows the next links of every list from a page of one to the end:
// nothing is missed, nothing comes twice, and Link says what next says.
func TestPages(t *testing.T) {
	f := serve(t)
	f.release1(t)
	for i, name := range []string{"aaa", "bbb", "ccc"} {
		m := strings.NewReplacer(`"x_mm":60`, fmt.Sprintf(`"x_mm":%d`, 61+i)).Replace(sampleMap)
		f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", m, name)).want(t, 201, "")
		f.ask(t, "ada", "PUT", "/v1/kits/rx2-"+name, strings.NewReplacer("rx2-caps", "rx2-"+
			name).Replace(sampleKit)).want(t, 201, "")
		f.ask(t, "ada", "PUT", "/v1/kits/rx2-aaa", strings.NewReplacer("rx2-caps", "rx2-aaa", "Capacitors",
			name).Replace(sampleKit))
	}
	for path, member := range map[string]string{"/v1/boards": "boards", "/v1/proposals": "proposals",
		"/v1/proposals?state=open": "proposals", "/v1/kits": "kits",
		"/v1/kits/rx2-aaa/versions": "kits", "/v1/events": "events", "/v1/events?order=newest": "events",
		"/v1/boards/fen-rx2-main/events":    "events",
		"/v1/boards/fen-rx2-main/revisions": "revisions"} {
		whole := f.ask(t, "", "GET", path, "").want(t, 200, "").doc[member].([]any)
		sep := "?"
		if strings.Contains(path, "?") {
			sep = "&"
		}
		var got []any
		for next := path + sep + "limit=1"; next != ""; {
			a := f.ask(t, "", "GET", next, "").want(t, 200, "")
			items := a.doc[member].([]any)
			if len(items) > 1 || len(got) > len(whole) {
				t.Fatalf("%s: %s", next, a.body)
			}
			got = append(got, items...)
			next, _ = a.doc["next"].(string)
			if link := strings.Join(a.header.Values("Link"), ", "); !strings.Contains(link, `; rel="first"`) ||
				strings.Contains(link, `rel="next"`) != (next != "") || !strings.Contains(link, "<"+next) {
				t.Errorf("%s: next %s, Link %s", path, next, link)
			}
		}
		a, _ := json.Marshal(whole, json.Deterministic(true))
		if b, _ := json.Marshal(got, json.Deterministic(true)); !bytes.Equal(a, b) {
			t.Errorf("%s in pages of one: %s\nwhole: %s", path, b, a)
		}
	}
	for _, cursor := range []string{"AAAA", "%2B", "b2s", strings.Repeat("QUFB", 200)} {
		for _, path := range []string{"/v1/boards", "/v1/proposals", "/v1/kits", "/v1/events"} {
			if a := f.ask(t, "", "GET", path+"?cursor="+cursor, ""); a.status != 200 && a.status != 400 {
				t.Errorf("%s?cursor=%s: %d", path, cursor, a.status)
			}
		}
	}
}

// TestProxies: the caller's address is what a trusted proxy says, and no one else.
func TestProxies(t *testing.T) {
	for _, c := range []struct{ remote, forwarded, want string }{
		{"192.0.2.1:5", "203.0.113.9", "192.0.2.1"},
		{"10.0.0.7:5", "203.0.113.9", "203.0.113.9"},
		{"10.0.0.7:5", "198.51.100.1, 203.0.113.9", "203.0.113.9"},
		{"10.0.0.7:5", "", "10.0.0.7"},
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.RemoteAddr = c.remote
		if c.forwarded != "" {
			r.Header.Set("X-Forwarded-For", c.forwarded)
		}
		if got := addressOf(prefixes(t, "10.0.0.0/8"))(r); got != c.want {
			t.Errorf("from %s with %q: %s, want %s", c.remote, c.forwarded, got, c.want)
		}
	}
	r := httptest.NewRequest("GET", "/", nil)
	r.Header = http.Header{"X-Forwarded-For": {"203.0.113.9"}}
	if got := addressOf(nil)(r); got != "192.0.2.1" {
		t.Errorf("nobody is trusted: %s", got)
	}
}
