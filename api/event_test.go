package api

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// element is any XML element.
type element struct {
	XMLName xml.Name
	Attrs   []xml.Attr `xml:",any,attr"`
	Text    string     `xml:",chardata"`
	Inner   []element  `xml:",any"`
}

func (e *element) all(name string) (out []*element) {
	for i := range e.Inner {
		if e.Inner[i].XMLName.Local == name {
			out = append(out, &e.Inner[i])
		}
	}
	return out
}

// one is the single element of a name, which RFC 4287 wants to be there once.
func (e *element) one(t *testing.T, name string) *element {
	t.Helper()
	found := e.all(name)
	if len(found) != 1 {
		t.Fatalf("%s has %d elements %s, RFC 4287 wants one", e.XMLName.Local, len(found), name)
	}
	return found[0]
}

func (e *element) attr(name string) string {
	i := slices.IndexFunc(e.Attrs, func(a xml.Attr) bool { return a.Name.Local == name })
	if i < 0 {
		return ""
	}
	return e.Attrs[i].Value
}

func (e *element) link(rel string) string {
	for _, l := range e.all("link") {
		if l.attr("rel") == rel {
			return l.attr("href")
		}
	}
	return ""
}

// tagName is the grammar of RFC 4151, section 2.1, for what names a domain.
var tagName = regexp.MustCompile(`^tag:[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)+,[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?:[A-Za-z0-9._~!$&'()*+,;=:@/?%-]*$`)

// readFeed reads a feed as strictly as RFC 4287 lets one, section 4.1.
func readFeed(t *testing.T, body []byte) *element {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(body))
	var feed element
	if err := d.Decode(&feed); err != nil {
		t.Fatal(err)
	}
	if rest := bytes.TrimSpace(body[d.InputOffset():]); len(rest) > 0 {
		t.Errorf("something follows the feed: %s", rest)
	}
	var inAtom func(e *element)
	inAtom = func(e *element) {
		if e.XMLName.Space != "http://www.w3.org/2005/Atom" {
			t.Errorf("%v is no element of Atom", e.XMLName)
		}
		for i := range e.Inner {
			inAtom(&e.Inner[i])
		}
	}
	inAtom(&feed)
	ids := map[string]bool{}
	var newest time.Time
	for i, e := range append([]*element{&feed}, feed.all("entry")...) {
		id := e.one(t, "id").Text
		if !tagName.MatchString(id) || ids[id] {
			t.Errorf("id %q is no tag URI or stands twice", id)
		}
		ids[id] = true
		at, err := time.Parse(time.RFC3339Nano, e.one(t, "updated").Text)
		if err != nil {
			t.Error(err)
		}
		if strings.TrimSpace(e.one(t, "title").Text) == "" {
			t.Errorf("%s has no title", id)
		}
		if i == 0 {
			newest = at
			continue
		}
		if at.After(newest) {
			t.Errorf("%s is newer than what stands before it", id)
		}
		newest = at
		if e.one(t, "author").one(t, "name").Text == "" || e.link("alternate") == "" {
			t.Errorf("%s has no author, or nothing to go to", id)
		}
		if c := e.one(t, "content"); c.attr("type") != "text" || len(c.Inner) > 0 {
			t.Errorf("%s: content %+v", id, c)
		}
	}
	return &feed
}

// TestFeeds reads both feeds strictly and follows their links.
func TestFeeds(t *testing.T) {
	f := serveWith(t, Config{PublicURL: "https://maps.example.org"})
	if empty := readFeed(t, f.ask(t, "", "GET", "/v1/events.atom", "").want(t, 200,
		"").body); len(empty.all("entry")) != 0 {
		t.Errorf("entries before anything happened: %+v", empty.all("entry"))
	}
	f.release1(t)
	m := strings.Replace(sampleMap, `"name":"Main board"`, `"name":"Main <board> & \u0007 co"`, 1)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", m, "a name with <odd> & characters")).want(t, 201, "")
	f.endorse(t, 2)
	for path, entries := range map[string]int{"/v1/events.atom": 8, "/v1/boards/fen-rx2-main/events.atom": 8} {
		a := f.ask(t, "", "GET", path, "").want(t, 200, "")
		feed := readFeed(t, a.body)
		if self := feed.link("self"); self != "https://maps.example.org"+path || feed.link("first") != self {
			t.Errorf("self is %s", self)
		}
		if len(feed.all("entry")) != entries || !strings.HasPrefix(a.header.Get("Content-Type"),
			"application/atom+xml") {
			t.Errorf("%s: %d entries, %s", path, len(feed.all("entry")), a.header.Get("Content-Type"))
		}
		first := feed.all("entry")[0]
		if !strings.Contains(first.one(t, "title").Text, "a name with <odd> & characters") {
			t.Errorf("newest entry: %q", first.one(t, "title").Text)
		}
		for _, e := range append(feed.all("entry"), feed) {
			f.ask(t, "", "GET", strings.TrimPrefix(e.link("alternate"), "https://maps.example.org"), "").want(t, 200,
				"")
		}
	}
}

// TestFeedPages goes through a feed page by page (RFC 5005, section 3) and
// finds every event once, under a name that does not hang on the address.
func TestFeedPages(t *testing.T) {
	f := serve(t)
	f.release1(t)
	for i := range feedEntries {
		kit := fmt.Sprintf(`{"kit":"kit-%d","title":"t","lines":[{"line":1,"quantity":2,"text":"47uF 16V"}]}`, i)
		f.ask(t, "ada", "PUT", fmt.Sprintf("/v1/kits/kit-%d", i), kit).want(t, 201, "")
	}
	path, seen := "/v1/events.atom", map[string]bool{}
	pages, feedID := 0, ""
	for ; path != "" && pages < 10; pages++ {
		feed := readFeed(t, f.ask(t, "", "GET", path, "").want(t, 200, "").body)
		if id := feed.one(t, "id").Text; feedID != "" && id != feedID {
			t.Errorf("a page of the feed %s is called %s", feedID, id)
		} else {
			feedID = id
		}
		for _, e := range feed.all("entry") {
			if id := e.one(t, "id").Text; seen[id] {
				t.Errorf("%s stands on two pages", id)
			} else {
				seen[id] = true
			}
		}
		if feed.link("first") == "" || feed.link("self") == "" {
			t.Errorf("page %d has no way to the first page or to itself", pages+1)
		}
		_, path, _ = strings.Cut(feed.link("next"), "/v1/")
		if path != "" {
			path = "/v1/" + path
		}
	}
	if pages != 2 || len(seen) <= feedEntries {
		t.Errorf("%d events on %d pages", len(seen), pages)
	}
	again := httptest.NewRequest("GET", "/v1/events.atom", nil)
	again.Host = "elsewhere.example"
	w := httptest.NewRecorder()
	f.Config.Handler.ServeHTTP(w, again)
	if id := readFeed(t, w.Body.Bytes()).one(t, "id").Text; id != feedID {
		t.Errorf("asked under another host the feed is %s, not %s", id, feedID)
	}
	f.ask(t, "", "GET", "/v1/events.atom?cursor=x", "").want(t, 400, "cursor-malformed")
}

// TestHistoryThroughRenames follows one place on the board through two names,
// and a value changed under each.
func TestHistoryThroughRenames(t *testing.T) {
	f := serve(t)
	f.release1(t)
	next := sampleMap
	for i, edit := range [][2]string{{`"47 µF"`, `"100 µF"`}, {`"C1"`, `"C101"`}, {`"16 V"`, `"25 V"`}} {
		next = strings.Replace(next, edit[0], edit[1], 1)
		f.ask(t, "ada", "POST", "/v1/proposals", `{"board":"fen-rx2-main","base_revision":`+string(rune('1'+i))+
			`,"map":`+next+
			`,"summary":"s","evidence":[{"text":"read on the can","designators":["`+map[bool]string{true: "C101",
			false: "C1"}[i > 0]+`"]},{"text":"elsewhere","designators":["R1"]}]}`).want(t, 201, "")
		f.endorse(t, i+2)
	}
	a := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/positions/C101/history", "").want(t, 200, "")
	var told []string
	for _, c := range a.doc["changes"].([]any) {
		h := c.(map[string]any)
		kinds := []string{h["designator"].(string)}
		for _, d := range h["changes"].([]any) {
			kinds = append(kinds, d.(map[string]any)["kind"].(string))
		}
		told = append(told, strings.Join(kinds, " "))
		if e := h["evidence"].([]any); h["revision"] != 1.0 &&
			(len(e) != 1 || e[0].(map[string]any)["text"] != "read on the can") {
			t.Errorf("evidence of revision %v: %v", h["revision"], e)
		}
	}
	if want := []string{"C1", "C1 part", "C101 renamed", "C101 part"}; !slices.Equal(told, want) {
		t.Errorf("history %q, want %q", told, want)
	}
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/positions/C7/history", "").want(t, 404, "designator-unknown")
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/positions/C1/history", "").want(t, 200,
		"") // what went under the old name
}
