package pages_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"html"
	"image/png"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// TestShared follows what a forum, a search engine and a label need.
func TestShared(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	get := func(path string) (int, http.Header, string) {
		t.Helper()
		r, err := http.Get(w.URL + path)
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		var b bytes.Buffer
		if _, err := b.ReadFrom(r.Body); err != nil {
			t.Fatal(err)
		}
		return r.StatusCode, r.Header, b.String()
	}
	_, home := v.get("/")
	if n := len(home); n > 40_000 {
		t.Errorf("the home page has %d bytes", n)
	}
	_, page := v.get("/boards/" + boardID + "?mark=C3")
	want(t, page, `<link rel="canonical" href="`+w.URL+`/boards/`+boardID+`">`,
		`<meta property="og:title" content="Fellside MP-4, microphone preamplifier">`)
	data := regexp.MustCompile(`<script type="application/ld\+json">(.*?)</script>`).FindStringSubmatch(page)
	var said struct {
		Type  string `json:"@type"`
		About struct {
			MPN []string `json:"mpn"`
		} `json:"about"`
	}
	if data == nil || json.Unmarshal([]byte(data[1]), &said) != nil || said.Type != "TechArticle" ||
		len(said.About.MPN) == 0 || said.About.MPN[0] != "FS-4410-B" {
		t.Errorf("structured data %v", data)
	}
	picture := regexp.MustCompile(`og:image" content="([^"]+)"`).FindStringSubmatch(page)[1]
	_, head, card := get(strings.TrimPrefix(html.UnescapeString(picture), w.URL))
	if img, err := png.Decode(strings.NewReader(card)); err != nil || img.Bounds().Dx() != 1200 ||
		img.Bounds().Dy() != 630 || head.Get("Content-Type") != "image/png" {
		t.Errorf("the card: %v, %s", err, head.Get("Content-Type"))
	}
	status, head, thumb := get("/boards/" + boardID + "/thumb.svg")
	if status != 200 || head.Get("ETag") == "" || xml.Unmarshal([]byte(thumb), new(struct{})) != nil ||
		strings.Contains(thumb, "<text") {
		t.Errorf("the thumbnail: %d %s", status, thumb)
	}
	r, _ := http.NewRequest("GET", w.URL+"/boards/"+boardID+"/thumb.svg", nil)
	r.Header.Set("If-None-Match", head.Get("ETag"))
	if status, _ := v.do(r); status != http.StatusNotModified {
		t.Errorf("asked again: %d", status)
	}
	if status, _, _ := get("/boards/none/card.png"); status != 404 {
		t.Errorf("a card of no board: %d", status)
	}
	_, _, site := get("/sitemap.xml")
	_, _, robots := get("/robots.txt")
	want(t, site+robots, "<loc>"+w.URL+"/boards/"+boardID+"</loc>", "Sitemap: "+w.URL+"/sitemap.xml")
	_, _, embed := get("/oembed?url=" + w.URL + "/boards/" + boardID)
	want(t, embed, `"type":"photo"`, `"title":"Fellside MP-4, microphone preamplifier"`, `"provider_name":"boardlore"`,
		`"width":1200`, `"height":630`)
	drawn := w.URL + "/v1/boards/" + boardID + "/drawing.svg?side=bottom"
	_, _, embed = get("/oembed?maxwidth=600&url=" + url.QueryEscape(drawn))
	want(t, embed, `"url":"`+drawn+`"`, `"width":600`)
	_, _, embed = get("/oembed?maxwidth=600&maxheight=63&url=" + w.URL + "/boards/" + boardID)
	want(t, embed, `"width":120`, `"height":63`)
	for path, want := range map[string]int{"/oembed?url=https://elsewhere.example/boards/" + boardID: 404,
		"/oembed?format=xml&url=" + w.URL + "/boards/" + boardID: 501,
		"/oembed?url=%zz": 404, "/b/" + strings.ToUpper(boardID): 200, "/b/none": 404} {
		if status, _, _ := get(path); status != want {
			t.Errorf("%s: %d, want %d", path, status, want)
		}
	}
}
