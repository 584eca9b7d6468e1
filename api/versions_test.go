package api

import (
	"bytes"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"
)

// TestReference reads the page as a browser does: every route of the table has
// its place there, every link of the page leads somewhere on it or to a route,
// and nothing comes from outside.
func TestReference(t *testing.T) {
	f := serve(t)
	a := f.ask(t, "", "GET", "/v1/reference", "").want(t, 200, "")
	ids, links := map[string]bool{}, []string{}
	z := html.NewTokenizer(bytes.NewReader(a.body))
	for z.Next() != html.ErrorToken {
		tok := z.Token()
		if tok.Type == html.TextToken {
			continue
		}
		if tok.Data == "script" || tok.Data == "link" || tok.Data == "img" || tok.Data == "iframe" ||
			tok.Data == "style" {
			t.Errorf("the page has a <%s>", tok.Data)
		}
		for _, at := range tok.Attr {
			switch at.Key {
			case "id":
				ids[at.Val] = true
			case "href", "src":
				links = append(links, at.Val)
			}
		}
	}
	if z.Err() != io.EOF {
		t.Fatal(z.Err())
	}
	for _, l := range links {
		plain, err := url.PathUnescape(l)
		if err != nil {
			t.Error(err)
		}
		if id, ok := strings.CutPrefix(plain, "#"); ok && !ids[id] || !ok && !strings.HasPrefix(l, "/") {
			t.Errorf("a link leads to %s", l)
		}
	}
	for _, r := range routes() {
		if !ids[operationID(&r)] {
			t.Errorf("%s is not on the page", r.key())
		}
	}
	if len(aboutVersions) > 10 {
		t.Error("the policy is longer than its ten lines")
	}
	for _, rule := range aboutVersions {
		if !bytes.Contains(a.body, []byte(html.EscapeString(strings.Split(rule, " (")[0])[:20])) {
			t.Errorf("%q is not on the page", rule)
		}
	}
}

// TestEnding: what is to go says so, in the form of RFC 9745 (a date as a
// structured field) and RFC 8594 (an HTTP date), and in the description.
func TestEnding(t *testing.T) {
	e := &ending{since: time.Date(2030, 1, 2, 0, 0, 0, 0, time.UTC), sunset: time.Date(2031, 1, 2, 3, 4, 5, 0,
		time.UTC), see: "/v1/reference"}
	h := http.Header{}
	e.tell(h)
	if h.Get("Deprecation") != "@1893542400" || h.Get("Sunset") != "Thu, 02 Jan 2031 03:04:05 GMT" ||
		h.Get("Link") != `</v1/reference>; rel="deprecation"` {
		t.Errorf("%v", h)
	}
	(*ending)(nil).tell(h)
	r := route{get, "/v1/rules", anyone, Reads, noBody, (*server).rules}
	if op := operation(&r, described{about: "rules", ends: e}); op["deprecated"] != true {
		t.Errorf("%v", op)
	}
	if op := operation(&r, described{about: "rules"}); op["deprecated"] != nil {
		t.Errorf("%v", op)
	}
	for _, r := range routes() {
		if d := describe[r.key()]; d.ends != nil && d.ends.sunset.Sub(d.ends.since) < 365*24*time.Hour {
			t.Errorf("%s goes sooner than a year after that was said", r.key())
		}
	}
}
