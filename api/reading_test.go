package api

import (
	"net/url"
	"testing"
)

// TestPartsReadExplained asks how a text was understood, and holds the refusal
// of a text in which nothing can be read, and of parameters that are none.
func TestPartsReadExplained(t *testing.T) {
	f := serve(t)
	at := func(text, more string) string { return "/v1/parts/read?text=" + url.QueryEscape(text) + more }

	r := f.ask(t, "", "GET", at("0.1uF 400V film, not X2", "&explain=true"), "").want(t, 200, "")
	if r.doc["sure"] != true {
		t.Errorf("an understood negation is unsure: %v", r.doc)
	}
	negated := false
	for _, s := range r.doc["spans"].([]any) {
		s := s.(map[string]any)
		negated = negated || s["text"] == "not X2" && s["rule"] == "negation" && s["state"] == "understood"
	}
	if !negated {
		t.Errorf("the negation is not told: %v", r.doc["spans"])
	}
	r = f.ask(t, "", "GET", at("fuse T1A or F1A", ""), "").want(t, 200, "")
	if r.doc["sure"] != false || r.doc["spans"] != nil {
		t.Errorf("an alternative is sure, or spans were not asked for: %v", r.doc)
	}
	f.ask(t, "", "GET", at("zebra crossing", ""), "").want(t, 422, "text-unreadable")
	f.ask(t, "", "GET", at("47u", "&explain=perhaps"), "").want(t, 400, "")
	f.ask(t, "", "GET", at("47u", "&class=zebra"), "").want(t, 400, "")
	f.ask(t, "", "POST", "/v1/quantities/read",
		`{"text":"25/35V","kind":"voltage","context":{"class":"capacitor"}}`).want(t, 200, "")
}
