package pages_test

import (
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// TestWatchPage: an account chooses on a page what it is told of; secrets stand
// there once, and nobody without an account gets there.
func TestWatchPage(t *testing.T) {
	w := newSite(t)
	const page = "/account/watches"
	if status, _ := w.visitor(t, "").get(page); status != 401 {
		t.Errorf("without an account: %d", status)
	}
	v := w.visitor(t, w.author)
	do := func(fields ...string) (int, string) {
		t.Helper()
		_, before := v.get(page)
		f := url.Values{"form_key": {keyField.FindStringSubmatch(before)[1]}}
		for i := 0; i < len(fields); i += 2 {
			f.Set(fields[i], fields[i+1])
		}
		return v.post(page, page, f)
	}
	do("act", "watch", "board", boardID)
	do("act", "watch", "maker", "Fellside")
	_, body := v.get(page)
	want(t, body, `href="/boards/`+boardID+`"`, "all of Fellside")
	if status, body := do("act", "watch", "board", "nowhere"); status != 404 || !strings.Contains(body, "nowhere") {
		t.Errorf("an unknown board: %d", status)
	}
	_, body = do("act", "feed")
	address := regexp.MustCompile(`/v1/watched\.atom\?feed=[A-Za-z0-9_-]+`).FindString(body)
	if status, feed := v.get(address); status != 200 || !strings.Contains(feed, "<entry>") {
		t.Errorf("%q: %d %s", address, status, feed)
	}
	if status, body := do("act", "hook", "address", "http://tools.example.org/"); status != 422 ||
		!strings.Contains(body, `role="alert"`) {
		t.Errorf("an address without https: %d", status)
	}
	if status, _ := do("act", "hook", "address", "http://10.0.0.7/", "private", "yes"); status != 403 {
		t.Errorf("a private address: %d", status)
	}
	_, body = do("act", "hook", "address", "https://tools.example.org/told")
	want(t, body, "whsec_", "https://tools.example.org/told")
	_, body = v.get(page)
	if strings.Contains(body, "whsec_") || strings.Contains(body, address) {
		t.Error("a secret is shown twice")
	}
	_, body = w.visitor(t, w.steward).get(page)
	want(t, body, "https://tools.example.org/told", "of Ada", `name="private"`)
	number := regexp.MustCompile(`value="end-hook"><input type="hidden" name="number" value="([0-9]+)"`)
	do("act", "end-hook", "number", number.FindStringSubmatch(body)[1])
	do("act", "end-feed")
	_, body = v.get(page)
	if strings.Contains(body, "tools.example.org/told") {
		t.Error("an ended hook is shown")
	}
}
