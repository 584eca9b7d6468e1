package api

import (
	"fmt"
	"strings"
	"testing"
)

func TestDrafts(t *testing.T) {
	f := serve(t)
	const route = "/v1/drafts/meter-board"
	first := f.ask(t, "ada", "PUT", route,
		`{"name":"Meter board","positions":[{"oops":1}],"huge":12345678901234567890}`).want(t, 201, "")
	tag := first.header.Get("ETag")
	if first.doc["version"] != 1.0 || first.doc["title"] != "Meter board" || first.header.Get("Location") != route {
		t.Errorf("%v, %v", first.doc, first.header)
	}
	got := f.ask(t, "ada", "GET", route, "").want(t, 200, "")
	if !strings.Contains(string(got.body), "12345678901234567890") {
		t.Errorf("a figure was altered: %s", got.body)
	}
	if got.header.Get("ETag") != tag || !strings.Contains(got.header.Get("Cache-Control"), "no-store") {
		t.Errorf("%v", got.header)
	}
	t.Run("the same again changes nothing", func(t *testing.T) {
		a := f.ask(t, "ada", "PUT", route, string(got.body), "If-Match", tag).want(t, 200, "")
		if a.doc["version"] != 1.0 {
			t.Errorf("%v", a.doc)
		}
	})
	second := f.ask(t, "ada", "PUT", route, `{"name":"Meter board 2"}`, "If-Match", tag).want(t, 200, "")
	t.Run("two windows are told apart", func(t *testing.T) {
		f.ask(t, "ada", "PUT", route, `{"name":"the other"}`, "If-Match", tag).want(t, 412, "draft-changed")
		f.ask(t, "ada", "PUT", route, `{}`, "If-None-Match", "*").want(t, 412, "draft-changed")
		f.ask(t, "ada", "PUT", "/v1/drafts/none", `{}`, "If-Match", tag).want(t, 412, "draft-changed")
	})
	t.Run("versions", func(t *testing.T) {
		a := f.ask(t, "ada", "GET", route+"?version=1", "").want(t, 200, "")
		if a.header.Get("ETag") != tag {
			t.Errorf("%v", a.header)
		}
		if n := len(f.ask(t, "ada", "GET", route+"/versions", "").want(t, 200, "").doc["drafts"].([]any)); n != 2 {
			t.Errorf("%d versions", n)
		}
		f.ask(t, "ada", "GET", route+"?version=3", "").want(t, 404, "draft-unknown")
	})
	t.Run("another's draft is not there", func(t *testing.T) {
		for _, who := range []string{"rob", "roy"} {
			f.ask(t, who, "GET", route, "").want(t, 404, "draft-unknown")
			f.ask(t, who, "GET", route+"/versions", "").want(t, 404, "draft-unknown")
			f.ask(t, who, "DELETE", route, "").want(t, 404, "draft-unknown")
			f.ask(t, who, "POST", route+"/link", "").want(t, 404, "draft-unknown")
			if n := len(f.ask(t, who, "GET", "/v1/drafts", "").want(t, 200, "").doc["drafts"].([]any)); n != 0 {
				t.Errorf("%s sees %d drafts", who, n)
			}
		}
		f.ask(t, "", "GET", route, "").want(t, 401, "token-needed")
		f.ask(t, "", "PUT", route, "{}").want(t, 401, "token-needed")
	})
	t.Run("shared by link", func(t *testing.T) {
		link := f.ask(t, "ada", "POST", route+"/link", "").want(t, 201, "").header.Get("Location")
		if a := f.ask(t, "", "GET", link, "").want(t, 200, ""); a.header.Get("ETag") != second.header.Get("ETag") {
			t.Errorf("%v", a.header)
		}
		again := f.ask(t, "ada", "POST", route+"/link", "").want(t, 201, "").header.Get("Location")
		f.ask(t, "", "GET", link, "").want(t, 404, "draft-unknown")
		f.ask(t, "ada", "DELETE", route+"/link", "").want(t, 204, "")
		f.ask(t, "", "GET", again, "").want(t, 404, "draft-unknown")
		f.ask(t, "", "GET", "/v1/shared-draft", "").want(t, 404, "draft-unknown")
	})
	t.Run("refused", func(t *testing.T) {
		for _, body := range []string{`{"a":1,"a":2}`, " ", "{"} {
			f.ask(t, "ada", "PUT", route, body).want(t, 400, "json-malformed")
		}
		f.ask(t, "ada", "PUT", route, "[]").want(t, 422, "request-refused")
		f.ask(t, "ada", "PUT", "/v1/drafts/Not_One", "{}").want(t, 422, "draft-refused")
	})
	t.Run("old versions go", func(t *testing.T) {
		for i := range 25 {
			f.ask(t, "ada", "PUT", "/v1/drafts/long", fmt.Sprintf(`{"n":%d}`, i))
		}
		ds := f.ask(t, "ada", "GET", "/v1/drafts/long/versions", "").want(t, 200, "").doc["drafts"].([]any)
		if len(ds) != 20 || ds[0].(map[string]any)["version"] != 25.0 {
			t.Errorf("%d versions: %v", len(ds), ds[0])
		}
	})
	t.Run("deleted", func(t *testing.T) {
		f.ask(t, "ada", "DELETE", route, "").want(t, 204, "")
		f.ask(t, "ada", "GET", route, "").want(t, 404, "draft-unknown")
		f.ask(t, "ada", "DELETE", route, "").want(t, 404, "draft-unknown")
	})
	t.Run("no more than fifty", func(t *testing.T) {
		for i := range 50 {
			f.ask(t, "rob", "PUT", fmt.Sprintf("/v1/drafts/d%d", i), "{}").want(t, 201, "")
		}
		f.ask(t, "rob", "PUT", "/v1/drafts/d50", "{}").want(t, 409, "draft-quota")
		f.ask(t, "rob", "PUT", "/v1/drafts/d7", `{"a":1}`).want(t, 200, "")
	})
}
