package pages_test

import (
	"fmt"
	"html"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
)

var (
	alternate = regexp.MustCompile(`<link rel="alternate" type="application/json" href="([^"]+)">`)
	linked    = regexp.MustCompile(`<a href="([^"]+)">This page as JSON</a>`)
)

// twin is what the API says at the address that a page names as its twin.
func (v *visitor) twin(path string) map[string]any {
	v.t.Helper()
	_, body := v.get(path)
	head, foot := alternate.FindStringSubmatch(body), linked.FindStringSubmatch(body)
	if head == nil || foot == nil || head[1] != foot[1] {
		v.t.Errorf("%s names its twin in the head as %q and in the foot as %q", path, head, foot)
		return nil
	}
	r, err := http.NewRequest("GET", v.w.URL+html.UnescapeString(head[1]), nil)
	if err != nil {
		v.t.Fatal(err)
	}
	resp, err := v.http.Do(r)
	if err != nil {
		v.t.Fatal(err)
	}
	defer resp.Body.Close()
	var a map[string]any
	if err := json.UnmarshalRead(resp.Body, &a); err != nil || resp.StatusCode != 200 {
		v.t.Errorf("%s: its twin %s answers %d, %v", path, head[1], resp.StatusCode, err)
	}
	return a
}

// count is how many entries a member of an answer has, -1 where it is no list.
func count(a map[string]any, member string) int {
	xs, ok := a[member].([]any)
	if !ok {
		return -1
	}
	return len(xs)
}

// TestTwins holds that each page names an address of the API, and that both say
// the same.
func TestTwins(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	b := "/boards/" + boardID
	for path, same := range map[string]func(page string, a map[string]any) bool{
		"/": func(page string, a map[string]any) bool {
			return count(a, "boards") == strings.Count(page, `<li><div><a href="/boards/`)
		},
		"/?q=nothing": func(page string, a map[string]any) bool {
			return count(a, "boards") == 0 && strings.Contains(page, "0 found")
		},
		"/?width=84&height=158": func(page string, a map[string]any) bool { return count(a, "boards") == 1 },
		"/?width=300":           func(page string, a map[string]any) bool { return count(a, "boards") == 0 },
		b: func(page string, a map[string]any) bool {
			return count(a, "positions") == strings.Count(page, "data-row=") &&
				strings.Contains(page, fmt.Sprint(a["name"]))
		},
		b + "?variant=export": func(page string, a map[string]any) bool {
			return count(a, "positions") == strings.Count(page, "data-row=")
		},
		b + "?revision=1": func(page string, a map[string]any) bool { return count(a, "positions") == 65 },
		b + "/positions/C3": func(page string, a map[string]any) bool {
			return count(a, "changes") == strings.Count(page, "<li><b>Revision")
		},
		b + "/differences?from=1&to=2": func(page string, a map[string]any) bool {
			return count(a, "changes") == strings.Count(page, `<li class="hazard">`)+
				strings.Count(page, `<li class="change">`)+strings.Count(page, `<li class="editorial">`)
		},
		b + "/kit-check": func(page string, a map[string]any) bool { return a["board"] == boardID },
		b + "/parts-list": func(page string, a map[string]any) bool {
			return count(a, "to_buy") > 0 && count(a, "to_buy") == strings.Count(page, `<span class="box paper"`)
		},
		b + "/job": func(page string, a map[string]any) bool {
			n := 0
			for _, s := range a["stages"].([]any) {
				n += len(s.(map[string]any)["removal"].([]any))
			}
			return n > 0 && n == strings.Count(page, `data-key="out:`) && n == strings.Count(page, `data-key="fit:`)
		},
		"/desk": func(page string, a map[string]any) bool {
			open, _, _ := strings.Cut(page, "Closed lately")
			return count(a, "proposals") == strings.Count(open, `<li><a href="/proposals/`)
		},
		"/proposals/" + id(w.hazardous): func(page string, a map[string]any) bool {
			return fmt.Sprint(a["id"]) == id(w.hazardous) && strings.Contains(page, fmt.Sprint(a["summary"]))
		},
		"/contribute": func(page string,
			a map[string]any) bool {
			return a["$schema"] != nil
		},
		"/contribute?board=" + boardID: func(page string,
			a map[string]any) bool {
			return a["board"] == boardID
		},
		"/contribute?proposal=" + id(w.harmless): func(page string,
			a map[string]any) bool {
			return fmt.Sprint(a["id"]) == id(w.harmless)
		},
	} {
		_, page := v.get(path)
		if a := v.twin(path); a != nil && !same(page, a) {
			t.Errorf("%s and its twin differ: %.300v", path, a)
		}
	}
}
