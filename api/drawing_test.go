package api

import (
	"bytes"
	"slices"
	"testing"
)

// TestDrawingLanguage: a drawing speaks the asker's language, and is another
// one to every cache; its address may name the language instead, for a page
// that is read in another one than the browser asks for.
func TestDrawingLanguage(t *testing.T) {
	f := serve(t)
	f.release1(t)
	const path = "/v1/boards/fen-rx2-main/drawing.svg?side=top"
	tags := map[string]string{}
	for _, c := range []struct{ query, accept, says, language string }{
		{"", "", "replace", "en"}, {"", "de", "ersetzen", "de"}, {"", "fr, de;q=0.5", "ersetzen", "de"},
		{"", "fr", "replace", "en"},
		{"&language=de", "en", "ersetzen", "de"}, {"&language=en", "de", "replace", "en"},
	} {
		for range 2 { // made, then kept
			a := f.ask(t, "", "GET", path+c.query, "", "Accept-Language", c.accept).want(t, 200, "")
			if !bytes.Contains(a.body, []byte(">"+c.says+"</text>")) || a.header.Get("Content-Language") != c.language {
				t.Errorf("%q, %q: not in %s", c.query, c.accept, c.language)
			}
			if by := slices.Contains(a.header.Values("Vary"), "Accept-Language"); by != (c.query == "") {
				t.Errorf("%q: Vary %v", c.query, a.header.Values("Vary"))
			}
			if tag := a.header.Get("ETag"); tags[c.language] == "" {
				tags[c.language] = tag
			} else if tags[c.language] != tag {
				t.Errorf("%q, %q: tag %s, of the same drawing %s", c.query, c.accept, tag, tags[c.language])
			}
		}
	}
	if tags["en"] == tags["de"] {
		t.Error("drawings in two languages have one tag")
	}
	f.ask(t, "", "GET", path, "", "Accept-Language", "de", "If-None-Match", tags["en"]).want(t, 200, "")
	f.ask(t, "", "GET", path, "", "Accept-Language", "de", "If-None-Match", tags["de"]).want(t, 304, "")
	f.ask(t, "", "GET", path+"&language=xx", "").want(t, 400, "parameter-invalid")
	a := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/differences?from=1&to=1&as=svg", "", "Accept-Language",
		"de").want(t, 200, "")
	if !bytes.Contains(a.body, []byte(">unverändert</text>")) || !slices.Contains(a.header.Values("Vary"),
		"Accept-Language") {
		t.Errorf("the drawing of a difference is not in German: %v", a.header)
	}
}
