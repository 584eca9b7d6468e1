package api

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/schema"
)

const formBoundary = "----part"

// form writes a multipart body.
func form(fields ...string) string {
	var b strings.Builder
	for i := 0; i < len(fields); i += 2 {
		b.WriteString("--" + formBoundary + "\r\nContent-Disposition: form-data; name=\"" + fields[i] + "\"\r\n\r\n" +
			fields[i+1] + "\r\n")
	}
	return b.String() + "--" + formBoundary + "--\r\n"
}

// bodied are the routes that read a body, as addresses on a server with one
// board, an open proposal and a kit, each once for every media type that it reads.
func bodied() (requests []*http.Request) {
	path := strings.NewReplacer(":board", "fen-rx2-main", ":id", "2", ":kit", "rx2-caps")
	for _, r := range routes() {
		if r.body == 0 {
			continue
		}
		d := describe[r.key()]
		media := d.media
		if d.takes != "" {
			media = append(media, "application/json")
		}
		if d.form {
			media = append(media, `multipart/form-data; boundary="`+formBoundary+`"`)
		}
		if d.lists {
			media = append(media, "text/csv", "text/plain")
		}
		for _, m := range media {
			q := httptest.NewRequest(r.method, path.Replace(r.path), nil)
			q.Header.Set("Content-Type", m)
			requests = append(requests, q)
		}
	}
	return requests
}

// FuzzBodies sends anything to every route that reads a body: there is never a
// panic or a 500, every refusal is problem details of a described type, and
// every answer keeps to its schema.
func FuzzBodies(f *testing.F) {
	s := serve(f)
	s.release1(f)
	s.ask(f, "sue", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":70`, 1),
		"moved")).want(f, 201, "")
	s.ask(f, "sue", "PUT", "/v1/kits/rx2-caps", sampleKit).want(f, 201, "")
	requests := bodied()
	for i, q := range requests {
		for _, body := range seedBodies(f, q) {
			f.Add(uint8(i), []byte(body))
		}
	}
	f.Fuzz(func(t *testing.T, which uint8, body []byte) {
		like := requests[int(which)%len(requests)]
		q := httptest.NewRequest(like.Method, like.URL.String(), bytes.NewReader(body))
		q.Header = like.Header.Clone()
		q.Header.Set("Authorization", "Bearer "+s.token["sue"])
		q.Header.Set("If-Match", "*")
		w := httptest.NewRecorder()
		s.Config.Handler.ServeHTTP(w, q)
		a := answer{status: w.Code, header: w.Header(), body: w.Body.Bytes()}
		if a.status >= 500 || a.status >= 400 && a.header.Get("Content-Type") != "application/problem+json" {
			t.Fatalf("%s %s (%s): %d %s", q.Method, q.URL, q.Header.Get("Content-Type"), a.status, a.body)
		}
		if strings.Contains(a.header.Get("Content-Type"), "json") {
			if err := json.Unmarshal(a.body, &a.doc); err != nil {
				t.Fatalf("%v: %s", err, a.body)
			}
		}
		sent := "" // pointers into a body that is made of a form or a list lead elsewhere
		if q.Header.Get("Content-Type") == "application/json" {
			sent = string(body)
		}
		conform(t, q.Method, q.URL.String(), sent, a)
	})
}

// seedBodies are bodies to begin with: the examples of the route's schema and
// what went wrong before, or might.
func seedBodies(tb testing.TB, q *http.Request) []string {
	bodies := []string{"", "{}", "[]", "null", `{"a":1,"a":2}`, `{"text":"a\u0000b"}`}
	switch media, _, _ := strings.Cut(q.Header.Get("Content-Type"), ";"); media {
	case "multipart/form-data":
		return append(bodies[:1], form("board", "b", "equipment", `{"maker":"M","model":"N"}`, "name", "n",
			"placements", "Ref,X,Y\nC1,10,20\n", "parts", "Ref;Value\nC1;47u\n"),
			form("board", "b", "board", "b"), form("equipment", "{"), form("name", "\xff"),
			form("options", `{"unit":"mil","origin_x_mm":1e300}`, "placements", "\xff\xfeR\x00"), "--"+formBoundary)
	case "text/csv", "text/plain":
		return append(bodies[:1], "Qty;Value;Designators\n4;47u 16V;C1-C4\n", "4 x 47uF 6.3V SMD", "\xff\xfe4\x00",
			"\"", "1,2,3\n\x00")
	case "application/json":
		r := routeOf(q.Method, q.URL.Path)
		tree, err := schema.Tree(describe[r.key()].takes)
		if err != nil {
			tb.Fatal(err)
		}
		examples, _ := tree["examples"].([]any)
		for _, e := range examples {
			b, err := json.Marshal(e, json.Deterministic(true))
			if err != nil {
				tb.Fatal(err)
			}
			bodies = append(bodies, string(b))
		}
		return append(bodies, submission1("1", sampleMap, "same"),
			submission1("0", strings.Replace(sampleMap, "fen-rx2-main", "other", 1), "new"), sampleMap, `{"map":`+
				sampleMap+`}`,
			`{"map":[]}`, `{"kit":`+sampleKit+`}`, `{"kit":"rx2-caps","scope":["C1"]}`,
			`{"kit":"rx2-caps","scope":"all","revision":1.0}`, sampleKit,
			`{"verdict":"query","remarks":[{"designator":"C1","text":"?"}]}`, `{"reason":"so"}`,
			`{"text":"104","kind":"capacitance"}`, `{"text":"22µ/16V 105°"}`,
			`{"board":"b","equipment":{"maker":"M","model":"N"},"name":"n","placements":"Ref,X,Y\nC1,10,20\n"}`)
	}
	return append(bodies, "\x89PNG\r\n\x1a\n", "\xff\xd8\xff\xe1\x00\x10Exif", "RIFF\x00\x00\x00\x00WEBPVP8 ")
}

// FuzzHeaders sends anything as the headers that the server reads.
func FuzzHeaders(f *testing.F) {
	s := serve(f)
	s.release1(f)
	for _, v := range []string{"", "*", `"a"`, `W/"a", "b`, "gzip;q=0.5, *;q=0", "application/json;q=x", "Bearer x",
		"\xff", "a,,;q=", strings.Repeat(`"a",`, 500)} {
		f.Add(v, v)
	}
	f.Fuzz(func(t *testing.T, one, other string) {
		for _, path := range []string{"/v1/boards/fen-rx2-main/map", "/v1/proposals/1", "/v1/nowhere", "/healthz"} {
			q := httptest.NewRequest("GET", path, nil)
			for _, name := range []string{"If-None-Match", "Accept-Encoding", "Authorization", "X-Request-Id",
				"X-Forwarded-For"} {
				q.Header.Set(name, one)
			}
			q.Header.Set("If-Match", other)
			q.Header.Set("Accept", other)
			w := httptest.NewRecorder()
			s.Config.Handler.ServeHTTP(w, q)
			plain := unpacked(t, answer{header: w.Header(), body: w.Body.Bytes()})
			if w.Code >= 500 || w.Header().Get("X-Request-Id") == "" || w.Code >= 400 &&
				!jsontext.Value(plain).IsValid() {
				t.Fatalf("%s with %q, %q: %d %s", path, one, other, w.Code, w.Body)
			}
		}
	})
}
